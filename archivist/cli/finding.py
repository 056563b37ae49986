"""What `find` and `compare` have in common: the options that say which pieces are meant."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from archivist.cli.context import counted, progress
from archivist.cli.saying import echo

if TYPE_CHECKING:
    import sqlite3

    from archivist.catalogue.archive import Archive
    from archivist.finding.query import Query
    from archivist.finding.search import Answer
    from archivist.release.disclosure import Disclosure

Command = Callable[..., Any]

FACET_OPTIONS: dict[str, str] = {
    "form": "Form: bowl, moon jar …",
    "ware": "Ware.",
    "glaze": "Glaze: celadon, tenmoku …",
    "colour": "Colour that the record names.",
    "technique": "Technique: underglaze blue …",
    "decoration": "Decoration.",
    "culture": "Culture.",
    "place": "Place of making.",
    "period": "Period: Qianlong, Ch'ien-lung …",
    "mark": "What a mark claims.",
    "relation": "How a mark stands to the date: of the period …",
    "view": "Photographed view: base, mark …",
    "kind": "Kind of thing seen: making, damage, repair …",
    "seen": "What was seen: hairline, firing gap …",
    "part": "Part on which it was seen: foot rim …",
}
"""Each facet and what its option says of itself."""


@dataclass(frozen=True)
class Asked:
    """Which pieces are meant, as it was typed: words, stock numbers, years, sizes, facets."""

    words: tuple[str, ...]
    names: tuple[str, ...]
    made: str | None
    certainly: bool
    height: str | None
    across: str | None
    facets: dict[str, tuple[str, ...]]
    order: str = "date"


def finding_options(
    *, without: tuple[str, ...] = (), ordered: bool = True
) -> Callable[[Command], Command]:
    """Adds the options that say which pieces are meant, but for those facets, and their order.

    The command is handed them together, as `asked`; the audience comes by itself.
    """
    facets = tuple(name for name in FACET_OPTIONS if name not in without)
    plain = (*_PLAIN, "order") if ordered else _PLAIN
    decorators: list[Callable[[Command], Command]]
    decorators = [*_BEFORE, *map(_facet_option, facets), _AUDIENCE]
    decorators += [_ORDER] if ordered else []

    def decorate(command: Command) -> Command:
        @functools.wraps(command)
        def handing_over(*arguments: Any, **values: Any) -> Any:
            said = {name: values.pop(name) for name in plain}
            asked = Asked(**said, facets={name: values.pop(name) for name in facets})
            return command(*arguments, asked=asked, **values)

        done: Command = handing_over
        for decorator in reversed(decorators):
            done = decorator(done)
        return done

    return decorate


def _facet_option(name: str) -> Callable[[Command], Command]:
    words = FACET_OPTIONS[name]
    return click.option(f"--{name}", multiple=True, metavar="VALUE", help=words)


_PLAIN = ("words", "names", "made", "certainly", "height", "across")


_BEFORE = (
    click.argument("words", nargs=-1),
    click.option("--object", "names", multiple=True, metavar="STOCKNUMBER", help="This piece."),
    click.option(
        "--made", metavar="INTERVAL", help="Possibly made then: 1875/1908, ../1900 (EDTF)."
    ),
    click.option("--certainly", is_flag=True, help="Of these only what was certainly made then."),
    click.option("--height", metavar="SIZES", help="As high as that: 5cm/20cm, ../8in, 120mm."),
    click.option("--across", metavar="SIZES", help="Diameter, width or length: 5cm/20cm …"),
)
_AUDIENCE = click.option(
    "--for",
    "audience",
    default="owner",
    show_default=True,
    metavar="AUDIENCE",
    help="Look with the eyes of public, buyer, museum, owner …",
)
_ORDER = click.option(
    "--order",
    type=click.Choice(("date", "latest", "number", "title")),
    default="date",
    show_default=True,
    help="'latest' is by date, the latest first.",
)


@contextmanager
def index_for(archive: Archive, audience: str) -> Iterator[tuple[sqlite3.Connection, Disclosure]]:
    """The index of what the audience sees, brought up to date, and the audience's rule."""
    from archivist.finding.kept import kept_index
    from archivist.plugins import load_plugins
    from archivist.release.disclosure import disclosure_for
    from archivist.release.pieces import rules_of

    rule = disclosure_for(audience, rules_of(archive, load_plugins()))
    bars = ExitStack()

    def looking(count: int) -> Callable[[int], None]:
        return bars.enter_context(progress("Looking at what changed", count, "pieces"))

    with bars, kept_index(archive, rule, looking) as index:
        bars.close()
        yield index, rule


