"""The tables of the trade, read once at the edge and handed to every reader as one value.

The files are plain CSV and TOML in `archivist_schemas/tables`, each entry naming its source. More
files of the same columns (the vocabulary hook, an owner's own) extend them: what a file holds is
known by its column headings, not by its name.

- terms: `kind,label,variant,language,vocabulary,code,uri,source` and any further columns, which
  stay with the row. `variant` holds any number of variant names parted by `|`.
- periods: `kind,label,variant,characters,within,culture,first_year,last_year,source` and, where
  wanted, `bare` and `usual`; years are historical (206 BCE is -206).
- conventions: TOML, see `archivist.reading.conventions`.
- date words: TOML with a `language`, see `archivist.reading.dates.words`.
"""

from __future__ import annotations

import csv
import functools
import io
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Literal

import msgspec

from archivist.errors import SettingsError
from archivist.model.base import Term, Value
from archivist.model.dates import astronomical_year
from archivist.reading.conventions import Conventions, read_conventions, with_changes
from archivist_schemas import schema_file

TERM_COLUMNS = ("kind", "label", "variant", "language", "vocabulary", "code", "uri", "source")
REQUIRED_TERM_COLUMNS = frozenset({"kind", "label", "variant", "source"})
PERIOD_COLUMNS = (
    "kind",
    "label",
    "variant",
    "characters",
    "within",
    "culture",
    "first_year",
    "last_year",
    "source",
)


TableFile = Traversable | Path
Bare = Literal["yes", "capital", "no"]


class TermRow(Value, frozen=True, kw_only=True):
    """One entry of a term table; `more` holds the columns beyond the common ones."""

    kind: str
    label: str
    variants: tuple[str, ...] = ()
    language: str = ""
    vocabulary: str = ""
    code: str = ""
    uri: str = ""
    source: str = ""
    more: Mapping[str, str] = {}

    @property
    def names(self) -> tuple[str, ...]:
        """The preferred label and every variant."""
        return (self.label, *self.variants)

    @property
    def term(self) -> Term:
        """The term a statement points to."""
        return Term(label=self.label, vocabulary=self.vocabulary, code=self.code, uri=self.uri)


class PeriodRow(Value, frozen=True, kw_only=True):
    """A named period, dynasty, reign, era or style, with its first and last astronomical year.

    `kind` is period, dynasty, reign, era or style; `within` names the period or dynasty it
    belongs to; `culture` where it is used. `last` is None for an era that has not ended. `bare`
    says whether the name may be read without a word such as 'period' or 'dynasty' beside it, or
    only with a capital where it is also an ordinary word ('tang', 'ottoman'); of several
    periods of one name the `usual` one is meant where nothing else decides.
    """

    kind: str
    label: str
    variants: tuple[str, ...] = ()
    characters: tuple[str, ...] = ()
    within: str = ""
    culture: str = ""
    first: int
    last: int | None
    bare: Bare = "yes"
    usual: bool = False
    source: str = ""
    vocabulary: str = ""


