"""What stands under a piece beside others: the holder of its date, and its marks in short."""

from __future__ import annotations

from dataclasses import replace

import msgspec

from archivist.hooks import Piece
from archivist.model import Certainty, Mark, MarkKind, MarkRelation
from archivist.testing import BOWL, FARMHOUSE
from archivist.wording.compared import date_holder, marks_in_short

PIECE = Piece(record=BOWL, photographs=(), parties=(FARMHOUSE,), slug="bowl", uri="https://x/1")


def with_marks(*marks: Mark) -> Piece:
    return replace(PIECE, record=msgspec.structs.replace(BOWL, marks=marks))


def test_a_date_that_names_nobody_is_held_by_the_owner_and_by_nobody_where_there_is_none() -> None:
    assert date_holder(PIECE, "Ines Tidewell").startswith("held by ")
    bare = replace(PIECE, record=msgspec.structs.replace(BOWL, attributions=()))
    assert date_holder(bare, "Ines Tidewell") == ""


def test_a_mark_says_what_it_claims_and_how_that_stands_to_the_date() -> None:
    later = Mark(
        kind=MarkKind.REIGN,
        claim="Chenghua",
        characters="大明成化年製",
        relation=MarkRelation.LATER_THAN_IT_CLAIMS,
    )
    assert list(marks_in_short(with_marks(later))) == [
        "mark of Chenghua; held to be later than it claims"
    ]


def test_what_is_written_stands_where_nothing_is_claimed_and_rejected_marks_are_left_out() -> None:
    seal = Mark(kind=MarkKind.SEAL, characters="南山")
    doubted = Mark(kind=MarkKind.SEAL, characters="北山", certainty=Certainty.REJECTED)
    assert list(marks_in_short(with_marks(seal, doubted))) == ["seal mark “南山”"]
