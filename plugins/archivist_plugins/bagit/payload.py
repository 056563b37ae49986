"""The payload of a bag, file by file, for whoever takes it in again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import IO

from archivist.errors import PackageError
from archivist.hooks import PayloadFile
from archivist_plugins.bagit.contents import BagContents, read_contents
from archivist_plugins.bagit.findings import Findings
from archivist_plugins.bagit.limits import LARGEST_IN_MEMORY
from archivist_plugins.bagit.paths import PAYLOAD
from archivist_plugins.bagit.trees import UNREADABLE, open_tree


def payload_files(bag: Path, wanted: Callable[[str], bool]) -> Iterator[PayloadFile]:
    """The `wanted` ones of the files that the manifests of `bag` list, in their paths' order.

    Raises:
        PackageError: for a path that leads out of the bag, before any file is given; and for a
            file that a zip lacks or that cannot be read in it.
    """
    with open_tree(bag) as tree:
        contents = read_contents(tree, Findings())
        for listed, reason in contents.unsafe.items():
            raise PackageError(
                f"The bag '{bag}' lists the file '{listed}': {reason}.",
                "Nothing was taken from it. Do not trust this bag; ask who gave it to you.",
            )
        for name, path, digests in _listed(contents):
            decoded = name.removeprefix(PAYLOAD)
            if not wanted(decoded):
                continue
            file = PayloadFile(
                path=decoded,
                sha256=digests.get("sha256", ""),
                sha512=digests.get("sha512", ""),
            )
            location = tree.location(path)
            if location is not None:
                yield replace(file, source=location)
                continue
            if tree.files.get(path, 0) > LARGEST_IN_MEMORY:
                yield replace(file, opens=partial(_opened, bag, path))
                continue
            try:
                with tree.open(path) as source:
                    content = source.read(LARGEST_IN_MEMORY + 1)
            except (*UNREADABLE, KeyError) as problem:
                raise PackageError(
                    f"'{path}' cannot be read from the zip '{bag}': {problem}.",
                    "Unpack the zip as far as it goes and use the folder.",
                ) from problem
            yield replace(file, content=content)


@contextmanager
def _opened(bag: Path, path: str) -> Iterator[IO[bytes]]:
    """A large file within a zip, opened once more for as long as it is read."""
    with open_tree(bag) as tree:
        try:
            with tree.open(path) as source:
                yield source
        except (*UNREADABLE, KeyError) as problem:
            raise PackageError(
                f"'{path}' cannot be read from the zip '{bag}': {problem}.",
                "Unpack the zip as far as it goes and use the folder.",
            ) from problem


def _listed(contents: BagContents) -> list[tuple[str, str, dict[str, str]]]:
    """Every payload file: the path that was listed, where it lies in the bag, its digests."""
    there = [
        (contents.named[path], path, digests)
        for path, digests in contents.expected.items()
        if path.startswith(PAYLOAD)
    ]
    missing = [(path, path, digests) for path, digests in contents.missing.items()]
    return sorted(there + missing, key=lambda entry: entry[0])
