"""What a person said of a photograph, laid over what was held of it."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from archivist.model import Certainty, Depiction, Photograph


def is_reviewed(photograph: Photograph) -> bool:
    """Whether a person has said of any piece that the photograph shows it, or does not."""
    return any(depiction.reviewed for depiction in photograph.depictions)


def with_review(photograph: Photograph, said: Sequence[Depiction]) -> Photograph:
    """The photograph with what was said; each depiction replaces the first of its object."""
    depictions = list(photograph.depictions)
    for depiction in said:
        place = next((n for n, d in enumerate(depictions) if d.object == depiction.object), None)
        if place is None:
            depictions.append(depiction)
        elif not says_the_same(depictions[place], depiction):
            depictions[place] = depiction
    return msgspec.structs.replace(photograph, depictions=tuple(depictions))


def says_the_same(one: Depiction, other: Depiction) -> bool:
    """Whether two depictions say the same, wherever the words came from."""
    return _gist(one) == _gist(other)


def _gist(depiction: Depiction) -> tuple[object, ...]:
    return (
        depiction.object,
        depiction.certainty is Certainty.REJECTED or (depiction.view, depiction.region),
        depiction.certainty,
        depiction.caption,
        frozenset(depiction.released),
        depiction.private,
        depiction.reviewed,
    )
