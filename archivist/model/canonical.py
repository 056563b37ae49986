"""Canonical JSON (RFC 8785): one value, one sequence of bytes, one digest.

The model holds strings, integers and booleans only (decimals are strings), so that of RFC 8785
only key order, string escapes and the absence of white space are left to keep; msgspec keeps all
three, and tests hold it against the RFC's own examples and a second implementation.
"""

from __future__ import annotations

import hashlib
from typing import TypeVar

import msgspec

from archivist.model.base import Value

ValueType = TypeVar("ValueType", bound=Value)

_encoder = msgspec.json.Encoder(order="sorted")


def canonical_json(value: Value) -> bytes:
    """The RFC 8785 bytes of `value`, defaults left out, no Unicode normalisation."""
    return _encoder.encode(value)


def from_json(data: bytes | str, kind: type[ValueType]) -> ValueType:
    """The value of `kind` that `data` holds.

    Raises:
        msgspec.ValidationError: naming the field that does not fit.
        msgspec.DecodeError: where it is no JSON at all.
    """
    return msgspec.json.decode(data, type=kind)


def digest(value: Value) -> str:
    """The SHA-256 of the canonical JSON of `value`, in hexadecimal."""
    return hashlib.sha256(canonical_json(value)).hexdigest()
