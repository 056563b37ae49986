"""Canonical JSON against RFC 8785 and against a second implementation."""

from __future__ import annotations

import json
from typing import Any

import msgspec
import pytest
from hypothesis import given

from archivist.model import (
    Note,
    ObjectRecord,
    Photograph,
    Reading,
    Term,
    Value,
    canonical_json,
    digest,
    from_json,
)
from tests.strategies import parties, photographs, records


class Keys(Value, frozen=True, kw_only=True):
    """A value with the ASCII keys of RFC 8785's example, not in their order."""

    string: str
    numbers: tuple[int, ...]
    literals: tuple[bool, ...]
    peach: str = ""


def second_implementation(value: Value) -> bytes:
    """RFC 8785 for strings, integers and booleans, by the standard library alone.

    Keys are sorted by their UTF-16 code units (section 3.2.3); `json.dumps` escapes as section
    3.2.2.2 asks once `ensure_ascii` is off, save for its upper and lower case, which agree.
    """

    def ordered(item: Any) -> Any:
        if isinstance(item, dict):
            keys = sorted(item, key=lambda key: key.encode("utf-16-be"))
            return {key: ordered(item[key]) for key in keys}
        if isinstance(item, list | tuple):
            return [ordered(part) for part in item]
        return item

    plain = ordered(msgspec.to_builtins(value))
    return json.dumps(plain, ensure_ascii=False, separators=(",", ":")).encode("utf-8")


def test_the_string_of_rfc_8785_is_escaped_as_its_section_3_2_4_prints_it() -> None:
    # RFC 8785, 3.2.2 (input) and 3.2.4 (UTF-8 of the result), the string's bytes typed in.
    given_ = '"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/"'
    printed = bytes.fromhex("22e282ac245c75303030665c6e412742")
    printed += bytes.fromhex("5c225c5c5c5c5c222f22")
    words = json.loads(given_)
    assert canonical_json(Term(label=words)) == b'{"label":' + printed + b"}"


def test_keys_are_sorted_and_no_white_space_stands_between_tokens() -> None:
    # RFC 8785, 3.2.3: the order of its example, without the floating-point numbers that the model
    # does not hold.
    value = Keys(string="x", numbers=(333333333, 4), literals=(True, False))
    assert canonical_json(value) == (
        b'{"literals":[true,false],"numbers":[333333333,4],"string":"x"}'
    )


def test_the_escapes_of_rfc_8785_are_those_with_two_characters_and_lower_case_hexadecimal() -> None:
    # RFC 8785, 3.2.2.2: \b \t \n \f \r, other controls as \u00xx in lower case, \\ and \" escaped,
    # nothing else (so neither U+007F nor U+2028 nor '/').
    label = '\b\t\n\f\r\x0b\x1f"\\/\x7f\u2028'
    expected = '{"label":"\\b\\t\\n\\f\\r\\u000b\\u001f\\"\\\\/\x7f\u2028"}'
    assert canonical_json(Term(label=label)) == expected.encode("utf-8")


def test_every_key_of_the_model_is_ascii_so_that_both_ways_of_sorting_agree() -> None:
    # RFC 8785, 3.2.3 sorts by UTF-16 code units, msgspec by code points.
    def keys(type_: type[Value]) -> set[str]:
        parts = msgspec.json.schema_components((type_,))[1].values()
        return {key for part in parts for key in part.get("properties", {})}

    assert all(key.isascii() for key in keys(ObjectRecord) | keys(Photograph))


def test_unicode_is_not_normalised() -> None:
    # RFC 8785, 3.1: "Unicode string data ... MUST be preserved as is".
    composed, apart = Term(label="é"), Term(label="e\u0301")
    assert canonical_json(composed) != canonical_json(apart)


def test_a_lone_surrogate_is_refused() -> None:
    # RFC 8785, 3.2.2.2: "lone surrogates ... MUST cause a compliant implementation to terminate".
    with pytest.raises(UnicodeEncodeError):
        canonical_json(Term(label="\ud83d"))


def test_defaults_are_left_out_however_the_value_came_to_have_them() -> None:
    spelled_out = b'{"rule":"range","confidence":"1","start":0}'
    assert canonical_json(from_json(spelled_out, Reading)) == b'{"rule":"range"}'
    assert canonical_json(Reading(rule="range", confidence=str(int("1")))) == b'{"rule":"range"}'


@given(records())
def test_records_have_the_bytes_that_a_second_implementation_gives(record: ObjectRecord) -> None:
    assert canonical_json(record) == second_implementation(record)


@given(records())
def test_records_come_back_from_their_canonical_bytes(record: ObjectRecord) -> None:
    written = canonical_json(record)
    again = from_json(written, ObjectRecord)
    assert again == record
    assert canonical_json(again) == written
    assert digest(again) == digest(record)


@given(photographs())
def test_photographs_come_back_from_their_canonical_bytes(photograph: Photograph) -> None:
    again = from_json(canonical_json(photograph), Photograph)
    assert again == photograph
    assert canonical_json(photograph) == second_implementation(photograph)


@given(parties())
def test_parties_come_back_from_their_canonical_bytes(party: Value) -> None:
    assert from_json(canonical_json(party), type(party)) == party


@given(records())
def test_a_record_with_every_default_spelled_out_is_the_same_record(record: ObjectRecord) -> None:
    def spelled_out(value: Any) -> Any:
        if isinstance(value, Value):
            return {name: spelled_out(getattr(value, name)) for name in value.__struct_fields__}
        return [spelled_out(item) for item in value] if isinstance(value, tuple) else value

    read = from_json(msgspec.json.encode(spelled_out(record)), ObjectRecord)
    assert read == record
    assert canonical_json(read) == canonical_json(record)


def test_a_field_that_this_version_does_not_know_is_refused_and_never_dropped() -> None:
    with pytest.raises(msgspec.ValidationError, match="colour_of_the_box"):
        from_json(b'{"as_stated":"x","colour_of_the_box":"red"}', Note)
