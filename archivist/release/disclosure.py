"""What an audience may see: decided here, from one table, before any exporter runs."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, TypeVar

import msgspec

from archivist.catalogue.settings import AudienceSettings
from archivist.errors import PluginError, SelectionError, SettingsError
from archivist.hooks import AudienceDescription
from archivist.model import (
    Certainty,
    Date,
    Depiction,
    Note,
    ObjectRecord,
    Override,
    Party,
    Photograph,
    ProvenanceEvent,
    Reading,
    Relation,
    Statement,
    TakenAt,
    Value,
    View,
    is_rejected,
    only_reported,
)
from archivist.wording.note_topics import topic_of
from archivist_schemas import schema_file

OWNER = "owner"
PUBLIC = "public"
EVERYBODY = "all"

ValueType = TypeVar("ValueType", bound=Value)

SECTIONS: dict[type[Value], str] = {
    ObjectRecord: "record",
    ProvenanceEvent: "provenance_event",
    Party: "party",
    Photograph: "photograph",
    Depiction: "depiction",
    TakenAt: "taken_at",
}
"""The kinds of value that have a section of their own in the table.

Any other statement follows [statement] for what all statements carry, and its own fields go with
the statement.
"""

STATEMENT = "statement"
OPINIONS = "opinions"
REJECTED = "rejected"
RELATIONS = "relations"
NOTES = "notes"
PRIVATE_PARTY = "private_party"
VIEWS = "views"

OWNERS_ALONE = frozenset({"original_file", "history"})
"""Sections that are the owner's alone: neither an audience nor an override can open them."""

_NEEDED = frozenset({"id", "kind", "object"})
"""Fields that a value cannot do without; the table gives them to all."""


