"""Colour tables of ICC profiles written anew, number for number (ICC.1:2022, 10.12 and 10.13).

A table of the kinds mAB and mBA is made of parts that offsets point to; between them, and behind
them, anything may stand. What is written here holds the parts one after the other, and no more.
"""

from __future__ import annotations

import math
import struct

_HEAD = 32
_MATRIX = 48
_GRID = 20
PARAMETERS = {0: 1, 1: 3, 2: 4, 3: 5, 4: 7}
"""How many numbers each kind of parametric curve has (10.18)."""

_MOST_CHANNELS = 16


class NoTable(ValueError):  # noqa: N818 - a fact about the profile
    """The bytes are no table of these kinds, or one that is cut short."""


def canonical_table(value: bytes) -> bytes:
    """The same table with nothing in it but its numbers.

    Raises:
        NoTable: where it is none.
    """
    if len(value) < _HEAD or value[:4] not in (b"mAB ", b"mBA "):
        raise NoTable
    inputs, outputs = value[8], value[9]
    if not 0 < inputs <= _MOST_CHANNELS or not 0 < outputs <= _MOST_CHANNELS:
        raise NoTable
    b_at, matrix_at, m_at, grid_at, a_at = struct.unpack_from(">5I", value, 12)
    if not b_at:
        raise NoTable
    # To the connection space (mAB) come A, grid, M, matrix, B in turn; from it (mBA) they go back.
    to_connection = value[:4] == b"mAB "
    connection, device = (outputs, inputs) if to_connection else (inputs, outputs)
    parts = (
        _curves(value, b_at, connection),
        _taken(value, matrix_at, _MATRIX) if matrix_at else b"",
        _curves(value, m_at, connection) if m_at else b"",
        _grid(value, grid_at, inputs, outputs) if grid_at else b"",
        _curves(value, a_at, device) if a_at else b"",
    )
    offsets, position = [], _HEAD
    for part in parts:
        offsets.append(position if part else 0)
        position += len(part)
    head = value[:4] + bytes(4) + bytes((inputs, outputs, 0, 0))
    return head + struct.pack(">5I", *offsets) + b"".join(parts)


def curve_size(value: bytes) -> int:
    """The bytes that the curve (curv or para) at the start of `value` takes.

    Raises:
        NoTable: where there is none.
    """
    if value[:4] == b"curv" and len(value) >= 12:
        return 12 + 2 * int.from_bytes(value[8:12], "big")
    kind = int.from_bytes(value[8:10], "big")
    if value[:4] == b"para" and len(value) >= 12 and kind in PARAMETERS:
        return 12 + 4 * PARAMETERS[kind]
    raise NoTable


def canonical_curve(value: bytes) -> bytes:
    """The curve at the start of `value`, with nothing in it but its numbers.

    Raises:
        NoTable: where there is none, or it is cut short.
    """
    data = _taken(value, 0, curve_size(value))
    reserved = data[8:10] + b"\0\0" if data[:4] == b"para" else data[8:12]
    return data[:4] + bytes(4) + reserved + data[12:]


def _curves(value: bytes, position: int, count: int) -> bytes:
    """`count` curves, each padded to four bytes."""
    written = b""
    for _ in range(count):
        curve = canonical_curve(value[position:])
        padding = -len(curve) % 4
        position += len(curve) + padding
        written += curve + bytes(padding)
    return written


def _grid(value: bytes, position: int, inputs: int, outputs: int) -> bytes:
    """The points of the grid: how many on each axis, bytes a number, the numbers."""
    head = _taken(value, position, _GRID)
    points, precision = head[:inputs], head[16]
    if precision not in (1, 2) or not all(points):
        raise NoTable
    size = math.prod(points) * outputs * precision
    numbers = _taken(value, position + _GRID, size)
    head = points.ljust(16, b"\0") + bytes((precision, 0, 0, 0))
    return head + numbers + bytes(-size % 4)


def _taken(value: bytes, position: int, size: int) -> bytes:
    data = value[position : position + size]
    if len(data) < size:
        raise NoTable
    return data
