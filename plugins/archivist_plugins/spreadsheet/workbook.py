"""Workbooks (xlsx, xlsb, xls, ods) as grids of texts."""

from __future__ import annotations

import datetime
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from archivist.errors import SourceError
from archivist.hooks import Trouble
from archivist_plugins.spreadsheet.annotations import Annotations, annotations_in
from archivist_plugins.spreadsheet.grid import Grid, letters

if TYPE_CHECKING:
    from python_calamine import CalamineSheet

LARGEST_SHEET = 1 << 30
"""Bytes of one sheet's XML above which formula errors are not looked for."""

_ERROR = re.compile(
    rb'<(?:\w+:)?c\s[^>]*?r="([A-Z]+)(\d+)"[^>]*?\st="e"[^>]*>.*?<(?:\w+:)?v>([^<]*)<', re.DOTALL
)
_ERROR_TYPE_FIRST = re.compile(
    rb'<(?:\w+:)?c\s[^>]*?t="e"[^>]*?\sr="([A-Z]+)(\d+)"[^>]*>.*?<(?:\w+:)?v>([^<]*)<', re.DOTALL
)


def grids(path: Path) -> Iterator[Grid]:
    """The sheets of the workbook at `path`.

    Raises:
        SourceError: where it cannot be opened.
    """
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    try:
        book = CalamineWorkbook.from_path(str(path))
    except PasswordError as problem:
        raise SourceError(
            f"{path.name} is locked with a password.",
            "Open it in a spreadsheet program, save it without the password, and survey that.",
        ) from problem
    except (CalamineError, OSError, ValueError) as problem:
        raise SourceError(
            f"{path.name} cannot be read as a spreadsheet: {problem}.",
            "Open it in a spreadsheet program and save it as .xlsx or .csv. It is kept as it is.",
        ) from problem
    errors = _formula_errors(path, book.sheet_names)
    noted = _annotations(path)
    for name in book.sheet_names:
        try:
            sheet = book.get_sheet_by_name(name)
        except (CalamineError, ValueError) as problem:
            trouble = Trouble(place=f"sheet {name}", reason=f"it cannot be read: {problem}")
            yield Grid(name, (), troubles=(trouble,))
            continue
        wrong = errors.get(name, {})
        troubles = tuple(
            Trouble(
                place=f"sheet {name}, row {row + 1}, column {letters(column)}",
                reason=f"a formula gives {words}",
                remedy="The error is kept as it stands; mend the formula if the figure matters.",
            )
            for (row, column), words in sorted(wrong.items())
        )
        merged = tuple(getattr(sheet, "merged_cell_ranges", None) or ())
        beside = noted.get(name, Annotations())
        yield Grid(
            name,
            _texts(sheet, wrong),
            merged,
            troubles,
            tuple((*place, words) for place, words in sorted(beside.comments.items())),
            tuple(sorted(beside.coloured)),
        )


def _texts(sheet: CalamineSheet, errors: dict[tuple[int, int], str]) -> Iterator[list[str]]:
    """The cells of a sheet as texts, from its first row and column on, however far in it begins."""
    by_row: dict[int, list[tuple[int, str]]] = {}
    for (line, column), words in errors.items():
        by_row.setdefault(line, []).append((column, words))
    for place, row in enumerate(sheet.to_python(skip_empty_area=False)):
        texts = [cell if isinstance(cell, str) else text(cell) for cell in row]
        for column, words in by_row.get(place, ()):
            texts += [""] * (column + 1 - len(texts))
            texts[column] = texts[column] or words
        yield texts


def text(value: Any) -> str:
    """A cell's value as words: dates as ISO 8601, numbers as they would be typed."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return number(value)
    if isinstance(value, datetime.datetime):
        if value.time() == datetime.time():
            return value.date().isoformat()
        return value.replace(microsecond=0).isoformat()
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return str(value)


def number(value: float) -> str:
    """A number as it is shown: 15 digits, which is what spreadsheets keep, and no exponent."""
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if value != value or value in (float("inf"), float("-inf")):
        return str(value)
    plain = f"{value:.15g}"
    if "e" not in plain:
        return plain
    from decimal import Decimal

    return format(Decimal(plain), "f")


def _formula_errors(path: Path, names: list[str]) -> dict[str, dict[tuple[int, int], str]]:
    """Where formulas of an xlsx file gave an error, by sheet; the reading library leaves it out.

    `t="e"` marks such a cell (ECMA-376 part 1, 18.18.11). Other kinds of file give none.
    """
    found: dict[str, dict[tuple[int, int], str]] = {}
    try:
        with zipfile.ZipFile(path) as package:
            parts = _sheet_parts(package)
            for name in names:
                part = parts.get(name, "")
                if not part or package.getinfo(part).file_size > LARGEST_SHEET:
                    continue
                data = package.read(part)
                if b't="e"' not in data:
                    continue
                cells = re.split(rb"(?=<(?:\w+:)?c\s)", data)
                for cell in cells:
                    if b't="e"' not in cell[:200]:
                        continue
                    match = _ERROR.match(cell) or _ERROR_TYPE_FIRST.match(cell)
                    if match:
                        column = _column(match[1].decode("ascii"))
                        place = (int(match[2]) - 1, column)
                        found.setdefault(name, {})[place] = match[3].decode("utf-8", "replace")
    except (zipfile.BadZipFile, KeyError, OSError, RuntimeError):
        return found
    return found


def _annotations(path: Path) -> dict[str, Annotations]:
    """The comments and coloured rows of an xlsx file, by sheet."""
    try:
        with zipfile.ZipFile(path) as package:
            parts = _sheet_parts(package)
    except (zipfile.BadZipFile, KeyError, OSError, RuntimeError):
        return {}
    return annotations_in(path, parts) if parts else {}


def _sheet_parts(package: zipfile.ZipFile) -> dict[str, str]:
    """Which part of an xlsx package holds which sheet."""
    if "xl/workbook.xml" not in package.namelist():
        return {}
    from lxml import etree

    safe = etree.XMLParser(resolve_entities=False, no_network=True)
    try:
        book = etree.fromstring(package.read("xl/workbook.xml"), safe)
        relations = etree.fromstring(package.read("xl/_rels/workbook.xml.rels"), safe)
    except etree.XMLSyntaxError:
        return {}
    targets = {r.get("Id"): str(r.get("Target")) for r in relations}
    parts: dict[str, str] = {}
    for sheet in book.iter("{*}sheet"):
        reference = next((v for k, v in sheet.attrib.items() if str(k).endswith("}id")), None)
        target = targets.get(reference, "")
        if target:
            parts[str(sheet.get("name"))] = (
                target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            )
    return parts


def _column(name: str) -> int:
    """The number of a column, from 0, by its letters."""
    result = 0
    for letter in name:
        result = result * 26 + ord(letter) - ord("A") + 1
    return result - 1
