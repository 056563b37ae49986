"""The library in a real browser: looking, finding, comparing, printing, all of it by keyboard."""

from __future__ import annotations

import re
from dataclasses import replace as with_changes
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from playwright.sync_api import Page

from archivist.model import Note, Region, Title, View
from archivist.testing import BOWL, export, sample_piece, sample_selection
from archivist_plugins.iiif import IIIF
from archivist_plugins.iiif.pyramid import Pyramid
from archivist_plugins.reference_library import REFERENCE_LIBRARY
from tests.browser.conftest import PICTURE, TILE, Visit, Visitor
from tests.browser.tools import node, tool

VASE = "pieces/1b9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a01/index.html"
BOWLS_PAGE = f"pieces/{BOWL.id}/index.html"
PAGES = ("index.html", VASE, BOWLS_PAGE, "compare.html#view=overall", "about.html")


def titles(visit: Visit) -> list[str]:
    return visit.page.locator("#wall .card-title").all_text_contents()


def until(page: Page, predicate: str, argument: object = None) -> None:
    """Waits until `predicate` holds; Playwright's own way needs `eval`, which the pages forbid."""
    for _ in range(200):
        if page.evaluate(predicate, argument):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"not within 10 s: {predicate} ({argument})")


def says(visit: Visit, words: str) -> None:
    until(
        visit.page, "words => document.getElementById('result').textContent.includes(words)", words
    )


def zoom_in(visit: Visit) -> None:
    visit.page.get_by_role("button", name="Look closer").click()
    visit.page.locator(".openseadragon-canvas canvas").wait_for()
    visit.page.wait_for_timeout(300)


# From anywhere, and from nowhere else


@pytest.mark.parametrize("over_http", [False, True], ids=["disk", "server"])
def test_every_page_works_and_asks_only_for_files_of_the_release(
    visit: Visitor, released: Path, over_http: bool
) -> None:
    visiting = visit(released, over_http=over_http)
    for path in PAGES:
        visiting.open(path)
        visiting.page.wait_for_timeout(200)
    visiting.open("index.html#words=celadon")
    says(visiting, "2 pieces of 5")
    visiting.open(VASE)
    zoom_in(visiting)
    outside = [url for url in visiting.requests if not url.startswith(visiting.root)]
    assert outside == []
    assert visiting.failed == []
    assert visiting.complaints == []
    assert len(visiting.requests) > 40


@pytest.mark.parametrize("over_http", [False, True], ids=["disk", "server"])
def test_the_demo_opens_searches_filters_zooms_and_compares(
    visit: Visitor, demo: Path, over_http: bool
) -> None:
    visiting = visit(demo, over_http=over_http)
    page = visiting.open("index.html")
    assert page.locator("#wall .card").count() > 20
    page.get_by_label("Search for words").fill("celadon")
    says(visiting, "pieces of")
    found = page.locator("#wall .card").count()
    assert found > 1
    page.get_by_role("button", name="Narrow down").click()
    page.locator("[data-facet=form] input").first.check()
    until(page, "before => document.querySelectorAll('#wall .card').length < before", found)
    page.locator("#wall .card-link").first.click()
    page.wait_for_load_state("load")
    zoom_in(visiting)
    page.locator(".piece-compare a").first.click()
    page.wait_for_url("**/compare.html*")
    page.locator(".figure-own").first.wait_for()
    assert visiting.failed == []
    assert visiting.complaints == []


