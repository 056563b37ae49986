"""Which pictures may be one picture: near neighbours among fingerprints, found without comparing
all with all.

A forest of trees that halve the pictures at the median along chosen lines: each tree is balanced
whatever the pictures are, so that search grows as n log n even where thousands look alike, which
tables keyed by parts of a fingerprint do not promise. What the trees find is then compared crop by
crop, and only what is very near by that is looked at pixel by pixel.

The lines are drawn by a generator with a fixed seed: the same pictures give the same pairs.
"""

from __future__ import annotations

from typing import Any

from archivist.intake.pictures.look import FREQUENCIES

TREES = 12
LEAF = 24
"""Pictures that may share a leaf; a leaf's pictures are all compared with each other."""

LOW = 5
"""Frequencies each way that the trees look at: lower ones change little when a border is cut."""

MOST = 40
"""Neighbours of one picture that are kept, the nearest first."""

TURNS = (0, 3, 5, 6)
"""The quarter turns. Bit 0 mirrors left to right, bit 1 top to bottom, bit 2 then exchanges rows
and columns."""

MIRRORED = 1
"""The picture seen in a mirror. That is no turn: the left and the right side of a round pot may be
mirror images, so that a person must say what it is."""

INVERSE = {0: 0, MIRRORED: MIRRORED, 3: 3, 5: 6, 6: 5}
"""What undoes each."""

_LOOKED_FOR = (*TURNS, MIRRORED)


def turned(frequencies: Any, turn: int) -> Any:
    """The frequencies of the picture turned; exact, as cosines only change sign or place."""
    import numpy as np

    table = frequencies.reshape(*frequencies.shape[:-1], FREQUENCIES, FREQUENCIES)
    sign = np.where(np.arange(FREQUENCIES) % 2, -1.0, 1.0).astype(np.float32)
    if turn & 1:
        table = table * sign[None, :]
    if turn & 2:
        table = table * sign[:, None]
    if turn & 4:
        table = table.swapaxes(-1, -2)
    return table.reshape(frequencies.shape)


def turn_picture(values: Any, turn: int) -> Any:
    """An array of pixels turned in the same way."""
    if turn & 1:
        values = values[:, ::-1]
    if turn & 2:
        values = values[::-1]
    if turn & 4:
        values = values.swapaxes(0, 1)
    return values


def near_pairs(frequencies: Any) -> Any:
    """The pairs of pictures that may be one, an array of rows (one, other, turn), one < other.

    `frequencies` has a row of 64 for each picture. With turn t (or mirrored), picture `one`
    is near picture `other` once that is turned by t. Of each picture at most `MOST` neighbours are
    kept.
    """
    import numpy as np

    count = len(frequencies)
    if count < 2:
        return np.zeros((0, 3), np.int64)
    low = _low(frequencies)
    middle = low.mean(axis=0)
    centred = low - middle
    queries = [
        _low(turned(frequencies, turn)) - middle if turn else centred for turn in _LOOKED_FOR
    ]
    random = np.random.default_rng(20)
    kept = _Nearest(count)
    for _ in range(TREES):
        kept.add(*_of_tree(centred, queries, random))
    return kept.pairs()


class _Nearest:
    """The nearest neighbours of each picture so far, as (picture, neighbour, turn) and distance."""

    def __init__(self, count: int) -> None:
        import numpy as np

        self.count = count
        self.keys = np.zeros(0, np.int64)
        self.squares = np.zeros(0, np.float32)

    def add(self, keys: Any, squares: Any) -> None:
        import numpy as np

        keys, first = np.unique(np.concatenate([self.keys, keys]), return_index=True)
        squares = np.concatenate([self.squares, squares])[first]
        pictures = keys // (self.count * 8)
        order = np.lexsort((squares, pictures))
        pictures = pictures[order]
        starts = np.searchsorted(pictures, pictures)
        near = order[np.arange(len(order)) - starts < MOST]
        near.sort()
        self.keys, self.squares = keys[near], squares[near]

    def pairs(self) -> Any:
        import numpy as np

        pictures, rest = np.divmod(self.keys, self.count * 8)
        others, turns = np.divmod(rest, 8)
        back = np.array([INVERSE.get(t, 0) for t in range(8)])
        swap = pictures > others
        rows = np.stack(
            [
                np.where(swap, others, pictures),
                np.where(swap, pictures, others),
                np.where(swap, back[turns], turns),
            ],
            axis=1,
        )
        return np.unique(rows[rows[:, 0] != rows[:, 1]], axis=0)


def _of_tree(centred: Any, queries: list[Any], random: Any) -> tuple[Any, Any]:
    """What one tree finds: keys of (picture, neighbour, turn), and how far they are apart."""
    import numpy as np

    count = len(centred)
    scale = centred.std(axis=0) + 1e-6
    keys, squares = [np.zeros(0, np.int64)], [np.zeros(0, np.float32)]
    everyone = np.arange(count)
    waiting = [(everyone, [everyone for _ in queries])]
    while waiting:
        members, visitors = waiting.pop()
        if len(members) <= LEAF:
            for query, seen, turn in zip(queries, visitors, _LOOKED_FOR, strict=True):
                apart = centred[members][:, None, :] - query[seen][None, :, :]
                distances = np.einsum("ijk,ijk->ij", apart, apart)
                rows, columns = np.nonzero(distances < 2 - 2 * NEAR)
                found = (members[rows] * count + seen[columns]) * 8 + turn
                different = members[rows] != seen[columns]
                keys.append(found[different])
                squares.append(distances[rows, columns][different])
            continue
        line = (random.normal(size=centred.shape[1]) / scale).astype(np.float32)
        places = centred[members] @ line
        order = np.argsort(places, kind="stable")
        half = len(order) // 2
        middle = places[order[half]]
        lower = [query[seen] @ line < middle for query, seen in zip(queries, visitors, strict=True)]
        waiting.append(
            (members[order[:half]], [s[w] for s, w in zip(visitors, lower, strict=True)])
        )
        waiting.append(
            (members[order[half:]], [s[~w] for s, w in zip(visitors, lower, strict=True)])
        )
    return np.concatenate(keys), np.concatenate(squares)


NEAR = 0.72
"""The least cosine of the low frequencies of two pictures that are looked at further."""


def _low(frequencies: Any) -> Any:
    """The lowest frequencies, all pictures of length one."""
    import numpy as np

    table = frequencies.reshape(-1, FREQUENCIES, FREQUENCIES)[:, :LOW, :LOW].reshape(-1, LOW * LOW)
    length = np.sqrt((table * table).sum(axis=1, keepdims=True))
    return (table / np.maximum(length, 1e-6)).astype(np.float32)
