"""Linked Art against its published JSON Schemas and context, without a network."""

from __future__ import annotations

import importlib.util
import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace as changed
from referencing import Registry, Resource

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    CitationKind,
    Date,
    EventKind,
    Feature,
    FeatureAspect,
    ProvenanceEvent,
    Relation,
    RelationKind,
    Term,
)
from archivist.testing import BOWL, FARMHOUSE, export, sample_piece, sample_selection
from archivist_plugins.iiif import IIIF
from archivist_plugins.linked_art import LINKED_ART, vocabulary
from archivist_plugins.linked_art.apart import parts_apart
from archivist_plugins.linked_art.exporter import as_json
from archivist_plugins.linked_art.objects import CONTEXT, collection, human_made_object
from tests.conformance.any_piece import pieces, published

needs_cromulent = pytest.mark.skipif(
    importlib.util.find_spec("cromulent") is None, reason="cromulent is not installed"
)


@cache
def _validator(name: str) -> jsonschema.Draft202012Validator:
    folder = published("linked-art", "schema")
    schemas = [json.loads(path.read_text("utf-8")) for path in folder.glob("*.json")]
    registry: Registry[Any] = Registry().with_resources(
        (schema["$id"], Resource.from_contents(schema)) for schema in schemas
    )
    whole = next(s for s in schemas if s["$id"].endswith(f"/{name}.json"))
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    return jsonschema.Draft202012Validator(whole, registry=registry, format_checker=checker)


def _problems(made: dict[str, Any], name: str = "object") -> list[str]:
    """What the schema finds wrong, with the deepest reasons of each."""
    return [
        f"{'/'.join(map(str, error.absolute_path))}: {error.message[:300]}"
        for error in _validator(name).iter_errors(made)
    ]


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Piece:
    """A piece whose pictures are made once; the records are many."""
    return sample_piece(tmp_path_factory.mktemp("pictures"))


def _full(sample: Piece) -> Piece:
    """A piece that has something for every structure."""
    record = changed(
        BOWL,
        attributions=(
            *BOWL.attributions,
            Attribution(aspect=Aspect.MAKER, term=Term(label="Aldous Wren")),
            Attribution(aspect=Aspect.KILN, term=Term(label="the kiln at Sedgemouth")),
            Attribution(aspect=Aspect.PERIOD, term=Term(label="Joseon")),
            Attribution(
                aspect=Aspect.DATE,
                role=AttributionRole.DECORATED,
                date=Date(edtf="1866", earliest=1866, latest=1866),
            ),
            Attribution(aspect=Aspect.PLACE, part="cover", term=Term(label="Marrowgate")),
            Attribution(
                aspect=Aspect.CULTURE,
                term=Term(label="Japanese"),
                certainty=Certainty.DOUBTFUL,
                who=FARMHOUSE.id,
            ),
        ),
        features=(
            *BOWL.features,
            Feature(aspect=FeatureAspect.TECHNIQUE, term=Term(label="thrown")),
            Feature(
                aspect=FeatureAspect.MATERIAL,
                term=Term(label="porcelain"),
                certainty=Certainty.POSSIBLE,
            ),
        ),
        provenance=(
            *BOWL.provenance,
            ProvenanceEvent(kind=EventKind.FIND, place="Sedgemouth"),
        ),
        citations=(
            Citation(kind=CitationKind.LITERATURE, title="Bowls of the Tidewell"),
            Citation(kind=CitationKind.EXHIBITION, title="Green Glazes", venue="Marrowgate Hall"),
        ),
        relations=(Relation(kind=RelationKind.PART_OF, object="0b9a4c1e"),),
    )
    return replace(sample, record=record)


def _object(piece: Piece) -> dict[str, Any]:
    folder = piece.photographs[0].path.parent
    made = human_made_object(piece, sample_selection(folder, [piece]))
    return dict(json.loads(as_json(made)))


def test_what_is_released_is_valid_by_the_schemas(sample: Piece, tmp_path: Path) -> None:
    selection = sample_selection(tmp_path, [_full(sample)])
    files = export((LINKED_ART, IIIF), selection, tmp_path)
    for path, schema in ((f"{sample.slug}.json", "object"), ("collection.json", "set")):
        made = json.loads(files[f"linked-art/{path}"].location.read_text("utf-8"))
        assert _problems(made, schema) == []
    one = json.loads(files[f"linked-art/{sample.slug}.json"].location.read_text("utf-8"))
    wanted = "produced_by attributed_by dimension made_of changed_ownership_through subject_of"
    assert set(
        f"{wanted} modified_by used_for encountered_by part_of representation".split()
    ) <= set(one)


