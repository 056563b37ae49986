"""What a note is about, as far as its heading tells."""

from __future__ import annotations

import tomllib
from functools import cache

from archivist.model import Note
from archivist_schemas import schema_file

CONDITION = "condition"
"""The topic of notes that tell what was seen of the piece."""


def topic_of(note: Note) -> str:
    """The topic of `tables/note_headings.toml` to which the heading of a note belongs, else ''."""
    return _topics().get(_plain(note.heading), "")


def _plain(heading: str) -> str:
    return " ".join(heading.casefold().split()).rstrip(" :")


@cache
def _topics() -> dict[str, str]:
    text = schema_file("tables", "note_headings.toml").read_text(encoding="utf-8")
    return {
        _plain(heading): topic
        for topic, headings in tomllib.loads(text).items()
        for heading in headings
    }
