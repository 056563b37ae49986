"""Marks and inscriptions: what is written on a piece, and how that stands to the date held.

A mark is what is written; a date is what somebody holds. A reign in a mark becomes what the mark
claims, and never the date of the piece.
"""

from __future__ import annotations

from archivist.reading.marks.read import marks_in, read_marks

__all__ = ["marks_in", "read_marks"]
