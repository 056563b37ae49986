"""Tells whoever was handed a package what can be said of it, and no more than that.

Digests show accidents: a package whose files fit them is undamaged. Only a signature shows that
nobody altered files and digests together; and whose key it was, no package can tell of itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from archivist.errors import SigningError
from archivist.hooks import FixityReport, PackageFacts
from archivist.plugins import Plugins
from archivist.release.fixity import format_of
from archivist.signing import PUBLIC_KEY_FILE, SIGNED_FILE, Seal, fingerprint, fits


class Standing(StrEnum):
    """What can be said of a package as a whole."""

    UNALTERED = "unaltered"
    UNDAMAGED = "undamaged"
    DAMAGED = "damaged"
    NOT_AS_SIGNED = "not as it was signed"
    OTHER_SIGNER = "not signed by that key"


@dataclass(frozen=True)
class Verdict:
    """What was found: `digest` is of the bytes that seal the package, `signer` the fingerprint."""

    standing: Standing
    report: FixityReport
    facts: PackageFacts
    digest: str
    signer: str = ""
    trouble: str = ""

    @property
    def good(self) -> bool:
        """Whether nothing speaks against the package."""
        return self.standing in (Standing.UNALTERED, Standing.UNDAMAGED)


def verify_package(
    plugins: Plugins,
    path: Path,
    progress: Callable[[int], None] = lambda size: None,
    expected: str = "",
) -> Verdict:
    """Verifies the package at `path`, a folder or a zip, with its signature where it has one.

    `expected` is the fingerprint of the key it should be signed with, had by another way.

    Raises:
        SelectionError: where `path` is no package that can be opened.
    """
    opens = format_of(plugins, path)
    seal = opens.seal(path)
    report = opens.verify(path, progress=progress)
    signer, trouble = _signer(seal)
    if seal.signed and trouble:
        standing = Standing.NOT_AS_SIGNED
    elif report.problems:
        standing = Standing.DAMAGED
    elif expected and _plain(expected) != _plain(signer):
        standing = Standing.OTHER_SIGNER
        trouble = "it is signed with another key" if signer else "nobody signed it"
    else:
        standing = Standing.UNALTERED if signer else Standing.UNDAMAGED
    return Verdict(standing, report, opens.facts(path), seal.digest, signer, trouble)


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


def _plain(words: str) -> str:
    """A fingerprint however it was spaced or spelled."""
    return "".join(c for c in words.casefold() if c not in " :-\n\t")


def in_words(verdict: Verdict) -> tuple[str, ...]:
    """What to tell whoever was handed the package, a sentence or two each."""
    report = verdict.report
    count = f"{report.files:,} files" if report.files != 1 else "1 file"
    words: list[str] = []
    if report.problems:
        many = "1 thing is" if len(report.problems) == 1 else f"{len(report.problems)} things are"
        words.append(f"Damaged or altered: {many} not as the digests in it say.")
    if verdict.standing is Standing.NOT_AS_SIGNED:
        words.append(
            f"Not as it was signed: {verdict.trouble}. Somebody altered it after it was signed, or "
            "the signature itself is damaged. Ask for another copy."
        )
    elif verdict.standing is Standing.OTHER_SIGNER:
        words.append(f"Not signed by the key that you named: {verdict.trouble}.")
    elif verdict.standing is Standing.UNALTERED:
        words.append(
            f"Whole and unaltered since it was signed ({count}). The package cannot tell whose key "
            "that was: compare the fingerprint with the one that you had from the signer by "
            "another way."
        )
    elif verdict.standing is Standing.UNDAMAGED:
        words.append(
            f"Whole and undamaged ({count}). It is not signed, so it cannot tell whether somebody "
            "altered files and digests together: ask whoever made it for the digest of "
            f"{SIGNED_FILE}, and compare."
        )
    if report.unlisted:
        words.append(
            f"Nothing can be said of files that no digest covers: {', '.join(report.unlisted)}."
        )
    return tuple(words)
