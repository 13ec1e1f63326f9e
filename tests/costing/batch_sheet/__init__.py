"""Tests of the batch sheet."""
