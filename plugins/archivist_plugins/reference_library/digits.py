"""The digits in which the index tells numbers."""

DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
"""Base64 as for addresses (RFC 4648, 5): none of them needs an escape in JSON."""
