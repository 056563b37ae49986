"""What the names of photographs leave open, put to a person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from archivist.intake.depicting import view_shown
from archivist.intake.drafts import lasting_id
from archivist.intake.files import SurveyedFile
from archivist.intake.proposal import Asked, Choice, DescribeView, LinkPhotograph
from archivist.intake.rules.names import NameReader
from archivist.model import Depiction, ObjectRecord, Region, Source, View

SHOWN = 4
"""Paths that are named in a question about many."""


def which_piece(
    objects: tuple[str, ...],
    files: Sequence[SurveyedFile],
    names: NameReader,
    source: str,
    archive_id: str,
) -> Asked:
    """Which of several records photographs show, asked once for all of them."""
    records = [names.records[object_id] for object_id in objects]
    choices = tuple(
        Choice(
            answer=record.title or record.name,
            items=tuple(_link(file, record, names, source, archive_id) for file in files),
        )
        for record in records
    )
    paths = ", ".join(file.found.path for file in files[:SHOWN])
    more = f" and {len(files) - SHOWN} more" if len(files) > SHOWN else ""
    digests = ",".join(sorted(file.facts.sha256 for file in files))
    return Asked(
        key=f"which of\n{','.join(objects)}\n{digests}",
        source="",
        asks=_asks(len(files), records),
        about=paths + more,
        choices=choices,
    )


def perhaps_a_slip(
    objects: tuple[str, ...],
    files: Sequence[SurveyedFile],
    names: NameReader,
    source: str,
    archive_id: str,
) -> Asked:
    """Whether photographs show a record whose number their names have with a typing slip."""
    asked = which_piece(objects, files, names, source, archive_id)
    records = [names.records[object_id] for object_id in objects]
    called = " or ".join(f"{record.name} ({record.title})" for record in records)
    what = "this photograph" if len(files) == 1 else f"these {len(files)} photographs"
    return msgspec.structs.replace(
        asked,
        key=f"slip\n{asked.key}",
        asks=f"Does the name of {what} mean {called}, with a typing slip in the number?",
        choices=(*asked.choices, Choice(answer="no, another piece")),
    )


def _asks(count: int, records: Sequence[ObjectRecord]) -> str:
    named = " and ".join(f"{record.name} ({record.title})" for record in records)
    if count == 1:
        return f"Which piece does this photograph show? Its name fits {named}."
    return f"Which piece do these {count} photographs show? Their names fit {named}."


def _link(
    file: SurveyedFile, record: ObjectRecord, names: NameReader, source: str, archive_id: str
) -> LinkPhotograph:
    """That a photograph shows a record, as a person is about to say."""
    seen = view_shown(file, names)
    return LinkPhotograph(
        accept=True,
        key=f"{file.facts.sha256}\n{record.id}",
        source=source,
        path=file.found.path,
        photograph=lasting_id(archive_id, "photograph", file.facts.sha256),
        depictions=(
            Depiction(
                object=record.id,
                view=seen.view if seen else View.UNKNOWN,
                as_stated=file.found.path,
                source=Source(source=source, place=file.found.path),
            ),
        ),
    )


def where_in_it(
    file: SurveyedFile,
    depictions: Sequence[Depiction],
    names: NameReader,
    regions: Mapping[str, Region],
    source: str,
    archive_id: str,
) -> Asked:
    """Where in a group photograph each piece is: x, y, width and height, in pixels.

    Where as many things stand apart in it as it shows pieces (`regions`, by record), it is offered
    that the names go from left to right.
    """
    pieces = [names.records[d.object].name for d in depictions]
    items = tuple(
        DescribeView(
            accept=True,
            key=f"{file.facts.sha256}\n{depiction.object}",
            source=source,
            path=file.found.path,
            photograph=lasting_id(archive_id, "photograph", file.facts.sha256),
            object=depiction.object,
            view=View.GROUP,
            region=regions[depiction.object],
        )
        for depiction in depictions
        if depiction.object in regions
    )
    offered = Choice(answer=f"from left to right: {', '.join(pieces)}", items=items)
    return Asked(
        key=f"regions\n{file.facts.sha256}",
        source="",
        asks=(
            f"The photograph shows {len(pieces)} pieces ({', '.join(pieces)}). Where in it is each?"
        ),
        about=file.found.path,
        choices=(offered,) if len(items) == len(pieces) else (),
    )
