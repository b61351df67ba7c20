"""Formulas: pure functions of SI floats, one subject a file."""
