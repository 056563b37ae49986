"""Manifests and collections against IIIF Presentation API 3.0: schema, rules, parser, recipes."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from dataclasses import replace as with_changes
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest
from iiif_prezi3 import Collection, Manifest  # type: ignore[import-untyped]
from msgspec.structs import replace

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import Aspect, Attribution, Date, Note, ObjectRecord, Region, Title, View
from archivist.testing import BOWL, export, sample_photograph, sample_piece, sample_selection
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF
from tests.conformance import iiif_rules

Json = dict[str, Any]
IIIF_STANDARD = Path(__file__).resolve().parents[3] / "shared" / "standards" / "iiif"


def _shared(path: str) -> Path:
    found = IIIF_STANDARD / path
    if not found.exists():
        pytest.skip(f"{path} does not lie beside the project (../shared/standards/iiif)")
    return found


def _schema() -> jsonschema.Draft7Validator:
    """The schema of the IIIF Presentation Validator."""
    text = _shared("presentation-3.schema.json").read_text(encoding="utf-8")
    return jsonschema.Draft7Validator(
        json.loads(text), format_checker=jsonschema.Draft7Validator.FORMAT_CHECKER
    )


def _group(folder: Path) -> DisclosedPhotograph:
    """A photograph of several pieces as the owner sees it, one region of it the piece."""
    region = Region(x=700, y=30, width=500, height=800, reference_width=1300, reference_height=975)
    return with_changes(sample_photograph(folder, View.GROUP, 1300), region=region)


def _pieces(folder: Path) -> list[Piece]:
    """Pieces with everything, next to nothing, and words that are hard to carry."""
    full = sample_piece(folder, views=tuple(View))
    full = with_changes(full, photographs=(*full.photographs[:11], _group(folder)))
    year = Attribution(aspect=Aspect.DATE, date=Date(edtf="1811", earliest=1811, latest=1811))
    bare = ObjectRecord(id="5b1d9a50-7f4b-4b38-8f0f-54b3a3c7ce02", attributions=(year,))
    hard = replace(
        BOWL,
        id="2b1d9a50-7f4b-4b38-8f0f-54b3a3c7ce03",
        titles=(Title(value="<i>Vase</i>"), Title(value="瓶", language="ja")),
        notes=(Note(heading="note", as_stated='bell\x07 & "quotes" \\ \U0001f3fa\nnext line'),),
    )
    one = full.photographs[:1]
    return [
        full,
        with_changes(full, record=bare, photographs=one, slug="bare-5b1d9a50"),
        with_changes(full, record=hard, photographs=one, slug="hard-2b1d9a50"),
        with_changes(full, photographs=(), slug="unseen"),
    ]


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A release of Dublin Core and IIIF."""
    folder = tmp_path_factory.mktemp("release")
    selection = sample_selection(folder, _pieces(folder / "pictures"))
    export([DUBLIN_CORE, IIIF], selection, folder)
    return folder


@pytest.fixture(scope="module")
def manifests(tree: Path) -> list[Json]:
    found = sorted(tree.glob("iiif/*/manifest.json"))
    assert len(found) == 3
    return [json.loads(path.read_text(encoding="utf-8")) for path in found]


@pytest.fixture(scope="module")
def collection(tree: Path) -> Json:
    loaded: Json = json.loads((tree / "iiif" / "collection.json").read_text(encoding="utf-8"))
    return loaded


@pytest.fixture
def full(manifests: list[Json]) -> Json:
    """The manifest with everything, to be altered."""
    return copy.deepcopy(next(m for m in manifests if len(m["items"]) == 12))


def test_every_manifest_and_the_collection_are_valid_by_the_validators_schema(
    manifests: list[Json], collection: Json
) -> None:
    schema = _schema()
    for document in [*manifests, collection]:
        assert [error.message for error in schema.iter_errors(document)] == []


