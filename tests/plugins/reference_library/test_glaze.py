"""Glaze colours in the library: the pages compare as the program does, and show what was found."""

from __future__ import annotations

import json
import random
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from archivist.finding.colours import PieceColours
from archivist.hooks import WrittenFile
from archivist.imaging.colour.difference import ciede2000
from archivist.imaging.colour.lab import lab_of
from archivist.imaging.colour.palette import distance
from archivist.imaging.colour.values import GlazeColour, GlazeColours
from archivist.model import View
from archivist.testing import (
    BOWL,
    export,
    sample_photograph,
    sample_piece,
    sample_selection,
    with_picture,
)
from archivist_plugins.reference_library import REFERENCE_LIBRARY
from archivist_plugins.reference_library.entry import LibraryEntry
from archivist_plugins.reference_library.glaze import APART, MOST_TILES, ROWS, signs, tiles
from tests.browser.tools import node
from tests.imaging.colour import drawn
from tests.imaging.colour.published import PAIRS
from tests.plugins.reference_library.asking import SCRIPTS, ask

RUN = """
import {{ ciede2000, labOf }} from '{folder}/difference.js';
import {{ readFileSync }} from 'node:fs';
const {{ pairs, pixels }} = JSON.parse(readFileSync(process.argv[2], 'utf8'));
process.stdout.write(JSON.stringify({{
  differences: pairs.map(([one, other]) => ciede2000(one, other)),
  labs: pixels.map(labOf),
}}));
"""


def in_node(folder: Path, pairs: list[Any], pixels: list[str]) -> dict[str, Any]:
    script, asked = folder / "run.mjs", folder / "asked.json"
    script.write_text(RUN.format(folder=SCRIPTS.as_uri()), encoding="utf-8")
    asked.write_text(json.dumps({"pairs": pairs, "pixels": pixels}), encoding="utf-8")
    done = node(script, asked)
    assert done.returncode == 0, done.stderr
    answers: dict[str, Any] = json.loads(done.stdout)
    return answers


def test_the_published_pairs_differ_in_the_pages_as_published(tmp_path: Path) -> None:
    both_ways = [[one, other] for one, other, _ in PAIRS] + [[b, a] for a, b, _ in PAIRS]
    found = in_node(tmp_path, both_ways, [])["differences"]
    assert [round(value, 4) for value in found] == [value for *_, value in PAIRS] * 2


def test_the_pages_and_the_program_agree_on_any_colours(tmp_path: Path) -> None:
    chance = np.random.default_rng(4)
    ones, others = chance.uniform((0, -90, -90), (100, 90, 90), (2, 3000, 3))
    pixels = chance.integers(0, 256, (500, 3), np.uint8)
    pairs = np.stack([ones, others], axis=1).tolist()
    found = in_node(tmp_path, pairs, [bytes(pixel).hex() for pixel in pixels])
    assert np.abs(np.array(found["differences"]) - ciede2000(ones, others)).max() < 1e-9
    assert np.abs(np.array(found["labs"]) - lab_of(pixels)).max() < 0.001


def glaze(*colours: tuple[float, tuple[float, float, float]]) -> GlazeColours:
    return GlazeColours(tuple(GlazeColour(share, lab, 3.0) for share, lab in colours), 900)


WHITE, BLUE, CELADON, BROWN = (90.0, 0.0, 2.0), (36.0, 6.0, -38.0), (62.0, -12.0, 10.0), (25, 9, 12)


def entry(number: int, colours: GlazeColours | None, title: str = "Bowl") -> LibraryEntry:
    return LibraryEntry(
        id=f"{number:x}0000000-0000-4000-8000-00000000000{number:x}",
        title=title,
        number=f"N {number}",
        words=(title.lower(),),
        colours=PieceColours(colours),
    )


