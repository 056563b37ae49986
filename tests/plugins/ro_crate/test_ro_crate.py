"""A crate: what is in it, what stands beside it, and what was done to make it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace as changed

from archivist.hooks import ExporterDescription, Piece, WrittenFile
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    ObjectRecord,
    Rights,
    from_json,
)
from archivist.testing import BOWL, export, sample_piece, sample_selection
from archivist_plugins import bagit
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF
from archivist_plugins.ro_crate import RO_CRATE, RoCrateOptions
from archivist_plugins.ro_crate.entities import STAYS, date_created, of_others, slug_in

ORIGINAL = "ab" * 32


@pytest.fixture
def piece(tmp_path: Path) -> Piece:
    return sample_piece(tmp_path / "pictures")


def _crate(
    folder: Path,
    *pieces: Piece,
    exporters: tuple[ExporterDescription, ...] = (),
    options: RoCrateOptions | None = None,
) -> tuple[dict[str, dict[str, Any]], dict[str, WrittenFile]]:
    """The entities by `@id`, and all files of the release."""
    files = export((RO_CRATE, *exporters), sample_selection(folder, pieces), folder, options)
    made = json.loads(files["ro-crate/ro-crate-metadata.json"].location.read_text("utf-8"))
    return {entity["@id"]: entity for entity in made["@graph"]}, files


def _dated(**said: Any) -> Piece:
    record = changed(BOWL, attributions=(Attribution(aspect=Aspect.DATE, **said),))
    return Piece(record, (), (), "bowl", "https://x.test/1")


def test_every_file_of_the_crate_is_described_with_its_size_and_digest(
    piece: Piece, tmp_path: Path
) -> None:
    entities, files = _crate(tmp_path, piece)
    own = {path.removeprefix("ro-crate/"): file for path, file in files.items()}
    own.pop("ro-crate-metadata.json")
    described = {at: e for at, e in entities.items() if e["@type"] == "File"}
    assert described.keys() == own.keys()
    for at, entity in described.items():
        assert entity["contentSize"] == str(own[at].size)
        assert entity["sha256"] == own[at].sha256


def test_the_record_in_the_crate_is_the_record(piece: Piece, tmp_path: Path) -> None:
    _, files = _crate(tmp_path, piece)
    data = files[f"ro-crate/{piece.slug}/record.json"].location.read_bytes()
    assert from_json(data, ObjectRecord) == piece.record


def test_a_crate_can_do_without_photographs(piece: Piece, tmp_path: Path) -> None:
    entities, files = _crate(tmp_path, piece, options=RoCrateOptions(photographs=False))
    assert not [path for path in files if path.endswith(".jpg")]
    assert entities[f"{piece.slug}/"]["description"] == "The record of the piece."


def test_what_others_wrote_is_described_beside_the_crate_and_is_no_part_of_it(
    piece: Piece, tmp_path: Path
) -> None:
    entities, files = _crate(tmp_path, piece, exporters=(DUBLIN_CORE, IIIF))
    at = f"../dublin-core/{piece.slug}.xml"
    assert entities[at]["sha256"] == files[f"dublin-core/{piece.slug}.xml"].sha256
    assert {"@id": at} in entities[piece.uri]["subjectOf"]
    assert {"@id": "../dublin-core/collection.xml"} in entities["./"]["mentions"]
    parts = json.dumps([e["hasPart"] for e in entities.values() if "hasPart" in e])
    assert "../" not in parts


def test_deep_trees_are_told_by_folder_and_number() -> None:
    files = [WrittenFile(f"iiif/bowl/overall/{n}.jpg", Path(), 1, "", "") for n in range(3)]
    assert [(path, e["description"]) for path, e in of_others(files)] == [
        ("iiif/bowl/overall", "a folder beside this crate with 3 files")
    ]


@pytest.mark.parametrize(
    ("path", "slug"),
    [("lido/bowl.xml", "bowl"), ("iiif/bowl/manifest.json", "bowl"), ("lido", "")],
)
def test_the_piece_that_a_file_is_of_is_known_by_its_path(path: str, slug: str) -> None:
    assert slug_in(path) == slug


def test_a_copy_tells_what_it_was_made_from_and_how(piece: Piece, tmp_path: Path) -> None:
    photos = tuple(
        replace(p, original_sha256=ORIGINAL, how="JPEG rebuilt.") for p in piece.photographs
    )
    entities, _ = _crate(tmp_path, replace(piece, photographs=photos))
    actions = [e for e in entities.values() if e["@type"] == "CreateAction"]
    assert [a["description"] for a in actions] == ["JPEG rebuilt."] * 2
    assert {a["object"]["@id"] for a in actions} == {f"#original-{ORIGINAL}"}
    assert entities[f"#original-{ORIGINAL}"]["description"] == STAYS


def test_an_original_of_two_pieces_is_one_entity(piece: Piece, tmp_path: Path) -> None:
    photos = tuple(replace(p, original_sha256=ORIGINAL) for p in piece.photographs)
    first = replace(piece, photographs=photos)
    second = replace(first, slug="other", uri="https://x.test/2")
    files = export(RO_CRATE, sample_selection(tmp_path, [first, second]), tmp_path)
    made = json.loads(files["ro-crate/ro-crate-metadata.json"].location.read_text("utf-8"))
    ids = [entity["@id"] for entity in made["@graph"]]
    assert ids.count(f"#original-{ORIGINAL}") == 1


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"date": Date(edtf="1811", earliest=1811, latest=1811)}, "1811"),
        (
            {
                "date": Date(edtf="1811", earliest=1811, latest=1811),
                "certainty": Certainty.PROBABLE,
            },
            "",
        ),
        ({"date": Date(edtf="1775/1825", earliest=1775, latest=1825)}, ""),
        ({"as_stated": "1811"}, ""),
    ],
)
def test_only_a_date_that_is_held_certain_and_plain_is_a_date(
    said: dict[str, Any], told: str
) -> None:
    assert date_created(_dated(**said)) == told


def test_opinions_marks_and_damage_are_told_in_words(piece: Piece, tmp_path: Path) -> None:
    entities, _ = _crate(tmp_path, piece)
    words = entities[piece.uri]["description"]
    assert "Other opinion: date: c. 1900 (1895–1905; possible)" in words
    assert "held to be later than it claims" in words
    assert "Making: firing gap" in words
    assert "Damage: hairline" in words


def test_the_rights_of_a_piece_go_before_those_of_the_archive(piece: Piece, tmp_path: Path) -> None:
    own = replace(piece, record=changed(BOWL, rights=Rights(note="Ask first.")))
    entities, _ = _crate(tmp_path, own)
    licence = entities[f"{piece.slug}/"]["license"]["@id"]
    assert "Ask first." in entities[licence]["description"]
    assert entities["./"]["license"]["@id"] != licence


def test_a_bag_takes_in_the_crate(piece: Piece, tmp_path: Path) -> None:
    [bag] = bagit.archivist_exporters()
    _, files = _crate(tmp_path, piece, exporters=(bag,))
    assert "bagit/data/ro-crate/ro-crate-metadata.json" in files