def test_every_manifest_and_the_collection_keep_the_rules_that_the_schema_does_not_hold(
    manifests: list[Json], collection: Json
) -> None:
    for manifest in manifests:
        assert iiif_rules.manifest_problems(manifest) == []
    assert iiif_rules.collection_problems(collection) == []


def test_an_independent_library_reads_what_was_written(
    manifests: list[Json], collection: Json
) -> None:
    for document in manifests:
        read = Manifest(**document)
        assert read.id == document["id"]
        assert [c.id for c in read.items] == [c["id"] for c in document["items"]]
        assert [c.width for c in read.items] == [c["width"] for c in document["items"]]
    listed = Collection(**collection)
    assert [m.id for m in listed.items] == [m["id"] for m in collection["items"]]


def test_the_collection_lists_each_manifest_under_its_own_label(
    manifests: list[Json], collection: Json
) -> None:
    listed = {item["id"]: item["label"] for item in collection["items"]}
    assert listed == {manifest["id"]: manifest["label"] for manifest in manifests}
    assert "1 more has no photograph" in collection["summary"]["en"][0]


def test_every_local_address_leads_to_a_file_of_the_release(
    tree: Path, manifests: list[Json], collection: Json
) -> None:
    base = collection["id"].removesuffix("iiif/collection.json")
    for document in [*manifests, collection]:
        for address in _fetched(document):
            assert (tree / address.removeprefix(base)).is_file(), address


def _fetched(document: Json) -> Iterator[str]:
    """Addresses that a client fetches: pictures, services, other documents."""
    for _, node in iiif_rules.walk(document):
        if node.get("type") in ("Image", "Dataset", "Manifest", "Collection"):
            yield node["id"]
        if node.get("type") == "ImageService3":
            yield f"{node['id']}/info.json"


# The rules themselves can fail


def _twice(manifest: Json) -> None:
    manifest["items"][1]["id"] = manifest["items"][0]["id"]


def _astray(manifest: Json) -> None:
    manifest["items"][0]["items"][0]["items"][0]["target"] = manifest["items"][1]["id"]


def _html(manifest: Json) -> None:
    manifest["metadata"][0]["value"] = {"en": ["<b>T 0417</b>"]}


def _plain_label(manifest: Json) -> None:
    manifest["label"] = "Bowl"


def _nav_date(manifest: Json) -> None:
    manifest["navDate"] = "1811"


def _rights(manifest: Json) -> None:
    manifest["rights"] = "https://rightsstatements.org/page/InC/1.0/"


def _flat(manifest: Json) -> None:
    manifest["items"][0]["width"] = 0


def _empty(manifest: Json) -> None:
    manifest["items"] = []


def _context(manifest: Json) -> None:
    manifest["@context"] = "http://iiif.io/api/presentation/2/context.json"


def _range(manifest: Json) -> None:
    manifest["structures"][0]["items"][0]["items"] = [{"id": "https://x.test/1", "type": "Canvas"}]


def _beyond(manifest: Json) -> None:
    page = manifest["items"][11]["annotations"][0]
    page["items"][0]["target"] = f"{manifest['items'][11]['id']}#xywh=1200,0,200,10"


def _language(manifest: Json) -> None:
    manifest["summary"] = {"plain English": ["Bowl"]}


BREACHES: list[tuple[Callable[[Json], None], str]] = [
    (_twice, "an id stands twice"),
    (_astray, "painted by what has another target"),
    (_html, "reads as HTML"),
    (_plain_label, "must be a language map"),
    (_nav_date, "navDate"),
    (_rights, "rights must be"),
    (_flat, "width and a height"),
    (_empty, "at least one canvas"),
    (_context, "context"),
    (_range, "a range refers to a canvas of no item"),
    (_beyond, "reaches beyond its canvas"),
    (_language, "is no language"),
]


