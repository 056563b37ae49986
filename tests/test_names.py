"""Names we write are legal on every system and still tell what is inside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.errors import PackageError
from archivist.names import LONGEST_SEGMENT, check_path, slug


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("HW 0417", "hw-0417"),
        ("Sèvres, Höchst & Ølsted", "sevres-hochst-lsted"),
        ("  --a__b..c/d  ", "a-b-c-d"),
        ("箱", ""),
        ("箱 7", "7"),
        ("ＨＷ ０４", "hw-04"),
        ("CON", "con-"),
        ("Lpt1", "lpt1-"),
        ("console", "console"),
        ("", ""),
    ],
)
def test_words_become_a_name(words: str, name: str) -> None:
    assert slug(words) == name


def test_a_long_name_is_cut_between_words() -> None:
    assert slug("a bowl with a celadon glaze and a foot rim", 20) == "a-bowl-with-a"
    assert slug("x" * 90) == "x" * LONGEST_SEGMENT


@given(st.text(), st.integers(1, 60))
def test_every_name_is_legal_and_short_enough(words: str, longest: int) -> None:
    name = slug(words, longest)
    assert len(name) <= longest + 1
    if name and longest < LONGEST_SEGMENT:
        assert check_path(name) == name


@given(st.text())
def test_a_name_made_of_a_name_is_the_same(words: str) -> None:
    assert slug(slug(words)) == slug(words)


@pytest.mark.parametrize(
    "path",
    [
        "a",
        "a/b.json",
        "full/max/0/default.jpg",
        "0,0,1024,1024/full/0/default.jpg",
        f"originals/ab/{'a' * 64}.jpg",
        ".htaccess",
    ],
)
def test_paths_that_are_legal_pass(path: str) -> None:
    assert check_path(path) == path


@pytest.mark.parametrize("path", ["../a", "a/..", "/a", "", "A", "a b", "aux.txt", "a.", "a\\b"])
def test_paths_that_are_not_legal_are_refused_and_named(path: str) -> None:
    with pytest.raises(PackageError) as told:
        check_path(path)
    assert f"'{path}'" in told.value.message
