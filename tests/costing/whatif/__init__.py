"""Tests of what might be."""
