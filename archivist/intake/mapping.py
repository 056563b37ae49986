"""How the columns of one source are read: a small file that the owner may edit and use again."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping as Dictionary
from pathlib import Path

import msgspec

from archivist.catalogue.originals import write_whole
from archivist.errors import SelectionError
from archivist.intake.roles import PRIVATE, Role
from archivist.model import Unit, Value

NOTHING_SAYS = "nothing says what this column holds"
"""Why a column is kept word for word that nothing fits."""


class Column(Value, frozen=True, kw_only=True):
    """One column: what it is, and what its cells need to be read.

    `unit` is that of bare numbers, `currency` that of bare amounts (ISO 4217), `days` the order of
    dates such as 3/4/99: 'day first', 'month first' or '' (not known). `private` keeps its words
    with the owner. `because` says why the program thinks so, `example` shows a cell.
    """

    heading: str
    table: str = ""
    role: Role = Role.KEEP
    private: bool = False
    unit: Unit | None = None
    currency: str = ""
    days: str = ""
    because: str = ""
    example: str = ""

    def reads_as(self, other: Column) -> bool:
        """Whether cells are read the same way by the other description."""
        mine = (self.role, self.private, self.unit, self.currency, self.days)
        return mine == (other.role, other.private, other.unit, other.currency, other.days)


class Mapping(Value, frozen=True, kw_only=True):
    """The columns of a source, by table and heading."""

    source: str
    column: tuple[Column, ...] = ()

    def columns(self) -> Dictionary[tuple[str, str], Column]:
        """The columns by table and heading; a column without a table holds for any."""
        return {(c.table, c.heading): c for c in self.column}


def taken_in_beside(path: Path) -> Path:
    """Where the columns are kept as they were when the source was last taken in.

    By this a role that was changed since is known, and what came from its column is read anew.
    """
    return path.with_name(f"{path.stem}.taken-in.toml")


def recast_columns(mapping: Mapping, path: Path) -> frozenset[tuple[str, str]]:
    """The columns (table, heading) that are to be read otherwise than when last taken in."""
    before = taken_in_beside(path)
    if not before.exists():
        return frozenset()
    old = read_mapping(before).columns()
    return frozenset(
        key
        for key, column in mapping.columns().items()
        if key in old and not old[key].reads_as(column)
    )


def read_mapping(path: Path) -> Mapping:
    """The mapping in the file at `path`.

    Raises:
        SelectionError: naming the line or the field that is wrong.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
        for column in data.get("column", ()):
            if isinstance(column, dict):
                _settle_privacy(column)
        return msgspec.convert(data, Mapping)
    except OSError as problem:
        raise SelectionError(
            f"The column file {path} cannot be read: {problem.strerror}.",
            "Leave out --mapping to have one proposed.",
        ) from problem
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise SelectionError(
            f"The column file {path} cannot be read: {problem}.", "Mend that line and try again."
        ) from problem
    except msgspec.ValidationError as problem:
        roles = ", ".join(role.value for role in Role)
        raise SelectionError(
            f"The column file {path} does not fit: {problem}.",
            f"A role is one of: {roles}. Nothing was changed.",
        ) from problem


def _settle_privacy(column: dict[str, object]) -> None:
    """A column of which nothing is said is as private as its role.

    What the program wrote down as private because nobody knew what it was (as it once did) is no
    longer so once somebody says what it is.
    """
    role = column.get("role", Role.KEEP.value)
    if role != Role.KEEP.value and column.get("because") == NOTHING_SAYS:
        column.pop("private", None)
    if "private" not in column:
        column["private"] = role in {one.value for one in PRIVATE}


_ABOUT = """\
# How the columns of this source are read. Change a role, then survey the source again.
#
# Roles: {roles}.
#
# 'keep' keeps the words of a column on the record word for word, as a note;
# 'leave out' leaves them in the spreadsheet alone. private = true: for you alone; without it
# a column is as private as its role, and those of {private} always stay with you.
# Also, where a column needs it: unit = "cm", currency = "GBP", days = "day first".

"""


def write_mapping(path: Path, mapping: Mapping) -> None:
    """Writes a mapping with a word of explanation."""
    roles = ", ".join(f"'{role.value}'" for role in Role)
    private = ", ".join(f"'{role.value}'" for role in Role if role in PRIVATE)
    lines = [_ABOUT.format(roles=roles, private=private)]
    lines.append(f"source = {_quoted(mapping.source)}\n")
    for column in mapping.column:
        lines.append("\n[[column]]\n")
        fields = msgspec.to_builtins(column)
        if column.role in PRIVATE:
            fields.pop("private", None)
            if not column.private:
                fields["private"] = False
        for name, value in fields.items():
            words = ("true" if value else "false") if isinstance(value, bool) else _quoted(value)
            lines.append(f"{name} = {words}\n")
    write_whole(path, "".join(lines))


def _quoted(words: str) -> str:
    """`words` as a TOML basic string; JSON's escapes are all TOML's too."""
    return msgspec.json.encode(words).decode("utf-8").replace("\x7f", "\\u007f")