def query_of(archive: Archive, index: sqlite3.Connection, asked: Asked) -> Query:
    """What was asked for on the command line.

    Raises:
        SelectionError: for a range or stock number that is none.
    """
    from archivist.catalogue.search import years_of_interval
    from archivist.finding.query import Order, Query, sizes_of

    return Query(
        words=" ".join(asked.words),
        made=years_of_interval(asked.made) if asked.made else (None, None),
        certainly=asked.certainly,
        height=sizes_of(asked.height) if asked.height else (None, None),
        across=sizes_of(asked.across) if asked.across else (None, None),
        facets={name: _meant(index, name, typed) for name, typed in asked.facets.items() if typed},
        ids=(
            tuple(archive.catalogue.object_named(name).id for name in asked.names)
            if asked.names
            else None
        ),
        order=Order(asked.order),
    )


def _meant(index: sqlite3.Connection, name: str, typed: tuple[str, ...]) -> tuple[str, ...]:
    """The values of a facet that were meant; what is none is told, with those there are."""
    from archivist.finding.search import facet_values, meant

    there = facet_values(index, name)
    found: dict[str, None] = {}
    for words in typed:
        values = meant(words, there)
        found.update(dict.fromkeys(values))
        if not values:
            known = ", ".join(list(there)[:MOST]) or "none"
            more = f" and {len(there) - MOST} more" if len(there) > MOST else ""
            echo(f"No piece has --{name} '{words}'. There are: {known}{more}.", err=True)
    return tuple(found)


def of_colour(
    archive: Archive,
    index: sqlite3.Connection,
    rule: Disclosure,
    answer: Answer,
    colour: str,
    near: str,
) -> Answer:
    """Those of `answer` that are like a colour ('#7d9a86') or the piece of a stock number.

    Raises:
        SelectionError: for neither.
    """
    from archivist.finding.by_colour import Nearness, asked_colour, like_colour

    wanted = asked_colour(colour) or archive.catalogue.object_named(colour).id
    bars = ExitStack()

    def looking(count: int) -> Callable[[int], None]:
        return bars.enter_context(progress("Measuring colours", count, "pieces"))

    with bars:
        return like_colour(index, archive, rule, answer, wanted, Nearness(near), looking)


def asked_in_words(asked: Asked) -> str:
    """What was asked for, as a sheet or a list says it of itself; '' where all was."""
    made = asked.made or ""
    years = made.replace("/..", " and after").replace("../", "to ").replace("/", "–")
    sizes = (("height", asked.height), ("across", asked.across))
    return ", ".join(
        filter(
            None,
            [
                " ".join(asked.words),
                *(" or ".join(values) for values in asked.facets.values()),
                f"{'certainly' if asked.certainly else 'possibly'} made {years}" if years else "",
                *(f"{what} {size.replace('/', '–')}" for what, size in sizes if size),
            ],
        )
    )


MOST = 12
"""Values of a facet that are named before the rest is only counted."""


def told_count(count: int, shown: int, dateless: int) -> str:
    """'3 pieces', with those not shown and those that have no date."""
    words = counted(count, "piece")
    if shown < count:
        words += f", the first {shown} shown"
    if dateless:
        words += f"; {counted(dateless, 'more piece')} would fit but for a date that is not known"
    return f"{words}."
