"""Who is meant by 'him' and 'her nephew': the owners of one text, in their order."""

from __future__ import annotations

from archivist.model.parties import Party, PartyKind
from archivist.model.provenance import OWNERSHIP_UNCHANGED
from archivist.reading.provenance.naming import Event, Holder, party_kind
from archivist.reading.provenance.relations import OURS, called, may_be_of
from archivist.reading.tables import Tables

_ROLES = ("giver", "agent", "receiver")


class Parties:
    """The parties of one text: the same name is the same party."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._by_name: dict[str, Party] = {}
        self._by_id: dict[str, Party] = {}
        self._owner = ""

    def ids_of(self, event: Event) -> dict[str, str]:
        """The local id of the party in each role of an event, '' where it is nobody known.

        Whoever is named only by a relation or a pronoun is that to the last owner who was named,
        in this event or before it.
        """
        ids: dict[str, str] = {}
        other = self._owner
        for role in _ROLES:
            holder = event.holders.get(role)
            if holder is None:
                continue
            ids[role] = self.id_of(self._named(holder, other), role == "agent")
            if role == "giver" and ids[role]:
                other = ids[role]
        self._note_owner(event, ids)
        return ids

    def _note_owner(self, event: Event, ids: dict[str, str]) -> None:
        """Keep in mind who has the piece: no borrower, no agent, nobody who seized it."""
        receiver, giver = ids.get("receiver", ""), ids.get("giver", "")
        if event.kind in OWNERSHIP_UNCHANGED:
            self._owner = giver or self._owner
        else:
            self._owner = receiver or ids.get("agent", "") or giver or self._owner

    def _named(self, holder: Holder, other: str) -> Holder:
        """The holder with a name for what only points to somebody."""
        if holder.pronoun:
            other = self._owner or other
        known = self._by_id.get(other)
        if holder.pronoun:
            if known is not None:
                holder.name, holder.life = known.name, known.life
            return holder
        relation = holder.relation
        if relation is None or holder.name:
            return holder
        fits = (
            known is not None
            and relation.whose != OURS
            and known.kind not in (PartyKind.FIRM, PartyKind.MUSEUM)
            and may_be_of(relation, known.name, self._tables)
        )
        holder.name = called(relation, known.name if fits and known is not None else "")
        return holder

    def id_of(self, holder: Holder, trade: bool) -> str:
        """The local id of the party that `holder` names, '' where it names none."""
        if not holder.name:
            return ""
        key = " ".join(holder.name.split()).casefold().removeprefix("the ").rstrip(".")
        known = self._by_name.get(key)
        if known is None or (holder.life and known.life and holder.life != known.life):
            while key in self._by_name:
                key += "\0"
            kind = party_kind(holder.name, trade, self._tables)
            if kind is PartyKind.UNKNOWN and holder.relation is not None:
                kind = PartyKind.PERSON
            known = Party(
                id=f"party-{len(self._by_name) + 1}",
                name=holder.name,
                kind=kind,
                life=holder.life,
                place=holder.place,
                note=holder.note,
            )
        elif holder.life and not known.life:
            known = Party(
                id=known.id,
                name=known.name,
                kind=known.kind,
                life=holder.life,
                place=known.place or holder.place,
                note=known.note or holder.note,
            )
        self._by_name[key] = self._by_id[known.id] = known
        return known.id

    def all(self) -> tuple[Party, ...]:
        """The parties in the order in which they came up."""
        return tuple(self._by_name.values())
