"""A title says the language it is in, a rights URI is a URI, a stock number is the stock number."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from archivist.hooks import ExporterDescription
from archivist.model import Aspect, Attribution, ObjectRecord, Rights, Term, Title
from archivist.plugins import load_plugins
from archivist.testing import ARCHIVE, BOWL, export, sample_piece, sample_selection
from archivist_plugins.iptc.fields import artwork
from archivist_plugins.rights import rights_of
from archivist_plugins.titles import language_of, tagged_title

EXPORTERS = [
    d
    for d in load_plugins().of("exporter", ExporterDescription)
    if d.name not in ("bagit", "dossier", "comparison")
]


@pytest.mark.parametrize(
    ("words", "stated", "archive", "wanted"),
    [
        ("celadon bowl", "", "en", "en"),
        ("青瓷碗", "", "en", "und-Hani"),
        ("青瓷碗", "", "zh-Hant", "zh-Hant"),
        ("青瓷碗", "ja", "en", "ja"),
        ("青磁の碗", "", "en", "ja"),
        ("청자 대접", "", "en", "ko"),
        ("Чаша", "", "en", "und-Cyrl"),
        ("Schale, 青瓷 – “small”", "", "en", "en"),
        ("1234", "", "en", "en"),
        ("bowl", "no tag!", "en", "en"),
        ("bowl", "", "not a tag!", ""),
    ],
)
def test_a_title_is_tagged_with_what_it_can_be_in(
    words: str, stated: str, archive: str, wanted: str
) -> None:
    assert language_of(words, stated, archive) == wanted


def written(record: ObjectRecord, folder: Path) -> dict[str, str]:
    piece = sample_piece(folder / "in", record)
    files = export(EXPORTERS, sample_selection(folder, [piece], audience="owner"), folder / "out")
    return {p: f.location.read_bytes().decode("utf-8", "replace") for p, f in files.items()}


def test_no_format_says_that_characters_are_english(tmp_path: Path) -> None:
    title = Title(value="青瓷碗", preferred=True)
    record = replace(BOWL, titles=(title,), marks=())
    assert tagged_title(record, "en").language == "und-Hani"
    tagged = re.compile(r'lang="en"[^>]*>\s*青瓷碗|"en": ?\[\s*"青瓷碗"')
    for path, text in written(record, tmp_path).items():
        assert not tagged.search(text), path


@pytest.mark.parametrize(
    ("said", "uri", "note"),
    [
        ("http://rightsstatements.org/vocab/InC/1.0/", True, "Ask first."),
        ("urn:example:rights", True, "Ask first."),
        ("All rights reserved", False, "All rights reserved; Ask first."),
        ("see invoice", False, "see invoice; Ask first."),
        ("© Ines: ask", False, "© Ines: ask; Ask first."),
    ],
)
def test_rights_are_a_uri_only_where_they_are_one(
    said: str, uri: bool, note: str, tmp_path: Path
) -> None:
    record = replace(BOWL, rights=Rights(uri=said, note="Ask first."))
    rights = rights_of(sample_piece(tmp_path / "one", record, ()), ARCHIVE)
    assert (rights.uri == said) is uri
    assert rights.note == note
    as_uri = re.compile(
        rf'(?:"@id"|"license"|"rights"): "{re.escape(said)}"'
        rf'|xsi:type="dcterms:URI">{re.escape(said)}<|WebStatement>{re.escape(said)}<'
        rf'|conceptID[^>]*>{re.escape(said)}<|href="{re.escape(said)}"'
    )
    found = [path for path, text in written(record, tmp_path).items() if as_uri.search(text)]
    assert bool(found) is uri, found


def test_another_number_is_called_no_stock_number(tmp_path: Path) -> None:
    record = replace(BOWL, other_numbers=("X 99",))
    texts = written(record, tmp_path)
    for exporter in ("lido", "premis", "linked-art"):
        [text] = [t for p, t in texts.items() if re.fullmatch(rf"{exporter}/t-[^.]*\.\w+", p)]
        at = text.index("X 99")
        around = text[at - 220 : at + 400]
        assert "other number" in around, exporter
        assert "other number" not in text[text.index("T 0417") - 60 : text.index("T 0417")]


def test_a_place_is_no_style_and_no_period(tmp_path: Path) -> None:
    said = tuple(
        Attribution(aspect=aspect, term=Term(label=f"the {aspect.value}"))
        for aspect in Aspect
        if aspect is not Aspect.DATE
    )
    piece = sample_piece(tmp_path, replace(BOWL, attributions=said), ())
    art = artwork(piece, sample_selection(tmp_path, [piece]))
    assert set(art.style) == {"the period", "the culture"}
    assert "Place: the place" in art.physical
    assert "Kiln: the kiln" in art.physical
    assert json.dumps(art.creators) == '["the maker"]'
