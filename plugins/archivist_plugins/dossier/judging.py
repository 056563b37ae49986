"""The signatures within a PDF, whoever made it: who signed, and whether all of it is as signed.

By pyHanko, which knows PAdES (ETSI EN 319 142-1) and the older signatures of ISO 32000-1, 12.8. No
certificate is trusted here and nothing is fetched: a signer is shown by fingerprint, to compare.
"""

from __future__ import annotations

import io
import logging
import re
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from archivist.errors import PackageError, PluginError
from archivist.hooks import DocumentSignature
from archivist.signing import grouped

if TYPE_CHECKING:
    from pyhanko.sign.validation.status import PdfSignatureStatus

SUFFIX = ".pdf"

# They log what they then also say, with a traceback; without a handler that goes to the screen.
for _library in ("pyhanko", "pyhanko_certvalidator"):
    logging.getLogger(_library).addHandler(logging.NullHandler())

_SIGNED = re.compile(rb"/ByteRange\s*\[\s*0\s")
"""What every signed PDF holds in plain bytes: which of them the signature covers."""

_DIGITS = re.compile(rb"<((?:[0-9A-Fa-f]{2})+)>")

ALTERED = "bytes of it were changed after it was signed"
FOREIGN = "the signature does not fit its certificate"
ADDED = "something was added behind what was signed"
HIDDEN = "it holds a signature that nothing in it points to any more"
UNREADABLE = "it holds a signature that cannot be read: damaged, or of a kind not known here"


class SignedPdf:
    """Judges PDFs."""

    def recognises(self, name: str) -> bool:
        """Whether the name ends as that of a PDF does."""
        return PurePath(name).suffix.casefold() == SUFFIX

    def signatures(self, content: bytes) -> tuple[DocumentSignature, ...]:
        """The signatures in the PDF, oldest first.

        Only the newest can cover the whole file; what stands behind an older one may be the newer
        ones and nothing else.

        Raises:
            PluginError: where it is signed and pyHanko is not installed.
            PackageError: where it is no PDF, or one that cannot be read.
        """
        marked = _SIGNED.search(content) is not None
        try:
            from pyhanko.pdf_utils.reader import PdfFileReader
        except ImportError as problem:
            if not marked:
                return ()
            raise PluginError(
                "The PDF is signed, and pyHanko, which checks that, is not installed.",
                "Install it with 'pip install \"archivist[pdf-signatures]\"', or let a reader of "
                "PDF that knows signatures check it.",
            ) from problem
        try:
            embedded = PdfFileReader(io.BytesIO(content), strict=False).embedded_signatures
            found = tuple(_judged(one, content, one is embedded[-1]) for one in embedded)
        except Exception as problem:  # the library lists no errors for damaged and hostile bytes
            if marked:
                return (DocumentSignature(trouble=UNREADABLE),)
            raise PackageError(
                f"It cannot be read as a PDF: {problem}.",
                "Nothing was changed. Ask for another copy.",
            ) from problem
        if marked and not found:
            return (DocumentSignature(trouble=HIDDEN),)
        return found


def _judged(embedded: Any, content: bytes, newest: bool) -> DocumentSignature:
    """One signature: `embedded` is pyHanko's EmbeddedPdfSignature."""
    from pyhanko.sign.validation import validate_pdf_signature
    from pyhanko_certvalidator import ValidationContext

    nobody = ValidationContext(trust_roots=[], allow_fetching=False)
    status = validate_pdf_signature(embedded, nobody)
    certificate = status.signing_cert
    names = certificate.subject.native
    at = status.signer_reported_dt
    return DocumentSignature(
        signer=str(names.get("common_name") or certificate.subject.human_friendly),
        fingerprint=grouped(certificate.sha256.hex()),
        at=at.isoformat(timespec="seconds") if at else "",
        trouble=_trouble(status, newest) or _container(embedded, content),
    )


def _trouble(status: PdfSignatureStatus, newest: bool) -> str:
    from pyhanko.sign.diff_analysis import ModificationLevel
    from pyhanko.sign.validation import SignatureCoverageLevel

    if not status.intact:
        return ALTERED
    if not status.valid:
        return FOREIGN
    if newest:
        return "" if status.coverage is SignatureCoverageLevel.ENTIRE_FILE else ADDED
    whole = status.coverage is SignatureCoverageLevel.ENTIRE_REVISION
    level = status.modification_level
    added = level is None or level >= ModificationLevel.OTHER
    return ADDED if added or not whole else ""


def _container(embedded: Any, content: bytes) -> str:
    """Between the bytes that it covers a signature stands in hexadecimal digits, then zeros.

    Nothing else may: no signature covers what stands there.
    """
    from asn1crypto.parser import peek

    first, length, second, _ = (int(number) for number in embedded.byte_range)
    digits = _DIGITS.fullmatch(content[first + length : second])
    if digits is None:
        return ALTERED
    room = bytes.fromhex(digits[1].decode("ascii"))
    return ALTERED if room[peek(room) :].strip(b"\0") else ""
