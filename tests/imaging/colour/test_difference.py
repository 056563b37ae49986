"""CIEDE2000 gives what was published, and what an independent library gives."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.imaging.colour.difference import ciede2000
from tests.imaging.colour.published import PAIRS

LABS = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


@pytest.mark.parametrize(("one", "other", "published"), PAIRS)
def test_each_of_the_published_pairs_differs_as_published(
    one: tuple[float, ...], other: tuple[float, ...], published: float
) -> None:
    assert round(float(ciede2000(one, other)), 4) == published
    assert round(float(ciede2000(other, one)), 4) == published


def test_there_are_34_published_pairs_and_all_are_compared_at_once() -> None:
    assert len(PAIRS) == 34
    ones, others, published = (np.array(column) for column in zip(*PAIRS, strict=True))
    assert np.abs(ciede2000(ones, others) - published).max() < 0.00005


def test_an_independent_library_agrees_on_20000_pairs() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        colour = pytest.importorskip("colour")
    chance = np.random.default_rng(2005)
    ones, others = chance.uniform((0, -100, -100), (100, 100, 100), (2, 20_000, 3))
    others[:5000] = ones[:5000] + chance.normal(0, 3, (5000, 3))
    ours = ciede2000(ones, others)
    assert np.abs(ours - colour.difference.delta_E_CIE2000(ones, others)).max() < 1e-6
    halved = ciede2000(ones, others, lightness_factor=2)
    textiles = colour.difference.delta_E_CIE2000(ones, others, textiles=True)
    assert np.abs(halved - textiles).max() < 1e-6


@given(LABS, LABS)
def test_a_difference_is_the_same_both_ways_and_none_from_itself(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    assert float(ciede2000(one, one)) == 0
    assert float(ciede2000(one, other)) == pytest.approx(float(ciede2000(other, one)), abs=1e-9)
    assert float(ciede2000(one, other)) >= 0