def test_markup_in_records_is_shown_and_never_run(visit: Visitor, tmp_path: Path) -> None:
    hostile = "<img src=x onerror='window.planted=1'><script>window.planted=1</script>"
    piece = sample_piece(tmp_path / "pictures")
    record = replace(
        BOWL,
        titles=(Title(value=hostile, preferred=True),),
        descriptions=(Note(as_stated=hostile),),
        features=tuple(replace(f, term=replace(f.term, label=hostile)) for f in BOWL.features),
    )
    shown = tuple(with_changes(p, label=hostile) for p in piece.photographs)
    selection = sample_selection(
        tmp_path / "pictures", [with_changes(piece, record=record, photographs=shown)]
    )
    export((IIIF, REFERENCE_LIBRARY), selection, tmp_path / "out")
    visiting = visit(tmp_path / "out")
    for path in ("index.html#words=bowl", BOWLS_PAGE, "compare.html#view=overall&words=bowl"):
        page = visiting.open(path)
        page.wait_for_timeout(300)
        if path.startswith("index"):
            page.get_by_role("button", name="Narrow down").click()
            page.locator(".facet input").first.check()
            page.wait_for_timeout(200)
        assert page.evaluate("window.planted") is None
        assert page.locator("img[src=x]").count() == 0
        assert hostile in page.locator("main").inner_text()


def test_without_scripts_all_can_be_looked_at(visit: Visitor, released: Path) -> None:
    visiting = visit(released, java_script_enabled=False)
    page = visiting.open("index.html")
    assert page.locator(".card img").count() == 5
    assert not page.locator("#finder").is_visible()
    page = visiting.open(VASE)
    assert page.locator(".view img").count() == 2
    assert page.get_by_text("firing gap").first.is_visible()


# Finding


