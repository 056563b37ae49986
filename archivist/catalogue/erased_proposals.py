"""The proposals without a name that is erased: their words, and what their files are called.

A proposal is called after what was surveyed, cut to a length, so that half a name may stand there.
By what it is called the catalogue knows that it was applied: a file that is called otherwise is so
in the catalogue first, and in the folder when that is written.
"""

from __future__ import annotations

import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import msgspec

from archivist.catalogue.erased import ERASED
from archivist.catalogue.originals import write_whole
from archivist.catalogue.persons import NameFinder

Words = Callable[[Path], str]
"""How the words of a file are read."""


def holds_name(path: Path, finder: NameFinder, read: Words) -> bool:
    """Whether the name stands in a file, or in what it is called."""
    return finder.finds(path.name) or _cleaned(path, finder, {}, read) is not None


def other_names(folder: Path, finder: NameFinder) -> dict[str, str]:
    """What files of the folder must be called otherwise, by what they are called now."""
    names: dict[str, str] = {}
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        plain = finder.replaced(path.name, ERASED)
        if plain != path.name:
            names[path.name] = plain
        content = _content(path)
        for source in _sources(content):
            place = str(source.get("location", ""))
            if ERASED not in place and not finder.finds(place):
                continue
            names[path.name] = _called(path, content)
            mapping = str(source.get("mapping", ""))
            if "." in mapping:
                names[mapping] = f"erased.{mapping.split('.', 1)[1]}"
                stem = mapping.removesuffix(".toml")
                names[f"{stem}.taken-in.toml"] = f"erased.{stem.split('.', 1)[1]}.taken-in.toml"
    return {old: new for old, new in names.items() if old != new}


def clean(folder: Path, finder: NameFinder, names: dict[str, str], read: Words) -> None:
    """Takes the name out of the files' words; calls those otherwise that are no proposals."""
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        if zipfile.is_zipfile(path):  # a workbook to look photographs through; it is made anew
            if finder.finds(read(path)):
                path.unlink()
                continue
        elif (words := _cleaned(path, finder, names, read)) is not None:
            write_whole(path, words)
        if path.name in names and not list(_sources(_content(path))):
            path.rename(path.with_name(names[path.name]))


def rename_in_catalogue(connection: sqlite3.Connection, names: dict[str, str]) -> None:
    """What the proposals are called from now on, within the transaction that erases."""
    for old, new in names.items():
        connection.execute("UPDATE action SET why = ? WHERE why = ?", (new, old))
        for column in ("detail", "report"):
            connection.execute(
                f"UPDATE event SET {column} = replace({column}, ?, ?) WHERE instr({column}, ?)",
                (old, new, old),
            )


def rename_files(folder: Path) -> None:
    """Calls every proposal as the catalogue does since an erasure."""
    for path in sorted(folder.glob("*.json")):
        content = _content(path)
        if any(ERASED in str(source.get("location", "")) for source in _sources(content)):
            path.rename(path.with_name(_called(path, content)))


def _called(path: Path, content: Any) -> str:
    """What a proposal is called in whose source's name the name stood: after its own identifier."""
    return f"{path.name[:10]}-erased-{str(content.get('id', ''))[:8] or 'proposal'}.json"


def _content(path: Path) -> Any:
    if path.suffix == ".json":
        with suppress(OSError, msgspec.DecodeError, UnicodeDecodeError):
            return msgspec.json.decode(path.read_bytes())
    return None


def _sources(content: Any) -> Iterator[dict[str, Any]]:
    if isinstance(content, dict) and isinstance(content.get("sources"), list):
        yield from (s for s in content["sources"] if isinstance(s, dict))


def _cleaned(path: Path, finder: NameFinder, names: dict[str, str], read: Words) -> str | None:
    """The words of a file without the name; None where it does not hold it.

    JSON is taken apart first, so that a name is found however its characters are escaped.
    """

    def plain(words: str) -> str:
        return names.get(words) or finder.replaced(words, ERASED)

    words = read(path)
    if path.suffix == ".json":
        with suppress(msgspec.DecodeError):
            content = msgspec.json.decode(words)
            cleaned = replaced(content, plain)
            if cleaned == content:
                return None
            packed = msgspec.json.format(msgspec.json.encode(cleaned), indent=2)
            return packed.decode("utf-8") + "\n"
    return finder.replaced(words, ERASED) if finder.finds(words) else None


def replaced(value: Any, plain: Callable[[str], str]) -> Any:
    """`value` with every string made plain."""
    if isinstance(value, str):
        return plain(value)
    if isinstance(value, list | tuple):
        return [replaced(item, plain) for item in value]
    if isinstance(value, dict):
        return {key: replaced(item, plain) for key, item in value.items()}
    return value