ENTRIES = (
    entry(1, glaze((1.0, CELADON))),
    entry(2, glaze((0.7, WHITE), (0.3, BLUE)), "Dish"),
    entry(3, glaze((0.9, BLUE), (0.1, WHITE))),
    entry(4, None),
    entry(5, glaze((1.0, BROWN)), "Jar"),
    entry(6, glaze((0.95, WHITE), (0.05, BLUE))),
    entry(7, glaze((1.0, (64.0, -9.0, 13.0)))),
)


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("colour=2c5290", ["N 2", "N 3"]),
        ("colour=2c5290&words=dish", ["N 2"]),
        ("colour=82a086", ["N 1", "N 7"]),
        ("colour=82a086&near=close", ["N 1"]),
        ("glaze-of=20000000", ["N 2"]),
        ("glaze-of=20000000&near=loosely", ["N 2", "N 6"]),
        ("glaze-of=50000000-0000", ["N 5"]),
        ("glaze-of=40000000", []),
        ("glaze-of=ffffffff", []),
        ("colour=ff0000", []),
        ("colour=nonsense&glaze-of=%00&near=", ["N 1", "N 2", "N 3", "N 4", "N 5", "N 6", "N 7"]),
    ],
)
def test_pieces_are_found_by_colour(asked: str, found: list[str], tmp_path: Path) -> None:
    (answer,) = ask([asked], tmp_path, ENTRIES)
    assert sorted(answer["numbers"]) == found


def test_how_many_pieces_have_no_known_colour_is_told(tmp_path: Path) -> None:
    some, none = ask(["colour=2c5290", "words=bowl"], tmp_path, ENTRIES)
    assert some["colourless"] == 1
    assert none["colourless"] == 0


def test_the_nearest_in_colour_stand_first(tmp_path: Path) -> None:
    (answer,) = ask(["colour=82a086&near=loosely&order=colour"], tmp_path, ENTRIES)
    assert answer["by_colour"][:2] == ["N 1", "N 7"]


@pytest.mark.parametrize(
    "address",
    [
        "colour=82a086&near=loosely&order=colour",
        "words=bowl&colour=82a086",
        "glaze-of=20000000-0000-4000-8000-000000000002&near=close",
    ],
)
def test_an_address_says_again_which_colour_was_read_from_it(address: str, tmp_path: Path) -> None:
    assert ask([address], tmp_path, ENTRIES)[0]["again"] == address


LOOSELY = 20


def as_told(found: GlazeColours) -> GlazeColours:
    """The colours rounded as the index tells them."""
    return GlazeColours(
        tuple(
            GlazeColour(
                max(1, round(colour.share * 63)) / 63,
                (round(colour.lab[0]), round(colour.lab[1]), round(colour.lab[2])),
                0,
            )
            for colour in found.colours
        ),
        found.pixels,
    )


def test_pages_and_program_tell_the_same_distance(tmp_path: Path) -> None:
    chance = random.Random(6)

    def some() -> GlazeColours:
        shares = sorted((chance.uniform(0.1, 1) for _ in range(chance.randint(1, 4))), reverse=True)
        labs = [(chance.uniform(5, 95), chance.gauss(0, 20), chance.gauss(5, 20)) for _ in shares]
        return glaze(*((s / sum(shares), lab) for s, lab in zip(shares, labs, strict=True)))

    entries = [entry(number, some()) for number in range(1, 16)]
    answers = ask([f"glaze-of={one.id}" for one in entries], tmp_path, entries)
    for one, answer in zip(entries, answers, strict=True):
        for other, told in zip(entries, answer["off"], strict=True):
            assert one.colours.glaze is not None
            assert other.colours.glaze is not None
            ours = distance(as_told(one.colours.glaze), as_told(other.colours.glaze))
            if told <= LOOSELY:  # beyond that it is not worked out to the end
                assert told == pytest.approx(ours, abs=0.001), (one.id, other.id)
            else:
                assert ours > LOOSELY


