"""Titles and particles of other languages before names in provenance."""

from __future__ import annotations

import pytest

from archivist.reading.provenance import read_provenance
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Ancienne collection du Dr. Maubuisson", "Dr. Maubuisson"),
        ("Coll. mevr. Van Zutterhoven", "mevr. Van Zutterhoven"),
        ("du Pré", "du Pré"),
        ("von Trautwitz", "von Trautwitz"),
    ],
)
def test_a_particle_goes_only_before_a_title(words: str, name: str) -> None:
    assert [party.name for party in read_provenance(words, TABLES).parties] == [name]
