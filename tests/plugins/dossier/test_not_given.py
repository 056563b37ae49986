"""What is recorded and withheld is told apart from what nobody ever recorded."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec
import pytest

from archivist.hooks import Piece
from archivist.model import (
    STATEMENT_FIELDS,
    Attribution,
    Certainty,
    Citation,
    CitationKind,
    ObjectRecord,
)
from archivist.testing import BOWL, FARMHOUSE, sample_piece, sample_selection
from archivist_plugins.dossier.caution_tables import read_cautions, read_protected_materials
from archivist_plugins.dossier.cautions import cautions_for
from archivist_plugins.dossier.content import content
from archivist_plugins.dossier.identification import NOT_GIVEN, NOT_RECORDED

BARE = ObjectRecord(id=BOWL.id, stock_number="T 1")


def told(piece: Piece) -> dict[str, Any]:
    """What the pages of a dossier without photographs say."""
    said = cautions_for(piece, read_cautions(), read_protected_materials())
    return content(piece, sample_selection(Path(), [piece]), (), said, "a4")


def bare(withheld: frozenset[str] = frozenset()) -> Piece:
    return Piece(BARE, (), (), "bare", "https://x.test/1", withheld=withheld)


@pytest.mark.parametrize(
    ("field", "section"), [("provenance", "provenance"), ("observations", "condition")]
)
def test_what_is_withheld_is_not_given_and_never_not_recorded(field: str, section: str) -> None:
    withheld = told(bare(frozenset({field})))[section]["none"]
    recorded = told(bare())[section]["none"]
    assert withheld.startswith("Not given here:")
    assert "No " not in withheld
    assert recorded.startswith("No ")
    assert "Not given" not in recorded


def test_where_a_part_is_given_it_is_said_that_there_is_more(tmp_path: Path) -> None:
    fields = frozenset({"provenance", "observations", "citations"})
    cited = Citation(kind=CitationKind.LITERATURE, title="Bowls of the Tidewell")
    record = msgspec.structs.replace(BOWL, citations=(cited,))
    piece = Piece(record, (), (FARMHOUSE,), "bowl", "https://x.test/1", withheld=fields)
    for section in ("provenance", "condition", "citations"):
        assert told(piece)[section]["more"]
        assert not told(replace(piece, withheld=frozenset()))[section]["more"]


@pytest.mark.parametrize("field", STATEMENT_FIELDS)
def test_a_row_that_is_empty_says_which_of_the_two_it_is(field: str) -> None:
    rows = {
        row["label"]: row["lines"][0]["text"]
        for row in told(bare(frozenset({field})))["identification"]
    }
    plain = {row["label"]: row["lines"][0]["text"] for row in told(bare())["identification"]}
    changed = {label for label, words in rows.items() if words != plain[label]}
    assert {rows[label] for label in changed} <= {NOT_GIVEN}
    assert NOT_GIVEN not in plain.values()
    assert NOT_RECORDED in plain.values()
    told_of = ("titles", "attributions", "features", "measurements", "marks", "observations")
    assert bool(changed) is (field in (*told_of, "descriptions"))


def test_nothing_that_a_receiver_reads_is_from_memory(tmp_path: Path) -> None:
    ivory = Attribution(aspect=BOWL.attributions[2].aspect, as_stated="Chinese, with ivory stand")
    record = msgspec.structs.replace(BOWL, provenance=(), attributions=(ivory,))
    for piece in (bare(), sample_piece(tmp_path, record, ())):
        assert "memory" not in json.dumps(told(piece), default=str)
    for caution in read_cautions().caution:
        assert "memory" not in f"{caution.text} {caution.source}"


def test_an_opinion_stands_with_its_holder_its_day_and_its_ground() -> None:
    held = msgspec.structs.replace(
        BOWL.attributions[0], ground="the foot", said="2001", certainty=Certainty.PROBABLE
    )
    other = msgspec.structs.replace(
        BOWL.attributions[1], who=FARMHOUSE.id, ground="a letter", said="1987"
    )
    record = msgspec.structs.replace(BOWL, attributions=(held, other))
    piece = Piece(record, (), (FARMHOUSE,), "bowl", "https://x.test/1")
    [about] = [one for one in told(piece)["opinions"] if one["aspect"] == "date"]
    mine, theirs = about["opinions"]
    assert (mine["standing"], mine["who"], mine["ground"]) == ("held", "Ines Tidewell", "the foot")
    assert (theirs["standing"], theirs["who"], theirs["since"], theirs["ground"]) == (
        "other opinion",
        FARMHOUSE.name,
        "1987",
        "a letter",
    )
