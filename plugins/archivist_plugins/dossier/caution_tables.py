"""The two tables behind the cautions, which the owner may put others in place of."""

from __future__ import annotations

import tomllib
from enum import StrEnum
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TypeVar

import msgspec

from archivist.errors import SettingsError
from archivist.model import Value
from archivist_schemas import schema_file

Table = TypeVar("Table", bound=Value)


class Applies(StrEnum):
    ALWAYS = "always"
    PHOTOGRAPHS = "photographs"
    CERAMIC = "ceramic"
    PROTECTED_MATERIALS = "protected-materials"
    SILENT_BETWEEN = "silent-between"
    SILENT_SINCE = "silent-since"


class Caution(Value, frozen=True, kw_only=True):
    """One caution of the table: its words, when it is said, where it is from, and as of when."""

    code: str
    heading: str
    text: str
    applies: Applies
    source: str
    as_at: str
    first: int = 0
    last: int = 0


class Cautions(Value, frozen=True, kw_only=True):
    """The table `cautions.toml`."""

    caution: tuple[Caution, ...] = ()
    ceramic_words: tuple[str, ...] = ()


class Material(Value, frozen=True, kw_only=True):
    """A material that may be protected: the words that name it, the species, the appendix."""

    name: str
    words: tuple[str, ...]
    species: str
    appendix: str
    source: str


class ProtectedMaterials(Value, frozen=True, kw_only=True):
    """The table `protected_materials.toml`."""

    source: str
    as_at: str
    things: tuple[str, ...] = ()
    likenesses: tuple[str, ...] = ()
    imitations: tuple[str, ...] = ()
    material: tuple[Material, ...] = ()


def read_cautions(file: Traversable | Path | None = None) -> Cautions:
    """The table of cautions, that which ships where no `file` is given.

    Raises:
        SettingsError: where it cannot be read or an entry does not fit.
    """
    return _read(file, "cautions.toml", Cautions)


def read_protected_materials(file: Traversable | Path | None = None) -> ProtectedMaterials:
    """The table of protected materials, that which ships where no `file` is given.

    Raises:
        SettingsError: where it cannot be read or an entry does not fit.
    """
    return _read(file, "protected_materials.toml", ProtectedMaterials)


def _read(own: Traversable | Path | None, shipped: str, kind: type[Table]) -> Table:
    ours = schema_file("tables", shipped)
    file = own or ours
    try:
        return msgspec.convert(tomllib.loads(file.read_text(encoding="utf-8")), kind)
    except OSError as error:
        reason = error.strerror or str(error)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, msgspec.ValidationError) as error:
        reason = str(error)
    raise SettingsError(
        f"The table {file.name} cannot be used: {reason}.",
        f"Nothing was written. Correct it, or begin again with a copy of {ours}, whose comments "
        "say what an entry may hold.",
    )
