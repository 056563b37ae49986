"""`archivist read`: what words are understood to say, for people and for scripts."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, pass_invocation

if TYPE_CHECKING:
    from archivist.reading.result import Understood
    from archivist.reading.tables import Tables

    Reader = Callable[[str, Tables], Understood]

READERS = {
    "date": "archivist.reading.dates:read_date_cell",
    "measurement": "archivist.reading.measurements.read:read_measurements",
    "mark": "archivist.reading.marks:read_marks",
    "condition": "archivist.reading.condition:read_condition",
    "feature": "archivist.reading.features:read_features",
    "provenance": "archivist.reading.provenance.read:read_provenance",
    "title": "archivist.reading.titles:read_title",
    "description": "archivist.reading.descriptions:read_description",
}
"""What words can be read as, and what reads them."""


@click.command()
@click.argument("words", nargs=-1, required=True)
@click.option(
    "--as",
    "kind",
    type=click.Choice(tuple(READERS)),
    default="title",
    help="What the words are: a date column, a caption ('title', all readers at once) ...",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for scripts.")
@click.option(
    "--conventions",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="A TOML file that sets anew what circa, early, late and the like are worth.",
)
@pass_invocation
def read(
    invocation: Invocation,
    words: tuple[str, ...],
    kind: str,
    as_json: bool,
    conventions: Path | None,
) -> None:
    """Show what WORDS are understood to say, span by span, and what is not understood.

    Inside an archive, or with 'archivist -a FOLDER read', the [conventions] of its archive.toml
    hold, and the terms that plugins bring; --conventions FILE goes before both.

    With '-' for WORDS one text a line is read from standard input, in UTF-8; a line that is a
    JSON string (it starts with a quotation mark) may hold line breaks.

    \b
    archivist read "A celadon bowl, Korea, 12th century, H. 8.2 cm, hairline to rim"
    archivist read --as date "late 18th or early 19th century"
    archivist read --as date --json - < dates.txt

    With --json each text gives one line with these fields:

    \b
    text        the text as it came in
    statements  a list, in the order of the text; each has
                kind        date, period, measurement, mark, condition, provenance,
                            literature, exhibition, relation, title, form, ware,
                            material, technique, glaze, colour, decoration, subject,
                            culture, place, kiln, maker
                span        [start, end) in characters of the text
                rule        what rule read it
                confidence  the program's trust in the rule, '0' to '1'
                certainty   the speaker's: certain, probable, possible, doubtful, rejected
                as_stated   the words themselves
                ground      'dated', 'designed' ... where a date says so
                of          the part it is of ('cover'); of a mention, what it is said of
                role        decorated, mounted, altered, where it is not of the making
                standing    denied, asked, formerly held, claimed ... where it is not asserted
                holder      who says so, where it is not the writer
                licence     what in the words allows the statement
    mentions    values that the words name and say of something else: as statements, with why
    unread      a list of what no rule took: span, words
    questions   where words have two readings, or may not be of the piece: span, words, asks,
                reason, readings
    overall     with several dates: edtf, earliest and latest of the whole
    composition kind (single, pair, set ...), count and parts (name, count, state:
                present, missing, replaced), where a caption speaks of them

    \b
    a date         edtf ('' where EDTF has no form for it), earliest, latest (historical
                   years: 206 BCE is -206; null: open); convention (what circa, early ...
                   were worth)
    a measurement  dimension, part, low, high (exact decimal strings), unit (in, cm ...),
                   approximate (true, false), basis; which, includes (a list)
    a mark         mark_kind, script, legibility, relation; characters, romanised,
                   translation, technique, colour, place, columns, count, claim, claims
                   (a date: edtf, earliest, latest)
    a condition    term (as with all others), class (making, wear, damage, repair,
                   alteration, residue, undetermined), part, presence (present, absent,
                   unknown); extent, date (when it came about or was done)
    a provenance   event, passage (direct, gap, unknown); giver, giver_life, receiver,
                   receiver_life, agent, agent_life, place, date and until (dates as
                   above), lot, number
    literature     (and an exhibition) title, authors, venue, pages, number, date
    a relation     relation (pair with, compare ...); object
    a title        value; language
    all others     term; vocabulary, code, uri

    The fields of a statement after a semicolon, ground, of, role, standing, holder, licence,
    convention, mentions, questions, overall and composition are left out where they say
    nothing; all others are always there. Fields may be added, none is renamed or removed.

    A conventions file holds any entries of tables/conventions.toml, for example:

    \b
    circa = [{ earlier = 10, later = 10 }]
    before = 50
    [parts]
    early = [0, 33]
    """
    from importlib import import_module

    tables = _tables(invocation, conventions)
    module, name = READERS[kind].split(":")
    reader: Reader = getattr(import_module(module), name)
    texts = _lines() if words == ("-",) else iter((" ".join(words),))
    if as_json:
        _write_json(texts, reader, tables)
    else:
        from archivist.cli.read_shown import show

        show(reader(text, tables) for text in texts)


def _tables(invocation: Invocation, conventions: Path | None) -> Tables:
    """The tables of the archive that was named or whose folder this is, else those that ship.

    Raises:
        ArchiveError: where a folder was named that is no archive.
        SettingsError: where its settings or the conventions do not fit.
    """
    from archivist.catalogue.settings import FILE_NAME, read_settings
    from archivist.reading.tables import load_tables

    settings_file = Path(invocation.folder) / FILE_NAME
    tables = load_tables()
    if settings_file.is_file() or invocation.folder != ".":
        from archivist.errors import ArchiveError
        from archivist.hooks import VocabularyDescription
        from archivist.plugins import load_plugins

        if not settings_file.is_file():
            raise ArchiveError(
                f"{Path(invocation.folder).resolve()} is not an archive: it has no {FILE_NAME}.",
                "Nothing was read. Name an archive's folder, or leave --archive away to read by "
                "the conventions that ship.",
            )
        vocabularies = load_plugins().of("vocabulary", VocabularyDescription)
        tables = load_tables([table for one in vocabularies for table in one.tables])
        settings = read_settings(settings_file)
        tables = tables.with_conventions(settings.conventions, str(settings_file))
    return tables if conventions is None else tables.with_conventions_of(conventions)


def _lines() -> Iterator[str]:
    """One text a line of standard input; a line that is a JSON string is what it holds."""
    from contextlib import suppress

    import msgspec

    for line in sys.stdin.buffer:
        text = line.decode("utf-8", errors="replace").rstrip("\r\n")
        if text.startswith('"'):
            # A caption may begin with a quotation mark and be no JSON at all.
            with suppress(msgspec.DecodeError, UnicodeError):
                text = msgspec.json.decode(text, type=str)
        yield text


def _write_json(texts: Iterator[str], reader: Reader, tables: Tables) -> None:
    import msgspec

    from archivist.reading.plain import plain

    output = sys.stdout.buffer
    for text in texts:
        output.write(msgspec.json.encode(plain(reader(text, tables))) + b"\n")
    output.flush()
