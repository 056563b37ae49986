"""The JSON Schemas in `archivist_schemas`: fresh, and true of what the model holds."""

from __future__ import annotations

import json
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import msgspec
import pytest
from hypothesis import given, settings

from archivist.model import ObjectRecord, Photograph, Value, canonical_json
from archivist.model.schema import SCHEMAS, schema_text
from archivist.testing import BOWL, FARMHOUSE
from archivist_schemas import schema_file
from tests.strategies import parties, photographs, records


def stored(name: str) -> Any:
    return json.loads(schema_file(name).read_text(encoding="utf-8"))


def problems(value: Value, name: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(stored(name))
    return [problem.message for problem in validator.iter_errors(json.loads(canonical_json(value)))]


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_stored_schema_is_that_of_the_model(name: str) -> None:
    assert schema_file(name).read_text(encoding="utf-8") == schema_text(name), (
        "run: python -m archivist.model.schema schemas/archivist_schemas"
    )


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_is_one_by_json_schema_2020_12(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(stored(name))


def test_the_sample_record_and_party_are_valid() -> None:
    assert problems(BOWL, "record.schema.json") == []
    assert problems(FARMHOUSE, "party.schema.json") == []


def test_a_record_with_an_unknown_field_or_no_identifier_is_not_valid() -> None:
    validator = jsonschema.Draft202012Validator(stored("record.schema.json"))
    assert not validator.is_valid({"id": "x", "colour_of_the_box": "red"})
    assert not validator.is_valid({"stock_number": "1"})
    assert validator.is_valid({"id": "x"})


@settings(max_examples=40)
@given(records())
def test_every_record_of_the_model_is_valid(record: ObjectRecord) -> None:
    assert problems(record, "record.schema.json") == []


@settings(max_examples=40)
@given(photographs())
def test_every_photograph_of_the_model_is_valid(photograph: Photograph) -> None:
    assert problems(photograph, "photograph.schema.json") == []


@settings(max_examples=40)
@given(parties())
def test_every_party_of_the_model_is_valid(party: msgspec.Struct) -> None:
    assert isinstance(party, Value)
    assert problems(party, "party.schema.json") == []
