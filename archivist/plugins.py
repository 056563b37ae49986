"""Finds and holds plugins. One that cannot be loaded is remembered and never stops the others."""

from __future__ import annotations

import graphlib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from importlib.metadata import EntryPoint, entry_points
from typing import Protocol, TypeVar

import pluggy

from archivist import hooks
from archivist.errors import PluginError, SelectionError
from archivist.hooks import (
    AudienceDescription,
    CheckDescription,
    ExporterDescription,
    ReaderDescription,
    Standard,
    VocabularyDescription,
)
from archivist.names import slug

GROUP = "archivist"


@dataclass(frozen=True)
class Origin:
    """Where a plugin came from: its entry point's name, its distribution and version."""

    plugin: str
    distribution: str
    version: str

    def __str__(self) -> str:
        return f"{self.plugin} ({self.distribution} {self.version})"


@dataclass(frozen=True)
class Failure:
    """A plugin that could not be loaded or that gave something unusable, and why."""

    origin: Origin
    reason: str


class Described(Protocol):
    """What all descriptions have in common."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def standard(self) -> Standard | None: ...


DescriptionType = TypeVar("DescriptionType")


@dataclass(frozen=True)
class Offer:
    """One thing that a plugin offers: its kind ('reader', 'exporter' ...), itself, its origin."""

    kind: str
    description: Described
    origin: Origin


KINDS: dict[str, tuple[str, type[Described]]] = {
    "reader": ("archivist_readers", ReaderDescription),
    "exporter": ("archivist_exporters", ExporterDescription),
    "check": ("archivist_checks", CheckDescription),
    "vocabulary": ("archivist_vocabularies", VocabularyDescription),
    "audience": ("archivist_audiences", AudienceDescription),
}


@dataclass(frozen=True)
class Plugins:
    """All that is offered, by kind and name, and what could not be loaded."""

    offers: tuple[Offer, ...] = ()
    failures: tuple[Failure, ...] = ()
    _by_name: dict[tuple[str, str], Offer] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_name: dict[tuple[str, str], Offer] = {}
        for offer in self.offers:
            key = (offer.kind, offer.description.name)
            if key in by_name:
                raise PluginError(
                    f"Two plugins bring {offer.kind} '{offer.description.name}': "
                    f"{by_name[key].origin} and {offer.origin}.",
                    "Uninstall one of the two, or ask its author for another name.",
                )
            by_name[key] = offer
        object.__setattr__(self, "_by_name", by_name)

    def of(self, kind: str, type_: type[DescriptionType]) -> tuple[DescriptionType, ...]:
        """The descriptions of one kind, by name."""
        found = [
            o.description
            for o in self.offers
            if o.kind == kind and isinstance(o.description, type_)
        ]
        return tuple(sorted(found, key=lambda d: str(getattr(d, "name", ""))))

    def named(self, kind: str, name: str, type_: type[DescriptionType]) -> DescriptionType:
        """The description of that kind and name.

        Raises:
            SelectionError: naming those there are, and a failed plugin that may be meant.
        """
        offer = self._by_name.get((kind, name))
        if offer is not None and isinstance(offer.description, type_):
            return offer.description
        names = ", ".join(sorted(n for k, n in self._by_name if k == kind)) or "none"
        failed = "; ".join(f"{f.origin}: {f.reason}" for f in self.failures)
        raise SelectionError(
            f"There is no {kind} '{name}'. There are: {names}.",
            f"Not loaded: {failed}" if failed else "'archivist plugins' lists all of them.",
        )

    def origin(self, kind: str, name: str) -> Origin:
        """Who brought the description of that kind and name."""
        return self._by_name[(kind, name)].origin


def in_order(chosen: Sequence[ExporterDescription]) -> tuple[ExporterDescription, ...]:
    """The exporters in the order in which they run: each after those it says it comes after.

    Of those that come after all others, the ones that take others in come last.

    Raises:
        PluginError: naming the exporters of a circle.
    """
    by_name = {d.name: d for d in chosen}
    turns = {d.name: _turn(d) for d in chosen}
    sorter: graphlib.TopologicalSorter[str] = graphlib.TopologicalSorter()
    for name in sorted(by_name):
        others = set(by_name[name].after) & set(by_name)
        others |= {other for other, turn in turns.items() if turn < turns[name]}
        sorter.add(name, *sorted(others - {name}))
    try:
        return tuple(by_name[name] for name in sorter.static_order())
    except graphlib.CycleError as circle:
        names = " -> ".join(circle.args[1])
        raise PluginError(
            f"These exporters each want to come after the other: {names}.",
            "Release with one of them at a time, and tell their authors.",
        ) from circle


def _turn(description: ExporterDescription) -> int:
    """0 for most, 1 for those that come after all others, 2 for those that also take them in."""
    return 0 if "*" not in description.after else 2 if description.takes_in else 1


def load_plugins(entries: Iterable[EntryPoint] | None = None) -> Plugins:
    """Loads every plugin of the entry point group, each on its own.

    A plugin that raises at import, implements an unknown hook, or returns something else than
    descriptions is put among the failures; the others are loaded.

    Raises:
        PluginError: where two plugins bring a thing of the same kind and name.
    """
    manager = pluggy.PluginManager(hooks.PROJECT)
    manager.add_hookspecs(hooks.Hooks)
    offers: list[Offer] = []
    failures: list[Failure] = []
    found = entry_points(group=GROUP) if entries is None else entries
    for entry in sorted(found, key=lambda e: (e.name, e.value)):
        distribution = entry.dist
        origin = Origin(
            plugin=entry.name,
            distribution=distribution.name if distribution else "unknown distribution",
            version=distribution.version if distribution else "",
        )
        try:
            offers.extend(_offers(manager, entry, origin))
        except (Exception, SystemExit) as problem:  # noqa: BLE001 - a stranger's module
            failures.append(Failure(origin, f"{type(problem).__name__}: {problem}"))
    return Plugins(tuple(offers), tuple(failures))


def _check_name(name: object) -> None:
    """A name is typed by people, and an exporter's is that of the folder it writes into."""
    legal = isinstance(name, str) and _NAME.fullmatch(name) and slug(name) == name
    if not legal:
        raise TypeError(f"the name {name!r} is not of a-z, 0-9 and single hyphens, 40 at most")


_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def _offers(manager: pluggy.PluginManager, entry: EntryPoint, origin: Origin) -> list[Offer]:
    """What one plugin offers. Raises whatever the plugin raises, and TypeError on bad returns."""
    module = entry.load()
    hook_names = {hook for hook, _ in KINDS.values()}
    unknown = [
        name
        for name in dir(module)
        if manager.parse_hookimpl_opts(module, name) is not None and name not in hook_names
    ]
    if unknown:
        raise TypeError(f"implements no hook of this program: {', '.join(unknown)}")
    offers: list[Offer] = []
    for kind, (hook, type_) in KINDS.items():
        if manager.parse_hookimpl_opts(module, hook) is None:
            continue
        for description in getattr(module, hook)():
            if not isinstance(description, type_):
                raise TypeError(f"{hook} returned {description!r}, which is no {type_.__name__}")
            _check_name(description.name)
            offers.append(Offer(kind, description, origin))
    if not offers:
        raise TypeError("implements none of the hooks; is @hookimpl missing?")
    return offers
