"""Finding by glaze colour in a real browser: tiles, nearness, likeness, by keyboard, on paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace as with_changes
from pathlib import Path

import pytest
from msgspec.structs import replace
from PIL import Image

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import Title, View
from archivist.release.naming import piece_slug
from archivist.testing import (
    BOWL,
    export,
    sample_photograph,
    sample_piece,
    sample_selection,
    with_picture,
)
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF
from archivist_plugins.reference_library import REFERENCE_LIBRARY
from tests.browser.conftest import Visit, Visitor
from tests.browser.test_library import AXE, RULES, says, titles, until
from tests.browser.tools import tool
from tests.imaging.colour import drawn

PAPER = drawn.plain((150, 152, 155))
POTS = (
    ("Celadon bowl", drawn.pot(PAPER, drawn.CELADON)),
    ("Celadon jar", drawn.pot(PAPER, (138, 158, 128))),
    ("Tenmoku bowl", drawn.pot(PAPER, drawn.TENMOKU)),
    ("Blue and white", drawn.pot(PAPER, drawn.PORCELAIN, band=drawn.COBALT, lamp=False)),
    ("Nothing to be seen", PAPER),
)
CELADON = "pieces/1c9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a01/index.html"


def pots(folder: Path) -> Iterator[Piece]:
    folder.mkdir(parents=True)
    for number, (title, picture) in enumerate(POTS, start=1):
        record = replace(
            BOWL,
            id=f"{number}c9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a01",
            stock_number=f"G {number}",
            titles=(Title(value=title, preferred=True),),
        )
        yield with_changes(
            sample_piece(folder),
            record=record,
            slug=piece_slug(record),
            photographs=(photograph(folder, picture, number),),
        )


def photograph(folder: Path, picture: Image.Image, number: int) -> DisclosedPhotograph:
    path = folder / f"pot-{number}.jpg"
    picture.save(path, "JPEG", quality=92)
    return with_picture(
        sample_photograph(folder, View.OVERALL),
        path,
        name=path.name,
        width=picture.width,
        height=picture.height,
    )


@pytest.fixture(scope="module")
def glazes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library of five pots of known colours, one of which cannot be told from its ground."""
    folder = tmp_path_factory.mktemp("glazes")
    selection = sample_selection(folder, list(pots(folder / "pictures")))
    export((DUBLIN_CORE, IIIF, REFERENCE_LIBRARY), selection, folder / "out")
    return folder / "out"


def opened(visiting: Visit) -> None:
    visiting.open("index.html")
    visiting.page.get_by_role("button", name="Narrow down").click()
    visiting.page.locator(".tile input").first.wait_for(state="attached")


@pytest.mark.parametrize("over_http", [False, True], ids=["disk", "server"])
def test_a_colour_is_chosen_among_those_of_the_collection(
    visit: Visitor, glazes: Path, over_http: bool
) -> None:
    visiting = visit(glazes, over_http=over_http)
    opened(visiting)
    page = visiting.page
    page.locator(".tile input[aria-label^='green']").first.check()
    says(visiting, "2 pieces of 5")
    assert sorted(titles(visiting)) == ["Celadon bowl", "Celadon jar"]
    assert page.locator("#glaze-note").inner_text() == (
        "1 piece whose glaze could not be measured left out."
    )
    assert "order=colour" in page.url
    assert page.locator("#order").input_value() == "colour"
    again = visit(glazes)
    again.page.goto(page.url)
    says(again, "2 pieces of 5")
    page.get_by_role("button", name="Let go: glaze near green").click()
    says(visiting, "5 pieces")
    assert page.locator("#order").input_value() == "date"
    assert "colour" not in page.url
    assert visiting.failed == []
    assert visiting.complaints == []


def test_a_quarter_of_blue_is_blue_enough(visit: Visitor, glazes: Path) -> None:
    visiting = visit(glazes)
    opened(visiting)
    visiting.page.locator(".tile input[aria-label*='blue']").first.check()
    says(visiting, "1 piece of 5")
    assert titles(visiting) == ["Blue and white"]


def test_colours_and_nearness_are_chosen_by_keyboard(visit: Visitor, glazes: Path) -> None:
    visiting = visit(glazes)
    opened(visiting)
    page = visiting.page
    page.locator(".tile input[aria-label^='green']").first.focus()
    page.keyboard.press("Space")
    says(visiting, "2 pieces of 5")
    slider = page.get_by_label("How near")
    assert slider.get_attribute("aria-valuetext") == "near it"
    slider.focus()
    page.keyboard.press("ArrowRight")
    until(page, "location.hash.includes('near=loosely')")
    assert slider.get_attribute("aria-valuetext") == "loosely like it"
    assert page.locator("#nearness-words").inner_text() == "loosely like it"
    page.keyboard.press("Home")
    until(page, "location.hash.includes('near=close')")
    page.locator(".tile input:checked").focus()
    before = page.url
    page.keyboard.press("ArrowRight")
    until(page, "before => location.href !== before", before)
    assert page.evaluate("document.activeElement.matches('.tile input:checked')")


def test_the_page_of_a_piece_leads_to_others_of_its_glaze(visit: Visitor, glazes: Path) -> None:
    visiting = visit(glazes)
    page = visiting.open(CELADON)
    section = page.locator(".glaze")
    assert "an uncalibrated photograph is not a measurement" in section.inner_text()
    section.get_by_role("link", name="Others of this glaze colour").click()
    says(visiting, "2 pieces of 5")
    assert titles(visiting)[0] == "Celadon bowl"
    page.get_by_role("button", name="Let go: glaze near that of G 1").wait_for()
    page.get_by_role("link", name="Compare these").click()
    until(page, "document.querySelectorAll('.figure').length === 2")
    assert "glaze near that of G 1" in page.locator("#compare-title").inner_text()
    assert visiting.complaints == []


def test_colours_and_the_caution_stand_on_paper_and_the_link_does_not(
    visit: Visitor, glazes: Path
) -> None:
    visiting = visit(glazes)
    page = visiting.open(CELADON)
    page.emulate_media(media="print")
    assert page.locator(".strip").is_visible()
    assert page.locator(".glaze .note").first.is_visible()
    assert not page.get_by_role("link", name="Others of this glaze colour").is_visible()


def test_the_tiles_fit_a_small_window(visit: Visitor, glazes: Path) -> None:
    visiting = visit(glazes, viewport={"width": 320, "height": 800})
    opened(visiting)
    visiting.page.locator(".tile input").first.check()
    visiting.page.wait_for_timeout(200)
    assert visiting.page.evaluate("document.documentElement.scrollWidth") <= 320
    box = visiting.page.locator(".tile").first.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 24  # WCAG 2.2, 2.5.8


def test_axe_finds_nothing_about_the_colours(visit: Visitor, glazes: Path) -> None:
    axe = tool("axe-core", "axe.min.js").read_text(encoding="utf-8")
    visiting = visit(glazes, color_scheme="light")
    for path in ("index.html", CELADON):
        page = visiting.open(path)
        if path == "index.html":
            page.get_by_role("button", name="Narrow down").click()
            page.locator(".tile input").first.check()
            page.wait_for_timeout(200)
        page.evaluate(axe)
        assert page.evaluate(AXE, RULES) == []
        page.emulate_media(color_scheme="dark")
        assert page.evaluate(AXE, {"type": "rule", "values": ["color-contrast"]}) == []
        page.emulate_media(color_scheme="light")