def test_the_schemas_find_what_is_wrong(sample: Piece) -> None:
    made = _object(_full(sample))
    assert _problems({**made, "id": "not an address"})
    assert _problems({**made, "colour": "blue"})
    span = {"type": "TimeSpan", "begin_of_the_begin": "c.1780"}
    assert _problems({**made, "produced_by": {"type": "Production", "timespan": span}})


@settings(deadline=None, max_examples=30)
@given(data=st.data())
def test_any_piece_is_valid(data: st.DataObject, sample: Piece) -> None:
    piece = data.draw(pieces(sample))
    assert _problems(_object(piece)) == []
    for part in parts_apart(piece, sample_selection(Path(), [piece])):
        assert _problems(json.loads(as_json(part))) == []
    folder = sample.photographs[0].path.parent
    made = collection(sample_selection(folder, [piece]))
    assert _problems(json.loads(as_json(made)), "set") == []


def test_every_property_means_something_in_the_published_context(sample: Piece) -> None:
    """Expanded by PyLD (an independent JSON-LD processor), no property is dropped."""
    jsonld = pytest.importorskip("pyld.jsonld", reason="PyLD is not installed")
    context = json.loads(published("linked-art", "context.json").read_text("utf-8"))

    def local(address: str, options: Any) -> dict[str, Any]:
        assert address == CONTEXT, f"{address} is not the context of Linked Art"
        return {"document": context, "documentUrl": address, "contextUrl": None}

    dropped: list[str | None] = []
    expanded = jsonld.expand(
        _object(_full(sample)), {"documentLoader": local}, on_property_dropped=dropped.append
    )
    assert dropped == []
    crm = "http://www.cidoc-crm.org/cidoc-crm/"
    assert expanded[0]["@type"] == [f"{crm}E22_Human-Made_Object"]
    assert f"{crm}P108i_was_produced_by" in expanded[0]
    assigned = {
        node["@id"]
        for one in expanded[0][f"{crm}P140i_was_attributed_by"]
        for node in one[f"{crm}P177_assigned_property_of_type"]
    }
    assert assigned == {
        f"{crm}P108i_was_produced_by",
        f"{crm}P2_has_type",
        f"{crm}P45_consists_of",
    }


def _used_concepts() -> set[tuple[str, str]]:
    """Every concept of the AAT in the tables of our vocabulary."""
    found: set[tuple[str, str]] = set()
    for value in vars(vocabulary).values():
        for one in value.values() if isinstance(value, dict) else [value]:
            if isinstance(one, tuple) and len(one) == 2 and str(one[0]).startswith("300"):
                found.add(one)
    return found


@needs_cromulent
def test_every_aat_concept_is_one_that_the_community_uses_under_that_label() -> None:
    spec = importlib.util.find_spec("cromulent")
    assert spec is not None
    assert spec.origin is not None
    known = set()
    for name in ("vocab_classes.json", "vocab_instances.json"):
        text = (Path(spec.origin).parent / "data" / name).read_text("utf-8")
        known |= {(one["id"], one["label"]) for one in json.loads(text).values() if "id" in one}
    known.add(("300404670", "Primary Name"))  # an example in the JSON Schema, core.json, Name
    used = _used_concepts()
    assert len(used) > 40
    assert used - known == set()


def _leaves(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key != "@context":
                yield from _leaves(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _leaves(inner)
    else:
        yield str(value)


@needs_cromulent
def test_cromulent_reads_it_and_writes_the_same_values(sample: Piece) -> None:
    """But for `attributed_by`: its `assigned_property` is from a draft before Linked Art 1.0.

    A concept that comes again is written by its address alone, so that values count once.
    """
    from cromulent import model, reader

    made = _object(_full(sample))
    del made["attributed_by"]
    for one in made["dimension"]:
        one.pop("assigned_by", None)
    read = reader.Reader().read(json.dumps(made))
    written = json.loads(model.factory.toString(read))
    assert set(_leaves(made)) == set(_leaves(written))
