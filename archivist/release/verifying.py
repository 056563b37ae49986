"""Tells whoever was handed a package what can be said of it, and no more than that.

Digests show accidents: a package whose files fit them is undamaged. Only a signature shows that
nobody altered files and digests together; and whose key it was, no package can tell of itself. A
document in it may be signed too, and may have been handed on alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from archivist.digests import digest_file
from archivist.errors import SigningError
from archivist.hooks import FixityReport, PackageFacts
from archivist.plugins import Plugins
from archivist.release.documents import JudgedDocument, documents_in, judge_of
from archivist.release.fixity import format_of
from archivist.signing import (
    PUBLIC_KEY_FILE,
    SIGNED_FILE,
    Seal,
    fingerprint,
    fits,
    plain_fingerprint,
)


class Standing(StrEnum):
    """What can be said of a package, or of a document alone, as a whole."""

    UNALTERED = "unaltered"
    UNDAMAGED = "undamaged"
    NOT_WHOLE = "undamaged, and not whole"
    UNSIGNED = "not signed"
    DAMAGED = "damaged"
    NOT_AS_SIGNED = "not as it was signed"
    OTHER_SIGNER = "not signed by that key"


@dataclass(frozen=True)
class Verdict:
    """What was found.

    `digest` is of the bytes that seal the package, or of the document; `signer` the fingerprint of
    the key that sealed it, or of the document's certificate. `documents` are those in the package
    that somebody signed, or the one that was looked at `alone`.
    """

    standing: Standing
    report: FixityReport
    facts: PackageFacts
    digest: str
    signer: str = ""
    trouble: str = ""
    documents: tuple[JudgedDocument, ...] = ()
    alone: bool = False

    @property
    def good(self) -> bool:
        """Whether something speaks for it and nothing against it."""
        return self.standing in (Standing.UNALTERED, Standing.UNDAMAGED)


def verify(
    plugins: Plugins,
    path: Path,
    progress: Callable[[int], None] = lambda size: None,
    expected: Iterable[str] = (),
) -> Verdict:
    """Verifies what lies at `path`: a package, as a folder or a zip, or a document alone.

    `expected` are the fingerprints, of a key and perhaps of its certificate for documents, that it
    should be signed with, had by another way.

    Raises:
        SelectionError: where `path` is neither.
        PluginError, PackageError: where a document alone cannot be judged.
    """
    wanted = frozenset(map(plain_fingerprint, expected))
    judge = judge_of(plugins, path.name)
    if judge is None or not path.is_file():
        return verify_package(plugins, path, progress, wanted)
    measured = digest_file(path, progress)
    document = JudgedDocument(path.name, judge.signatures(path.read_bytes()))
    standing, trouble = _document_standing(document, wanted)
    return Verdict(
        standing,
        FixityReport("document", 1, measured.size),
        PackageFacts(),
        measured.sha256,
        document.signatures[-1].fingerprint if document.signed else "",
        trouble,
        (document,),
        alone=True,
    )


def verify_package(
    plugins: Plugins,
    path: Path,
    progress: Callable[[int], None] = lambda size: None,
    expected: Iterable[str] = (),
) -> Verdict:
    """Verifies the package at `path`, with its signature and those of documents in it, if any.

    Raises:
        SelectionError: where `path` is no package that can be opened.
    """
    wanted = frozenset(map(plain_fingerprint, expected))
    opens = format_of(plugins, path)
    seal = opens.seal(path)
    report = opens.verify(path, progress=progress)
    documents = tuple(documents_in(plugins, opens, path))
    signer, trouble = _signer(seal)
    altered = [document for document in documents if document.trouble]
    if seal.signed and trouble:
        standing = Standing.NOT_AS_SIGNED
    elif report.problems:
        standing = Standing.DAMAGED
    elif altered:
        standing = Standing.NOT_AS_SIGNED
        trouble = f"of {altered[0].path}, {altered[0].trouble}"
    elif wanted and plain_fingerprint(signer) not in wanted:
        standing = Standing.OTHER_SIGNER
        trouble = "it is signed with another key" if signer else "nobody signed it"
    elif other := _signed_by_others(documents, wanted - {plain_fingerprint(signer)}):
        standing = Standing.OTHER_SIGNER
        trouble = f"{other.path} in it is signed with another certificate"
    else:
        standing = Standing.UNALTERED if signer else Standing.UNDAMAGED
        if report.left_out:
            standing = Standing.NOT_WHOLE
    return Verdict(standing, report, opens.facts(path), seal.digest, signer, trouble, documents)


def _document_standing(document: JudgedDocument, wanted: frozenset[str]) -> tuple[Standing, str]:
    if document.trouble:
        return Standing.NOT_AS_SIGNED, document.trouble
    if wanted and not document.signed_by(wanted):
        # A key has another fingerprint than its certificate, and a document shows the second.
        signed = (
            "it is signed with another certificate, if that is a certificate's fingerprint and not "
            "its key's (the file of the public key has both)"
            if len(wanted) == 1
            else "it is signed with another certificate"
        )
        return Standing.OTHER_SIGNER, signed if document.signed else "nobody signed it"
    return (Standing.UNALTERED if document.signed else Standing.UNSIGNED), ""


def _signed_by_others(
    documents: Iterable[JudgedDocument], certificates: frozenset[str]
) -> JudgedDocument | None:
    """The first document that another than one of those certificates signed, if any is named."""
    if not certificates:
        return None
    return next((d for d in documents if d.signed and not d.signed_by(certificates)), None)


def _signer(seal: Seal) -> tuple[str, str]:
    """The fingerprint of the key whose signature fits, else '' and what is wrong with it."""
    if not seal.signed:
        return "", ""
    if not seal.signature:
        return "", "it holds a public key and no signature"
    if not seal.public_key:
        return "", "it holds a signature, and the public key to check it with is gone"
    try:
        found = fingerprint(seal.public_key, PUBLIC_KEY_FILE)
    except SigningError as problem:
        return "", problem.message.rstrip(".")
    if not fits(seal):
        return "", f"its signature does not fit {SIGNED_FILE}"
    return found, ""


def in_words(verdict: Verdict) -> tuple[str, ...]:
    """What to tell whoever was handed it, a sentence or two each."""
    report = verdict.report
    many = "1 thing is" if len(report.problems) == 1 else f"{len(report.problems)} things are"
    words: list[str] = []
    if report.problems:
        words.append(f"Damaged or altered: {many} not as the digests in it say.")
    if told := _STANDING_IN_WORDS.get((verdict.standing, verdict.alone)):
        count = f"{report.files:,} files" if report.files != 1 else "1 file"
        words.append(told.format(count=count, trouble=verdict.trouble, sealed=SIGNED_FILE))
    if report.left_out:
        words.append(f"Left out of it, as it says itself: {'; '.join(report.left_out)}")
    if not verdict.alone:
        words.extend(map(_document_in_words, verdict.documents))
    if report.unlisted:
        words.append(
            f"Nothing can be said of files that no digest covers: {', '.join(report.unlisted)}."
        )
    return tuple(words)


_OTHER_WAY = "compare the fingerprint with the one that you had from the signer by another way."
_ALTERED = (
    "Not as it was signed: {trouble}. Somebody altered it after it was signed, or the signature "
    "itself is damaged. Ask for another copy."
)
_OTHER_SIGNER = "Not signed by the key that you named: {trouble}."

_STANDING_IN_WORDS = {
    (Standing.NOT_AS_SIGNED, False): _ALTERED,
    (Standing.NOT_AS_SIGNED, True): _ALTERED,
    (Standing.OTHER_SIGNER, False): _OTHER_SIGNER,
    (Standing.OTHER_SIGNER, True): _OTHER_SIGNER,
    (Standing.UNALTERED, False): (
        "Whole and unaltered since it was signed ({count}). The package cannot tell whose key "
        f"that was: {_OTHER_WAY}"
    ),
    (Standing.UNALTERED, True): (
        "Unaltered since it was signed, from its first byte to its last. The document cannot tell "
        f"whose certificate that is, whatever name stands in it: {_OTHER_WAY}"
    ),
    (Standing.UNDAMAGED, False): (
        "Whole and undamaged ({count}). It is not signed, so it cannot tell whether somebody "
        "altered files and digests together: ask whoever made it for the digest of {sealed}, and "
        "compare."
    ),
    (Standing.NOT_WHOLE, False): (
        "What is in it is undamaged ({count}), and it is not whole: when it was made, something of "
        "what it should hold was damaged or gone. Ask for a whole copy once that is mended."
    ),
    (Standing.UNSIGNED, True): (
        "Nobody signed this document, and alone it holds no digest of itself, so nothing can be "
        "said of it. Look for its digest in manifest-sha256.txt of the package that it came with, "
        "or ask whoever made it to look in their register, and compare."
    ),
}
"""By what stands, and whether of a document alone."""


def _document_in_words(document: JudgedDocument) -> str:
    """What is to be said of a signed document in a package."""
    if document.unchecked:
        return f"{document.path} could not be checked for a signature: {document.unchecked}"
    if document.trouble:
        return f"{document.path} is signed and not as it was signed: {document.trouble}."
    names = " and ".join(f"'{one.signer}'" for one in document.signatures)
    return f"{document.path} is signed too, as {names}, and unaltered since."