class Tables(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """All tables as one immutable value; compared by identity, so that what a reader compiles
    from it can be kept with `functools.lru_cache`."""

    conventions: Conventions
    periods: tuple[PeriodRow, ...] = ()
    rows: tuple[TermRow, ...] = ()
    date_words: tuple[Mapping[str, Any], ...] = ()

    def terms(self, *kinds: str) -> tuple[TermRow, ...]:
        """The term rows of any of `kinds`, in the order of the files."""
        return tuple(row for row in self.rows if row.kind in kinds)

    def with_conventions(self, changes: Mapping[str, Any], where: str = "archive.toml") -> Tables:
        """These tables with some conventions set anew.

        Raises:
            SettingsError: naming `where` and the entry that does not fit.
        """
        changed = with_changes(self.conventions, changes, where)
        return msgspec.structs.replace(self, conventions=changed)

    def with_conventions_of(self, file: TableFile) -> Tables:
        """These tables with the conventions that a TOML file sets anew.

        Raises:
            SettingsError: naming the file and the entry that does not fit.
        """
        changed = read_conventions(_text(file), self.conventions, file.name)
        return msgspec.structs.replace(self, conventions=changed)


def load_tables(extra: Sequence[TableFile] = (), *, conventions: TableFile | None = None) -> Tables:
    """The tables that ship, extended by `extra` files, with `conventions` laid over them.

    Raises:
        SettingsError: naming the file and the row that does not fit.
    """
    tables = _shipped()
    if extra:
        more = _gather(extra, tables.conventions)
        tables = Tables(
            conventions=more.conventions,
            periods=tables.periods + more.periods,
            rows=tables.rows + more.rows,
            date_words=tables.date_words + more.date_words,
        )
    return tables if conventions is None else tables.with_conventions_of(conventions)


@functools.cache
def _shipped() -> Tables:
    return _gather(_shipped_files(), None)


def _shipped_files() -> tuple[TableFile, ...]:
    """The files of terms, periods, conventions and date words; the folder holds others too."""
    entries = schema_file("tables").iterdir()
    return tuple(sorted((e for e in entries if _is_for_reading(e)), key=lambda e: e.name))


def _is_for_reading(file: TableFile) -> bool:
    if file.name.endswith(".toml"):
        return file.name == "conventions.toml" or file.name.startswith("date_words_")
    if not file.name.endswith(".csv"):
        return False
    headings = set(_text(file).split("\n", 1)[0].strip().split(","))
    return headings >= set(PERIOD_COLUMNS) or headings >= REQUIRED_TERM_COLUMNS


def _text(file: TableFile) -> str:
    try:
        return file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsError(
            f"The table {file.name} cannot be read: {error}.",
            "Nothing was changed. Tables are text files in UTF-8.",
        ) from None


def _gather(files: Iterable[TableFile], conventions: Conventions | None) -> Tables:
    periods: list[PeriodRow] = []
    rows: list[TermRow] = []
    words: list[Mapping[str, Any]] = []
    for file in files:
        text = _text(file)
        if file.name.endswith(".toml"):
            if "language" in (data := _toml(text, file.name)):
                words.append(data)
            else:
                conventions = read_conventions(text, conventions, file.name)
            continue
        reader = csv.DictReader(io.StringIO(text, newline=""))
        headings = set(reader.fieldnames or ())
        if headings >= set(PERIOD_COLUMNS):
            periods.extend(_period(row, file.name, reader.line_num) for row in reader)
        elif headings >= REQUIRED_TERM_COLUMNS:
            rows.extend(_term(row, file.name, reader.line_num) for row in reader)
        else:
            raise SettingsError(
                f"The table {file.name} has neither the columns of terms "
                f"({', '.join(TERM_COLUMNS)}) nor those of periods ({', '.join(PERIOD_COLUMNS)}).",
                "Nothing was changed. Correct its first line.",
            )
    return Tables(
        conventions=conventions or Conventions(),
        periods=tuple(periods),
        rows=tuple(rows),
        date_words=tuple(words),
    )


def _toml(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(
            f"The table {name} is not valid TOML: {error}.", "Correct that line and try again."
        ) from None


def _parts(cell: str | None) -> tuple[str, ...]:
    return tuple(part.strip() for part in (cell or "").split("|") if part.strip())


def _whole(row: Mapping[str, Any], name: str, line: int) -> None:
    if None in row or None in row.values() or not row["label"] or not row["kind"]:
        raise SettingsError(
            f"Line {line} of the table {name} has too many or too few cells, or no label or kind.",
            "Nothing was changed. A cell that holds a comma stands in quotation marks.",
        )


def _term(row: dict[str, str], name: str, line: int) -> TermRow:
    _whole(row, name, line)
    return TermRow(
        kind=row["kind"],
        label=row["label"],
        variants=_parts(row["variant"]),
        language=row.get("language", ""),
        vocabulary=row.get("vocabulary", ""),
        code=row.get("code", ""),
        uri=row.get("uri", ""),
        source=row["source"],
        more={k: v for k, v in row.items() if k not in TERM_COLUMNS and v},
    )


def _period(row: dict[str, str], name: str, line: int) -> PeriodRow:
    _whole(row, name, line)
    try:
        first = astronomical_year(int(row["first_year"]))
        last = astronomical_year(int(row["last_year"])) if row["last_year"] else None
        if last is not None and last < first:
            raise ValueError("it ends before it begins")
        bare = msgspec.convert(row.get("bare") or "yes", Bare)
    except ValueError as error:
        raise SettingsError(
            f"Line {line} of the table {name} ({row['label']}) does not fit: {error}.",
            "Nothing was changed. Years are whole numbers, -206 for 206 BCE; bare is yes, "
            "capital or no.",
        ) from None
    return PeriodRow(
        kind=row["kind"],
        label=row["label"],
        variants=_parts(row["variant"]),
        characters=_parts(row["characters"]),
        within=row["within"],
        culture=row["culture"],
        first=first,
        last=last,
        bare=bare,
        usual=row.get("usual") == "yes",
        source=row["source"],
        vocabulary=row.get("vocabulary") or name.removesuffix(".csv"),
    )
