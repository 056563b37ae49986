"""Turns a dealer's records and photographs into a preserved reference archive in open standards."""

__version__ = "0.1.0"