@pytest.mark.parametrize(("breach", "problem"), BREACHES, ids=lambda b: getattr(b, "__name__", ""))
def test_each_rule_finds_its_breach(
    breach: Callable[[Json], None], problem: str, full: Json
) -> None:
    assert iiif_rules.manifest_problems(full) == []
    breach(full)
    assert any(problem in found for found in iiif_rules.manifest_problems(full))


@pytest.mark.parametrize("name", ["broken_simple_image", "broken_service", "broken_choice"])
def test_the_schema_finds_what_the_validators_own_broken_examples_break(name: str) -> None:
    broken = json.loads(_shared(f"fixtures/{name}.json").read_text(encoding="utf-8"))
    assert not _schema().is_valid(broken)


# The shapes of the cookbook


def _shape(node: Any) -> Any:
    """A document without its words and numbers: names, types, and how they lie in each other."""
    if isinstance(node, dict):
        return {
            name: value if name in ("type", "motivation", "format") else _shape(value)
            for name, value in node.items()
            if name not in ("label", "service")
        }
    return [_shape(value) for value in node] if isinstance(node, list) else type(node).__name__


def _recipe(path: str) -> Json:
    loaded: Json = json.loads(_shared(f"cookbook/{path}").read_text(encoding="utf-8"))
    return loaded


def test_a_picture_is_painted_on_its_canvas_as_recipe_0005_does_it(full: Json) -> None:
    recipe = _recipe("0005-image-service/manifest.json")["items"][0]["items"]
    ours = full["items"][0]["items"]
    assert _shape(ours) == _shape(recipe)
    service = ours[0]["items"][0]["body"]["service"][0]
    assert set(service) == set(recipe[0]["items"][0]["body"]["service"][0])


def test_ranges_lie_in_each_other_as_in_recipe_0024(full: Json) -> None:
    recipe = _recipe("0024-book-4-toc/manifest.json")["structures"][0]
    ours = full["structures"][0]
    assert set(ours) == set(recipe)
    assert _shape(ours["items"][0]["items"][0]) == _shape(recipe["items"][0]["items"][0])


def test_a_part_of_a_canvas_is_named_as_in_recipe_0025(full: Json) -> None:
    recipe = _recipe("0025-newspaper-article-index/manifest.json")["structures"][0]
    (group,) = [r for r in full["structures"][0]["items"] if r["id"].endswith("/group")]
    assert _shape(group["items"][-1]) == _shape(recipe["items"][0]["items"][0])


def test_a_tag_lies_on_its_region_as_in_recipe_0021(full: Json) -> None:
    recipe = _recipe("0021-tagging/manifest.json")["items"][0]["annotations"][0]
    ours = _shape(full["items"][11]["annotations"][0])
    wanted = _shape(recipe)
    del wanted["items"][0]["body"]["language"]  # names and numbers are in no language
    assert ours == wanted


def test_other_descriptions_are_linked_as_in_recipe_0053(full: Json) -> None:
    recipe = _recipe("0053-seeAlso/manifest.json")["seeAlso"][0]
    for link in full["seeAlso"]:
        assert set(link) == set(recipe)
        assert link["type"] == recipe["type"] == "Dataset"


def test_the_collection_lists_manifests_as_in_recipe_0032(collection: Json) -> None:
    recipe = _recipe("0032-collection/collection.json")
    assert set(recipe) <= set(collection)
    for item in collection["items"]:
        assert set(recipe["items"][0]) <= set(item)


def test_a_thumbnail_is_given_as_in_recipe_0117(full: Json) -> None:
    recipe = _recipe("0117-add-image-thumbnail/manifest.json")["thumbnail"][0]
    assert _shape(full["thumbnail"][0]) == _shape(recipe)


def test_a_year_is_a_moment_as_in_recipe_0230(manifests: list[Json]) -> None:
    recipe = _recipe("0230-navdate/navdate_map_1-manifest.json")["navDate"]
    (dated,) = [m["navDate"] for m in manifests if "navDate" in m]
    assert dated == "1811-01-01T00:00:00Z"
    assert recipe[4:] == dated[4:]
