"""Pieces of any shape that the model allows, and where published schemas lie, for these checks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import strategies as st
from lxml import etree

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.testing import BOWL, FARMHOUSE
from tests.strategies import parties, photographs, records, texts

STANDARDS = Path(__file__).resolve().parents[3] / "shared" / "standards"


def published(*parts: str) -> Path:
    """A file or folder of published material; the test is skipped where it is not there."""
    path = STANDARDS.joinpath(*parts)
    if not path.exists():
        pytest.skip(f"{'/'.join(parts)} does not lie beside the project (../shared/standards)")
    return path


class _Local(etree.Resolver):
    """Answers a schema location on the web by the file of that name below a folder."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def resolve(self, system_url: str, public_id: str, context: Any) -> Any:  # type: ignore[override]
        if not system_url.startswith(("http:", "https:")):
            return None
        found = next(self._folder.rglob(system_url.rsplit("/", 1)[-1]), None)
        if found is None:
            raise OSError(f"{system_url} lies nowhere below {self._folder}")
        return self.resolve_filename(str(found), context)  # type: ignore[attr-defined]


def xml_schema(path: Path) -> etree.XMLSchema:
    """The schema at `path`; what it imports by web address is looked for beside it."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local(path.parent))
    return etree.XMLSchema(etree.parse(str(path), parser))


@st.composite
def pieces(draw: st.DrawFn, sample: Piece) -> Piece:
    """A piece with any record and any facts of its photographs; the pictures are the sample's."""
    record = msgspec.structs.replace(draw(records()), id=BOWL.id)
    shown: list[DisclosedPhotograph] = []
    for photo in sample.photographs:
        facts = msgspec.structs.replace(draw(photographs()), id=photo.photograph.id)
        drawn = replace(photo, photograph=facts, label=draw(texts), how=draw(texts))
        if draw(st.booleans()):
            drawn = replace(drawn, original_sha256="0" * 63 + str(len(shown)))
        shown.append(drawn)
    others = draw(st.lists(parties(), max_size=2))
    return Piece(record, tuple(shown), (FARMHOUSE, *others), sample.slug, sample.uri)
