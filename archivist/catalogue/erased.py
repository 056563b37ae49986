"""The names that were erased, known again without being kept.

Of each spelling the words are kept as keyed digests (BLAKE2b, RFC 7693, with a random key of the
archive's). That a name was erased can be tried by whoever has the archive and guesses the name; it
cannot be read.
"""

from __future__ import annotations

import hashlib
import secrets
import sqlite3
from dataclasses import dataclass
from functools import partial

import msgspec

from archivist.catalogue.persons import NameFinder, Spelling
from archivist.model import Party

ERASED = "[erased]"
"""What stands in the place of a name that was erased."""

_DIGEST_BYTES = 12


class _Kept(msgspec.Struct, frozen=True):
    """The spellings of one party: as names, and as what follows a title."""

    names: tuple[Spelling, ...]
    surnames: tuple[Spelling, ...]


@dataclass(frozen=True)
class ErasedNames:
    """The erased parties by UUID, each with what finds its names."""

    finders: dict[str, NameFinder]

    def party_of(self, text: str) -> str:
        """The UUID of an erased party that `text` names, '' for none."""
        return next((party for party, f in self.finders.items() if f.finds(text)), "")

    def replaced(self, text: str) -> str:
        """`text` with every erased name replaced; the very same text where there is none."""
        for finder in self.finders.values():
            text = finder.replaced(text, ERASED)
        return text


def remember_erased(connection: sqlite3.Connection, party: Party, at: str) -> None:
    """Keeps the digests of a party's names, within the transaction that erases them."""
    row = connection.execute("SELECT key FROM erased LIMIT 1").fetchone()
    key = row["key"] if row else secrets.token_hex(32)
    finder = NameFinder((party,))
    kept = _Kept(
        tuple(s.hidden(partial(_digest, key)) for s in finder.names),
        tuple(s.hidden(partial(_digest, key)) for s in finder.surnames),
    )
    old = connection.execute("SELECT spellings FROM erased WHERE party = ?", (party.id,)).fetchone()
    if old is not None:
        before = msgspec.json.decode(old["spellings"], type=_Kept)
        kept = _Kept(
            tuple(dict.fromkeys((*before.names, *kept.names))),
            tuple(dict.fromkeys((*before.surnames, *kept.surnames))),
        )
    connection.execute(
        "INSERT OR REPLACE INTO erased VALUES (?, ?, ?, ?)",
        (party.id, at, key, msgspec.json.encode(kept).decode("utf-8")),
    )


def erased_names(connection: sqlite3.Connection) -> ErasedNames | None:
    """The names that were erased, None where nobody was."""
    rows = connection.execute("SELECT party, key, spellings FROM erased").fetchall()
    finders: dict[str, NameFinder] = {}
    for row in rows:
        kept = msgspec.json.decode(row["spellings"], type=_Kept)
        hidden = partial(_digest, row["key"])
        finders[row["party"]] = NameFinder.of_spellings(kept.names, kept.surnames, hidden)
    return ErasedNames(finders) if finders else None


def _digest(key: str, word: str) -> str:
    digest = hashlib.blake2b(word.encode(), key=bytes.fromhex(key), digest_size=_DIGEST_BYTES)
    return digest.hexdigest()
