"""Variant names resolve to one preferred term, and the variant is kept."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model import Aspect, Attribution, Certainty, Feature, FeatureAspect
from archivist.reading.features import read_features
from archivist.reading.tables import load_tables

TABLES = load_tables()


def short(text: str) -> list[tuple[str, str]]:
    return [
        (s.aspect.value, s.term.label)
        for s in read_features(text, TABLES).statements
        if isinstance(s, Feature | Attribution) and s.term is not None
    ]


@pytest.mark.parametrize("text", ["tea-bowl", "tea bowl", "teabowl", "Tea Bowls", "chawan", "茶碗"])
def test_every_spelling_of_a_form_is_one_term_and_the_words_stay(text: str) -> None:
    (feature,) = read_features(text, TABLES).statements
    assert isinstance(feature, Feature)
    assert feature.aspect is FeatureAspect.FORM
    assert feature.term.label == "tea bowl"
    assert feature.as_stated == text


def test_form_material_glaze_decoration_subject_culture_and_place_are_told_apart() -> None:
    text = "A Korean stoneware bottle vase with celadon glaze, inlaid with cranes, Jiangxi, China"
    assert short(text) == [
        ("culture", "Korean"),
        ("material", "stoneware"),
        ("form", "bottle vase"),
        ("glaze", "celadon glaze"),
        ("decoration", "inlaid decoration"),
        ("subject", "crane"),
        ("place", "Jiangxi"),
        ("place", "China"),
    ]


def test_the_longest_name_wins() -> None:
    assert short("famille-rose bottle vase") == [
        ("decoration", "famille rose"),
        ("form", "bottle vase"),
    ]


def test_china_without_its_capital_is_no_country() -> None:
    assert short("a china cup") == [("form", "cup")]


@pytest.mark.parametrize("text", ["Japanese style", "for the Japanese market"])
def test_a_likeness_is_no_origin(text: str) -> None:
    understood = read_features(text, TABLES)
    assert understood.statements == ()
    assert understood.unread


@pytest.mark.parametrize(
    ("text", "certainty"),
    [
        ("probably Korean", Certainty.PROBABLE),
        ("possibly a bowl", Certainty.POSSIBLE),
        ("Korean?", Certainty.POSSIBLE),
        ("Korean", Certainty.CERTAIN),
    ],
)
def test_a_hedge_is_kept(text: str, certainty: Certainty) -> None:
    (statement,) = read_features(text, TABLES).statements
    assert statement.certainty is certainty


def test_one_or_the_other_is_certain_of_neither() -> None:
    statements = read_features("Chinese or Korean", TABLES).statements
    assert [s.certainty for s in statements] == [Certainty.POSSIBLE] * 2


def test_every_term_names_its_source_and_claims_no_identifier_unseen() -> None:
    kinds = [*(a.value for a in FeatureAspect), Aspect.CULTURE, Aspect.PLACE, Aspect.KILN]
    rows = TABLES.terms(*kinds)
    assert len(rows) > 300
    assert all(row.source for row in rows)
    assert not [row.label for row in rows if row.uri and "from memory" in row.source]


@settings(deadline=None)
@given(st.text(max_size=80))
def test_words_are_as_written(text: str) -> None:
    for statement in read_features(text, TABLES).statements:
        assert statement.reading is not None
        assert statement.as_stated == text[statement.reading.start : statement.reading.end]
