"""Reads a shop folder into checked models, and says by file and line what is wrong with it."""
