"""What a description says of other pieces is not said of its own."""

from __future__ import annotations

import pytest

from archivist.model import Attribution, Relation
from archivist.reading.descriptions import read_description
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    "text",
    [
        "Bowl, Kangxi. Compare a dish dated 1890 in the Tolling collection.",
        "Bowl, Kangxi; cf. Marr, no. 12, c. 1900",
        "Bowl, Kangxi. For a similar bowl of the 20th century see Tidewell, p. 12.",
        "Schale, Kangxi. Vgl. eine Schale um 1890.",
    ],
)
def test_dates_of_other_pieces_are_left_unread(text: str) -> None:
    read = read_description(text, TABLES)
    dates = [s.date.edtf for s in read.statements if isinstance(s, Attribution) and s.date]
    assert dates == ["1662/1722"]
    assert read.text == text
    told = [s for s in read.statements if isinstance(s, Relation)]
    assert told or read.mentions or read.unread


def test_what_follows_the_sentence_is_read_again() -> None:
    read = read_description("Bowl. Compare Marr 12. Kangxi period.", TABLES)
    dates = [s.date.edtf for s in read.statements if isinstance(s, Attribution) and s.date]
    assert dates == ["1662/1722"]
