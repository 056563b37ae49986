"""The library as files: what stands on its pages, what they link to, and that nothing leaks out."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace as with_changes
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import msgspec
import pytest
from lxml import etree
from msgspec.structs import replace

from archivist.hooks import Piece, Selection, WrittenFile
from archivist.model import (
    Aspect,
    Attribution,
    Basis,
    Certainty,
    Date,
    Mark,
    Note,
    Passage,
    ProvenanceEvent,
    Region,
    SaleFact,
    SaleStage,
    Statement,
    Title,
    View,
)
from archivist.testing import ARCHIVE, BOWL, export, sample_piece, sample_selection
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF
from archivist_plugins.reference_library import REFERENCE_LIBRARY
from archivist_plugins.reference_library.entry import from_script
from archivist_plugins.reference_library.exporter import CARDS

ALL = (DUBLIN_CORE, IIIF, REFERENCE_LIBRARY)
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)>\"'&{{ 7 * 7 }}</style>]]>"


class Elements(HTMLParser):
    """Every element of a page with its attributes, and all text outside scripts."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._inside: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self._inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self._inside and self._inside[-1] == tag:
            self._inside.pop()

    def handle_data(self, data: str) -> None:
        if not self._inside:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def released(
    folder: Path, pieces: list[Piece] | None = None, *, alone: bool = False, **facts: str
) -> dict[str, WrittenFile]:
    selection = sample_selection(folder / "pictures", pieces)
    selection = with_changes(selection, archive=with_changes(ARCHIVE, **facts))
    return export(REFERENCE_LIBRARY if alone else ALL, selection, folder / "out")


def page(files: dict[str, WrittenFile], path: str) -> str:
    return files[f"reference-library/{path}"].location.read_text(encoding="utf-8")


def bowl_page(files: dict[str, WrittenFile]) -> Elements:
    return Elements(page(files, f"pieces/{BOWL.id}/index.html"))


def piece_of(folder: Path, **changes: Any) -> Piece:
    return sample_piece(folder / "pictures", replace(BOWL, **changes))


def test_every_statement_stands_with_its_ground(tmp_path: Path) -> None:
    text = bowl_page(released(tmp_path)).text
    for words in (
        "late 18th or early 19th century (1775–1825; probable)",
        "Other opinions",
        "date: c. 1900 (1895–1905; possible)",
        "firing gap (foot rim)",
        "hairline (rim)",
        "18.4 cm",
        "7.2 in",
        "1987: sale, from private collection, Wales",
    ):
        assert words in text, words


def test_a_mark_stands_beside_what_the_piece_is_held_to_be_and_in_its_columns(
    tmp_path: Path,
) -> None:
    source = page(released(tmp_path), f"pieces/{BOWL.id}/index.html")
    assert "<span>大明</span><span>成化</span><span>年製</span>" in source
    text = Elements(source).text
    written, held = text.index("What is written"), text.index("What the piece is held to be")
    assert written < text.index("It claims: Chenghua") < held
    assert held < text.index("The mark is held to be later than it claims.")


def test_characters_in_one_line_are_parted_into_the_columns_that_are_counted(
    tmp_path: Path,
) -> None:
    mark = Mark(characters="大明成化年製", columns=2)
    files = released(tmp_path, [piece_of(tmp_path, marks=(mark,))])
    assert "<span>大明成</span><span>化年製</span>" in page(files, f"pieces/{BOWL.id}/index.html")


def test_making_is_told_apart_from_damage(tmp_path: Path) -> None:
    source = page(released(tmp_path), f"pieces/{BOWL.id}/index.html")
    made, befallen = source.index("How it was made"), source.index("What has befallen it")
    assert made < source.index("firing gap (foot rim)") < befallen
    assert befallen < source.index("hairline (rim)")


def test_a_recalled_size_says_so(tmp_path: Path) -> None:
    recalled = replace(BOWL.measurements[0], basis=Basis.RECALLED)
    files = released(tmp_path, [piece_of(tmp_path, measurements=(recalled,))])
    assert "recalled, not measured" in bowl_page(files).text
    assert "recalled" not in bowl_page(released(tmp_path / "other")).text