@dataclass(frozen=True)
class Disclosure:
    """The rule for one audience: for each section of the table, the fields that it sees."""

    audience: str
    sees: Mapping[str, frozenset[str]]
    hides: Mapping[str, frozenset[str]]
    withheld_views: frozenset[str]
    stand_ins: Mapping[str, str]

    @property
    def everything(self) -> bool:
        """Whether this is the owner, to whom nothing is closed."""
        return self.audience == OWNER

    def shows(self, section: str, field: str) -> bool:
        """Whether the audience sees `field` of that section; unknown fields are not shown."""
        return self.everything or field in self.sees.get(section, frozenset())

    def keeps(self, item: Value) -> bool:
        """Whether a statement stays in a list: it is not private, nor a relation that is hidden,
        nor rejected where what is rejected is not shown."""
        if self.everything:
            return True
        if _rejected(item) and not self.shows(OPINIONS, REJECTED):
            return False
        if isinstance(item, Relation) and not self.shows(RELATIONS, item.kind.value):
            return False
        return not (isinstance(item, Statement) and item.private)

    def field_shown(self, value: Value, field: str) -> bool:
        """Whether the audience sees that field of `value`."""
        return self.everything or self._field_shown(value, SECTIONS.get(type(value), ""), field)

    def filtered(self, value: ValueType) -> ValueType:
        """`value` with every field that the audience may not see at its default, all the way down.

        Statements that are private are left out.
        """
        if self.everything:
            return value
        return self._filtered(value, SECTIONS.get(type(value), ""))

    def _filtered(self, value: ValueType, section: str) -> ValueType:
        changes: dict[str, Any] = {}
        for field in _fields(type(value)):
            current = getattr(value, field.name)
            if not self._field_shown(value, section, field.name):
                blank = self._instead(value, field)
                if current != blank and field.name not in _NEEDED:
                    changes[field.name] = blank
            elif isinstance(current, Value):
                changes[field.name] = self.filtered(current)
            elif isinstance(current, tuple) and current and isinstance(current[0], Value):
                changes[field.name] = tuple(map(self.filtered, self.kept(current)))
        return msgspec.structs.replace(value, **changes) if changes else value

    def _instead(self, value: Value, field: msgspec.structs.FieldInfo) -> Any:
        """What stands in a field that is not shown.

        How words were read is the owner's; that they do not say it is so is everybody's, or what
        was asked, supposed or held once would stand there as if it were held.
        """
        if field.name == NOTES:
            return self._told(value)
        if isinstance(value, Statement) and field.name == "reading" and only_reported(value):
            assert value.reading is not None
            return Reading(rule="", polarity=value.reading.polarity)
        return _blank(field)

    def kept(self, items: Iterable[Value]) -> tuple[Value, ...]:
        """The items that stay in a list.

        Whoever is not told that something is rejected is told of no other statement that says the
        same: it would stand there as if it were held.
        """
        items = tuple(items)
        kept = tuple(filter(self.keeps, items))
        unsaid = [i for i in items if isinstance(i, Statement) and _rejected(i) and i not in kept]
        if not unsaid:
            return kept
        return tuple(
            i
            for i in kept
            if _rejected(i) or not (isinstance(i, Statement) and is_rejected(i, unsaid))
        )

    def note_shown(self, note: Note) -> bool:
        """Whether the audience sees a note by its heading, where it does not see notes at all."""
        return self.shows(NOTES, topic_of(note)) and self.keeps(note)

    def _told(self, value: Value) -> tuple[Note, ...]:
        """The notes that are left of a record of which notes are not shown."""
        return tuple(map(self.filtered, filter(self.note_shown, getattr(value, NOTES))))

    def _field_shown(self, value: Value, section: str, field: str) -> bool:
        """A field of a value: by the value's own section, else by that of statements."""
        if section and (field in self.sees[section] or field in self.hides[section]):
            return field in self.sees[section]
        if isinstance(value, Statement) and field in Statement.__struct_fields__:
            return field in self.sees[STATEMENT]
        return not section

    def party(self, party: Party) -> Party:
        """The party as the audience may know it; what is not seen of a name, by its stand-in."""
        if self.everything:
            return party
        if not party.private:
            return self.filtered(party)
        seen = self._filtered(party, PRIVATE_PARTY)
        if self.shows(PRIVATE_PARTY, "name"):
            return seen
        stand_in = party.as_published or self.stand_ins[party.kind.value]
        return msgspec.structs.replace(seen, name=stand_in, private=False)

    def unseen(self, party: Party) -> Party:
        """The party with what the audience may see of it taken away: what no words may tell.

        Of a party that is not private, whose names are told, only how to reach it is left.
        """
        section = PRIVATE_PARTY if party.private else SECTIONS[Party]
        hidden = {"address", "contact"} | ({"name", "also_known_as"} if party.private else set())
        seen = {name for name in _TELLING if name not in hidden or self.shows(section, name)}
        blank = {name: () if name == "also_known_as" else "" for name in seen}
        return msgspec.structs.replace(party, **blank)

    def overridden(self, overrides: Iterable[Override]) -> Disclosure:
        """The rule as it stands for a piece with those overrides; the same where none is for it.

        Raises:
            SettingsError: where one names a field that is not there, or that nobody else may see.
        """
        mine = tuple(o for o in overrides if o.audience == self.audience)
        if not mine or self.everything:
            return self
        changed = AudienceDescription(
            name=self.audience,
            title=self.audience,
            sees=tuple(o.field for o in mine if o.shown),
            never_sees=tuple(o.field for o in mine if not o.shown),
        )
        return _like(self, changed)

    def depiction_shown(self, depiction: Depiction) -> bool:
        """Whether the audience may see what this depiction shows.

        A view that holds private things in its pixels, or that nobody reviewed, is shown to those
        alone to whom the owner released it.
        """
        if self.everything:
            return True
        if depiction.private:
            return False
        if self.audience in depiction.released:
            return True
        return depiction.reviewed and depiction.view.value not in self.withheld_views


def _rejected(item: Value) -> bool:
    return isinstance(item, Statement) and item.certainty is Certainty.REJECTED


_TELLING = ("name", "also_known_as", "address", "contact")
"""The fields of a party by which running words may tell who it is and how to reach it."""


@cache
def _fields(type_: type[Value]) -> tuple[msgspec.structs.FieldInfo, ...]:
    """The fields of a type, which msgspec works out from its annotations every time it is asked."""
    return msgspec.structs.fields(type_)


def _blank(field: msgspec.structs.FieldInfo) -> object:
    """What stands in a field that is not shown: its default, or nothing where it has none."""
    if not field.required:
        return field.default
    return Date() if field.type is Date else ""


