"""Clocks of cameras that cannot be right: never set, begun again, ahead of the day; and clocks that
others contradict all alike, by how much they were off."""

from __future__ import annotations

import datetime
import itertools
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from archivist.intake.pictures.taken import FOLDER, GPS, NAME, agree
from archivist.model import TakenAt

FEWEST = 3
"""Photographs that must tell the same of a camera's clock before it is said to be wrong."""

_BY_TIMEZONE = datetime.timedelta(hours=15)
"""How far a clock may be off by its time zone alone."""

_AROUND_A_DAY = datetime.timedelta(days=1)

_IN_USE = datetime.timedelta(days=45)
"""A camera that took photographs so shortly before was running: New Year's Day is then a day like
any other. Our judgement, no source."""

_LAID_ASIDE = datetime.timedelta(days=180)
"""After so long without a photograph a clock that was wrong may have been set. Our judgement, no
source."""

_ADJACENT = 5
"""Numbers by which two photographs of one folder follow each other directly."""

_EPOCHS = frozenset(
    {
        datetime.date(1969, 12, 31),  # 1970-01-01 of Unix (POSIX.1-2017, 4.16), west of Greenwich
        datetime.date(1979, 12, 31),  # 1980-01-01 of FAT, the same; FAT: Microsoft FAT, 2004
        datetime.date(1980, 1, 6),  # of GPS (IS-GPS-200, 3.3.4), and its weeks begun again
        datetime.date(1999, 8, 22),
        datetime.date(2019, 4, 7),
    }
)
"""Days at which clocks begin beside the first of January of any year, where those of most cameras
do (common practice, no source)."""


@dataclass(frozen=True)
class Witnessed:
    """One photograph for the examination of clocks: its place in a list, the camera, what its clock
    says, what else is said, and the row that the camera numbered it in with its number there (''
    and 0 where a person named it)."""

    place: int
    camera: str
    clock: datetime.datetime
    others: tuple[TakenAt, ...]
    row: str = ""
    number: int = 0


# Clocks that doubt themselves


def doubtful_clocks(photographs: Iterable[Witnessed], now: str) -> dict[int, str]:
    """The photographs (by place) whose camera's clock cannot be trusted, and why; `now` is the
    moment of the survey in ISO 8601."""
    cameras: dict[str, list[Witnessed]] = defaultdict(list)
    for photograph in photographs:
        cameras[photograph.camera].append(photograph)
    found: dict[int, str] = {}
    for members in cameras.values():
        found |= _begun_again(members)
        found |= _never_set(members)
        found |= _ahead(members, datetime.datetime.fromisoformat(now[:19]))
    return found


def _never_set(members: Sequence[Witnessed]) -> dict[int, str]:
    """Everything from a reading at a clock's beginning on, until another witness bears the clock
    out or the camera was laid aside."""
    row = sorted(members, key=lambda w: (w.clock, w.place))
    found: dict[int, str] = {}
    because, before = "", None
    for witnessed in row:
        rested = before is None or witnessed.clock - before > _IN_USE
        if _borne_out(witnessed) or (before and witnessed.clock - before > _LAID_ASIDE):
            because = ""
        if not because and rested and _is_beginning(witnessed.clock) and not _borne_out(witnessed):
            because = (
                f"the clock began on {witnessed.clock.date().isoformat()}, as one that was never "
                "set or began again"
            )
        if because:
            found[witnessed.place] = because
        before = witnessed.clock
    return found


def _begun_again(members: Sequence[Witnessed]) -> dict[int, str]:
    """Everything after the clock went back while the camera went on counting, until it is past what
    it had told before."""
    rows: dict[str, list[Witnessed]] = defaultdict(list)
    for witnessed in members:
        if witnessed.row:
            rows[witnessed.row].append(witnessed)
    found: dict[int, str] = {}
    for row in rows.values():
        row.sort(key=lambda w: (w.number, w.clock))
        since: datetime.datetime | None = None
        for one, other in itertools.pairwise(row):
            back = one.clock - other.clock > _AROUND_A_DAY
            if since is None and back and 0 < other.number - one.number <= _ADJACENT:
                since = one.clock
            elif since is not None and (
                other.clock >= since or other.number - one.number > 20 * _ADJACENT
            ):
                since = None
            if since is not None and not _borne_out(other):
                found[other.place] = (
                    f"the clock went back from {since.date().isoformat()} to "
                    f"{other.clock.date().isoformat()} while the camera went on counting"
                )
    return found


def _ahead(members: Sequence[Witnessed], now: datetime.datetime) -> dict[int, str]:
    """Everything a camera took in one stretch in which its clock was ahead of the day."""
    row = sorted(members, key=lambda w: (w.clock, w.place))
    found: dict[int, str] = {}
    stretch: list[Witnessed] = []
    for place, witnessed in enumerate(row):
        stretch.append(witnessed)
        last = place + 1 == len(row) or row[place + 1].clock - witnessed.clock > _LAID_ASIDE
        if last:
            if witnessed.clock > now + _AROUND_A_DAY:
                because = f"the clock told {witnessed.clock.date().isoformat()}, which is to come"
                found |= {w.place: because for w in stretch if not _borne_out(w)}
            stretch = []
    return found


def _is_beginning(clock: datetime.datetime) -> bool:
    return (clock.month, clock.day) == (1, 1) or clock.date() in _EPOCHS


