"""What a workbook says beside its cells: comments on cells, and rows that are coloured.

The reading library gives neither. Both are read from the xlsx package (ECMA-376 part 1, 18.7
comments and 18.8.22 fills; part 2, relationships); threaded comments are Microsoft's extension,
from memory. Nothing of it is trusted: parts are bounded, and one that cannot be read gives nothing.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree import ElementTree

LARGEST_PART = 1 << 26
"""Bytes of one part of the package that are looked at."""

MOST_COMMENTS = 20_000
LONGEST_COMMENT = 1 << 15

_PLACE = re.compile(r"([A-Z]{1,3})(\d{1,7})")
_COLOURLESS = frozenset({"", "FFFFFFFF", "00FFFFFF", "FFFFFF"})
_CELL = re.compile(rb"<(?:\w+:)?c\s[^>]*?>")
_REFERENCE = re.compile(rb'\br="([A-Z]{1,3})(\d{1,7})"')
_STYLE = re.compile(rb'\bs="(\d{1,6})"')


@dataclass
class Annotations:
    """Of one sheet: the comment on each (row, column), from 0; the rows with coloured cells."""

    comments: dict[tuple[int, int], str] = field(default_factory=dict)
    coloured: set[int] = field(default_factory=set)


def annotations_in(path: Path, parts: dict[str, str]) -> dict[str, Annotations]:
    """The annotations of each sheet of an xlsx file; `parts` names the part of each sheet."""
    found: dict[str, Annotations] = {}
    try:
        with zipfile.ZipFile(path) as package:
            coloured = _coloured_styles(package)
            for sheet, part in parts.items():
                found[sheet] = Annotations(
                    _comments(package, part), _coloured_rows(package, part, coloured)
                )
    except (zipfile.BadZipFile, OSError, EOFError, RuntimeError, NotImplementedError):
        return found
    return found


def _read(package: zipfile.ZipFile, part: str) -> bytes:
    """A part, b'' where there is none, where it is too large or declares a document type."""
    try:
        if package.getinfo(part).file_size > LARGEST_PART:
            return b""
        data = package.read(part)
    except (KeyError, zipfile.BadZipFile):
        return b""
    return b"" if b"<!DOCTYPE" in data[:4096] else data


def _elements(data: bytes) -> ElementTree.Element | None:
    try:
        return ElementTree.fromstring(data) if data else None
    except ElementTree.ParseError:
        return None


def _local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def _comments(package: zipfile.ZipFile, part: str) -> dict[tuple[int, int], str]:
    """The comments on the cells of a sheet; of a thread all that was said, in its order."""
    folder, name = posixpath.split(part)
    relations = _elements(_read(package, f"{folder}/_rels/{name}.rels"))
    plain: dict[tuple[int, int], str] = {}
    threads: dict[tuple[int, int], str] = {}
    for relation in relations if relations is not None else ():
        kind = str(relation.get("Type", "")).rpartition("/")[2].casefold()
        target = str(relation.get("Target", ""))
        where = target.lstrip("/") if target.startswith("/") else f"{folder}/{target}"
        data = _read(package, posixpath.normpath(where))
        if kind == "comments":
            plain.update(_commented(data, "comment"))
        elif kind == "threadedcomment":
            for place, words in _commented(data, "threadedComment"):
                threads[place] = f"{threads[place]}\n{words}" if place in threads else words
    return {**plain, **threads}


def _commented(data: bytes, element: str) -> Iterator[tuple[tuple[int, int], str]]:
    root = _elements(data)
    if root is None:
        return
    count = 0
    for one in root.iter():
        if _local(one) != element or count >= MOST_COMMENTS:
            continue
        place = _PLACE.fullmatch(str(one.get("ref", "")))
        words = "".join(t.text or "" for t in one.iter() if _local(t) in ("t", "text")).strip()
        if place is not None and words:
            count += 1
            yield (int(place[2]) - 1, _column(place[1])), words[:LONGEST_COMMENT]


def _coloured_styles(package: zipfile.ZipFile) -> frozenset[int]:
    """The numbers of cell formats whose fill is a colour other than white."""
    root = _elements(_read(package, "xl/styles.xml"))
    if root is None:
        return frozenset()
    fills: list[bool] = []
    formats: list[int] = []
    for part in root:
        if _local(part) == "fills":
            fills = [_is_colour(fill) for fill in part]
        elif _local(part) == "cellXfs":
            formats = [_number(one.get("fillId", "0")) for one in part]
    return frozenset(n for n, fill in enumerate(formats) if fill < len(fills) and fills[fill])


def _is_colour(fill: ElementTree.Element) -> bool:
    pattern = next((one for one in fill if _local(one) == "patternFill"), None)
    if pattern is None or pattern.get("patternType", "none") != "solid":
        return False
    colour = next((one for one in pattern if _local(one) == "fgColor"), None)
    if colour is None:
        return False
    named = colour.get("rgb", "").upper()
    white = colour.get("theme") == "0" and not colour.get("tint")
    return bool(colour.attrib) and not white and (not named or named not in _COLOURLESS)


def _number(words: str) -> int:
    return int(words) if words.isdigit() else 0


def _coloured_rows(package: zipfile.ZipFile, part: str, styles: frozenset[int]) -> set[int]:
    """The rows of a sheet, from 0, in which a cell that holds something is coloured."""
    if not styles:
        return set()
    data = _read(package, part)
    rows: set[int] = set()
    for cell in _CELL.finditer(data):
        style, place = _STYLE.search(cell[0]), _REFERENCE.search(cell[0])
        if style and place and int(style[1]) in styles and not cell[0].endswith(b"/>"):
            rows.add(int(place[2]) - 1)
    return rows


def _column(name: str) -> int:
    result = 0
    for letter in name:
        result = result * 26 + ord(letter) - ord("A") + 1
    return result - 1
