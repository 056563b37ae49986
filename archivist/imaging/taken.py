"""When a photograph was taken, from the words of its clocks."""

from __future__ import annotations

import datetime
import re

from archivist.imaging.exif import Clock
from archivist.model.base import Reading
from archivist.model.dates import Date
from archivist.model.photographs import TakenAt

_DATE = re.compile(
    r"(?P<year>\d{4})[:/.-]?(?P<month>\d{2})[:/.-]?(?P<day>\d{2})"
    r"(?:[ T]+(?P<hour>\d{2}):?(?P<minute>\d{2})(?::?(?P<second>\d{2}))?"
    r"(?:[.,](?P<fraction>\d+))?(?P<offset>Z|[+-]\d{2}:?\d{2})?)?"
)
_COARSE = re.compile(r"\d{4}(?:-\d{2})?")
"""XMP and IPTC allow a year, or a year and a month, by themselves."""

_BLANK = re.compile(r"[\s:]*")
"""'When the date and time are unknown, all the character spaces except colons may be filled with
blank characters' (Exif 2.3, 4.6.5, DateTimeOriginal): that is no fault and says nothing."""

_OFFSET = re.compile(r"[+-](?:0\d|1[0-4])[0-5]\d")

_NEVER_SET = "-01-01T00:00:00"
"""Midnight of a New Year's Day (1970, 1980, 1998 ...): where a clock that was never set begins.
Common practice, no source."""

SIDECAR = "XMP sidecar"
"""How witnesses are called that stand in a file beside the picture."""

SCANNER = "scanner"
"""How the clocks of files begin that a scanner made: they tell when a print or a slide was scanned,
which is only the latest that it can have been taken."""

_CONFIDENCE = {
    "EXIF GPS time": "0.95",
    "EXIF DateTimeOriginal": "0.8",
    "XMP exif:DateTimeOriginal": "0.8",
    f"{SIDECAR} exif:DateTimeOriginal": "0.8",
    "XMP photoshop:DateCreated": "0.75",
    f"{SIDECAR} photoshop:DateCreated": "0.75",
    "IPTC date created": "0.75",
    "EXIF DateTimeDigitized": "0.7",
    "EXIF DateTime": "0.4",
}
"""How far a witness tells when the shutter opened, 0 to 1: `DateTime` is when the file was last
changed, `DateTimeDigitized` when a slide was scanned; 'date created' is of what is seen on it, also
where that was scanned later (IPTC Photo Metadata Standard, Date Created). The order is our
judgement, no source."""


def read_clock(clock: Clock) -> tuple[TakenAt | None, str]:
    """The statement a clock makes, and a remark where its words are no date or not to be trusted.

    EDTF (ISO 8601-2) has whole seconds; fractions stay in the words. A time without offset is
    local to a place nobody recorded, and is left so.
    """
    words = clock.words.strip()
    if _BLANK.fullmatch(words):
        return None, ""
    edtf = _edtf(words, clock.offset.strip())
    if not edtf:
        return None, f"{clock.witness} says '{words}', which is no date; it was left out"
    fraction = clock.fraction.strip() if clock.fraction.strip().isdigit() else ""
    stated = words + (f".{fraction}" if fraction else "")
    if clock.offset.strip() and not words.endswith(clock.offset.strip()):
        stated += f" {clock.offset.strip()}"
    confidence, remark = _CONFIDENCE.get(clock.witness, "0.6"), ""
    if clock.witness.startswith(SCANNER):
        confidence = "0.15"
    if edtf[4:19] == _NEVER_SET:
        confidence = "0.1"
        remark = f"{clock.witness} says '{words}', which is where an unset clock begins"
    year = int(edtf[:4])
    return TakenAt(
        as_stated=stated,
        date=Date(edtf=edtf, earliest=year, latest=year),
        witness=clock.witness,
        reading=Reading(rule="camera-clock", confidence=confidence),
    ), remark


def _edtf(words: str, offset: str) -> str:
    """Words as EDTF, empty where they are no date that ever was."""
    if _COARSE.fullmatch(words):
        year, _, month = words.partition("-")
        return words if int(year) > 0 and (not month or 1 <= int(month) <= 12) else ""
    found = _DATE.fullmatch(words)
    if not found:
        return ""
    hour, minute, second = (int(found[name] or 0) for name in ("hour", "minute", "second"))
    try:
        day = datetime.date(int(found["year"]), int(found["month"]), int(found["day"]))
        time = datetime.time(hour, minute, second)
    except ValueError:
        return ""
    if found["hour"] is None:
        return day.isoformat()
    moment = f"{day.isoformat()}T{time.isoformat()}"
    zone = (found["offset"] or offset).replace(":", "")
    if zone in ("Z", "+0000"):
        return moment + "Z"
    if _OFFSET.fullmatch(zone):
        return f"{moment}{zone[:3]}:{zone[3:]}"
    return moment
