"""Pieces found by words, facets, years and sizes.

What a piece is found by is made of what was disclosed of it; nothing here knows an output format.
"""
