"""The kitchen by formulas: every step of a recipe from cells that may be changed, equal to :mod:`costing.kitchen`.

One module for each kind of step, as there. What is followed is the same: pieces of five fractions, their weight as
added, their money. Pieces that no later step tells apart are followed as one, so that a reader finds a few rows for
each step and not one for each ingredient.
"""
