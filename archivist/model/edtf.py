"""Years, months and intervals in the Extended Date/Time Format (ISO 8601-2, levels 0 to 2)."""

from __future__ import annotations

from archivist.model.base import Certainty


def year(astronomical: int) -> str:
    """A year: four digits, `-0205` for 206 BCE, `Y-12000` where four digits do not hold it."""
    if -9999 <= astronomical <= 9999:
        return f"{astronomical:04d}" if astronomical >= 0 else f"-{-astronomical:04d}"
    return f"Y{astronomical}"


def qualifier(*, circa: bool, certainty: Certainty) -> str:
    """`~` for circa, `?` where the speaker is less than certain, `%` for both."""
    if certainty is Certainty.CERTAIN:
        return "~" if circa else ""
    return "%" if circa else "?"


def interval(first: str, last: str) -> str:
    """`first/last`, or one date where both are the same; an empty end is open (`..`)."""
    if first == last:
        return first
    return f"{first or '..'}/{last or '..'}"


def one_of(*dates: str) -> str:
    """One of several dates (level 2)."""
    return f"[{','.join(dates)}]"


def expressible(text: str) -> str:
    """`text`, or nothing where EDTF has no such form: years of more than four figures (`Y-12000`)
    stand alone only, without a qualifier and outside intervals."""
    if "Y" in text and not text[1:].lstrip("-").isdigit():
        return ""
    return text


def as_interval(text: str) -> str:
    """One of a set as the interval it spans: a set takes neither doubt nor an open end."""
    if not text.startswith("["):
        return text
    dates = text[1:-1].split(",")
    return interval(dates[0], dates[-1])


def doubted(text: str, certainty: Certainty) -> str:
    """A date with the speaker's doubt at every end of it; `~` becomes `%`."""
    if certainty is Certainty.CERTAIN:
        return text
    return "/".join(_doubted(end, certainty) for end in as_interval(text).split("/"))


def _doubted(end: str, certainty: Certainty) -> str:
    if end in ("", "..") or end[-1] in "?%":
        return end
    if end[-1] == "~":
        return end[:-1] + qualifier(circa=True, certainty=certainty)
    return end + qualifier(circa=False, certainty=certainty)