def test_signs_in_a_known_case() -> None:
    assert signs(None) == ""
    assert signs(glaze((1.0, (0.0, -128.0, -128.0)))) == "_AAAA"
    assert signs(glaze((0.5, (100.4, 127.0, 127.0)))) == "gZP__"
    assert signs(glaze((0.5, (130.0, 900.0, -900.0)))) == "gf_8A"


def test_tiles_are_the_colours_that_are_there_in_rows_and_none_twice() -> None:
    made = tiles(ENTRIES)
    names = [tile.name for tile in made]
    assert "dark brown" in names
    assert "blue" in names
    assert [ROWS.index(tile.family) for tile in made] == sorted(
        ROWS.index(tile.family) for tile in made
    )
    chance = random.Random(8)
    many = [
        entry(1, glaze((1.0, (chance.uniform(5, 95), chance.gauss(0, 25), chance.gauss(5, 25)))))
        for _ in range(600)
    ]
    made = tiles(many)
    labs = lab_of(np.array([list(bytes.fromhex(tile.srgb)) for tile in made], np.uint8))
    apart = ciede2000(labs[:, None], labs[None])[np.triu_indices(len(labs), 1)]
    assert len(made) == MOST_TILES
    assert apart.min() > APART - 1.5  # what sRGB cannot show is clipped
    assert tiles([entry(1, None)]) == []


def library_of(folder: Path, *pictures: tuple[View, Image.Image]) -> dict[str, WrittenFile]:
    photographs = []
    for number, (view, picture) in enumerate(pictures):
        path = folder / f"{number}.png"
        folder.mkdir(parents=True, exist_ok=True)
        picture.save(path)
        photographs.append(
            with_picture(
                sample_photograph(folder, view),
                path,
                name=f"{number}.png",
                width=picture.width,
                height=picture.height,
            )
        )
    piece = replace(sample_piece(folder), photographs=tuple(photographs))
    return export(REFERENCE_LIBRARY, sample_selection(folder, [piece]), folder / "out")


def page_of(written: dict[str, WrittenFile]) -> str:
    file = written[f"reference-library/pieces/{BOWL.id}/index.html"]
    return " ".join(file.location.read_text(encoding="utf-8").split())


def test_the_page_of_a_piece_shows_its_colours_with_the_caution(tmp_path: Path) -> None:
    picture = drawn.pot(drawn.plain((150, 152, 155)), drawn.CELADON)
    page = page_of(library_of(tmp_path, (View.OVERALL, picture)))
    assert "Glaze colours, from the photographs" in page
    assert "an uncalibrated photograph is not a measurement" in page
    assert "No card of neutral grey lies beside it" in page
    assert f"index.html#glaze-of={BOWL.id}" in page
    (fill,) = set(re.findall(r'fill="#([0-9a-f]{6})"', page))
    found = lab_of(np.array(list(bytes.fromhex(fill)), np.uint8))
    assert float(ciede2000(found, lab_of(np.array(drawn.CELADON, np.uint8)))) < 3


def test_the_page_says_that_a_card_was_used(tmp_path: Path) -> None:
    picture = drawn.pot(drawn.plain((150, 152, 155)), drawn.CELADON, paint=drawn.card)
    page = page_of(library_of(tmp_path, (View.OVERALL, picture)))
    assert "White balance from a card of white, grey and black patches in the photograph" in page


def test_the_page_says_why_a_glaze_was_not_measured(tmp_path: Path) -> None:
    page = page_of(library_of(tmp_path, (View.OVERALL, drawn.plain((150, 150, 150)))))
    assert "<p>Not measured.</p>" in page
    assert "Not measured, overall: piece and background run into each other." in page
    assert "glaze-of" not in page


def test_a_mark_alone_has_no_colours_nor_a_place_for_them(tmp_path: Path) -> None:
    picture = drawn.pot(drawn.plain((150, 152, 155)), drawn.CELADON)
    assert "Glaze colours" not in page_of(library_of(tmp_path, (View.MARK, picture)))