def test_provenance_is_parted_by_how_the_piece_passed(tmp_path: Path) -> None:
    events = tuple(
        ProvenanceEvent(as_stated=words, passage=passage)
        for words, passage in (
            ("first", Passage.UNKNOWN),
            ("second", Passage.DIRECT),
            ("third", Passage.GAP),
        )
    )
    files = released(tmp_path, [piece_of(tmp_path, provenance=events)])
    items = re.findall(r"<li>(.*?)</li>", page(files, f"pieces/{BOWL.id}/index.html"))
    assert [item[-1] for item in items[-3:]] == [";", ".", "."]


def test_rejected_opinions_stay_and_are_called_rejected(tmp_path: Path) -> None:
    wrong = Attribution(
        aspect=Aspect.DATE,
        as_stated="Song",
        certainty=Certainty.REJECTED,
        date=Date(edtf="0960/1279", earliest=960, latest=1279),
        ground="the glaze",
    )
    files = released(tmp_path, [piece_of(tmp_path, attributions=(*BOWL.attributions, wrong))])
    text = bowl_page(files).text
    told = "Rejected opinion date: not held to be Song (960–1279; rejected; ground: the glaze)"
    assert told in text
    assert "rejected, 960–1279" in page(files, f"pieces/{BOWL.id}/index.html")


def references(files: dict[str, WrittenFile]) -> Iterator[tuple[str, str]]:
    """Every page with every address in it."""
    for path in files:
        if path.startswith("reference-library/") and path.endswith(".html"):
            for _, attributes in Elements(files[path].location.read_text(encoding="utf-8")).found:
                for name in ("href", "src"):
                    if attributes.get(name):
                        yield path, str(attributes[name])
                for part in (attributes.get("srcset") or "").split(", "):
                    if part:
                        yield path, part.split(" ")[0]


def test_every_link_leads_to_a_file_of_the_release(tmp_path: Path) -> None:
    files = released(tmp_path)
    checked = 0
    for path, address in references(files):
        if address.startswith(("http://rightsstatements.org", "#")):
            continue
        target = (tmp_path / "out" / path).parent / address.split("#")[0]
        assert target.resolve().is_file(), f"{path} -> {address}"
        checked += 1
    assert checked > 30


def test_nothing_is_asked_for_from_outside_and_the_policy_forbids_it(tmp_path: Path) -> None:
    files = released(tmp_path)
    for path in [p for p in files if p.endswith(".html")]:
        elements = Elements(files[path].location.read_text(encoding="utf-8")).found
        policy = next(a["content"] for t, a in elements if a.get("http-equiv"))
        assert policy is not None
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        for tag, attributes in elements:
            assert "style" not in attributes, "the policy forbids styles in pages"
            assert not [name for name in attributes if name.startswith("on")]
            loads = attributes.get("src") or (attributes.get("href") if tag == "link" else "")
            assert not re.match(r"https?:|//", loads or ""), loads
    style = page(files, "library.css")
    assert "url(" not in style
    assert "@import" not in style


def planted(value: Any) -> Any:
    """`value` with markup in every text that is free."""
    if isinstance(value, Statement | Date | Mark) or hasattr(value, "__struct_fields__"):
        changes: dict[str, Any] = {}
        for field in msgspec.structs.fields(value):
            current = getattr(value, field.name)
            free = field.type is str and field.name not in ("id", "object", "low", "high", "edtf")
            if free and field.name not in ("giver", "receiver", "agent", "who", "said"):
                changes[field.name] = f"{current}{HOSTILE}"
            elif isinstance(current, tuple):
                changes[field.name] = tuple(planted(item) for item in current)
            elif hasattr(current, "__struct_fields__"):
                changes[field.name] = planted(current)
        return replace(value, **changes)
    return f"{value}{HOSTILE}" if type(value) is str else value


