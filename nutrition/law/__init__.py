"""The law of labels, one package for each country."""
