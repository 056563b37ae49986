"""A photograph has a scale only where outline and recorded sizes agree on what is seen."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from PIL import Image, ImageDraw

from archivist.finding.extents import governing, outline, scale
from archivist.model import Certainty, Dimension, Measurement, Unit, View
from archivist.testing import BOWL


def size(dimension: Dimension, centimetres: str, **more: object) -> Measurement:
    known = Measurement(
        dimension=dimension, low=centimetres, high=centimetres, unit=Unit.CENTIMETRE
    )
    return replace(known, **more)


HIGH = size(Dimension.HEIGHT, "30")
WIDE = size(Dimension.DIAMETER, "20")
LOW = size(Dimension.HEIGHT, "6")


@pytest.mark.parametrize(
    ("height", "across", "view", "extent", "by"),
    [
        pytest.param(HIGH, WIDE, View.OVERALL, (200, 300), HIGH, id="stands upright"),
        pytest.param(HIGH, WIDE, View.OVERALL, (200, 290), HIGH, id="nearly as recorded"),
        pytest.param(HIGH, WIDE, View.OVERALL, (300, 200), None, id="lies down"),
        pytest.param(LOW, WIDE, View.OVERALL, (200, 198), WIDE, id="dish seen from above"),
        pytest.param(LOW, WIDE, View.BASE, (200, 205), WIDE, id="dish seen from below"),
        pytest.param(LOW, WIDE, View.OVERALL, (200, 120), None, id="dish seen aslant"),
        pytest.param(HIGH, WIDE, View.BASE, (200, 200), None, id="foot of a vase"),
        pytest.param(HIGH, None, View.SIDE, (200, 300), HIGH, id="height alone, tall"),
        pytest.param(HIGH, None, View.SIDE, (200, 210), None, id="height alone, may be a dish"),
        pytest.param(None, WIDE, View.BACK, (200, 300), WIDE, id="width alone"),
        pytest.param(None, WIDE, View.MARK, (200, 200), None, id="a mark"),
    ],
)
def test_the_size_that_an_outline_shows(
    height: Measurement | None,
    across: Measurement | None,
    view: View,
    extent: tuple[int, int],
    by: Measurement | None,
) -> None:
    assert governing(height, across, view, extent) is by


def drawn(path: Path, box: tuple[int, int, int, int]) -> Path:
    """A shape in `box` on a background that darkens to the right and downwards."""
    down = Image.linear_gradient("L").resize((400, 300))
    right = Image.linear_gradient("L").rotate(90).resize((400, 300))
    uneven = Image.blend(down, right, 0.5).point(lambda value: 190 - value // 4)
    image = uneven.convert("RGB")
    ImageDraw.Draw(image).ellipse(box, fill=(90, 50, 40))
    image.save(path, "JPEG", quality=90)
    return path


def test_the_outline_is_found_on_an_uneven_background(tmp_path: Path) -> None:
    with Image.open(drawn(tmp_path / "a.jpg", (150, 50, 250, 250))) as image:
        found = outline(image.convert("RGB"))
    assert found is not None
    assert found == pytest.approx((150, 50, 251, 251), abs=4)


def test_a_pixel_is_worth_what_the_recorded_height_says(tmp_path: Path) -> None:
    file = drawn(tmp_path / "a.jpg", (150, 50, 250, 250))
    record = replace(BOWL, measurements=(HIGH,))
    found = scale(record, "overall", (4000, 3000), None, file)
    assert found is not None
    assert found.millimetres == pytest.approx(300 / 2000, rel=0.03)
    assert found.by == "height 30 cm (12 in)"


@pytest.mark.parametrize(
    "measured",
    [
        pytest.param(replace(HIGH, certainty=Certainty.REJECTED), id="rejected"),
        pytest.param(replace(HIGH, part="cover"), id="of a part"),
        pytest.param(replace(HIGH, includes=("stand",)), id="with its stand"),
        pytest.param(replace(HIGH, low="0", high="0"), id="nothing"),
        pytest.param(size(Dimension.WEIGHT, "30", unit=Unit.GRAM), id="a weight"),
    ],
)
def test_a_size_that_is_not_the_height_of_the_piece_gives_no_scale(
    measured: Measurement, tmp_path: Path
) -> None:
    file = drawn(tmp_path / "a.jpg", (150, 50, 250, 250))
    record = replace(BOWL, measurements=(measured,))
    assert scale(record, "overall", (4000, 3000), None, file) is None


def test_a_piece_that_is_cut_off_or_cannot_be_told_from_its_ground_has_no_scale(
    tmp_path: Path,
) -> None:
    record = replace(BOWL, measurements=(HIGH,))
    cut = drawn(tmp_path / "cut.jpg", (150, 120, 250, 400))
    assert scale(record, "overall", (400, 300), None, cut) is None
    plain = tmp_path / "plain.jpg"
    Image.new("RGB", (400, 300), "grey").save(plain)
    assert scale(record, "overall", (400, 300), None, plain) is None


def test_the_region_of_a_group_photograph_counts_as_the_outline(tmp_path: Path) -> None:
    file = drawn(tmp_path / "a.jpg", (10, 10, 390, 290))
    record = replace(BOWL, measurements=(HIGH,))
    found = scale(record, "overall", (400, 300), (20, 40, 100, 200), file)
    assert found is not None
    assert found.millimetres == pytest.approx(1.5)
