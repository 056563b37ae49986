"""What lets anyone check the package: digests, the code on the page, and the words on how to."""

from __future__ import annotations

import io
from typing import Any

from archivist.hooks import DisclosedPhotograph, Piece, Selection, WrittenFile
from archivist.model import Value, canonical_json, digest
from archivist_plugins.addresses import Companion, nothing_there
from archivist_plugins.record_schemas import PARTY, RECORD, WHAT_THEY_ARE, schema

RECORD_FILE = "record.json"
PARTIES_FILE = "parties.json"


def record_facts(piece: Piece) -> dict[str, str]:
    """The record's identifier and the SHA-256 of its canonical JSON, which is the attachment."""
    return {"identifier": f"urn:uuid:{piece.record.id}", "sha256": digest(piece.record)}


ATTACHED: dict[str, str] = {
    RECORD_FILE: "The object record",
    PARTIES_FILE: "The persons and firms that the record names",
    RECORD: WHAT_THEY_ARE[RECORD],
    PARTY: WHAT_THEY_ARE[PARTY],
}
"""What each file inside the PDF is, as readers of PDF list it."""


def attachments(piece: Piece) -> dict[str, bytes]:
    """The files inside the PDF: the record and the parties it names, as canonical JSON, and the
    schemas of both."""
    return {
        RECORD_FILE: canonical_json(piece.record),
        PARTIES_FILE: _array(piece.parties),
        RECORD: schema(RECORD),
        PARTY: schema(PARTY),
    }


def _array(values: tuple[Value, ...]) -> bytes:
    return b"[" + b",".join(map(canonical_json, values)) + b"]"


def signature_facts(selection: Selection) -> dict[str, str]:
    """The fingerprints of the certificate and the key that sign, '' where the PDF is not signed."""
    signer = selection.signer
    if signer is None or signer.document is None:
        return {"certificate": "", "key": ""}
    return {"certificate": signer.document.fingerprint, "key": signer.fingerprint}


def code_words(piece: Piece) -> str:
    """What the code on the page says: the identifier and the digest, with a space between."""
    facts = record_facts(piece)
    return f"{facts['identifier']} sha256:{facts['sha256']}"


def code_drawing(words: str) -> bytes:
    """`words` as a QR code (ISO/IEC 18004), in SVG, so that it prints sharp at any size.

    Level M of error correction bears 15 parts in a hundred being illegible.
    """
    import segno

    target = io.BytesIO()
    segno.make(words, error="m", micro=False).save(
        target, kind="svg", border=4, xmldecl=False, svgns=True, dark="#1d1c1a"
    )
    return target.getvalue()


def photograph_digests(piece: Piece, companion: Companion = nothing_there) -> list[dict[str, Any]]:
    """Each photograph by name, its digest, that of its original, and what was done to the copy.

    What was done to all of them alike is left out here: `done_to_all` says it once. Where the
    release holds a copy that carries words within it, that is another file, and has its own.
    """
    alike = done_to_all(piece)
    return [
        {
            "name": photo.name,
            "sha256": photo.sha256,
            "original": "" if photo.original_sha256 == photo.sha256 else photo.original_sha256,
            "how": "" if alike else photo.how,
            "with-words": _with_words(companion(f"iptc/{piece.slug}/{photo.name}"), photo),
        }
        for photo in piece.photographs
    ]


def _with_words(file: WrittenFile | None, photo: DisclosedPhotograph) -> str:
    return file.sha256 if file is not None and file.sha256 != photo.sha256 else ""


def done_to_all(piece: Piece) -> str:
    """What was done to every photograph alike to make the copy that is handed on; else ''.

    Without a full stop, since it ends a sentence of the page.
    """
    ways = {photo.how for photo in piece.photographs}
    return ways.pop().rstrip(".") if len(ways) == 1 else ""
