"""Photographs: what they look like, which are one picture, which show one piece, and when."""
