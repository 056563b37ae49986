"""Editing a record by hand: as lines of words, or word by word, read as any other words are.

What is edited is what the archive's own spreadsheet holds of a record, a line a statement, so that
an edit by hand and an edit of the sheet come to the same.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from archivist.catalogue.archive import Archive
from archivist.errors import RecordError
from archivist.hooks import Cell, FoundRow
from archivist.intake.by_hand import BY_HEADING, HAND_HEADINGS, Hand, changed_by_hand
from archivist.intake.cells import FIELDS, CellReader
from archivist.intake.changed import changed_record
from archivist.intake.parties import Parties
from archivist.intake.proposal import Asked, ChangeObject
from archivist.intake.roles import Role
from archivist.intake.sheet import SheetIntake
from archivist.intake.words import read as words_read
from archivist.model import ObjectRecord, Party
from archivist.own_sheet import (
    COLUMNS,
    HEADINGS,
    LEAVE_AS_IT_IS,
    RECORD,
    VERSION,
    laid_out,
    taken_apart,
)
from archivist.reading.tables import Tables

IN_SHEET = tuple(heading for heading in HEADINGS if heading not in LEAVE_AS_IT_IS)
"""What can be edited, by the headings of the archive's own spreadsheet."""

EDITABLE = (*IN_SHEET, *BY_HEADING)
"""All that can be edited by hand."""

HOW_TO_WRITE = {
    "Date made": "a date, as 1740, c. 1740, 18th century, 1700-1799, Edo period",
    "Period": "a period or reign, as Edo or Qianlong",
    "Size": "a size with its unit, as H 16 cm, 16 x 8 cm or 6 1/4 in",
}
"""What must be understood to be taken, by heading, and how it is written. Under other headings
words that are not understood are kept as words."""

EDITED_BY_HAND = "edited by hand"

_LINE = re.compile(r"([^:]+):(.*)")
_MORE = "    "
"""What a line begins with that goes on with the words of the heading above it."""


@dataclass(frozen=True)
class Edit:
    """What an edit comes to: the record as it would be, persons who are new, and what to ask."""

    record: ObjectRecord
    parties: tuple[Party, ...]
    questions: tuple[Asked, ...]
    told: tuple[str, ...]


def heading_named(name: str) -> str:
    """The heading that `name` means: by its words, whatever case, or the one it begins.

    Raises:
        RecordError: where it is none or may be several.
    """
    wanted = name.replace("_", " ").replace("-", " ").strip().casefold()
    exact = [h for h in EDITABLE if h.casefold() == wanted]
    found = exact or [h for h in EDITABLE if wanted and h.casefold().startswith(wanted)]
    if len(found) == 1:
        return found[0]
    raise RecordError(
        f"'{name}' is {'not a heading' if not found else 'more than one heading'} of a record.",
        f"Headings are: {', '.join(found or EDITABLE)}.",
    )


def by_heading(given: Mapping[str, str]) -> dict[str, str]:
    """Words by the heading that each name means; names of one heading give a line each."""
    found: dict[str, str] = {}
    for name, words in given.items():
        heading = heading_named(name)
        found[heading] = f"{found[heading]}\n{words}" if heading in found else words
    return found


def as_text(archive: Archive, record: ObjectRecord) -> str:
    """The record for a text editor: a heading and its words, further lines drawn in."""
    names = _names(archive)
    cells = laid_out(record, names)
    cells |= {hand.heading: "\n".join(hand.lines(record, names)) for hand in HAND_HEADINGS}
    lines = [
        f"# {record.name}. Change what stands behind the colons; a line drawn in is one more",
        "# statement under the same heading. Lines that begin with # are left out.",
        "# Save and close to make the change; leave all as it is to change nothing.",
        "",
    ]
    for heading in EDITABLE:
        first, *more = cells[heading].split("\n")
        lines.append(f"{heading}: {first}".rstrip())
        lines.extend(f"{_MORE}{line}" for line in more)
    return "\n".join(lines) + "\n"


def from_text(text: str) -> dict[str, str]:
    """The words by heading, as `as_text` lays them out.

    Raises:
        RecordError: for a line that is neither a heading's nor drawn in, by its number.
    """
    cells: dict[str, list[str]] = {}
    heading = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.startswith("#") or not line.strip():
            continue
        match = _LINE.match(line)
        if line[0].isspace() and heading:
            cells[heading].append(line.strip())
        elif match is not None and match[1].strip() in EDITABLE:
            heading = match[1].strip()
            cells[heading] = [match[2].strip()]
        else:
            raise RecordError(
                f"Line {number} is not understood: {line.strip()[:60]}",
                "Nothing was changed. Draw it in by four spaces if it belongs to the line above.",
            )
    return {heading: "\n".join(word for word in words if word) for heading, words in cells.items()}


def edited(
    archive: Archive, record: ObjectRecord, cells: Mapping[str, str], tables: Tables
) -> Edit:
    """What `record` becomes with the words of `cells` (by heading) in place of what it has there.

    Raises:
        RecordError: where the words cannot be taken.
    """
    names, parties = _names(archive), Parties(archive.catalogue.all(Party), tables)
    reader = CellReader(tables, parties)
    intake = SheetIntake(archive.catalogue, str(uuid.uuid4()), reader)
    before = laid_out(record, names)
    known = (
        Cell(column=RECORD, text=record.id),
        Cell(column=VERSION, text=before[VERSION]),
    )
    words = tuple(
        Cell(column=heading, text=text, place=EDITED_BY_HAND)
        for heading, text in cells.items()
        if heading in before and text != before[heading]
    )
    for cell in words:
        _refuse_unread(cell, before[cell.column], tables)
    edits = intake.take((FoundRow(table="", number=1, cells=(*known, *words)),))
    if edits.troubles:
        raise RecordError(edits.troubles[0].reason, edits.troubles[0].remedy)
    told: list[str] = []
    for item in edits.items:
        if not isinstance(item, ChangeObject):
            continue
        changed = changed_record(record, item.removes, item.adds)
        if changed is None:
            raise RecordError(f"{record.name} cannot be changed so: {', '.join(item.reasons)}.")
        record = changed
        told.extend(reason.removeprefix(f"{EDITED_BY_HAND}: ") for reason in item.reasons)
    hand = Hand(tables, parties, archive.catalogue)
    for heading, text in cells.items():
        if heading in BY_HEADING:
            record, done = changed_by_hand(record, BY_HEADING[heading], text, hand, names)
            told.append(done)
    return Edit(record, tuple(parties.changed.values()), tuple(edits.questions), tuple(told))


def _refuse_unread(cell: Cell, before: str, tables: Tables) -> None:
    """Words that would take the place of a date or a size must be one.

    Raises:
        RecordError: where they are not understood; nothing is changed then.
    """
    if cell.column not in HOW_TO_WRITE:
        return
    column = next(c for c in COLUMNS if c.heading == cell.column)
    for line in (" ".join(line.split()) for line in cell.text.splitlines()):
        if not line or line in before.split("\n"):
            continue
        read = words_read(Role(column.role), taken_apart(line).words, tables)
        if not read.questions and not any(FIELDS[type(s)] == column.field for s in read.statements):
            raise RecordError(
                f"'{line}' is not understood under '{cell.column}', and nothing was changed.",
                f"Write {HOW_TO_WRITE[cell.column]}. Words that are only to be kept go under "
                "'Notes'.",
            )


def _names(archive: Archive) -> Callable[[str], str]:
    names = {party.id: party.name for party in archive.catalogue.all(Party)}
    return lambda party_id: names.get(party_id, "")