def test_markup_in_any_field_stays_text(tmp_path: Path) -> None:
    plain = sample_piece(tmp_path / "pictures")
    record = planted(replace(BOWL, other_numbers=("one",), notes=(Note(as_stated="note"),)))
    photographs = tuple(
        with_changes(p, depiction=planted(p.depiction), label=HOSTILE, how=HOSTILE)
        for p in plain.photographs
    )
    hostile = with_changes(plain, record=record, photographs=photographs)
    facts = {"name": HOSTILE, "owner": HOSTILE, "credit": HOSTILE, "rights_holder": HOSTILE}
    selection = sample_selection(tmp_path / "pictures", [hostile])
    selection = with_changes(selection, title=HOSTILE, archive=with_changes(ARCHIVE, **facts))
    files = export((REFERENCE_LIBRARY,), selection, tmp_path / "out")
    for path in [p for p in files if p.endswith(".html")]:
        text = files[path].location.read_text(encoding="utf-8")
        elements = Elements(text)
        assert "<script>alert" not in text
        assert not [a for _, a in elements.found if "onerror" in a]
        assert "49" not in re.findall(r"&quot;&#39;&amp;(\d+)", text), "templates fill once"
        assert HOSTILE[:20] in elements.text
    feed = etree.fromstring(page(files, "feed.xml").encode("utf-8"))
    assert HOSTILE in (feed.findtext("{*}title") or "")


def test_structured_data_and_links_for_programs(tmp_path: Path) -> None:
    files = released(tmp_path, base_uri="https://library.example/x")
    elements = bowl_page(files)
    source = page(files, f"pieces/{BOWL.id}/index.html")
    block = re.search(r'<script type="application/ld\+json">(.*?)</script>', source)
    assert block
    data = json.loads(block[1])
    assert data["@type"] == "VisualArtwork"
    assert data["url"].endswith(f"/reference-library/pieces/{BOWL.id}/index.html")
    assert data["image"][0]["contentUrl"].startswith("https://library.example/x/iiif/")
    assert "dateCreated" not in data, "the date is only probable"
    titles = {a.get("title") for tag, a in elements.found if a.get("rel") == "alternate"}
    assert {"IIIF manifest", "Dublin Core", "Dublin Core, qualified", "Record"} <= titles
    record = json.loads(page(files, f"pieces/{BOWL.id}/record.json"))
    assert record["record"]["id"] == BOWL.id


def test_only_a_published_library_has_a_sitemap_and_addresses_do_not_change(tmp_path: Path) -> None:
    assert "reference-library/sitemap.xml" not in released(tmp_path)
    files = released(tmp_path / "other", base_uri="https://library.example/")
    sitemap = etree.fromstring(page(files, "sitemap.xml").encode("utf-8"))
    places = sitemap.findall("{*}url/{*}loc")
    assert [place.text for place in places] == [
        "https://library.example/reference-library/index.html",
        f"https://library.example/reference-library/pieces/{BOWL.id}/index.html",
    ]


def test_the_feed_tells_what_was_written_last(tmp_path: Path) -> None:
    feed = etree.fromstring(page(released(tmp_path), "feed.xml").encode("utf-8"))
    assert feed.findtext("{*}entry/{*}id") == f"urn:uuid:{BOWL.id}"
    assert feed.findtext("{*}entry/{*}updated") == "2026-01-15T09:30:00Z"
    assert feed.findtext("{*}updated") == "2026-01-15T09:30:00Z"


def test_without_the_iiif_tree_the_library_writes_its_own_pictures_and_nothing_to_zoom(
    tmp_path: Path,
) -> None:
    files = released(tmp_path, alone=True)
    entry = from_script(files[f"reference-library/pieces/{BOWL.id}/piece.js"].location.read_bytes())
    assert [p.zoom for p in entry.pictures] == [False, False]
    for picture in entry.pictures:
        for size in picture.sizes:
            assert f"reference-library/{picture.address(size)}" in files
    assert "IIIF manifest" not in bowl_page(files).text


