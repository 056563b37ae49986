"""Dates in the words they were stated in, with the years those stand for."""

from __future__ import annotations

import re

from archivist.model import Date, historical_year
from archivist.wording.plain import listed


def year_shown(astronomical: int, *, era: bool = False) -> str:
    """A year as historians write it: -205 is '206 BCE'; `era` adds CE to the others."""
    if astronomical <= 0:
        return f"{-historical_year(astronomical)} BCE"
    return f"{astronomical} CE" if era else str(astronomical)


def years_shown(date: Date) -> str:
    """The years a date lies between: '1775–1825', 'not before 1644', '206 BCE–220 CE'."""
    if date.earliest is None and date.latest is None:
        return ""
    if date.latest is None:
        assert date.earliest is not None
        return f"not before {year_shown(date.earliest)}"
    if date.earliest is None:
        return f"not after {year_shown(date.latest)}"
    if date.earliest == date.latest:
        return year_shown(date.earliest)
    return f"{year_shown(date.earliest)}–{year_shown(date.latest, era=date.earliest <= 0)}"


def date_shown(date: Date | None, as_stated: str = "") -> str:
    """A date in the words it was stated in, with the years they stand for where those add to it.

    Where a convention made years of the words, it is named: 'c. 1900 (1895–1905; circa: 5 years
    either way)'.
    """
    words = " ".join(as_stated.split())
    if date is None:
        return words
    if not words:
        return _notation_shown(date)
    years = years_shown(date)
    shown, said = set(re.findall(r"\d+", years)), set(re.findall(r"\d+", words))
    if not years or shown == said or (shown < said and not date.convention):
        return words
    return f"{words} ({listed([years, date.convention], '; ')})"


def _notation_shown(date: Date) -> str:
    """A date that comes without words: as close as its EDTF, with its doubt."""
    if re.fullmatch(r"\d{4}-\d\d(-\d\d)?", date.edtf):
        return date.edtf
    years = years_shown(date)
    if not years:
        return date.edtf
    about = "about " if date.earliest == date.latest and re.search("[~%]", date.edtf) else ""
    doubt = " (uncertain)" if re.search("[?%]", date.edtf) else ""
    return f"{about}{years}{doubt}"
