"""Pieces that stand apart get regions from left to right; where they do not, nobody guesses."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from archivist.intake.pictures.regions import pieces_in

ROWS, COLUMNS = 96, 128
Box = tuple[int, int, int, int]
APART: tuple[Box, ...] = ((10, 30, 20, 50), (50, 20, 24, 60), (96, 44, 18, 36))
"""Left, top, width and height of three pieces in a small picture."""


def drawn(
    boxes: Sequence[Box], backdrop: float = 200.0, darker: float = 0.0
) -> NDArray[np.float32]:
    """A small picture of dark pieces; its backdrop darkens downwards by so much in all."""
    pixels = np.full((ROWS, COLUMNS, 3), 200, np.float32)
    pixels -= np.linspace(0, darker, ROWS, dtype=np.float32)[:, None, None]
    for left, top, width, height in boxes:
        pixels[top : top + height, left : left + width] = (40, 60, 90)
    return pixels


def test_three_pieces_get_their_regions_from_left_to_right_in_full_size_pixels() -> None:
    regions = pieces_in(drawn(APART), 6 * COLUMNS, 6 * ROWS, 3)
    assert [(r.x, r.y, r.width, r.height) for r in regions] == [
        tuple(6 * side for side in box) for box in APART
    ]
    assert {(r.reference_width, r.reference_height) for r in regions} == {(768, 576)}


def test_a_backdrop_that_darkens_downwards_is_still_one() -> None:
    assert len(pieces_in(drawn(APART, darker=90), 768, 576, 3)) == 3


@pytest.mark.parametrize("count", [2, 4])
def test_where_more_or_fewer_things_stand_apart_than_were_named_nothing_is_said(count: int) -> None:
    assert pieces_in(drawn(APART), 768, 576, count) == ()


def test_pieces_that_overlap_are_left_to_a_person() -> None:
    assert pieces_in(drawn([(10, 30, 40, 50), (40, 20, 40, 60)]), 768, 576, 2) == ()


def test_one_piece_is_no_group() -> None:
    assert pieces_in(drawn(APART[:1]), 768, 576, 1) == ()


def test_specks_and_a_faint_shadow_are_no_pieces() -> None:
    pixels = drawn([*APART, (80, 10, 1, 1), (36, 70, 2, 4)])
    pixels[80:90, 76:92] -= 15
    assert len(pieces_in(pixels, 768, 576, 3)) == 3


def test_a_line_through_a_piece_does_not_part_it() -> None:
    pixels = drawn(APART)
    pixels[:, 60] = 200
    assert len(pieces_in(pixels, 768, 576, 3)) == 3


def test_an_empty_table_holds_nothing() -> None:
    assert pieces_in(drawn([]), 768, 576, 2) == ()


@given(st.integers(200, 9000), st.integers(200, 9000), st.integers(0, 5))
@settings(max_examples=30, deadline=None)
def test_regions_lie_within_the_picture_and_do_not_overlap(
    width: int, height: int, moved: int
) -> None:
    boxes = [(left + moved, top, wide, high) for left, top, wide, high in APART]
    regions = pieces_in(drawn(boxes), width, height, 3)
    assert len(regions) == 3
    for region in regions:
        assert region.x >= 0
        assert region.y >= 0
        assert region.x + region.width <= width
        assert region.y + region.height <= height
    assert all(a.x + a.width <= b.x for a, b in itertools.pairwise(regions))