def _borne_out(witnessed: Witnessed) -> bool:
    """Whether satellites, the file's name or a folder say the same day, or at least the month: the
    year alone may be that in which a clock begins."""
    return any(
        other.witness in (GPS, NAME, FOLDER)
        and len(other.date.edtf.rstrip("?~")) >= 7
        and agree(witnessed.clock.isoformat(), other.date.edtf)
        for other in witnessed.others
    )


# Clocks that others contradict


@dataclass(frozen=True)
class WrongClock:
    """A camera whose clock was wrong by `offset` (to be added) in the photographs at `places`.

    `exact` says that others give the time itself; else the offset only brings the photographs to
    the days, months or years that folders name. `ground` says who contradicts the clock.
    """

    camera: str
    places: tuple[int, ...]
    offset: datetime.timedelta
    exact: bool
    ground: str


@dataclass(frozen=True)
class _Contradiction:
    """By how much a clock is off at least and at most, as a witness says."""

    photograph: Witnessed
    least: datetime.timedelta
    most: datetime.timedelta
    witness: str

    @property
    def is_exact(self) -> bool:
        return self.least == self.most


_WITNESSES = (GPS, NAME, FOLDER)


def wrong_clocks(photographs: Iterable[Witnessed]) -> list[WrongClock]:
    """Cameras whose clocks differ alike from what else is known of so many photographs.

    A clock is set wrong with a battery, and stays so until somebody mends it: what can be one error
    of one camera is one, whoever bears witness of it and however vaguely.
    """
    cameras: dict[str, list[_Contradiction]] = defaultdict(list)
    for photograph in photographs:
        contradiction = _contradiction(photograph)
        if contradiction is not None:
            cameras[photograph.camera].append(contradiction)
    found = []
    for camera, members in sorted(cameras.items()):
        members.sort(key=lambda c: (c.photograph.clock, c.photograph.place))
        for season in _seasons(members):
            if len(season) >= FEWEST:
                found.append(_wrong_clock(camera, season))
    return found


def _wrong_clock(camera: str, season: Sequence[_Contradiction]) -> WrongClock:
    """The one error that a season comes to."""
    exact = [c for c in season if c.is_exact]
    strongest = min((exact or season), key=lambda c: _WITNESSES.index(c.witness)).witness
    if exact:
        seconds = median(c.least.total_seconds() for c in exact if c.witness == strongest)
        offset = datetime.timedelta(seconds=round(seconds))
    else:
        offset = _likely(max(c.least for c in season), min(c.most for c in season), season)
    places = tuple(sorted(c.photograph.place for c in season))
    return WrongClock(camera, places, offset, strongest in (GPS, NAME), strongest)


def _likely(
    least: datetime.timedelta, most: datetime.timedelta, season: Sequence[_Contradiction]
) -> datetime.timedelta:
    """Within what may be: whole years first, as a year is what people set wrong; or the middle."""
    first = min(c.photograph.clock for c in season)
    for years in range(-40, 41):
        try:
            off = first.replace(year=first.year + years) - first
        except ValueError:
            continue
        if years and least <= off <= most:
            return off
    return datetime.timedelta(days=round((least + (most - least) / 2).total_seconds() / 86400))


def _seasons(members: Sequence[_Contradiction]) -> list[list[_Contradiction]]:
    """The photographs of one camera, in the order of its clock, parted where no one error can
    explain them together."""
    seasons: list[list[_Contradiction]] = []
    least = most = datetime.timedelta()
    for member in members:
        low, high = member.least - _BY_TIMEZONE, member.most + _BY_TIMEZONE
        if seasons and max(least, low) <= min(most, high):
            least, most = max(least, low), min(most, high)
            seasons[-1].append(member)
        else:
            least, most = low, high
            seasons.append([member])
    return seasons


def _contradiction(photograph: Witnessed) -> _Contradiction | None:
    """By how much a clock is off, beyond any time zone, by its strongest witness; None where that
    bears it out."""
    for witness in _WITNESSES:
        other = next((o for o in photograph.others if o.witness == witness), None)
        if other is None:
            continue
        if agree(photograph.clock.isoformat(), other.date.edtf):
            return None
        least, most = _difference(photograph.clock, other.date.edtf)
        if least <= _BY_TIMEZONE and most >= -_BY_TIMEZONE:
            return None
        return _Contradiction(photograph, least, most, witness)
    return None


def _difference(
    clock: datetime.datetime, edtf: str
) -> tuple[datetime.timedelta, datetime.timedelta]:
    """What must be added to a clock at least and at most, to come to a time, day, month or year."""
    plain = edtf.rstrip("?~Z")
    if "T" in plain:
        off = datetime.datetime.fromisoformat(plain[:19]) - clock
        return off, off
    parts = [int(p) for p in plain.split("-")]
    first = datetime.date(parts[0], parts[1] if parts[1:] else 1, parts[2] if parts[2:] else 1)
    if len(parts) == 3:
        last = first
    elif len(parts) == 2:
        last = (first.replace(day=28) + datetime.timedelta(days=4)).replace(day=1)
        last -= datetime.timedelta(days=1)
    else:
        last = first.replace(month=12, day=31)
    day = clock.date()
    return datetime.timedelta((first - day).days), datetime.timedelta((last - day).days)
