"""What food is made of, and what the law says to print about it.

This package knows no recipe, no pot and no price, and imports nothing from ``costing``.
"""
