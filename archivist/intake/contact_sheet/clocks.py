"""Times of photographs as their owner puts them right: of one, or of all that a camera took."""

from __future__ import annotations

import datetime
import re
from collections import defaultdict
from collections.abc import Sequence
from pathlib import PurePosixPath

import msgspec

from archivist.imaging.exif import Clock
from archivist.imaging.taken import read_clock
from archivist.intake.contact_sheet.reading import RowSaid
from archivist.model import Date, TakenAt

OWNER = "its owner"
"""The witness of a time that a person states."""

_UNITS = {
    "d": 86400, "day": 86400, "days": 86400, "tage": 86400, "tag": 86400, "jours": 86400,
    "h": 3600, "hour": 3600, "hours": 3600, "std": 3600,
    "m": 60, "min": 60, "minute": 60, "minutes": 60,
    "s": 1, "sec": 1, "second": 1, "seconds": 1,
}  # fmt: skip
_PART = re.compile(r"(\d+)\s*([a-z]+)")
_CLOCK_FACE = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d))?")
_RIGHT = frozenset({"0", "+0", "right", "correct", "no", "none"})


def stated_time(words: str) -> TakenAt | None:
    """When a photograph was taken, as a person writes it: '2009-03-14 10:11', '2009-03',
    '14.3.2009'; None where the words are none of these."""
    plain = " ".join(words.replace("T", " ").split()).rstrip("?~Z")
    day = re.match(r"(\d{1,2})[./](\d{1,2})[./](\d{4})(?!\d)", plain)
    if day:
        plain = f"{day[3]}-{int(day[2]):02}-{int(day[1]):02}{plain[day.end() :]}"
    taken, _ = read_clock(Clock(witness=OWNER, words=plain))
    if taken is None:
        return None
    date = taken.date
    if words.strip().endswith(("?", "~")) and "T" not in date.edtf:
        edtf = date.edtf + words.strip()[-1]
        date = Date(edtf=edtf, earliest=date.earliest, latest=date.latest)
    return TakenAt(as_stated=words.strip(), date=date, witness=OWNER, preferred=True)


def offset_in(words: str, clock: str) -> int | None:
    """Seconds to add to a camera's clock: '+1826 d', '-12:30', '+1 h 5 min', 'right'; or by the
    right time of one photograph, of which `clock` is what the camera said. None for other words."""
    plain = " ".join(words.casefold().split())
    if plain in _RIGHT:
        return 0
    sign = -1 if plain[:1] in "-\u2212\u2013" else 1
    bare = plain.lstrip("+-\u2212\u2013 ")
    face = _CLOCK_FACE.fullmatch(bare)
    if face:
        return sign * (int(face[1]) * 3600 + int(face[2]) * 60 + int(face[3] or 0))
    parts = _PART.findall(bare)
    if parts and not _PART.sub("", bare).strip(" ,and"):
        if all(unit in _UNITS for _, unit in parts):
            return sign * sum(int(number) * _UNITS[unit] for number, unit in parts)
        return None
    right, said = stated_time(words), stated_time(clock)
    if right is None or said is None or "T" not in right.date.edtf or "T" not in said.date.edtf:
        return None
    moments = [datetime.datetime.fromisoformat(t.date.edtf[:19]) for t in (right, said)]
    return round((moments[0] - moments[1]).total_seconds())


def with_clocks(rows: Sequence[RowSaid]) -> tuple[list[RowSaid], list[tuple[RowSaid, str]]]:
    """The rows, each with by how much its camera's clock was off, and what could not be followed.

    What a row says of a clock holds for every row of that camera; where several rows say something
    else of it, or it is not known which camera it was, each for its own folder.
    """
    said: dict[str, list[tuple[RowSaid, int]]] = defaultdict(list)
    doubts: list[tuple[RowSaid, str]] = []
    for row in rows:
        if not row.clock:
            continue
        offset = offset_in(row.clock, row.camera_clock)
        if offset is None:
            doubts.append(
                (row, f"'{row.clock}' is no amount of time: write +1 h, -12:30 or +1826 d")
            )
        elif not row.camera_clock:
            doubts.append((row, "the photograph has no camera's time that could be put right"))
        else:
            said[row.camera].append((row, offset))
    unclear: set[str] = set()
    result = []
    for row in rows:
        offset = _of(row, said.get(row.camera, [])) if row.camera_clock else None
        if offset is None and row.camera_clock and row.camera in said:
            unclear.add(row.camera)
        result.append(msgspec.structs.replace(row, put_right=offset))
    for camera in sorted(unclear):
        doubts.append(
            (
                said[camera][0][0],
                f"different amounts are said of the clock of {camera}; in folders where none is "
                "said it was left as it is",
            )
        )
    return result, doubts


def _of(row: RowSaid, said: Sequence[tuple[RowSaid, int]]) -> int | None:
    """What holds for a row: its own word, else that of its folder, else what all say alike."""
    own = [offset for other, offset in said if other.key == row.key]
    if own:
        return own[0]
    folder = PurePosixPath(row.path).parent
    here = {offset for other, offset in said if PurePosixPath(other.path).parent == folder}
    everywhere = {offset for _, offset in said} if row.camera else set()
    for offsets in (here, everywhere):
        if len(offsets) == 1:
            return offsets.pop()
    return None
