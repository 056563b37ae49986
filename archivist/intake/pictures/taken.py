"""When a photograph was taken: every witness, the one that is believed, and clocks that are wrong.

A camera's clock, satellites, the file's name, its folders and the sidecar beside it may all say.
They stay side by side; one is preferred, and what disagrees is shown.
"""

from __future__ import annotations

import datetime
import itertools
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath
from statistics import median

import msgspec

from archivist.imaging.taken import SIDECAR
from archivist.intake.pictures.names import day_in, folded, moment_in, runs
from archivist.model import Certainty, Date, Reading, TakenAt

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

FIRST_CAMERA = 1990
"""The year before which no camera wrote times into files. Common practice, no source."""

FEWEST = 3
"""Photographs that must tell the same of a camera's clock before it is said to be wrong."""

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


def told(within: Sequence[TakenAt], path: str, last_year: int) -> Told:
    """The witnesses within a file and in its names; `last_year` is the latest that can be.

    Believed is, in this order: a clock within the file that can be right, by how much it tells of
    the shutter; the day that somebody wrote into file or sidecar; the moment or day in the file's
    name; the folders. Where another of these speaks of another day it is no more than possible.
    """
    named = [t for t in (_of_name(path), _of_folders(path)) if t is not None]
    everything = [*within, *named]
    ranked = sorted(everything, key=lambda t: (-_trust(t, last_year), everything.index(t)))
    if not ranked:
        return Told(())
    best = ranked[0]
    others = [t for t in ranked[1:] if t.witness in _SPEAKING]
    disagree = tuple(
        f"{t.witness}: {t.date.edtf}" for t in others if not _agree(best.date.edtf, t.date.edtf)
    )
    certainty = Certainty.CERTAIN if _trust(best, last_year) >= 0.8 else Certainty.PROBABLE
    if _trust(best, last_year) < 0.2:
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
    clock = taken.witness.startswith(("EXIF", "XMP exif", f"{SIDECAR} exif"))
    first = FIRST_CAMERA if clock else 0
    return confidence if first <= (taken.date.earliest or 0) <= last_year else 0.1


def _agree(one: str, other: str) -> bool:
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


def _of_folders(path: str) -> TakenAt | None:
    """The day, month or year that folders name: '2009-03-14', '2009/March', '2009 fair'."""
    folders = PurePosixPath(path).parts[:-1]
    for folder in reversed(folders):
        day = day_in(folder)
        if day:
            return _stated(day, folder, FOLDER, "0.5")
    year, month, words = "", 0, ""
    for folder in folders:
        match = re.search(r"(?<!\d)((?:19|20)\d\d)[-_. ](0[1-9]|1[0-2])(?!\d)", folder)
        if match:
            year, month, words = match[1], int(match[2]), folder
            continue
        if match := re.search(r"(?<!\d)((?:19|20)\d\d)(?!\d)", folder):
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


# Clocks


@dataclass(frozen=True)
class Witnessed:
    """One photograph for the examination of clocks: its place in a list, the camera, what its clock
    says, and what else is said."""

    place: int
    camera: str
    clock: datetime.datetime
    others: tuple[TakenAt, ...]


@dataclass(frozen=True)
class WrongClock:
    """A camera whose clock was wrong by `offset` (to be added) in the photographs at `places`.

    `exact` says that others give the time itself; else the offset only brings the first of them to
    the day or month that folders name. `ground` says who contradicts the clock.
    """

    camera: str
    places: tuple[int, ...]
    offset: datetime.timedelta
    exact: bool
    ground: str


def wrong_clocks(photographs: Iterable[Witnessed]) -> list[WrongClock]:
    """Cameras whose clocks differ alike from what else is known of so many photographs.

    One season of a camera is judged by itself: a clock is set wrong with a battery, and stays so
    until somebody mends it.
    """
    cameras: dict[tuple[str, str], list[tuple[datetime.timedelta, Witnessed]]] = defaultdict(list)
    for photograph in photographs:
        offset, witness = _offset(photograph)
        if offset is not None:
            cameras[photograph.camera, witness].append((offset, photograph))
    found = []
    for (camera, witness), members in sorted(cameras.items(), key=lambda item: item[0]):
        for season in _seasons(members):
            if len(season) < FEWEST:
                continue
            seconds = median(o.total_seconds() for o, _ in season)
            offset = datetime.timedelta(seconds=round(seconds))
            places = tuple(m.place for _, m in season)
            found.append(WrongClock(camera, places, offset, witness in (GPS, NAME), witness))
    return found


_SEASON = datetime.timedelta(days=31)
"""How far offsets of one season may be apart, as folders tell months only."""


def _seasons(
    members: list[tuple[datetime.timedelta, Witnessed]],
) -> list[list[tuple[datetime.timedelta, Witnessed]]]:
    """The photographs of one camera, parted where its clock was off by something else."""
    ordered = sorted(members, key=lambda item: (item[0], item[1].place))
    seasons = [ordered[:1]]
    for before, item in itertools.pairwise(ordered):
        if item[0] - before[0] > _SEASON:
            seasons.append([])
        seasons[-1].append(item)
    return seasons


def _offset(photograph: Witnessed) -> tuple[datetime.timedelta | None, str]:
    """By how much a clock is off, beyond any time zone, and who says so."""
    for witness in (GPS, NAME, FOLDER):
        other = next((o for o in photograph.others if o.witness == witness), None)
        if other is None:
            continue
        if _agree(photograph.clock.isoformat(), other.date.edtf):
            return None, ""
        off = _difference(photograph.clock, other.date.edtf)
        return (off, witness) if abs(off) > datetime.timedelta(hours=15) else (None, "")
    return None, ""


def _difference(clock: datetime.datetime, edtf: str) -> datetime.timedelta:
    """What must be added to a clock; to the day, or the middle of the month or year, where no time
    of day is told."""
    plain = edtf.rstrip("?~Z")
    if "T" in plain:
        return datetime.datetime.fromisoformat(plain[:19]) - clock
    parts = [int(p) for p in plain.split("-")]
    year, month, date = (*parts, 15) if len(parts) == 2 else (*parts, 7, 1)[:3]
    day = datetime.date(year, month, date)
    return datetime.timedelta(days=(day - clock.date()).days)


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
        and not _agree(right.date.edtf, t.date.edtf)
    )
    return Told((right, *rest), ground, disagree)


def contradicts(told: Told, clock: TakenAt, offset: datetime.timedelta, now: str) -> bool:
    """Whether `offset` cannot hold for a clock: satellites, name or folder say that the clock was
    right as it was, or what comes of it lies after `now`."""
    right = put_right(clock, offset).date.edtf
    if right[:19] > now[:19]:
        return True
    return any(
        _agree(clock.date.edtf, t.date.edtf) and not _agree(right, t.date.edtf)
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
