"""Date words with a slip of the typist's: 'centruy', 'eigteenth', 'darly'.

They are mended only where a date word must stand: anywhere in a text that is meant to be a date,
and right after an ordinal elsewhere ('18th centruy'). The slip is kept as a lower confidence.
"""

from __future__ import annotations

import functools

from archivist.reading.dates.lore import Lore
from archivist.reading.dates.tokens import SLIP, Token
from archivist.reading.dates.words import CENTURY, ORDINAL, SHORTEST_MENDED
from archivist.reading.names import edit_distance

SLIP_OF_A_FIGURE = 0.7
"""How near 'l8th' is to '18th': what was meant is likely, and no more."""
LONG = 8
"""From how many letters two slips are allowed."""


def mended(
    tokens: list[Token], lore: Lore, *, everywhere: bool
) -> tuple[list[Token], dict[int, float]]:
    """`tokens` with misspelt date words given their senses, and how near each of those is."""
    found: dict[int, float] = {}
    for index, token in enumerate(tokens):
        if ORDINAL in token.senses and token.senses[ORDINAL].value == SLIP:
            found[index] = SLIP_OF_A_FIGURE
        if token.senses or len(token.folded) < SHORTEST_MENDED or not token.folded.isascii():
            continue
        if not everywhere and not (index and ORDINAL in tokens[index - 1].senses):
            continue
        if lore.periods.begins(token.folded):
            continue
        if (near := _near(token.folded, lore.mendable)) is None:
            continue
        nearest, nearness = near
        senses = lore.lexicon.words[nearest]
        if not everywhere and CENTURY not in senses:
            continue
        if not found:
            tokens = list(tokens)
        tokens[index] = token._replace(senses=senses)
        found[index] = nearness
    return tokens, found


@functools.lru_cache(maxsize=8192)
def _near(word: str, known: tuple[tuple[str, str], ...]) -> tuple[str, float] | None:
    """The one of the `known` words that `word` is near to, and how near.

    With each word stands its meaning: of several as near, all must mean the same.
    """
    limit = 1 if len(word) < LONG else 2
    ranked = sorted(
        (distance, other, meaning)
        for other, meaning in known
        if (distance := edit_distance(word, other, limit)) <= limit
    )
    if not ranked or len({meaning for far, _, meaning in ranked if far == ranked[0][0]}) > 1:
        return None
    distance, nearest, _ = ranked[0]
    return nearest, 1 - distance / len(nearest)
