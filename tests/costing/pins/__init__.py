"""Pins in a shop."""
