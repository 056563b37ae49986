"""The arithmetic of a static image service, for pictures and tiles of any size."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from archivist_plugins.iiif.pyramid import ImageRequest, Pyramid

SIDES = st.integers(1, 3000)
TILES = st.integers(64, 1200)
PYRAMIDS = st.one_of(
    st.builds(Pyramid, SIDES, SIDES, TILES),
    st.builds(
        lambda across, down, more, tile: Pyramid(across * tile + more, down * tile + more, tile),
        st.integers(1, 9), st.integers(1, 9), st.integers(-1, 1), TILES,
    ),
)  # fmt: skip
"""Sides of any length, and such as are whole tiles or one pixel more or less."""


def _tiles(pyramid: Pyramid, factor: int) -> list[ImageRequest]:
    """The tiles at one scale factor; where one holds all, the complete picture of that size.

    A last tile that is one pixel has one address at all scale factors at which it is one, and is
    made at the first.
    """
    at_factor = [request for request in pyramid.requests() if request.factor == factor]
    tiles = [r for r in at_factor if not r.paths[0].startswith("full/")]
    if not tiles:
        return [r for r in at_factor if r.paths[0].startswith("full/")]
    step = pyramid.tile * factor
    x, y = (pyramid.width - 1) // step * step, (pyramid.height - 1) // step * step
    across, down = pyramid.width - x, pyramid.height - y
    if max(across, down) <= factor // 2 and (across, down) != (pyramid.width, pyramid.height):
        corner = f"{x},{y},{across},{down}/1,1/0/default.jpg"
        assert corner in [path for r in pyramid.requests() for path in r.paths]
        left, top = x // factor, y // factor
        tiles.append(ImageRequest(factor, (left, top, left + 1, top + 1), (corner,)))
    return tiles


def _cover(spans: list[tuple[int, int]], length: int) -> bool:
    """Whether the spans, laid end to end, cover the length once."""
    at = 0
    for start, end in sorted(set(spans)):
        if start != at:
            return False
        at = end
    return at == length


@settings(deadline=None)
@given(PYRAMIDS)
def test_tiles_cover_every_pixel_exactly_once_at_each_scale_factor(pyramid: Pyramid) -> None:
    for factor in pyramid.factors:
        tiles = _tiles(pyramid, factor)
        width, height = pyramid.scaled(factor)
        columns = {(tile.box[0], tile.box[2]) for tile in tiles}
        rows = {(tile.box[1], tile.box[3]) for tile in tiles}
        assert _cover(list(columns), width)
        assert _cover(list(rows), height)
        boxes = Counter(tile.box for tile in tiles)
        assert set(boxes.values()) == {1}
        assert len(boxes) == len(columns) * len(rows), "a full grid, so no pixel twice"


@settings(deadline=None)
@given(PYRAMIDS)
@example(Pyramid(1, 750, 187))
def test_the_regions_asked_for_cover_the_full_picture_exactly_once(pyramid: Pyramid) -> None:
    for factor in pyramid.factors:
        covered = 0
        for tile in _tiles(pyramid, factor):
            region = tile.paths[0].split("/")[0]
            if region == "full":
                covered += pyramid.width * pyramid.height
                continue
            x, y, width, height = map(int, region.split(","))
            assert x % (pyramid.tile * factor) == 0
            assert y % (pyramid.tile * factor) == 0
            assert x + width <= pyramid.width
            assert y + height <= pyramid.height
            covered += width * height
        assert covered == pyramid.width * pyramid.height


@settings(deadline=None)
@given(PYRAMIDS)
def test_the_size_in_an_address_is_that_of_the_picture_made(pyramid: Pyramid) -> None:
    for request in pyramid.requests():
        left, top, right, lower = request.box
        assert 0 <= left < right
        assert 0 <= top < lower
        for path in request.paths:
            found = re.search(r"/(\d+),(\d+)/0/default\.jpg$", path)
            if found:
                assert (int(found[1]), int(found[2])) == (right - left, lower - top)
            else:
                assert path == "full/max/0/default.jpg"
                assert request.box == (0, 0, pyramid.width, pyramid.height)


@settings(deadline=None)
@example(Pyramid(1, 514, 64))  # a last tile of 1 by 2 pixels
@given(PYRAMIDS)
def test_no_address_is_made_twice_and_the_full_picture_always_is(pyramid: Pyramid) -> None:
    paths = Counter(path for request in pyramid.requests() for path in request.paths)
    assert set(paths.values()) == {1}
    assert "full/max/0/default.jpg" in paths
    for width, height in pyramid.sizes:
        assert f"full/{width},{height}/0/default.jpg" in paths
    assert pyramid.sizes, "a thumbnail needs a size"
    assert pyramid.thumbnail() in pyramid.sizes


@settings(deadline=None)
@given(PYRAMIDS)
def test_each_level_is_made_from_the_one_before_it(pyramid: Pyramid) -> None:
    factors = [request.factor for request in pyramid.requests()]
    assert factors == sorted(factors)
    for factor in set(factors):
        assert factor & (factor - 1) == 0
        half = Pyramid(*pyramid.scaled(factor), pyramid.tile).scaled(2)
        assert half == pyramid.scaled(factor * 2), "halving twice is scaling by four"


def test_a_last_tile_of_one_pixel_is_made_once() -> None:
    paths = [path for r in Pyramid(2049, 2049, 1024).requests() for path in r.paths]
    assert paths.count("2048,2048,1,1/1,1/0/default.jpg") == 1


def test_a_picture_that_fits_in_a_tile_has_sizes_and_no_tiles() -> None:
    pyramid = Pyramid(1000, 600, 1024)
    assert pyramid.factors == ()
    assert pyramid.sizes == ((250, 150), (500, 300), (1000, 600))
    assert "tiles" not in pyramid.info("https://example.org/a")


def test_a_large_picture_has_tiles_and_sizes_up_to_twice_the_tile() -> None:
    pyramid = Pyramid(6000, 4000, 1024)
    assert pyramid.factors == (1, 2, 4, 8)
    assert pyramid.sizes == ((375, 250), (750, 500), (1500, 1000))
    # 24 + 6 + 2 tiles, the single tile of factor 8 being a size; 3 sizes; the full picture.
    assert sum(len(request.paths) for request in pyramid.requests()) == 36


@pytest.mark.parametrize(("width", "height"), [(1, 1), (5000, 1), (1, 5000), (1024, 1024)])
def test_odd_shapes_have_a_service(width: int, height: int) -> None:
    pyramid = Pyramid(width, height, 1024)
    assert "full/max/0/default.jpg" in [p for r in pyramid.requests() for p in r.paths]
    assert all(min(size) >= 1 for size in pyramid.sizes)


def test_the_thumbnail_is_the_smallest_size_that_is_large_enough() -> None:
    assert Pyramid(6000, 4000, 1024).thumbnail() == (375, 250)
    assert Pyramid(1000, 600, 1024).thumbnail() == (500, 300)
    assert Pyramid(96, 72, 1024).thumbnail() == (96, 72)