def test_a_region_of_a_group_photograph_is_drawn_where_it_is(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path / "pictures", views=(View.GROUP,))
    region = Region(x=12, y=18, width=24, height=36, reference_width=96, reference_height=72)
    group = with_changes(piece.photographs[0], region=region)
    files = released(tmp_path, [with_changes(piece, photographs=(group,))])
    script = files[f"reference-library/pieces/{BOWL.id}/piece.js"].location.read_bytes()
    assert from_script(script).pictures[0].region == (12, 18, 24, 36)


def test_a_piece_without_a_photograph_has_a_page_and_a_card_that_say_so(tmp_path: Path) -> None:
    piece = with_changes(sample_piece(tmp_path / "pictures"), photographs=())
    files = released(tmp_path, [piece])
    assert "There is no photograph of it in this edition." in bowl_page(files).text
    assert "no photograph in this edition" in Elements(page(files, "index.html")).text


def test_facts_of_the_sale_are_nowhere_in_the_library(tmp_path: Path) -> None:
    sold = SaleFact(stage=SaleStage.SOLD, amount="98765", currency="GBP", as_stated="sold dear")
    files = released(tmp_path, [piece_of(tmp_path, sales=(sold,))], alone=True)
    for path, file in files.items():
        if path.endswith((".html", "piece.js")) or "/data/" in path:
            text = file.location.read_text(encoding="utf-8")
            assert "98765" not in text, path
            assert "sold dear" not in text, path


def many(folder: Path, count: int) -> list[Piece]:
    piece = sample_piece(folder / "pictures", views=(View.OVERALL,))
    made = []
    for number in range(count):
        identifier = f"{number:08x}-4a86-4d6c-9f62-5d6f4e0b7a01"
        title = Title(value=f"Piece {number}", preferred=True)
        record = replace(BOWL, id=identifier, stock_number=f"N {number}", titles=(title,))
        made.append(with_changes(piece, record=record, slug=f"n-{number}"))
    return made


def test_the_wall_can_be_walked_without_scripts(tmp_path: Path) -> None:
    files = released(tmp_path, many(tmp_path, CARDS * 2 + 1), alone=True)
    seen: list[str] = []
    path = "index.html"
    while path:
        source = page(files, path)
        seen += re.findall(r'class="card" data-id="([^"]+)"', source)
        after = re.search(r'rel="next" href="([^"]+)"', source)
        path = after[1].removeprefix("../") if after else ""
    assert len(seen) == len(set(seen)) == CARDS * 2 + 1


def test_the_piece_that_is_changed_changes_its_own_files_and_what_shows_it(tmp_path: Path) -> None:
    def state(pieces: list[Piece], folder: Path) -> dict[str, str]:
        selection: Selection = sample_selection(tmp_path / "pictures", pieces)
        files = export(REFERENCE_LIBRARY, selection, folder)
        return {path: file.sha256 for path, file in files.items()}

    pieces = many(tmp_path, 40)
    before = state(pieces, tmp_path / "before")
    title = Title(value="Renamed", preferred=True)
    pieces[7] = with_changes(pieces[7], record=replace(pieces[7].record, titles=(title,)))
    after = state(pieces, tmp_path / "after")
    changed = {path.split("/", 1)[1] for path in after if before.get(path) != after[path]}
    folder = f"pieces/{pieces[7].record.id}"
    assert changed == {
        f"{folder}/index.html",
        f"{folder}/piece.js",
        f"{folder}/record.json",
        "index.html",
        "feed.xml",
        "data/pieces-0.js",
    }


@pytest.mark.parametrize("name", ["library.js", "library.css"])
def test_what_every_page_loads_is_small(tmp_path: Path, name: str) -> None:
    assert len(page(released(tmp_path, alone=True), name)) < 60_000


def test_the_viewer_comes_with_its_licence(tmp_path: Path) -> None:
    files = released(tmp_path, alone=True)
    assert "Redistribution and use" in page(files, "openseadragon/license.txt")
