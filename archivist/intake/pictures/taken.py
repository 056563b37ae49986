"""When a photograph was taken: every witness, the one that is believed, and clocks that are wrong.

A camera's clock, satellites, the file's name, its folders and the sidecar beside it may all say.
They stay side by side; one is preferred, and what disagrees is shown.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

import msgspec

from archivist.imaging.taken import SIDECAR
from archivist.intake.pictures.names import day_in, folded, moment_in, runs
from archivist.intake.rules.folders import is_witness_of_time
from archivist.model import Certainty, Date, Reading, TakenAt
from archivist.reading.tables import Tables, load_tables

NAME, FOLDER = "file name", "folder"
GPS = "EXIF GPS time"
CAMERA = ("EXIF DateTimeOriginal", "XMP exif:DateTimeOriginal", "EXIF DateTimeDigitized")

PUT_RIGHT = ", put right by "
"""What stands in the name of a witness between a camera's clock and what was added to it."""

_SPEAKING = (
    NAME,
    FOLDER,
    GPS,
    *CAMERA,
    "XMP photoshop:DateCreated",
    "IPTC date created",
    f"{SIDECAR} exif:DateTimeOriginal",
    f"{SIDECAR} photoshop:DateCreated",
)
"""Witnesses that speak of when the picture was taken; where they disagree it is shown. The others
may rightly say something else: when the file was changed, or scanned."""

UNTRUSTED = 0.1
"""How far a clock is believed that cannot be right, 0 to 1."""

FIRST_CAMERA = 1990
"""The year before which no camera wrote times into files. Common practice, no source."""

_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "january jan januar janvier gennaio enero januari",
            "february feb februar fevrier febbraio febrero februari",
            "march mar marz mars marzo maart",
            "april apr avril aprile abril",
            "may mai maggio mayo mei",
            "june jun juni juin giugno junio",
            "july jul juli juillet luglio julio",
            "august aug aout agosto augustus",
            "september sep sept septembre settembre septiembre",
            "october oct oktober okt octobre ottobre octubre",
            "november nov novembre noviembre",
            "december dec dezember dez decembre dicembre diciembre",
        ),
        start=1,
    )
    for name in names.split()
}
"""Months in the languages of owners, without accents."""


@dataclass(frozen=True)
class Told:
    """All witnesses of one photograph, the believed one first and preferred."""

    taken: tuple[TakenAt, ...]
    ground: str = ""
    disagree: tuple[str, ...] = ()

    @property
    def best(self) -> TakenAt | None:
        return self.taken[0] if self.taken else None


def told(
    within: Sequence[TakenAt],
    path: str,
    last_year: int,
    tables: Tables | None = None,
    doubt: str = "",
) -> Told:
    """The witnesses within a file and in its names; `last_year` is the latest that can be, `doubt`
    why the camera's clock cannot be trusted ('' where it may be).

    Believed is, in this order: a clock within the file that can be right, by how much it tells of
    the shutter; the day that somebody wrote into file or sidecar; the moment or day in the file's
    name; the folders. Where another of these speaks of another day it is no more than possible.
    """
    named = [_of_name(path), _of_folders(path, tables or load_tables())]
    everything = [*within, *(t for t in named if t is not None)]

    def trust(taken: TakenAt) -> float:
        return UNTRUSTED if doubt and _is_clock(taken) else _trust(taken, last_year)

    ranked = sorted(everything, key=lambda t: (-trust(t), everything.index(t)))
    if not ranked:
        return Told(())
    best = ranked[0]
    others = [t for t in ranked[1:] if t.witness in _SPEAKING and not (doubt and _is_clock(t))]
    disagree = tuple(
        f"{t.witness}: {t.date.edtf}" for t in others if not agree(best.date.edtf, t.date.edtf)
    )
    certainty = Certainty.CERTAIN if trust(best) >= 0.8 else Certainty.PROBABLE
    if trust(best) < 0.2:
        certainty = Certainty.DOUBTFUL
    elif disagree:
        certainty = Certainty.POSSIBLE
    edtf = best.date.edtf
    if certainty is not Certainty.CERTAIN and not edtf.endswith(("?", "~")) and "T" not in edtf:
        edtf += "?"
    chosen = TakenAt(
        as_stated=best.as_stated,
        date=Date(edtf=edtf, earliest=best.date.earliest, latest=best.date.latest),
        witness=best.witness,
        certainty=certainty,
        reading=best.reading,
        preferred=True,
    )
    rest = tuple(t for t in ranked if t is not best)
    return Told((chosen, *rest), best.witness, disagree)


def _trust(taken: TakenAt, last_year: int) -> float:
    """How far a witness is believed, 0 to 1."""
    confidence = float(taken.reading.confidence) if taken.reading else 0.5
    first = FIRST_CAMERA if _is_clock(taken) or taken.witness == GPS else 0
    return confidence if first <= (taken.date.earliest or 0) <= last_year else UNTRUSTED


def _is_clock(taken: TakenAt) -> bool:
    """Whether a camera's own clock says it."""
    clock = taken.witness.startswith(("EXIF", "XMP exif", f"{SIDECAR} exif"))
    return clock and taken.witness != GPS


