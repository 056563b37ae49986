"""What a survey finds of somebody who was erased: it stays away, and that is said.

Paths are left as they are, since files are found by them; what the catalogue keeps of them is
cleaned where it is written.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from archivist.catalogue.erased import ErasedNames
from archivist.hooks import Trouble
from archivist.intake.proposal import AnyItem, Proposal, SaveParty, SourceTrouble

_PATHS = frozenset(
    {"path", "path_bytes", "location", "mapping", "sha256", "sha512", "original", "copy_of", "id"}
)
"""Fields by which files and things are found."""


def without_erased(proposal: Proposal, names: ErasedNames) -> tuple[Proposal, int]:
    """The proposal without the names of those who were erased, and in how many places they stood.

    A party of such a name is the one that was erased, and nothing more is known of it.
    """
    found = 0
    known_as: dict[str, str] = {}
    for item in _items(proposal):
        if isinstance(item, SaveParty):
            named = (item.party.name, *item.party.also_known_as)
            party = next(filter(None, map(names.party_of, named)), "")
            if party:
                known_as[item.party.id] = party

    def cleaned(text: str) -> str:
        nonlocal found
        if text in known_as:
            return known_as[text]
        without = names.replaced(text)
        found += without != text
        return without

    plain = _replaced(msgspec.to_builtins(proposal), cleaned)
    made = msgspec.convert(plain, Proposal)
    gone = set(known_as.values())
    kept = tuple(i for i in made.items if not (isinstance(i, SaveParty) and i.party.id in gone))
    troubles = [
        SourceTrouble(location=source.location, trouble=_told(found))
        for source in proposal.sources[:1]
    ]
    whole = (*made.troubles, *troubles) if found else made.troubles
    return msgspec.structs.replace(made, items=kept, troubles=whole), found


def _items(proposal: Proposal) -> list[AnyItem]:
    chosen = [i for q in proposal.questions for c in q.choices for i in c.items]
    return [*proposal.items, *chosen]


def _told(found: int) -> Trouble:
    places = "1 place" if found == 1 else f"{found} places"
    return Trouble(
        place="names",
        reason=f"in {places} stands the name of somebody who was erased; it was left out",
        remedy="Where it shall be known again, write it into the record with 'archivist edit'.",
    )


def _replaced(value: Any, cleaned: Callable[[str], str], field: str = "") -> Any:
    if isinstance(value, str):
        return value if field in _PATHS and field != "id" else cleaned(value)
    if isinstance(value, list | tuple):
        return [_replaced(item, cleaned, field) for item in value]
    if isinstance(value, dict):
        return {key: _replaced(item, cleaned, key) for key, item in value.items()}
    return value
