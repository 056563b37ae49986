"""Pieces found as a table for the terminal, as JSON, or as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.finding.search import Found

GAP = "  "
RIGHT = frozenset({"off", "height cm", "across cm"})
"""Columns of numbers."""

ROOM = (("title", 26), ("date", 20), ("glaze", 14))
"""Columns that give way on a narrow terminal, in that order, and the cells they keep."""

LAST_ROOM = 12
"""Cells that each of them keeps where nothing else helps."""

Range = tuple[int, int] | None

CSV_HEAD = ("number", "title", "date", "earliest", "latest", "within", "colour_difference")
"""The first columns of a CSV; sizes, facets and the UUID come after them."""


def centimetres(size: Range) -> str:
    """'7.2' or '7.2–8'; '' where nothing is recorded."""
    if size is None:
        return ""
    low, high = (f"{end / 10:.1f}".removesuffix(".0") for end in size)
    return low if low == high else f"{low}–{high}"


def within_told(found: Found) -> str:
    """How a piece lies in the years that were asked for."""
    if found.certainly is None:
        return ""
    return "certainly" if found.certainly else "possibly"


def glaze_told(found: Found) -> str:
    """The first two colours of a glaze in words, where colours were asked for."""
    if found.glaze is None:
        return ""
    from archivist.wording.colours import colour_in_words

    names = [colour_in_words(colour.lab) for colour in found.glaze.colours[:2]]
    return ", ".join(dict.fromkeys(names))


def table(found: Sequence[Found], width: int | None) -> Iterable[str]:
    """The lines of a table, no wider than `width` cells where that is given; titles give way."""
    rows = [("number", "title", "date", "within", "glaze", "off", "height cm", "across cm")]
    for one in found:
        entry = one.entry
        rows.append(
            (
                _printable(entry.number or entry.id[:8]),
                _printable(entry.title),
                _printable(entry.date),
                within_told(one),
                glaze_told(one),
                "" if one.difference is None else f"{one.difference:.1f}",
                centimetres(entry.height),
                centimetres(entry.across),
            )
        )
    kept = [n for n in range(len(rows[0])) if any(row[n] for row in rows[1:])]
    return _aligned([[row[n] for n in kept] for row in rows], [rows[0][n] for n in kept], width)


def _aligned(rows: list[list[str]], headings: list[str], width: int | None) -> Iterable[str]:
    from rich.cells import cell_len

    widths = [max(cell_len(row[n]) for row in rows) for n in range(len(headings))]
    if width is not None and headings:
        _narrow(widths, headings, width)
    for row in rows:
        cells = [
            _fitted(text, wide, heading in RIGHT)
            for text, wide, heading in zip(row, widths, headings, strict=True)
            if wide
        ]
        yield GAP.join(cells).rstrip()


def _narrow(widths: list[int], headings: list[str], width: int) -> None:
    """Takes what is too wide from the title and the date, and lets the last column go if need be.

    What is let go is a column of no cells.
    """
    places = {name: headings.index(name) for name, _ in ROOM if name in headings}
    for name, room in ROOM:
        _take(widths, places.get(name), room, width)
    if _over(widths, width) > 0 and headings[-1] == "across cm":
        widths[-1] = 0
    for name, _ in ROOM:
        _take(widths, places.get(name), LAST_ROOM, width)


def _over(widths: list[int], width: int) -> int:
    """How many cells the columns are too wide."""
    shown = [wide for wide in widths if wide]
    return sum(shown) + len(GAP) * (len(shown) - 1) - width


def _take(widths: list[int], place: int | None, room: int, width: int) -> None:
    """Makes a column narrower as far as is needed and it has more than `room`."""
    over = _over(widths, width)
    if place is not None and over > 0:
        widths[place] = max(min(room, widths[place]), widths[place] - over)


def _fitted(text: str, wide: int, right: bool) -> str:
    """`text` in exactly `wide` cells, with an ellipsis where it was cut."""
    from rich.cells import cell_len, set_cell_size

    if cell_len(text) > wide:
        text = f"{set_cell_size(text, wide - 1).rstrip()}…"
    space = " " * (wide - cell_len(text))
    return space + text if right else text + space


def _printable(text: str) -> str:
    """`text` on one line, without characters that a terminal would take for commands."""
    return "".join(character if character.isprintable() else " " for character in text)


def plain(found: Found) -> dict[str, Any]:
    """A piece found as JSON has it: years as ISO 8601 counts them, sizes in millimetres."""
    entry = found.entry
    return {
        "id": entry.id,
        "number": entry.number,
        "title": entry.title,
        "date": entry.date,
        "earliest": entry.earliest,
        "latest": entry.latest,
        "within": within_told(found) or None,
        "colour_difference": found.difference,
        "glaze": [
            {"share": colour.share, "lab": colour.lab, "spread": colour.spread}
            for colour in (found.glaze.colours if found.glaze else ())
        ],
        "height": entry.height,
        "across": entry.across,
        "facets": entry.facets,
    }


def as_csv(found: Iterable[Found]) -> str:
    """The pieces as CSV (RFC 4180) with a heading; several values of a facet parted by '; '."""
    from archivist.finding.facets import FACETS
    from archivist.guard import guarded

    names = [facet.name for facet in FACETS]
    target = io.StringIO(newline="")
    writer = csv.writer(target, lineterminator="\n")
    sizes = [f"{what}_{end}_mm" for what in ("height", "across") for end in ("least", "most")]
    writer.writerow([*CSV_HEAD, *sizes, *names, "id"])
    for one in found:
        entry = one.entry
        numbers = (entry.earliest, entry.latest)
        measured = (*(entry.height or (None, None)), *(entry.across or (None, None)))
        writer.writerow(
            [
                *(guarded(text) for text in (entry.number, entry.title, entry.date)),
                *numbers,
                within_told(one),
                one.difference,
                *measured,
                *(guarded("; ".join(entry.facets.get(name, ()))) for name in names),
                entry.id,
            ]
        )
    return target.getvalue()


def show(found: Sequence[Found], printed_as: str) -> None:
    """Prints what was found: for a terminal cut to its width, else whole and plain."""
    import shutil
    import sys

    from archivist.cli.context import say_json

    if printed_as == "json":
        say_json([plain(one) for one in found])
    elif printed_as == "csv":
        echo(as_csv(found), nl=False)
    elif found:
        terminal = sys.stdout.isatty()
        lines = table(found, shutil.get_terminal_size().columns if terminal else None)
        for number, line in enumerate(lines):
            secho(line, bold=number == 0)