def test_results_come_as_one_types_and_the_address_brings_them_back(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    page = visiting.open("index.html")
    page.keyboard.press("/")
    page.keyboard.type("ch'ien lu")
    says(visiting, "1 piece of 5")
    assert titles(visiting) == ["Vase, Qianlong"]
    address = page.url
    again = visit(released)
    again.page.goto(address)
    says(again, "1 piece of 5")
    assert titles(again) == ["Vase, Qianlong"]
    page.get_by_label("Search for words").fill("nothing like it")
    says(visiting, "No piece is what was asked for.")
    page.get_by_label("Search for words").fill("")
    says(visiting, "5 pieces")
    assert titles(visiting)[-1] == "Jar of no known date"


def test_years_tell_certainly_from_possibly_and_what_has_no_date(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    page = visiting.open("index.html")
    page.get_by_role("button", name="Narrow down").click()
    page.locator("#years-from").fill("1780")
    page.locator("#years-to").fill("1830")
    says(visiting, "2 pieces of 5, 0 of them certainly within these years")
    assert page.locator("#years-note").inner_text() == "1 piece without a date left out."
    page.get_by_label("certainly within these years").check()
    says(visiting, "No piece")
    page.locator("#years-from").fill("1700")
    says(visiting, "2 pieces of 5")
    page.locator("#years-from").fill("-206")
    until(page, "() => location.hash.includes('made=-205/1830')")
    page.get_by_role("button", name="Let go: certainly 206 BCE – 1830").click()
    says(visiting, "5 pieces")


def test_the_slider_asks_for_years_by_keyboard(visit: Visitor, released: Path) -> None:
    visiting = visit(released)
    page = visiting.open("index.html")
    page.get_by_role("button", name="Narrow down").click()
    slider = page.get_by_label("From year")
    until(page, "document.getElementById('years-from-slider').min === '1100'")
    slider.focus()
    page.keyboard.press("End")
    page.keyboard.press("ArrowLeft")
    until(page, "document.getElementById('years-from').value !== ''")
    assert "made=" in page.url
    page.keyboard.press("Home")
    says(visiting, "5 pieces")


def test_sizes_and_facets_narrow_down_together(visit: Visitor, released: Path) -> None:
    visiting = visit(released)
    page = visiting.open("index.html")
    page.get_by_role("button", name="Narrow down").click()
    page.get_by_label("height from, in centimetres").fill("20")
    says(visiting, "3 pieces of 5")
    page.locator("[data-facet=form]").get_by_label("ewer").check()
    says(visiting, "1 piece of 5")
    assert titles(visiting) == ["Ewer, tin glaze"]
    assert "is-form=ewer" in page.url


# Looking


def test_tiles_of_every_level_load_and_are_those_that_are_declared(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released, over_http=True)
    page = visiting.open(VASE)
    zoom_in(visiting)
    for _ in range(6):
        page.keyboard.press("+")
        page.wait_for_timeout(350)
    page.wait_for_timeout(400)
    pyramid = Pyramid(*PICTURE, TILE)
    declared = {path for request in pyramid.requests() for path in request.paths}
    asked = set()
    for url in visiting.requests:
        found = re.search(r"/iiif/v-1-[^/]+/overall-01/(.*)$", url)
        if found:
            asked.add(found[1])
    assert asked <= declared
    levels = set()
    for address in asked:
        region, size = address.split("/")[:2]
        if "," in region:
            levels.add(round(int(region.split(",")[2]) / int(size.split(",")[0])))
    assert {1, 2, 4} <= levels, levels
    assert visiting.failed == []


def test_photographs_are_shown_in_order_and_have_addresses(visit: Visitor, released: Path) -> None:
    visiting = visit(released)
    page = visiting.open(VASE)
    assert page.locator("#stage-words").inner_text().startswith("1 of 2 · overall")
    page.keyboard.press(".")
    until(page, "document.getElementById('stage-words').textContent.startsWith('2 of 2')")
    assert page.url.endswith("#photograph-2")
    visiting.open(f"{VASE}#photograph-2")
    assert "foot rim" in page.locator("#stage-words").inner_text()


def test_looking_closer_goes_by_keyboard_alone(visit: Visitor, released: Path) -> None:
    visiting = visit(released)
    page = visiting.open("index.html")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('.card-link')"):
            break
    page.keyboard.press("Enter")
    page.wait_for_url("**/pieces/**")
    page.wait_for_load_state("load")
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "Full window":
            break
    page.keyboard.press("Enter")
    page.locator(".stage.full .openseadragon-canvas canvas").wait_for()
    until(page, "document.activeElement.matches('.stage-zoom')")
    page.keyboard.press("+")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Escape")
    until(page, "!document.querySelector('.stage.full')")
    assert visiting.complaints == []


# Comparing


def figures(visit: Visit) -> list[dict[str, Any]]:
    visit.page.locator(".figure").first.wait_for()
    visit.page.wait_for_timeout(300)
    found: list[dict[str, Any]] = visit.page.evaluate(
        """() => [...document.querySelectorAll('.figure')].map((figure) => {
          const image = figure.querySelector('img');
          const box = image.getBoundingClientRect();
          const frame = figure.querySelector('.figure-frame').getBoundingClientRect();
          return {
            title: figure.querySelector('a').textContent,
            scale: figure.querySelector('.figure-scale').textContent,
            width: box.width, height: box.height,
            left: (frame.left + frame.width / 2 - box.left) / box.width,
            top: (frame.top + frame.height / 2 - box.top) / box.height,
          };
        })"""
    )
    return found


def test_one_view_of_many_pieces_stands_side_by_side_in_date_order(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    page = visiting.open("compare.html#view=foot%20rim")
    shown = figures(visiting)
    assert [f["title"] for f in shown] == [
        "Bottle, celadon",
        "Vase, Qianlong",
        "Jar of no known date",
    ]
    says(visiting, "2 without a photograph of this view left out")
    page.get_by_label("view").select_option("overall")
    until(page, "document.querySelectorAll('.figure').length === 5")
    assert "view=overall" in page.url


def test_chosen_pieces_are_compared_under_an_address_of_their_own(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    page = visiting.open("index.html")
    for title in ("Vase, Qianlong", "Ewer, tin glaze"):
        page.get_by_role("button", name=f"Choose to compare: {title}").click()
    page.get_by_role("link", name="Compare", exact=True).last.click()
    page.wait_for_url("**/compare.html*")
    assert [f["title"] for f in figures(visiting)] == ["Ewer, tin glaze", "Vase, Qianlong"]
    elsewhere = visit(released)
    elsewhere.page.goto(page.url)
    assert [f["title"] for f in figures(elsewhere)] == ["Ewer, tin glaze", "Vase, Qianlong"]


def test_a_piece_is_chosen_on_its_page_too(visit: Visitor, released: Path) -> None:
    visiting = visit(released)
    page = visiting.open(VASE)
    page.get_by_role("button", name="Choose to compare").click()
    page.get_by_role("link", name="Compare 1 chosen piece").click()
    page.wait_for_url("**/compare.html*")
    assert [f["title"] for f in figures(visiting)] == ["Vase, Qianlong"]


def test_a_piece_is_compared_with_its_like_and_stands_out_among_them(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    page = visiting.open(BOWLS_PAGE)
    page.locator(".piece-compare a").first.click()
    page.wait_for_url("**/compare.html*")
    shown = figures(visiting)
    assert [f["title"] for f in shown] == ["Bowl with celadon glaze"]
    assert page.locator(".figure-own").count() == 1
    assert page.locator("#compare-title").inner_text() == "Overall: bowl"


def test_a_file_that_is_missing_is_told_in_plain_words(visit: Visitor, tmp_path: Path) -> None:
    selection = sample_selection(tmp_path / "pictures")
    export(REFERENCE_LIBRARY, selection, tmp_path / "out")
    (tmp_path / "out/reference-library/data/pieces-7.js").unlink()
    visiting = visit(tmp_path / "out")
    visiting.open("index.html#words=bowl")
    says(visiting, "data/pieces-7.js could not be read. Copy the whole folder")


def test_the_part_of_a_group_photograph_that_shows_the_piece_is_framed(
    visit: Visitor, tmp_path: Path
) -> None:
    piece = sample_piece(tmp_path / "pictures", views=(View.GROUP,))
    region = Region(x=12, y=18, width=24, height=36, reference_width=96, reference_height=72)
    group = with_changes(piece.photographs[0], region=region)
    selection = sample_selection(tmp_path / "pictures", [with_changes(piece, photographs=(group,))])
    export((IIIF, REFERENCE_LIBRARY), selection, tmp_path / "out")
    visiting = visit(tmp_path / "out")
    page = visiting.open(BOWLS_PAGE)
    frame = page.locator(".region rect").bounding_box()
    whole = page.locator(".stage-frame img").bounding_box()
    assert frame
    assert whole
    assert (frame["x"] - whole["x"]) / whole["width"] == pytest.approx(12 / 96, abs=0.02)
    assert frame["height"] / whole["height"] == pytest.approx(36 / 72, abs=0.02)
    zoom_in(visiting)
    assert page.locator(".region-frame").count() == 1
    assert visiting.complaints == []


def test_at_one_scale_a_centimetre_is_as_long_in_every_picture(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    visiting.open("compare.html#view=overall&words=V&scale=1")
    shown = {f["title"]: f for f in figures(visiting)}
    # Dots of the page for a centimetre: the shape's share of the picture, by its height in cm.
    dots = [
        shown[title]["height"] * tall / PICTURE[1] / high
        for title, high, tall in (
            ("Vase, Qianlong", 30, 1000),
            ("Bottle, celadon", 15, 1000),
            ("Ewer, tin glaze", 20, 500),
            ("Jar of no known date", 25, 800),
        )
    ]
    assert max(dots) / min(dots) == pytest.approx(1, abs=0.03)
    assert shown["Ewer, tin glaze"]["scale"] == "scale by height 20 cm (8 in)"


def test_all_pictures_zoom_and_move_together(visit: Visitor, released: Path) -> None:
    visiting = visit(released)
    page = visiting.open("compare.html#view=overall&words=V")
    before = figures(visiting)
    page.get_by_role("button", name="Zoom all in").click()
    page.keyboard.press("+")
    page.keyboard.press("ArrowRight")
    after = figures(visiting)
    for small, large in zip(before, after, strict=True):
        assert large["width"] / small["width"] == pytest.approx(2.25, abs=0.02)
    assert len({round(f["left"], 3) for f in after}) == 1
    assert after[0]["left"] > before[0]["left"] + 0.05
    page.keyboard.press("0")
    assert [round(f["width"]) for f in figures(visiting)] == [round(f["width"]) for f in before]
    assert visiting.failed == []


# Paper, small windows, and everybody


def test_a_comparison_on_paper_shows_as_much_of_each_picture_as_on_the_screen(
    visit: Visitor, released: Path
) -> None:
    visiting = visit(released)
    page = visiting.open("compare.html#view=overall&words=V&scale=1")
    share = """() => [...document.querySelectorAll('.figure-frame')].map((frame) =>
      frame.querySelector('img').getBoundingClientRect().width / frame.clientWidth)"""
    figures(visiting)
    before = page.evaluate(share)
    page.emulate_media(media="print")
    assert page.evaluate(share) == pytest.approx(before, abs=0.01)


@pytest.mark.parametrize("path", [VASE, "compare.html#view=overall", "index.html"])
def test_pages_print_with_their_pictures_and_without_controls(
    visit: Visitor, released: Path, path: str
) -> None:
    visiting = visit(released)
    page = visiting.open(path)
    page.locator("img").first.wait_for()
    page.wait_for_timeout(300)
    paper = page.pdf(format="A4")
    assert paper.startswith(b"%PDF")
    assert b"/Image" in paper
    page.emulate_media(media="print")
    assert not any(button.is_visible() for button in page.get_by_role("button").all())
    assert (
        page.locator("main img").first.is_visible() or page.locator(".view img").first.is_visible()
    )
    if path.startswith("compare"):
        assert "view=overall" in page.locator("#compare-address").inner_text()


@pytest.mark.parametrize("path", PAGES)
def test_nothing_runs_out_of_a_small_window(visit: Visitor, released: Path, path: str) -> None:
    visiting = visit(released, viewport={"width": 320, "height": 640})
    page = visiting.open(path)
    page.wait_for_timeout(200)
    if path == "index.html":
        page.get_by_role("button", name="Narrow down").click()
        page.locator(".facet input").first.wait_for()
    for width in (320, 390, 768):
        page.set_viewport_size({"width": width, "height": 640})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""Axe's names for WCAG 2.2, levels A and AA, and what it advises beyond."""

AXE = """
async (rules) => {
  const found = await axe.run(document, {runOnly: rules});
  return found.violations.map((v) =>
    `${v.impact} ${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html).join(' | ')}`);
}
"""


@pytest.mark.parametrize("path", [*PAGES, "filters", "zoom", "full"])
def test_axe_finds_nothing_on_any_page_by_day_or_night(
    visit: Visitor, released: Path, path: str
) -> None:
    axe = tool("axe-core", "axe.min.js").read_text(encoding="utf-8")
    visiting = visit(released, color_scheme="light")
    page = visiting.open({"filters": "index.html", "zoom": VASE, "full": VASE}.get(path, path))
    page.wait_for_timeout(300)
    if path == "filters":
        page.get_by_role("button", name="Narrow down").click()
        page.locator("#years-from").fill("1500")
        page.locator(".facet input").first.check()
        page.wait_for_timeout(200)
    elif path == "zoom":
        zoom_in(visiting)
    elif path == "full":
        page.get_by_role("button", name="Full window").click()
        page.locator(".stage.full .openseadragon-canvas canvas").wait_for()
    page.evaluate(axe)
    assert page.evaluate(AXE, RULES) == []
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(AXE, {"type": "rule", "values": ["color-contrast"]}) == []


def test_the_pages_are_valid_html(released: Path, tmp_path: Path) -> None:
    checker = tool("html-validate", "bin", "html-validate.mjs")
    config = tmp_path / "rules.json"
    config.write_text(
        '{"extends": ["html-validate:standard", "html-validate:a11y"]}', encoding="utf-8"
    )
    pages = sorted((released / "reference-library").rglob("*.html"))
    assert len(pages) == 8
    done = node(checker, "--config", config, *pages)
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr
