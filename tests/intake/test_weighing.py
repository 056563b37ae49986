"""One weighing: a person before rules, the exact before the vague, the strong before the weak, the
nearer before the farther, many before one; what lost stays."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.intake.evidence import Evidence, Ground
from archivist.intake.weighing import told_lost, weigh
from archivist.model import Certainty


def says(
    value: str,
    ground: Ground = Ground.FILE_NAME,
    certainty: Certainty = Certainty.CERTAIN,
    *,
    exact: bool = True,
    against: str = "",
) -> Evidence[str]:
    return Evidence(
        "a", "piece", value, ground, "a rule", f"{value}.jpg", certainty, exact,
        (f"{ground.name} says {value}",), against,
    )  # fmt: skip


def test_the_table_of_precedence_is_an_edit_a_cell_a_caption_a_name_a_folder_a_clock_a_look() -> (
    None
):
    order = [
        Ground.EDIT, Ground.CONFIRMED_CELL, Ground.CELL, Ground.CAPTION, Ground.FILE_NAME,
        Ground.KEYWORD, Ground.FOLDER, Ground.CLOCK, Ground.LIKENESS,
    ]  # fmt: skip
    assert sorted(Ground) == order
    for stronger, weaker in pairwise(order):
        held = weigh([says("weak", weaker), says("strong", stronger)])
        assert held.best is not None
        assert held.best.value == "strong"
        assert [e.value for e in held.lost] == ["weak"]


@pytest.mark.parametrize("ground", [Ground.EDIT, Ground.CONFIRMED_CELL, Ground.CELL])
def test_a_person_outweighs_any_rule_however_vague_the_word(ground: Ground) -> None:
    held = weigh([says("rule", Ground.CAPTION), says("person", ground, exact=False)])
    assert held.best is not None
    assert (held.best.value, held.disputed) == ("person", False)


def test_the_exact_outweighs_the_vague_whatever_its_ground() -> None:
    held = weigh([says("vague", Ground.CAPTION, exact=False), says("exact", Ground.FOLDER)])
    assert held.best is not None
    assert held.best.value == "exact"


def test_the_nearer_outweighs_the_farther_and_many_outweigh_one() -> None:
    near = weigh([says("near", Ground.FOLDER), says("far", Ground.FOLDER)])
    assert near.best is not None
    assert (near.best.value, near.certainty) == ("near", Certainty.CERTAIN)
    many = weigh([says("one"), says("many"), says("many")])
    assert many.best is not None
    assert many.best.value == "many"


def test_other_exact_words_of_the_very_subject_make_it_no_more_than_possible() -> None:
    held = weigh([says("a", Ground.CAPTION), says("b", Ground.FILE_NAME)])
    assert (held.disputed, held.certainty) == (True, Certainty.POSSIBLE)


def test_refused_evidence_is_never_held_and_always_told() -> None:
    held = weigh([says("a", against="for it is a price")])
    assert held.best is None
    assert told_lost(held.lost) == ("not held: FILE_NAME says a, for it is a price",)


evidence = st.builds(
    says,
    st.sampled_from("abc"),
    st.sampled_from(Ground),
    st.sampled_from(Certainty),
    exact=st.booleans(),
    against=st.sampled_from(["", "refused"]),
)


@given(st.lists(evidence, max_size=6))
def test_nothing_is_lost_from_sight_and_what_is_held_was_believed(
    said: list[Evidence[str]],
) -> None:
    held = weigh(said)
    if held.best is None:
        assert all(e.against for e in said)
        return
    assert not held.best.against
    agreeing = [e for e in said if e.value == held.best.value and not e.against]
    assert sorted(map(id, (*agreeing, *held.lost))) == sorted(map(id, said))
