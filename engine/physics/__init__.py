"""Formulas that no edition of the code changes."""
