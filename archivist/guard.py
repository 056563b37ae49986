"""Cells of a text file that a spreadsheet program would run as a formula, made harmless."""

from __future__ import annotations

import re

_DANGEROUS = re.compile(r"'*[=+\-@\t\r]")
"""What spreadsheet programs take for a formula (OWASP, 'CSV Injection')."""

_GUARDED = re.compile(r"'+[=+\-@\t\r]")


def guarded(text: str) -> str:
    """`text` with an apostrophe before it where it could be taken for a formula."""
    return f"'{text}" if _DANGEROUS.match(text) else text


def unguarded(text: str) -> str:
    """What `guarded` was given."""
    return text[1:] if _GUARDED.match(text) else text
