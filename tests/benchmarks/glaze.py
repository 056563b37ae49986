"""Finding by glaze colour at 20,000 pieces: index bytes, time from key to results, time to measure.

    python -m tests.benchmarks.glaze [PIECES]

Invented records with one to four colours each, spread as glazes are (most of them pale, brown or
greenish), in an index of their own with and without the colours; Chromium opens the library from
the disk. Photographs drawn as in the tests are measured one after another.
"""

from __future__ import annotations

import gzip
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from archivist.finding.colours import PieceColours
from archivist.imaging.colour.measure import read
from archivist.imaging.colour.values import GlazeColour, GlazeColours
from archivist.names import web_base
from archivist.release.naming import piece_slug, piece_uri
from archivist.testing import ARCHIVE, export, sample_piece, sample_selection
from archivist_plugins.reference_library import REFERENCE_LIBRARY, glaze, index
from archivist_plugins.reference_library.entry import LibraryEntry, library_entry
from tests.benchmarks.collection import record
from tests.imaging.colour import drawn

CENTRES = (
    (85, 0, 6),
    (70, -2, 12),
    (60, -10, 10),
    (35, 8, 14),
    (20, 4, 6),
    (38, 4, -30),
    (50, 5, 25),
)
"""Around which invented glazes lie: white, buff, celadon, brown, black, cobalt, honey."""


def colours(chance: random.Random) -> PieceColours:
    """Invented colours of a piece; one piece in twenty has none."""
    if chance.random() < 0.05:
        return PieceColours()
    shares = sorted(chance.uniform(0.1, 1) for _ in range(chance.choice((1, 1, 2, 2, 3, 4))))
    made = []
    for share in reversed(shares):
        lightness, a, b = (chance.gauss(value, 6) for value in chance.choice(CENTRES))
        lab = (min(max(lightness, 2.0), 98.0), a, b)
        made.append(GlazeColour(round(share / sum(shares), 3), lab, 5.0))
    return PieceColours(GlazeColours(tuple(made), 4000), ("overall",))


def entries(count: int) -> list[LibraryEntry]:
    """Entries of invented pieces."""
    chance = random.Random(1)
    base = web_base(ARCHIVE.base_uri, ARCHIVE.id)
    made = []
    with tempfile.TemporaryDirectory() as folder:
        sample = sample_piece(Path(folder))
        for number in range(count):
            known = record(number, chance)
            piece = type(sample)(known, (), (), piece_slug(known), piece_uri(base, known))
            made.append(library_entry(piece, (), "", colours(chance)))
    return made


def scripts(some: list[LibraryEntry]) -> dict[str, str]:
    """The scripts of the index by name."""
    made = {f"pieces-{digit}.js": script for digit, script in index.chunks(some)}
    return {**made, "names.js": index.names_script(some), "tiles.js": glaze.tiles_script(some)}


def told(files: dict[str, str]) -> str:
    data = [text.encode("utf-8") for text in files.values()]
    packed = sum(len(gzip.compress(one)) for one in data)
    return f"{sum(map(len, data)) / 1e3:.0f} kB, {packed / 1e3:.0f} kB by gzip"


CHOOSE = """
async (which) => {
  const result = document.getElementById('result');
  const box = document.querySelectorAll('.tile input')[which];
  const begun = performance.now();
  result.textContent = '';
  box.click();
  while (result.textContent === '') await new Promise(r => setTimeout(r, 0));
  const shown = performance.now() - begun;
  await new Promise(r => requestAnimationFrame(() => setTimeout(r, 0)));
  return [shown, performance.now() - begun, result.textContent];
}
"""

TYPE = """
async (words) => {
  const field = document.getElementById('words');
  const result = document.getElementById('result');
  const begun = performance.now();
  field.value = words;
  result.textContent = '';
  field.dispatchEvent(new Event('input', {bubbles: true}));
  while (result.textContent === '') await new Promise(r => setTimeout(r, 0));
  await new Promise(r => requestAnimationFrame(() => setTimeout(r, 0)));
  return performance.now() - begun;
}
"""

LIKE = """
async (id) => {
  const result = document.getElementById('result');
  const begun = performance.now();
  result.textContent = '';
  location.hash = `glaze-of=${id}&order=colour`;
  while (result.textContent === '') await new Promise(r => setTimeout(r, 0));
  await new Promise(r => requestAnimationFrame(() => setTimeout(r, 0)));
  return [performance.now() - begun, result.textContent];
}
"""


def browse(library: Path, some: list[LibraryEntry]) -> None:
    """Prints how fast Chromium answers to a colour."""
    from playwright.sync_api import sync_playwright

    flags = ("--headless", "--no-sandbox", "--disable-gpu")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=list(flags))
        page = browser.new_page()
        page.goto((library / "index.html").as_uri(), wait_until="load")
        page.click("#open-filters")
        page.wait_for_selector(".tile input", state="attached")
        page.wait_for_timeout(500)
        count: int = page.locator(".tile input").count()
        chosen: list[Any] = [page.evaluate(CHOOSE, which) for which in range(count)]
        print(f"the first colour chosen: {chosen[0][1]:.0f} ms to the paint")
        _tell(f"the others of {count}, filters open", [run[1] for run in chosen[1:]])
        print(f"  {', '.join(run[2] for run in chosen[:4])}")
        page.click("#open-filters")
        _tell(
            "a colour chosen, filters closed",
            [page.evaluate(CHOOSE, which)[1] for which in range(count)],
        )
        words = ("c", "ce", "cel", "cela", "celadon", "celadon bowl", "lotus")
        _tell("words typed while a colour is chosen", [page.evaluate(TYPE, w) for w in words])
        page.evaluate(TYPE, "")
        many = [one.id for one in some if one.colours.glaze and len(one.colours.glaze.colours) == 4]
        likes = [page.evaluate(LIKE, one)[0] for one in many[:10]]
        _tell("like a piece of four colours", likes)
        browser.close()


def _tell(what: str, times: list[float]) -> None:
    print(f"{what}: median {statistics.median(times):.0f} ms, worst {max(times):.0f} ms")


def measuring() -> None:
    """Prints how long one photograph takes to be measured, decoded and small already."""
    grounds = (drawn.plain((150, 152, 155)), drawn.gradient((70, 72, 76), (190, 190, 188)))
    pictures = [
        drawn.pot(ground, colour, band=drawn.COBALT).resize((400, 300))
        for ground in grounds
        for colour in (drawn.CELADON, drawn.TENMOKU, drawn.PORCELAIN)
    ]
    times = []
    for picture in pictures * 3:
        begun = time.process_time()
        read(picture)
        times.append((time.process_time() - begun) * 1e3)
    _tell("one photograph measured (time of one core)", times)


def main(count: int) -> None:
    begun = time.perf_counter()
    some = entries(count)
    print(f"{count} entries invented in {time.perf_counter() - begun:.0f} s")
    made = scripts(some)
    bare = scripts([replace(one, colours=PieceColours()) for one in some])
    print(f"index with colours: {told(made)}; without: {told(bare)}")
    begun = time.perf_counter()
    tiles = glaze.tiles(some)
    print(f"{len(tiles)} tiles chosen in {time.perf_counter() - begun:.1f} s")
    measuring()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        export(REFERENCE_LIBRARY, sample_selection(folder / "pictures"), folder / "out")
        library = folder / "out" / "reference-library"
        for name, script in made.items():
            (library / "data" / name).write_text(script, encoding="utf-8")
        browse(library, some)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
