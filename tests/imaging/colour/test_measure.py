"""The colours of a piece are told from its photograph, or it is said why they are not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from archivist.imaging.colour import ground, lab
from archivist.imaging.colour.card import find_card
from archivist.imaging.colour.difference import ciede2000
from archivist.imaging.colour.measure import distance, measure, read
from archivist.imaging.colour.values import GlazeColour, GlazeColours
from archivist.imaging.derivatives import fit
from tests.imaging.colour import drawn

GROUNDS = {
    "grey paper": drawn.plain((150, 152, 155)),
    "black": drawn.plain((8, 8, 9)),
    "white": drawn.plain((250, 250, 248)),
    "blue paper": drawn.plain((120, 140, 170)),
    "a gradient": drawn.gradient((70, 72, 76), (190, 190, 188)),
    "cloth": drawn.cloth((176, 160, 140)),
}


def off(found: GlazeColour, pixel: tuple[int, int, int]) -> float:
    return float(ciede2000(found.lab, lab.lab_of(np.array(pixel, np.uint8))))


@pytest.mark.parametrize(
    ("name", "colour"),
    [
        (name, colour)
        for name in GROUNDS
        for colour in (drawn.CELADON, drawn.TENMOKU, drawn.COBALT)
        if (name, colour) != ("black", drawn.TENMOKU)
    ],
)
def test_a_glaze_is_measured_on_every_ground_without_its_shadow_and_the_mirrored_lamp(
    name: str, colour: tuple[int, int, int]
) -> None:
    found = measure(drawn.pot(GROUNDS[name], colour))
    assert found is not None
    assert off(found.colours[0], colour) < 2
    assert found.colours[0].share > 0.93
    assert found.colours[0].spread < 8


def test_two_colours_have_their_shares() -> None:
    found = measure(
        drawn.pot(GROUNDS["grey paper"], drawn.PORCELAIN, band=drawn.COBALT, lamp=False)
    )
    assert found is not None
    white, blue = found.colours
    assert off(white, drawn.PORCELAIN) < 2
    assert off(blue, drawn.COBALT) < 2
    assert 0.18 < blue.share < 0.26  # 176 by 60 of an ellipse of 200 by 310, less its edges
    assert sum(colour.share for colour in found.colours) == pytest.approx(1, abs=0.002)


def test_the_spread_is_that_of_the_pixels() -> None:
    patches = np.where(np.indices((480, 640)).sum(0) // 80 % 2, 6, -6)[..., None]
    picture = np.asarray(drawn.plain(drawn.CELADON)) + patches
    found = read(Image.fromarray(picture.astype(np.uint8)), filled=True).colours
    still = read(drawn.plain(drawn.CELADON), filled=True).colours
    assert found is not None
    assert still is not None
    assert still.colours[0].spread == 0
    lighter, darker = (np.array(drawn.CELADON, np.uint8) + 6, np.array(drawn.CELADON, np.uint8) - 6)
    apart = float(np.linalg.norm(lab.lab_of(lighter) - lab.lab_of(darker)))
    assert len(found.colours) == 1
    assert found.colours[0].spread == pytest.approx(apart / 2, abs=0.3)


@pytest.mark.parametrize(
    ("picture", "reason"),
    [
        (drawn.plain((150, 150, 150)), "background"),
        (drawn.pot(drawn.plain(drawn.PORCELAIN), drawn.PORCELAIN, lamp=False), "background"),
        (drawn.cloth((150, 140, 130)), "background"),
        (drawn.pot(GROUNDS["grey paper"], drawn.CELADON).convert("L"), "grey"),
        (Image.new("RGB", (3, 3), (9, 9, 9)), ""),
        (Image.new("RGB", (400, 1), (9, 9, 9)), ""),
    ],
    ids=["no piece", "white on white", "cloth alone", "shades of grey", "tiny", "a line"],
)
def test_where_no_piece_can_be_told_nothing_is_and_it_is_said_why(
    picture: Image.Image, reason: str
) -> None:
    found = read(picture)
    assert found.colours is None
    assert found.reason
    assert reason in found.reason


@pytest.mark.parametrize(
    ("card", "called"),
    [
        (drawn.card, "white, grey and black"),
        (drawn.long_card, "white, grey and black"),
        (drawn.grey_card, "taken for a grey card"),
    ],
)
def test_a_card_beside_the_piece_balances_the_picture_and_is_said(
    card: Callable[[ImageDraw.ImageDraw], None], called: str
) -> None:
    wrong = (1.25, 1.0, 0.72)
    bare = drawn.pot(GROUNDS["grey paper"], drawn.CELADON)
    carded = drawn.pot(GROUNDS["grey paper"], drawn.CELADON, paint=card)
    without = measure(drawn.tinted(bare, wrong))
    with_card = measure(drawn.tinted(carded, wrong))
    assert without is not None
    assert with_card is not None
    assert without.card == ""
    assert called in with_card.card
    assert off(without.colours[0], drawn.CELADON) > 6
    assert off(with_card.colours[0], drawn.CELADON) < 3
    assert with_card.colours[0].share > 0.93


def test_a_grey_square_painted_on_the_piece_is_no_card() -> None:
    def square(picture: ImageDraw.ImageDraw) -> None:
        picture.rectangle((280, 220, 340, 280), fill=(118, 112, 108))

    picture = drawn.pot(GROUNDS["grey paper"], drawn.PORCELAIN, paint=square, lamp=False)
    assert find_card(picture) is not None
    found = measure(picture)
    assert found is not None
    assert found.card == ""
    assert off(found.colours[0], drawn.PORCELAIN) < 2


def test_no_card_is_seen_where_there_is_none(shared_photos: Path) -> None:
    assert find_card(drawn.pot(GROUNDS["a gradient"], drawn.PORCELAIN)) is None
    for path in sorted((shared_photos / "ceramics").glob("*.jpg")):
        with Image.open(path) as image:
            assert find_card(image.convert("RGB")) is None, path.name


GLAZES: dict[str, tuple[float, float, float]] = {
    # What the museum's photographs show to the eye, looked at one by one; CIELAB by hand.
    "artic-12476-843.jpg": (54, -9, 20),  # a celadon dish
    "artic-17539-843.jpg": (34, -25, 10),  # a vase, green all over
    "artic-12602-843.jpg": (81, 0, 4),  # a white bell
    "artic-12305-843.jpg": (85, 2, 11),  # a Ding dish, ivory
    "artic-135-843.jpg": (60, -17, 11),  # a green vase
    "artic-12543-843.jpg": (32, 6, 0),  # a Jun bulb bowl, purple-brown
}


@pytest.mark.parametrize("name", GLAZES)
def test_real_glazes_are_what_the_eye_says(name: str, shared_photos: Path) -> None:
    with Image.open(shared_photos / "ceramics" / name) as image:
        found = measure(image.convert("RGB"))
    assert found is not None
    assert float(ciede2000(found.colours[0].lab, GLAZES[name])) < 6


def test_of_thirty_real_photographs_nearly_all_are_separated_and_no_lit_ground_is_a_colour(
    shared_photos: Path,
) -> None:
    separated = 0
    for path in sorted((shared_photos / "ceramics").glob("*.jpg")):
        with Image.open(path) as image:
            picture = image.convert("RGB")
        found = measure(picture)
        if found is None:
            continue
        separated += 1
        around = ground.separate(lab.lab_of(np.asarray(fit(picture, 200)))).ground
        main = found.colours[0]
        assert float(ciede2000(main.lab, around)) > 3.5, f"{path.name}: {main} on {around}"
    assert separated >= 28


def palette(*colours: tuple[float, tuple[float, float, float]]) -> GlazeColours:
    return GlazeColours(tuple(GlazeColour(share, lab_, 2.0) for share, lab_ in colours), 1000)


WHITE, BLUE, GREEN = (90.0, 0.0, 2.0), (35.0, 8.0, -38.0), (60.0, -12.0, 14.0)


def test_a_piece_is_as_blue_when_a_quarter_of_it_is_as_when_all_of_it_is() -> None:
    assert distance(BLUE, palette((0.75, WHITE), (0.25, BLUE))) == 0
    assert distance(BLUE, palette((1.0, BLUE))) == 0
    tenth = distance(BLUE, palette((0.9, WHITE), (0.1, BLUE)))
    assert tenth == pytest.approx(0.6 * float(ciede2000(BLUE, WHITE)))
    assert distance(BLUE, palette((1.0, GREEN))) == pytest.approx(float(ciede2000(BLUE, GREEN)))


def test_a_piece_is_like_another_when_each_of_its_colours_is_there() -> None:
    painted = palette((0.8, WHITE), (0.2, BLUE))
    assert distance(painted, painted) == pytest.approx(0, abs=1e-9)
    assert distance(painted, palette((1.0, WHITE))) == pytest.approx(
        0.2 * float(ciede2000(BLUE, WHITE))
    )
    assert distance(painted, palette((1.0, GREEN))) > 20


CARDED = "HW 0417 celadon bowl/DSC_0207.JPG"
INSIDE = (58.8, -7.7, 7.6)
"""The glaze of the bowl in the demo where it is of middle thickness, as it was drawn
(demo_collection/drawing/korea.py, the second colour of CELADON)."""


def test_the_card_in_the_demo_is_found_and_the_glaze_measured_beside_it() -> None:
    photographs = (
        Path(__file__).parents[3] / "demo_collection/archivist_demo/collection/Photographs"
    )
    with Image.open(photographs / CARDED) as image:
        picture = image.convert("RGB")
    wrong = drawn.tinted(picture, (1.18, 1.0, 0.8))
    for shown in (picture, wrong):
        found = measure(shown)
        assert found is not None
        assert found.card
        inside = min(found.colours, key=lambda colour: abs(colour.lab[0] - INSIDE[0]))
        assert float(ciede2000(inside.lab, INSIDE)) < 3
    bare = np.asarray(wrong).copy()
    bare[500:600, 680:900] = np.asarray(wrong)[380:480, 680:900]  # paper laid over the card
    without = measure(Image.fromarray(bare))
    assert without is not None
    assert without.card == ""
    inside = min(without.colours, key=lambda colour: abs(colour.lab[0] - INSIDE[0]))
    assert float(ciede2000(inside.lab, INSIDE)) > 4


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 70), st.integers(1, 70), st.integers(0, 9999), st.sampled_from([1, 40, 255]))
def test_any_picture_tells_colours_that_add_up_or_a_reason(
    width: int, height: int, seed: int, contrast: int
) -> None:
    chance = np.random.default_rng(seed)
    few = chance.integers(0, contrast + 1, (height // 9 + 1, width // 9 + 1, 3)).astype(np.uint8)
    found = read(Image.fromarray(few).resize((width, height)))
    assert (found.colours is None) == bool(found.reason)
    if found.colours is not None:
        assert 1 <= len(found.colours.colours) <= 4
        assert sum(colour.share for colour in found.colours.colours) == pytest.approx(1, abs=0.003)
        assert found.colours.pixels >= 150
        for colour in found.colours.colours:
            assert 0 <= colour.lab[0] <= 100
            assert colour.spread >= 0
