"""Documents that hold signatures of their own: found in packages, and judged by their plugins."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from archivist.errors import ArchivistError, FixityError, PackageError
from archivist.hooks import DocumentFormat, DocumentSignature, ExporterDescription, PackageFormat
from archivist.plugins import Plugins
from archivist.release.payload import content_of
from archivist.signing import plain_fingerprint


@dataclass(frozen=True)
class JudgedDocument:
    """A document with what its signatures are; `unchecked` says why they could not be checked."""

    path: str
    signatures: tuple[DocumentSignature, ...] = ()
    unchecked: str = ""

    @property
    def trouble(self) -> str:
        """What is not as it was signed, '' where all of it is, or nothing is signed."""
        return next((one.trouble for one in self.signatures if one.trouble), "")

    @property
    def signed(self) -> bool:
        """Whether somebody signed it, and all of it is as it was signed."""
        return bool(self.signatures) and not self.trouble

    def signed_by(self, fingerprints: Collection[str]) -> bool:
        """Whether one of its signatures is by one of those certificates (plain fingerprints)."""
        return any(plain_fingerprint(one.fingerprint) in fingerprints for one in self.signatures)


def judge_of(plugins: Plugins, name: str) -> DocumentFormat | None:
    """The format that judges documents of that name, or None."""
    described = plugins.of("exporter", ExporterDescription)
    formats = (d.judges for d in described if d.judges is not None)
    return next((judge for judge in formats if judge.recognises(name)), None)


def judged(judge: DocumentFormat, path: str, content: bytes) -> JudgedDocument:
    """The document at `path`, of which these are the bytes."""
    try:
        return JudgedDocument(path, judge.signatures(content))
    except ArchivistError as problem:
        return JudgedDocument(path, unchecked=f"{problem.message} {problem.remedy}".strip())


def documents_signed(plugins: Plugins, folder: Path) -> int:
    """How many documents below `folder` hold a signature of their own that fits them."""
    files = (path for path in folder.rglob("*") if path.is_file())
    judges = ((judge_of(plugins, path.name), path) for path in files)
    found = (judged(judge, path.name, path.read_bytes()) for judge, path in judges if judge)
    return sum(document.signed for document in found)


def documents_in(plugins: Plugins, opens: PackageFormat, path: Path) -> Iterator[JudgedDocument]:
    """Every document that was made for the package at `path` and signed, or cannot be judged.

    They lie in a folder named after the exporter that made them. What else is in a package says
    nothing of it by its own signature: an invoice among the originals may have been stamped after
    it was signed. What is missing or cannot be read is left out: comparing digests finds that.
    """
    described = plugins.of("exporter", ExporterDescription)
    judges = {d.name: d.judges for d in described if d.judges is not None}

    def made_for_it(name: str) -> DocumentFormat | None:
        judge = judges.get(name.partition("/")[0])
        return judge if judge is not None and judge.recognises(name) else None

    try:
        for file in opens.payload(path, lambda name: made_for_it(name) is not None):
            judge = made_for_it(file.path)
            try:
                content = content_of(file)
            except FixityError:
                continue
            if judge is not None:
                document = judged(judge, file.path, content)
                if document.signatures or document.unchecked:
                    yield document
    except PackageError:
        return
