"""Tests of reading a shop folder."""
