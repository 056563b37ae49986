"""Asks the search of the library's pages, run by Node."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from archivist_plugins.reference_library.entry import LibraryEntry
from archivist_plugins.reference_library.index import chunks, names_script
from tests.browser.tools import node

SCRIPTS = Path(__file__).resolve().parents[3] / "plugins/archivist_plugins/reference_library/js"

RUN = """
import {{ asksColour, byColour, differences }} from '{folder}/colours.js';
import {{ openChunk, openNames, readRows, search }} from '{folder}/index.js';
import {{ sorted }} from '{folder}/order.js';
import {{ readQuery, writeQuery }} from '{folder}/query.js';
import {{ readFileSync }} from 'node:fs';
const held = {{ chunks: [], names: {{}} }};
globalThis.library = {{
  chunk: (digit, data) => {{ if (data.ids.length) held.chunks.push(openChunk(data)); }},
  names: (names) => Object.assign(held.names, names),
}};
(0, eval)(readFileSync(process.argv[2], 'utf8'));
const cases = JSON.parse(readFileSync(process.argv[3], 'utf8'));
const names = openNames(held.names);
const answer = (hash) => {{
  const query = readQuery(hash);
  const found = search(held.chunks, names, query);
  const off = asksColour(query) ? differences(held.chunks, query) : new Map();
  return {{
    numbers: sorted(held.chunks, found.found, query.order).map((f) => f.chunk.data.numbers[f.row]),
    ids: sorted(held.chunks, found.found, query.order).map((f) => f.chunk.data.ids[f.row]),
    certain: found.certain, dateless: found.dateless, colourless: found.colourless,
    off: held.chunks.flatMap((chunk) => [...(off.get(chunk) || [])]),
    by_colour: off.size ? byColour(found.found, off).map((f) => f.chunk.data.numbers[f.row]) : [],
    counts: Object.fromEntries([...found.counts].map(([n, v]) => [n, Object.fromEntries(v)])),
    again: writeQuery(query),
  }};
}};
const answers = cases.map((c) => Array.isArray(c) ? readRows(c[0]) : answer(c));
process.stdout.write(JSON.stringify(answers));
"""


def ask(cases: list[Any], folder: Path, entries: Sequence[LibraryEntry]) -> list[Any]:
    """What the page's search over `entries` answers to addresses, and how rows are read."""
    script, data, asked = folder / "run.mjs", folder / "data.js", folder / "cases.json"
    script.write_text(RUN.format(folder=SCRIPTS.as_uri()), encoding="utf-8")
    data.write_text(
        names_script(entries) + "".join(text for _, text in chunks(entries)), encoding="utf-8"
    )
    asked.write_text(json.dumps(cases), encoding="utf-8")
    done = node(script, data, asked)
    assert done.returncode == 0, done.stderr
    answers: list[Any] = json.loads(done.stdout)
    return answers
