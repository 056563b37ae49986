"""Dates in the words of the published convention: 'by 1932', 'December 27, 1915'."""

from __future__ import annotations

import re

from archivist.model.dates import Date
from archivist.reading.moments import MONTHS
from archivist.reading.words import fold

_EDTF_DAY = re.compile(r"(\d{4})(?:-(\d\d))?(?:-(\d\d))?([?~%])?$")
_EDTF_DECADE = re.compile(r"(\d{3})X$")


def date_words(date: Date) -> str:
    """`date` in the words of the convention, or '' where it has none for it."""
    edtf = date.edtf
    if edtf.startswith(("../", "/")):
        return _joined("by", _point(edtf.split("/")[1]))
    if edtf.endswith(("/..", "/")):
        return _joined("after", _point(edtf.split("/")[0]))
    if "/" in edtf:
        first, last = (_point(end) for end in edtf.split("/", 1))
        plain = first.isdigit() and last.isdigit()
        return f"{first}-{last}" if plain else ""
    return _point(edtf)


def _joined(word: str, point: str) -> str:
    return f"{word} {point}" if point else ""


def _point(edtf: str) -> str:
    if decade := _EDTF_DECADE.match(edtf):
        return f"{decade[1]}0s"
    match = _EDTF_DAY.match(edtf)
    if match is None or fold(edtf) != edtf.lower():
        return ""
    year, month, day, qualifier = match.groups()
    if month and not 1 <= int(month) <= len(MONTHS):
        return ""
    words = year
    if month and day:
        words = f"{MONTHS[int(month) - 1]} {int(day)}, {year}"
    elif month:
        words = f"{MONTHS[int(month) - 1]} {year}"
    return {"?": f"{words}?", "~": f"circa {words}", "%": f"circa {words}?"}.get(
        qualifier or "", words
    )
