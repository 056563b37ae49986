"""What is rejected reaches the public in no format, and others only in words that say so."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from archivist.hooks import ExporterDescription, Piece, WrittenFile
from archivist.plugins import load_plugins
from archivist.release.disclosure import disclosures
from archivist.testing import DISPUTED, export, sample_piece, sample_selection

PLUGINS = load_plugins()
EXPORTERS = {d.name: d for d in PLUGINS.of("exporter", ExporterDescription)}
RULES = disclosures()
REJECTED = (b"Seaholme", b"salt glaze")


def seen_by(audience: str, folder: Path) -> Piece:
    """The sample of disputed statements, as an audience is given it."""
    piece = sample_piece(folder / "pictures", DISPUTED)
    return replace(piece, record=RULES[audience].filtered(piece.record))


def written(name: str, audience: str, folder: Path) -> dict[str, WrittenFile]:
    piece = seen_by(audience, folder)
    selection = sample_selection(folder / "pictures", [piece], audience=audience)
    return export(EXPORTERS[name], selection, folder / "out")


@pytest.mark.parametrize("name", sorted(EXPORTERS))
def test_the_public_is_told_of_nothing_rejected_in_any_format(name: str, tmp_path: Path) -> None:
    for path, file in written(name, "public", tmp_path).items():
        content = file.location.read_bytes()
        for value in REJECTED:
            assert value not in content, path


def test_a_buyer_is_told_and_so_the_test_above_can_fail(tmp_path: Path) -> None:
    files = written("dublin-core", "buyer", tmp_path)
    texts = [f.location.read_text("utf-8") for p, f in files.items() if p.endswith(".xml")]
    told = [text for text in texts if "Seaholme" in text]
    assert told
    assert all(re.search(r"not held to be Seaholme", text) for text in told)
