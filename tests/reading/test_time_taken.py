"""A long text that repeats one thing takes time by its length alone: 50 ms a kilobyte at most.

Each phrase once made some reader go through the whole text again for each of its own occurrences.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from archivist.reading import (
    read_condition,
    read_date_cell,
    read_features,
    read_marks,
    read_measurements,
    read_provenance,
)
from archivist.reading.citations import read_citations
from archivist.reading.picture_captions import read_picture_caption, read_picture_name
from archivist.reading.result import Understood
from archivist.reading.tables import Tables, load_tables
from archivist.reading.titles import read_title
from tests.timing import seconds_of

TABLES = load_tables()
MOST = 0.050
"""Seconds of processor time for each kilobyte."""
KILOBYTES = 24

Reader = Callable[[str, Tables], Understood]


@pytest.mark.parametrize(
    "reader",
    [
        read_condition,
        read_date_cell,
        read_features,
        read_marks,
        read_measurements,
        read_picture_caption,
        read_picture_name,
        read_provenance,
        read_citations,
        read_title,
    ],
)
@pytest.mark.parametrize(
    "piece",
    [
        "with box ",
        "signed and dated, ",
        "Jin dynasty, ",
        "jiazi year, ",
        "scale 10 cm ",
        "12 cm, ",
        "voir aussi, ",
        "for a similar) ",
        "'sostituita and decoration ",
        "大清乾隆年製 ",
        "his son ",
        "by by ",
        "Provenance: ",
        "Lit.: ",
        "exhibited at ",
        "(exhibited Hall ",
        "... A. Marr; ",
        "for £350 ",
        "A Marr 1960. ",
        "e\u0301\u0301 \u0301 ",
    ],
)
def test_a_text_of_one_thing_over_and_over_is_read_in_time(reader: Reader, piece: str) -> None:
    reader("Bowl, mark, chip, 18th century, 12 cm, sold to A. Marr", TABLES)
    text = piece * (KILOBYTES * 1024 // len(piece.encode("utf-8")))
    assert seconds_of(lambda: reader(text, TABLES)) < MOST * KILOBYTES