@cache
def table() -> Mapping[str, Any]:
    """The disclosure table, as it stands in `archivist_schemas/tables/disclosure.toml`."""
    text = schema_file("tables", "disclosure.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def disclosures(
    described: Iterable[AudienceDescription] = (),
    settings: Mapping[str, AudienceSettings] | None = None,
) -> dict[str, Disclosure]:
    """The rule of every audience: of the table, of plugins, and of the owner's `archive.toml`.

    Raises:
        PluginError: where a plugin's audience is like one that does not exist, or takes its name.
        SettingsError: where one in `archive.toml` is.
    """
    rules = {name: _from_table(name) for name in table()["audiences"]}
    for description in described:
        if description.like not in rules or description.like == OWNER:
            raise PluginError(
                f"The audience '{description.name}' is said to be like '{description.like}', "
                "which is no audience that it may be like.",
                f"It may be like: {', '.join(sorted(set(rules) - {OWNER}))}.",
            )
        if description.name in rules:
            raise PluginError(
                f"A plugin brings an audience '{description.name}', which there is already.",
                "Uninstall that plugin, or ask its author for another name.",
            )
        rules[description.name] = _like(rules[description.like], description)
    for name, own in (settings or {}).items():
        like = own.like
        if like not in rules or like == OWNER or name in rules:
            raise SettingsError(
                f"archive.toml: the audience '{name}' cannot be like '{like}' or has a name that "
                "is taken.",
                f"It may be like: {', '.join(sorted(set(rules) - {OWNER}))}.",
            )
        rules[name] = _like(
            rules[like],
            AudienceDescription(
                name=name,
                title=own.title or name,
                like=like,
                sees=own.sees,
                never_sees=own.never_sees,
            ),
        )
    return rules


def disclosure_for(audience: str, rules: Mapping[str, Disclosure]) -> Disclosure:
    """The rule for `audience`.

    Raises:
        SelectionError: naming the audiences there are.
    """
    if audience not in rules:
        raise SelectionError(
            f"There is no audience '{audience}'.", f"There are: {', '.join(sorted(rules))}."
        )
    return rules[audience]


def titles() -> Mapping[str, str]:
    """What each audience of the table is, in words."""
    described: Mapping[str, str] = table()["audiences"]
    return described


def _from_table(audience: str) -> Disclosure:
    sees: dict[str, frozenset[str]] = {}
    hides: dict[str, frozenset[str]] = {}
    for section in (STATEMENT, *SECTIONS.values(), NOTES, OPINIONS, RELATIONS, PRIVATE_PARTY):
        fields = table()[section]
        seen = frozenset(f for f, who in fields.items() if who == EVERYBODY or audience in who)
        sees[section] = seen
        hides[section] = frozenset(fields) - seen
    withheld = frozenset(view for view, who in table()[VIEWS].items() if audience not in who)
    return Disclosure(audience, sees, hides, withheld, table()["stand_ins"])


def _like(rule: Disclosure, description: AudienceDescription) -> Disclosure:
    """`rule` with what the description adds and takes away ('record.sales', 'views.label')."""
    sees = {section: set(fields) for section, fields in rule.sees.items()}
    hides = {section: set(fields) for section, fields in rule.hides.items()}
    views = set(rule.withheld_views)
    for names, shown in ((description.sees, True), (description.never_sees, False)):
        for name in names:
            section, _, field = name.partition(".")
            _refuse_unknown(rule, description.name, name)
            if section == VIEWS:
                (views.discard if shown else views.add)(field)
            else:
                (sees if shown else hides)[section].add(field)
                (hides if shown else sees)[section].discard(field)
    return replace(
        rule,
        audience=description.name,
        sees={section: frozenset(fields) for section, fields in sees.items()},
        hides={section: frozenset(fields) for section, fields in hides.items()},
        withheld_views=frozenset(views),
    )


def _refuse_unknown(rule: Disclosure, audience: str, name: str) -> None:
    """A field must be one that the table has, and that others than the owner can be given."""
    section, _, field = name.partition(".")
    if audience == PUBLIC and section == OPINIONS:
        raise SettingsError(
            "What was rejected is never told to the public, where it would soon be a value.",
            "An audience of your own may be told it: see [audiences] in the disclosure table.",
        )
    if section in OWNERS_ALONE:
        raise SettingsError(
            f"'{name}' is the owner's alone, and '{audience}' can neither be given it nor lose it.",
            "Others are given copies of photographs that do not hold it, and no history.",
        )
    if section == VIEWS:
        if field not in set(View):
            raise SettingsError(
                f"The audience '{audience}' names the view '{field}', which is none.",
                f"There are: {', '.join(View)}.",
            )
    elif section not in rule.sees or field not in rule.sees[section] | rule.hides[section]:
        raise SettingsError(
            f"The audience '{audience}' names the field '{name}', which is none.",
            "Fields are named as in the disclosure table, e.g. 'record.sales'.",
        )