def agree(one: str, other: str) -> bool:
    """Whether two dates may be of one day, as far as the vaguer of them goes; a time zone and a
    session past midnight are no disagreement."""
    a, b = one.rstrip("?~")[:10], other.rstrip("?~")[:10]
    length = min(len(a), len(b))
    if a[:length] == b[:length]:
        return True
    if len(a) == len(b) == 10:
        first, second = (datetime.date.fromisoformat(d) for d in (a, b))
        return abs((first - second).days) <= 1
    return False


def _of_name(path: str) -> TakenAt | None:
    stem = PurePosixPath(path).stem
    edtf = moment_in(stem) or day_in(stem)
    return _stated(edtf, stem, NAME, "0.75" if "T" in edtf else "0.6") if edtf else None


def _of_folders(path: str, tables: Tables) -> TakenAt | None:
    """The day, month or year that folders name: '2009-03-14', '2009/March', '2009 fair'; not that
    of a sale, a backup or a customer ('sold 2011')."""
    folders = PurePosixPath(path).parts[:-1]
    for folder in reversed(folders):
        day = day_in(folder)
        if day and is_witness_of_time(folder, tables, exact=True):
            return _stated(day, folder, FOLDER, "0.5")
    year, month, words = "", 0, ""
    for folder in folders:
        match = re.search(r"(?<!\d)((?:19|20)\d\d)[-_. ](0[1-9]|1[0-2])(?!\d)", folder)
        if match and is_witness_of_time(folder, tables, exact=True):
            year, month, words = match[1], int(match[2]), folder
            continue
        match = re.search(r"(?<!\d)((?:19|20)\d\d)(?!\d)", folder)
        if match and is_witness_of_time(folder, tables, exact=False):
            year, month, words = match[1], 0, folder
        for run in runs(folder):
            if run in _MONTHS and year and len(folded(folder)) < 20:
                month, words = _MONTHS[run], f"{words}/{folder}" if words != folder else folder
    if not year:
        return None
    return _stated(f"{year}-{month:02d}" if month else year, words, FOLDER, "0.4")


def _stated(edtf: str, words: str, witness: str, confidence: str) -> TakenAt:
    year = int(edtf[:4])
    return TakenAt(
        as_stated=words,
        date=Date(edtf=edtf, earliest=year, latest=year),
        witness=witness,
        reading=Reading(rule="name-date", confidence=confidence),
    )


def put_right(taken: TakenAt, offset: datetime.timedelta) -> TakenAt:
    """The camera's time with `offset` added to its clock, as a person says or is about to say."""
    if not offset:
        return msgspec.structs.replace(taken, preferred=True)
    clock = datetime.datetime.fromisoformat(taken.date.edtf.rstrip("?~Z")[:19]) + offset
    return TakenAt(
        as_stated=taken.as_stated,
        date=Date(edtf=clock.isoformat(), earliest=clock.year, latest=clock.year),
        witness=f"{taken.witness}{PUT_RIGHT}{told_offset(offset)}",
        certainty=Certainty.PROBABLE,
        preferred=True,
    )


def told_put_right(told: Told, clock: TakenAt, offset: datetime.timedelta, ground: str) -> Told:
    """All witnesses with the camera's `clock` put right before them, for the reason `ground`."""
    right = put_right(clock, offset)
    right = msgspec.structs.replace(
        right, witness=f"{right.witness}: {ground}", certainty=Certainty.PROBABLE
    )
    rest = tuple(msgspec.structs.replace(t, preferred=False) for t in told.taken)
    disagree = tuple(
        f"{t.witness}: {t.date.edtf}"
        for t in rest
        if t.witness in _SPEAKING
        and t.date != clock.date
        and not agree(right.date.edtf, t.date.edtf)
    )
    return Told((right, *rest), ground, disagree)


def contradicts(told: Told, clock: TakenAt, offset: datetime.timedelta, now: str) -> bool:
    """Whether `offset` cannot hold for a clock: satellites, name or folder say that the clock was
    right as it was, or what comes of it lies after `now`."""
    right = put_right(clock, offset).date.edtf
    if right[:19] > now[:19]:
        return True
    return any(
        agree(clock.date.edtf, t.date.edtf) and not agree(right, t.date.edtf)
        for t in told.taken
        if t.witness in (GPS, NAME, FOLDER)
    )


def told_offset(offset: datetime.timedelta) -> str:
    """'+1826 days', '-11 h 59 min'."""
    sign, seconds = ("+", "-")[offset.total_seconds() < 0], abs(int(offset.total_seconds()))
    days, rest = divmod(seconds, 86400)
    hours, minutes = divmod(rest // 60, 60)
    parts = [
        f"{days} day{'s' * (days != 1)}" if days else "",
        f"{hours} h" if hours else "",
        f"{minutes} min" if minutes else "",
        f"{rest % 60} s" if rest % 60 else "",
    ]
    return sign + (" ".join(p for p in parts if p) or "0 min")
