"""Which program this is, by its own files: what was made by another is made again."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path

CORE = ("archivist", "archivist_schemas")
"""The packages that decide what is told of a piece, and how."""


@cache
def core_digest() -> str:
    """A digest of the core's own files: code, tables and all."""
    from importlib import import_module

    return _joined(code_digest(import_module(name).__name__) for name in CORE)


@cache
def code_digest(module: str) -> str:
    """A digest of all files of the package that `module` belongs to, or of a module by itself.

    '' where nothing of it lies on a disk.
    """
    top = sys.modules.get(module.partition(".")[0])
    origin = getattr(top, "__file__", None) or getattr(sys.modules.get(module), "__file__", None)
    if not origin or not Path(origin).is_file():
        return ""
    file = Path(origin)
    if file.stem != "__init__":
        return _of_file(file)
    files = sorted(f for f in file.parent.rglob("*") if f.is_file() and _counts(f))
    return _joined(f"{f.relative_to(file.parent).as_posix()} {_of_file(f)}" for f in files)


def _counts(file: Path) -> bool:
    """Whether it is a file of the program, and not what Python or an editor keeps beside it."""
    return "__pycache__" not in file.parts and not file.name.startswith(".")


def _of_file(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def _joined(parts: Iterable[str]) -> str:
    whole = hashlib.sha256()
    for part in parts:
        whole.update(f"{part}\n".encode())
    return whole.hexdigest()
