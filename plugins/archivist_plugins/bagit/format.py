"""Opens bags: recognises them, verifies them, and hands out their payload."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from archivist.errors import PackageError
from archivist.hooks import (
    FixityProblem,
    FixityReport,
    FixityState,
    PackageFacts,
    PayloadFile,
)
from archivist.signing import PUBLIC_KEY_FILE, SIGNATURE_FILE, SIGNED_FILE, Seal

LARGEST_SEAL = 1 << 26
"""Bytes of a tag manifest that are read at most; a bag of ours has some hundred."""


class BagFormat:
    """Bags of the versions 0.93 to 1.0, in folders and zips."""

    def recognises(self, path: Path) -> bool:
        """Whether `path` is a bag, or a bag that lost its bagit.txt, or a zip of a bag."""
        from archivist_plugins.bagit.trees import is_bag

        return is_bag(path)

    def facts(self, path: Path) -> PackageFacts:
        """What the bag says of itself in bag-info.txt.

        Raises:
            PackageError: where there is no bag.
        """
        from archivist_plugins.bagit.contents import read_contents
        from archivist_plugins.bagit.findings import Findings
        from archivist_plugins.bagit.tags import tag_values
        from archivist_plugins.bagit.trees import open_tree

        with open_tree(path) as tree:
            tags = read_contents(tree, Findings()).tags

        def value(label: str) -> str:
            return next(iter(tag_values(tags, label)), "")

        return PackageFacts(
            audience=value("Archivist-Audience"),
            scope=value("Archivist-Scope"),
            identifier=value("Archivist-Identifier"),
            made=value("Archivist-Made") or value("Bagging-Date"),
        )

    def verify(
        self, path: Path, *, progress: Callable[[int], None], second_opinion: bool = False
    ) -> FixityReport:
        """Verifies the bag at `path` (RFC 8493, 3: complete and valid).

        Raises:
            PackageError: where there is no bag to verify at all.
        """
        from archivist_plugins.bagit.findings import Findings
        from archivist_plugins.bagit.trees import open_tree
        from archivist_plugins.bagit.verifying import verify_tree

        with open_tree(path) as tree:
            report = verify_tree(tree, progress, Findings())
        return _with_second_opinion(report, path) if second_opinion else report

    def seal(self, path: Path) -> Seal:
        """The tag manifest of SHA-256 as it stands, and the signature beside it, if any.

        Raises:
            PackageError: where there is no bag, or one of the three cannot be read.
        """
        from archivist_plugins.bagit.trees import UNREADABLE, open_tree

        with open_tree(path) as tree:

            def content(name: str) -> bytes:
                if name not in tree.files:
                    return b""
                try:
                    with tree.open(name) as file:
                        return file.read(LARGEST_SEAL)
                except UNREADABLE as problem:
                    raise PackageError(
                        f"'{name}' of the bag '{path}' cannot be read: {problem}.",
                        "Nothing was changed. Use another copy of the bag.",
                    ) from problem

            return Seal(content(SIGNED_FILE), content(SIGNATURE_FILE), content(PUBLIC_KEY_FILE))

    def payload(
        self, path: Path, wanted: Callable[[str], bool] = lambda path: True
    ) -> Iterator[PayloadFile]:
        """The payload's files: paths decoded, below data/ and without it, in their order.

        A listed file that is missing comes with the `source` where it should lie, so that opening
        it fails and the rest can go on; a file that no manifest lists does not come at all.
        Nothing is verified: `verify` does that.

        Raises:
            PackageError: for a path that leads out of the bag (before any file is given), and
                for files that a zip lacks or that cannot be read in it.
        """
        from archivist_plugins.bagit.payload import payload_files

        yield from payload_files(path, wanted)


def _with_second_opinion(report: FixityReport, path: Path) -> FixityReport:
    """The report with what the library says; a disagreement is a problem unless it is known why.

    The library cannot read percent-encoded names (`100%25.jpg`), which RFC 8493 asks for.
    """
    from archivist_plugins.bagit.second_opinion import library_name, library_verdict

    if not path.is_dir():
        words = f"{library_name()} reads no zips: no second opinion."
        return replace(report, remarks=(*report.remarks, words))
    verdict = library_verdict(path)
    if bool(verdict) == bool(report.problems):
        words = f"{library_name()} agrees: {verdict or 'the bag is valid'}."
        return replace(report, remarks=(*report.remarks, words))
    if not verdict:
        words = f"{library_name()} finds nothing wrong; it checks fewer rules."
        return replace(report, remarks=(*report.remarks, words))
    words = f"{library_name()} disagrees: {verdict}"
    if _has_encoded_names(path):
        explained = f"{words}. It cannot read percent-encoded names, which this bag has."
        return replace(report, remarks=(*report.remarks, explained))
    problem = FixityProblem(FixityState.INVALID, "", words)
    return replace(report, problems=(*report.problems, problem))


def _has_encoded_names(path: Path) -> bool:
    from archivist_plugins.bagit.contents import read_contents
    from archivist_plugins.bagit.findings import Findings
    from archivist_plugins.bagit.trees import open_tree

    with open_tree(path) as tree:
        return read_contents(tree, Findings()).encoded_names
