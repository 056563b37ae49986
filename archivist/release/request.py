"""What one release is asked to do, and what it is made of once everything was looked up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from archivist.errors import SelectionError
from archivist.hooks import ExporterDescription
from archivist.model import Value
from archivist.plugins import Plugins, in_order
from archivist.signing import Signer


@dataclass(frozen=True)
class Request:
    """What is asked for.

    `objects` are the UUIDs to release, in order; `options` are by exporter and option name, as
    typed; `whole_archive` asks for the owner's package of everything; `base_uri` is the address
    that `to` will be served at, where it differs from the archive's. `zips` asks for every package
    as a zip too; `signer` signs every package; `named_after_piece` calls a release of one piece
    that has no `title` by the name of the piece, as the audience sees it.
    """

    exporters: tuple[str, ...]
    audience: str
    to: Path
    objects: tuple[str, ...]
    title: str = ""
    options: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    whole_archive: bool = False
    base_uri: str = ""
    zips: bool = False
    signer: Signer | None = None
    named_after_piece: bool = False


@dataclass(frozen=True)
class Chosen:
    """An exporter with the options it will run with."""

    description: ExporterDescription
    options: Value


def choose(plugins: Plugins, request: Request) -> tuple[Chosen, ...]:
    """The exporters of a request and those they need, in the order in which they run.

    Raises:
        SelectionError: for an exporter or an option that is not there, or a value that does not
            fit.
        PluginError: where the exporters cannot be put in order.
    """
    described = _with_needs(plugins, request.exporters)
    names = [d.name for d in described]
    strangers = set(request.options) - set(names)
    if strangers:
        raise SelectionError(
            f"There are options for {', '.join(sorted(strangers))}, which is not released.",
            f"Released are: {', '.join(names)}.",
        )
    return tuple(
        Chosen(d, _options(d, request.options.get(d.name, {}))) for d in in_order(described)
    )


def _with_needs(plugins: Plugins, names: Iterable[str]) -> list[ExporterDescription]:
    """The exporters of those names, and what they need, and what that needs; each once."""
    found: dict[str, ExporterDescription] = {}
    wanted = list(names)
    while wanted:
        name = wanted.pop(0)
        if name not in found:
            found[name] = plugins.named("exporter", name, ExporterDescription)
            wanted.extend(found[name].needs)
    return list(found.values())


def _options(description: ExporterDescription, given: Mapping[str, str]) -> Value:
    """The options model filled from words; hyphens and underscores are the same."""
    words = {name.replace("-", "_"): value for name, value in given.items()}
    known: Sequence[str] = description.options.__struct_fields__
    for name in words:
        if name not in known:
            raise SelectionError(
                f"The exporter '{description.name}' has no option '{name}'.",
                f"It has: {', '.join(known) or 'none'}.",
            )
    try:
        return msgspec.convert(words, description.options, strict=False)
    except msgspec.ValidationError as problem:
        raise SelectionError(
            f"An option of '{description.name}' does not fit: {problem}.",
            "'archivist plugins' shows what each option may be.",
        ) from problem
