"""Tablebook: the roster at the sign-in table of a polling place."""

__version__ = "0.1.0"
