"""What cameras wrote down keeps two exposures apart, however alike they are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.intake.pictures.apart import clocks_differ, numbered, same_clock, told_apart
from archivist.intake.pictures.joining import Link, joined
from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.look import Look
from archivist.reading.tables import load_tables

TABLES = load_tables()
PLAIN = Look(
    width=4, height=3, frequencies=b"", small=b"", colour=(0, 0, 0), background=(0, 0, 0),
    background_spread=0, palette=bytes(27), sharpness=0,
)  # fmt: skip


def picture(path: str, clock: str = "") -> Picture:
    series, number = numbered(path, TABLES)
    return Picture(path, path, PLAIN, clock=clock, series=series, number=number)


@pytest.mark.parametrize(
    ("one", "other", "differ"),
    [
        ("2009-03-14T10:11:12", "2009-03-14T10:11:13", True),
        ("2009-03-14T10:11:12.10", "2009-03-14T10:11:12.60", True),
        ("2009-03-14T10:11:12.5", "2009-03-14T10:11:12.50", False),
        ("2009-03-14T10:11:12.50", "2009-03-14T10:11:12", False),  # saved again: the fraction went
        ("2009-03-14T10:11:12.00", "2009-03-14T10:11:12.50", False),  # a camera without fractions
        ("2009-03-14T10:11:12", "", False),
    ],
)
def test_clocks_differ_by_the_second_and_by_fractions_that_both_have(
    one: str, other: str, differ: bool
) -> None:
    assert clocks_differ(one, other) is clocks_differ(other, one) is differ
    assert same_clock(one, other) is (bool(one and other) and not differ)


@pytest.mark.parametrize(
    ("path", "number"),
    [
        ("trip/IMG_0417.JPG", "0417"),
        ("trip/IMG_0417 (2).JPG", "0417"),
        ("a/scan0003.tif", "0003"),
        ("a/P1010417.JPG", "1010417"),
        ("a/20171028_101112.jpg", "20171028 101112"),
        ("a/PXL_20171028_101112.jpg", "20171028 101112"),
        ("a/IMG_E0417.JPG", ""),
        ("a/HW 0417.jpg", ""),
        ("a/IMG_0417 foot.jpg", ""),
        ("a/foot (2).jpg", ""),
        ("a/0417.jpg", ""),
        ("a/WhatsApp Image 2019-03-02 at 10.11.12.jpg", ""),
    ],
)
def test_numbers_of_cameras_and_scanners_are_told_from_names_that_people_gave(
    path: str, number: str
) -> None:
    assert numbered(path, TABLES)[1] == number


def test_two_numbers_of_one_series_are_two_pictures_and_of_two_folders_perhaps_not() -> None:
    assert told_apart(picture("a/IMG_0417.JPG"), picture("a/IMG_0418.JPG"))
    assert not told_apart(picture("a/IMG_0417.JPG"), picture("for web/IMG_0418.JPG"))
    assert not told_apart(picture("a/IMG_0417.JPG"), picture("a/IMG_0417 (2).JPG"))


def test_a_clock_that_agrees_to_the_fraction_outweighs_a_number_given_anew() -> None:
    moment = "2009-03-14T10:11:12.37"
    assert not told_apart(picture("a/IMG_0001.JPG", moment), picture("a/IMG_0417.JPG", moment))
    assert told_apart(picture("a/IMG_0001.JPG", moment[:19]), picture("a/IMG_0417.JPG", moment))


def test_a_copy_that_fits_two_exposures_goes_with_the_surer_and_does_not_join_them() -> None:
    links = [Link((2,), 1, 2), Link((1,), 0, 2)]
    groups, refused = joined(
        3, links, lambda a, b: "two" if {a, b} == {0, 1} else "", lambda a, b: "", lambda n: n
    )
    assert groups == [[0, 2]]
    assert [(r.one, r.other, r.because) for r in refused] == [(1, 2, "two")]


def test_groups_whose_best_originals_disagree_stay_two() -> None:
    links = [Link((0,), 0, 1), Link((0,), 2, 3), Link((9,), 1, 3)]
    groups, refused = joined(
        4, links, lambda a, b: "", lambda a, b: "no" if {a, b} == {0, 2} else "", lambda n: n
    )
    assert groups == [[0, 1], [2, 3]]
    assert [r.because for r in refused] == ["no"]


@given(st.integers(0, 10_000))
def test_no_group_ever_holds_two_that_stand_apart(seed: int) -> None:
    random = np.random.default_rng(seed)
    kind = random.integers(0, 3, 12).tolist()
    links = [Link((int(w),), int(a), int(b)) for a, b, w in random.integers(0, 12, (30, 3))]
    groups, _ = joined(
        12, links, lambda a, b: "two" if kind[a] != kind[b] else "", lambda a, b: "", lambda n: n
    )
    assert all(len({kind[n] for n in group}) == 1 for group in groups)
    assert len({n for group in groups for n in group}) == sum(map(len, groups))
