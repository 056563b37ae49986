"""Pieces found by the colour of their glaze, as far as photographs tell it.

The colours are measured when they are first asked for, and kept in the index. An uncalibrated
photograph is not a measurement: lamp and camera shift every colour.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from enum import StrEnum

import msgspec

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.finding.colours import PieceColours, piece_colours
from archivist.finding.search import Answer, Found
from archivist.imaging.colour.values import GlazeColours, Lab
from archivist.release.disclosure import Disclosure
from archivist.release.pieces import Discloser


class Nearness(StrEnum):
    """How near a colour must be."""

    CLOSE = "close"
    NEAR = "near"
    LOOSELY = "loosely"


NEARNESS: dict[Nearness, float] = {Nearness.CLOSE: 6, Nearness.NEAR: 12, Nearness.LOOSELY: 20}
"""CIEDE2000 up to which a piece is of a colour: the steps of the reference library.

Photographs of one glaze in other lamps, or by another camera, easily differ by the first of them.
"""

Looking = Callable[[int], Callable[[int], None]]
"""Is told how many pieces must be looked at, and gives what is told 1 for each."""

_SRGB = re.compile(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})", re.IGNORECASE)


def asked_colour(words: str) -> Lab | None:
    """'#7d9a86' in CIELAB; None for what does not begin with '#', as a stock number.

    Raises:
        SelectionError: for anything else that begins so.
    """
    if not words.startswith("#"):
        return None
    match = _SRGB.fullmatch(words)
    if match is None:
        raise SelectionError(
            f"'{words}' is no colour.",
            "Write it as #7d9a86: red, green and blue in two hexadecimal digits each.",
        )
    import numpy as np

    from archivist.imaging.colour.lab import lab_of

    pixel = np.array([int(part, 16) for part in match.groups()], np.uint8)
    lightness, a, b = (float(value) for value in lab_of(pixel))
    return lightness, a, b


def like_colour(
    index: sqlite3.Connection,
    archive: Archive,
    rule: Disclosure,
    answer: Answer,
    wanted: Lab | str,
    nearness: Nearness,
    looking: Looking = lambda count: lambda done: None,
) -> Answer:
    """Those of `answer` that are of the colour `wanted`, or like the piece of that UUID; the
    nearest first.

    Raises:
        SelectionError: where no colours of that piece could be measured.
    """
    from archivist.imaging.colour.palette import distance

    asked = _glaze_of(index, archive, rule, wanted) if isinstance(wanted, str) else wanted
    known = _colours(index, archive, rule, [one.entry.id for one in answer.found], looking)
    near: list[Found] = []
    for one in answer.found:
        glaze = known[one.entry.id].glaze
        if glaze is not None and (off := distance(asked, glaze)) <= NEARNESS[nearness]:
            near.append(replace(one, glaze=glaze, difference=round(off, 2)))
    near.sort(key=lambda one: one.difference or 0.0)
    return replace(answer, found=tuple(near))


def _glaze_of(
    index: sqlite3.Connection, archive: Archive, rule: Disclosure, object_id: str
) -> GlazeColours:
    told = _colours(index, archive, rule, [object_id], lambda count: lambda done: None)
    colours = told[object_id]
    if colours.glaze is None:
        why = "; ".join(colours.reasons) or "no photograph shows its glaze"
        raise SelectionError(
            f"The colours of that piece are not known: {why}.", "Name a colour as #7d9a86."
        )
    return colours.glaze


def _colours(
    index: sqlite3.Connection,
    archive: Archive,
    rule: Disclosure,
    ids: Iterable[str],
    looking: Looking,
) -> dict[str, PieceColours]:
    """The colours of those pieces; what is not in the index is measured."""
    wanted = list(ids)
    rows = index.execute(
        "SELECT id, told FROM piece JOIN glaze ON glaze.piece = piece.row "
        "WHERE id IN (SELECT value FROM json_each(?))",
        (msgspec.json.encode(wanted).decode("utf-8"),),
    )
    found = {row["id"]: msgspec.json.decode(row["told"], type=PieceColours) for row in rows}
    missing = [object_id for object_id in wanted if object_id not in found]
    if missing:
        measured = dict(_measured(archive, rule, missing, looking(len(missing))))
        with suppress(sqlite3.OperationalError):  # it is measured again where it cannot be kept
            index.executemany(
                "INSERT OR REPLACE INTO glaze SELECT row, ? FROM piece WHERE id = ?",
                [(msgspec.json.encode(told), object_id) for object_id, told in measured.items()],
            )
        found.update(measured)
    return found


def _measured(
    archive: Archive, rule: Disclosure, ids: list[str], advance: Callable[[int], None]
) -> Iterator[tuple[str, PieceColours]]:
    discloser = Discloser(archive, rule, copies=False)
    for object_id in ids:
        told = PieceColours()
        for piece in discloser.pieces((object_id,)):
            told = piece_colours(piece)
        yield object_id, told
        advance(1)
