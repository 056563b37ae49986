"""What a person said of a photograph, laid over what was held of it."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from archivist.model import Certainty, Depiction, Photograph, TakenAt

LISTED = "photograph\n"
"""How the keys of rows begin that speak of photographs."""


def is_reviewed(photograph: Photograph) -> bool:
    """Whether a person has confirmed of any piece the view in which the photograph shows it, or
    said that it does not."""
    return any(depiction.reviewed for depiction in photograph.depictions)


def is_spoken_of(photograph: Photograph) -> bool:
    """Whether a person has said which pieces the photograph shows, the view confirmed or not: no
    later guess takes the place of that."""
    return any(map(is_said, photograph.depictions))


def is_said(depiction: Depiction) -> bool:
    """Whether a depiction is as a person says: reviewed, or of a list or an edit."""
    source = depiction.source
    return depiction.reviewed or (source is not None and source.row.startswith(LISTED))


def time_is_reviewed(photograph: Photograph) -> bool:
    """Whether a person has said when the photograph was taken."""
    return any(taken.preferred and taken.source is not None for taken in photograph.taken)


def with_review(
    photograph: Photograph,
    said: Sequence[Depiction],
    taken: TakenAt | None = None,
    copy_of: str | None = None,
) -> Photograph:
    """The photograph with what was said; each depiction replaces the first of its object.

    `taken` becomes the preferred time, and the others stay beside it; `copy_of` is the SHA-256 of
    the picture it is a copy of, '' where it is none, None where nothing was said of that.
    """
    depictions = list(photograph.depictions)
    for depiction in said:
        place = next((n for n, d in enumerate(depictions) if d.object == depiction.object), None)
        if place is None:
            depictions.append(depiction)
        elif not says_the_same(depictions[place], depiction):
            depictions[place] = depiction
    times = photograph.taken
    if taken is not None and taken not in times:
        times = (taken, *(msgspec.structs.replace(t, preferred=False) for t in times))
    return msgspec.structs.replace(
        photograph,
        depictions=tuple(depictions),
        taken=times,
        derived_from=photograph.derived_from if copy_of is None else copy_of,
    )


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
