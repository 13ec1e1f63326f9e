"""Keeping the food records that a shop's labels are made from, and looking whether their sources have news."""
