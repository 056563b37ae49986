"""RO-Crate read by the tools of its community: the library and the validator, without a network.

The context of RO-Crate 1.1 is not in their packages. What is put in its place is the context that
the library `rocrate` carries (of a later version of the specification, which keeps its terms).
"""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.hooks import Piece, Selection
from archivist.testing import export, sample_piece, sample_selection
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF
from archivist_plugins.ro_crate import RO_CRATE
from archivist_plugins.ro_crate.entities import PROFILE
from tests.conformance.any_piece import pieces

CONTEXT = f"{PROFILE}/context"


@cache
def _context() -> dict[str, Any]:
    pytest.importorskip("rocrate", reason="rocrate is not installed")
    text = package_files("rocrate").joinpath("data/ro-crate.jsonld").read_text("utf-8")
    return {"@context": json.loads(text)["@context"]}


def _released(folder: Path, *, copies: bool) -> tuple[Path, Selection]:
    """A crate of two pieces beside what other exporters wrote; the folder of the crate."""
    piece = sample_piece(folder / "pictures")
    if copies:
        photos = tuple(
            replace(p, original_sha256="ab" * 32, how="JPEG rebuilt segment by segment.")
            for p in piece.photographs
        )
        piece = replace(piece, photographs=photos)
    bare = replace(piece, slug="bare", uri="https://x.test/bare", photographs=())
    selection = sample_selection(folder, [piece, bare])
    export((RO_CRATE, DUBLIN_CORE, IIIF), selection, folder / "out")
    return folder / "out" / "ro-crate", selection


class _Answer:
    """What the validator is answered when it asks for the context."""

    status_code = 200
    headers = {"Content-Type": "application/ld+json"}  # noqa: RUF012 - read only

    def json(self) -> dict[str, Any]:
        return _context()


@pytest.fixture
def offline(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every question to the web is answered with the context, or fails the test."""
    pytest.importorskip("rocrate_validator", reason="roc-validator is not installed")
    from rdflib.plugins.shared.jsonld import context as rdflib_context
    from rocrate_validator.utils.http import HttpRequester

    def asked(self: Any, url: str, **how: Any) -> _Answer:
        assert url == CONTEXT, f"the validator asked the web for {url}"
        return _Answer()

    def fetched(source: Any, *rest: Any, **how: Any) -> tuple[dict[str, Any], None]:
        assert source == CONTEXT, f"rdflib asked the web for {source}"
        return _context(), None

    monkeypatch.setattr(HttpRequester, "get", asked, raising=False)
    monkeypatch.setattr(HttpRequester, "head", asked, raising=False)
    monkeypatch.setattr(rdflib_context, "source_to_json", fetched)


def _issues(crate: Path, severity: str) -> list[str]:
    from rocrate_validator import services

    result = services.validate(
        {
            "rocrate_uri": str(crate),
            "profile_identifier": "ro-crate-1.1",
            "requirement_severity": severity,
            "cache_path": crate.parent / "cache",
        }
    )
    return [f"{i.severity.name} {i.check.identifier}: {i.message}" for i in result.get_issues()]


@pytest.mark.parametrize("copies", [False, True])
def test_the_validator_finds_nothing_that_must_be_otherwise(
    copies: bool, offline: None, tmp_path: Path
) -> None:
    crate, _ = _released(tmp_path, copies=copies)
    assert _issues(crate, "REQUIRED") == []


def test_all_that_it_would_recommend_is_an_address_where_the_archive_has_none(
    offline: None, tmp_path: Path
) -> None:
    crate, _ = _released(tmp_path, copies=True)
    issues = _issues(crate, "RECOMMENDED")
    assert [issue.split(": ", 1)[1] for issue in issues] == ["The organization SHOULD have a URL."]


def test_the_validator_finds_what_is_missing(offline: None, tmp_path: Path) -> None:
    crate, _ = _released(tmp_path, copies=False)
    next(crate.glob("t-*/overall.jpg")).unlink()
    assert any("overall.jpg" in issue for issue in _issues(crate, "REQUIRED"))


def test_the_library_reads_every_file_of_the_crate_as_data(tmp_path: Path) -> None:
    rocrate = pytest.importorskip("rocrate.rocrate", reason="rocrate is not installed")
    crate, _ = _released(tmp_path, copies=True)
    read = rocrate.ROCrate(crate)
    listed = {e.id for e in read.data_entities if e.type == "File"}
    there = {
        path.relative_to(crate).as_posix()
        for path in crate.rglob("*")
        if path.is_file() and path.name != "ro-crate-metadata.json"
    }
    assert listed == there
    assert read.root_dataset["datePublished"] == "2026-01-15"
    assert read.license.id == "http://rightsstatements.org/vocab/InC/1.0/"


@settings(deadline=None, max_examples=25)
@given(data=st.data())
def test_of_any_piece_every_reference_leads_somewhere_and_every_term_has_a_meaning(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    jsonld = pytest.importorskip("pyld.jsonld", reason="PyLD is not installed")
    folder = tmp_path_factory.mktemp("crate")
    piece: Piece = data.draw(pieces(sample_piece(folder / "pictures")))
    export(RO_CRATE, sample_selection(folder, [piece]), folder)
    made = json.loads((folder / "ro-crate" / "ro-crate-metadata.json").read_text("utf-8"))
    ids = [entity["@id"] for entity in made["@graph"]]
    assert len(ids) == len(set(ids))
    for entity in made["@graph"]:
        for value in entity.values():
            for one in value if isinstance(value, list) else [value]:
                assert isinstance(one, (str, dict))
                if isinstance(one, dict):
                    assert one["@id"] in ids or one["@id"] == PROFILE

    def local(address: str, options: Any) -> dict[str, Any]:
        assert address == CONTEXT
        return {"document": _context(), "documentUrl": address, "contextUrl": None}

    dropped: list[str | None] = []
    jsonld.expand(
        made,
        {"documentLoader": local, "base": "https://x.test/"},
        on_property_dropped=dropped.append,
    )
    assert dropped == []
