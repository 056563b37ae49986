"""What would be filed of each piece, told before it is taken in, the doubtful first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from archivist.cli.saying import echo
from archivist.cli.told import MOST, counted, say

if TYPE_CHECKING:
    from archivist.intake.proposal import Proposal
    from archivist.intake.said_of_pieces import SaidOfPiece
    from archivist.model import Party, SaleFact, Statement
    from archivist.reading.tables import Tables

MOST_DOUBTFUL = 60
"""Doubtful statements that are shown one by one, where there are many records."""

_WORDS = 70
"""Characters of the words that a statement rests on."""


def tell_statements(
    proposal: Proposal, parties: Mapping[str, Party], names: Sequence[str] = ()
) -> None:
    """What would be filed of the pieces `names`, or of all.

    Of few records each statement is shown; of many those in doubt, and how to see the rest.
    """
    from archivist.intake.said_of_pieces import said_of_pieces

    pieces = [p for p in said_of_pieces(proposal) if not names or _is_named(p, names)]
    if names and not pieces:
        say(f"The proposal says nothing new of {', '.join(names)}.")
    if not pieces:
        return
    echo()
    if names or len(pieces) <= MOST:
        for piece in pieces:
            _tell_piece(piece, parties, whole=True)
        return
    doubtful = [piece for piece in pieces if piece.doubtful]
    plain = sum(len(piece.plain) for piece in pieces)
    shown = 0
    if doubtful:
        say("Said with doubt, denied, or said by others:", bold=True)
    for piece in doubtful:
        if shown >= MOST_DOUBTFUL:
            break
        _tell_piece(piece, parties, whole=False)
        shown += len(piece.doubtful)
    rest = sum(len(piece.doubtful) for piece in doubtful) - shown
    if rest > 0:
        echo(f"and {rest} more such statements: archivist review --all")
    say(
        f"Said plainly: {counted(plain, 'statement')} of {counted(len(pieces), 'record')}. "
        "Of one: archivist review --object STOCKNUMBER. Of all: archivist review --all"
    )


def tell_all_statements(
    proposal: Proposal, parties: Mapping[str, Party], tables: Tables, names: Sequence[str] = ()
) -> None:
    """Every statement of every piece, and what its words only mention."""
    from archivist.intake.said_of_pieces import mentions_in, said_of_pieces

    echo()
    for piece in said_of_pieces(proposal):
        if names and not _is_named(piece, names):
            continue
        _tell_piece(piece, parties, whole=True)
        for heading, mention in mentions_in(proposal, piece.item, tables):
            of = "" if mention.of == "this piece" else f"of {mention.of}"
            why = ", ".join(w for w in (of, mention.role) if w) or mention.why
            words = _short(mention.statement.as_stated)
            say(f"only mentioned: '{words}' ({heading}; {why})", "        ")
        if piece.kept:
            say(f"kept as words: {', '.join(piece.kept)}", "        ")


def _is_named(piece: SaidOfPiece, names: Sequence[str]) -> bool:
    from archivist.catalogue.numbers import number_key

    wanted = [number_key(name) for name in names]
    key = number_key(piece.name)
    return any(key[: len(one)] == one for one in wanted if one)


def _tell_piece(piece: SaidOfPiece, parties: Mapping[str, Party], *, whole: bool) -> None:
    say(piece.name, f"{piece.item:>5}  ", bold=True)
    for statement in piece.doubtful:
        say(_told(statement, parties), "     ?  ")
    for statement in piece.plain if whole else ():
        say(_told(statement, parties), "        ")


def _told(statement: Statement, parties: Mapping[str, Party]) -> str:
    """'culture: Goryeo; doubtful, says Castagnac; 'sold it as Goryeo' (Opinion)'."""
    from archivist.cli.read_shown import value_in_words
    from archivist.model import SaleFact as Dealing
    from archivist.reading.plain import plain_statement

    if isinstance(statement, Dealing):
        kind, value = statement.stage.value, _dealing(statement, parties)
    else:
        fields = plain_statement(statement, parties)  # type: ignore[arg-type]
        kind, value = fields["kind"], value_in_words(fields)
    standing = [statement.certainty.value] if statement.certainty.value != "certain" else []
    if statement.reading is not None and statement.reading.polarity.value != "asserted":
        standing.append(statement.reading.polarity.value)
    if statement.who:
        party = parties.get(statement.who)
        standing.append(f"says {party.name if party else 'another'}")
    parts = [f"{kind}: {value}", ", ".join(dict.fromkeys(standing))]
    words = _short(statement.as_stated)
    column = statement.source.column if statement.source else ""
    parts.append(f"'{words}'" if words and words != value else "")
    told = "; ".join(part for part in parts if part)
    return f"{told} ({column})" if column else told


def _dealing(fact: SaleFact, parties: Mapping[str, Party]) -> str:
    party = parties.get(fact.party)
    said = [
        party.name if party else "",
        fact.date.edtf if fact.date else "",
        f"{fact.amount} {fact.currency}".strip() if fact.amount else "",
        f"invoice {fact.invoice}" if fact.invoice else "",
    ]
    return ", ".join(word for word in said if word) or "only in words"


def _short(words: str) -> str:
    plain = " ".join(words.split())
    return plain if len(plain) <= _WORDS else f"{plain[: _WORDS - 3]}..."
