"""Signing with a key of the owner's: Ed25519 (RFC 8032) over the exact bytes that seal a package.

Readers of PDF know other kinds of keys (few check Ed25519), so documents are signed with a second
one, ECDSA on P-256, and a certificate (X.509). A signer is known by the fingerprint of the public
key: the SHA-256 of its SubjectPublicKeyInfo (RFC 5280, 4.1), which anybody can work out with
OpenSSL.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from archivist.errors import SigningError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.x509 import Certificate

SIGNED_FILE = "tagmanifest-sha256.txt"
"""The file of a bag whose bytes are signed: it holds the digest of every other listed tag file."""

SIGNATURE_FILE = "signature-ed25519.bin"
"""The 64 bytes of the signature, beside the file that it covers."""

PUBLIC_KEY_FILE = "signature-key.pem"
"""The signer's public key, beside the signature."""

SIGNATURE_FILES = frozenset({SIGNATURE_FILE, PUBLIC_KEY_FILE})
"""Tag files that no manifest lists, since they are made of one."""


@dataclass(frozen=True)
class Seal:
    """The bytes that seal a package, with the signature and public key beside them, if any."""

    content: bytes
    signature: bytes = b""
    public_key: bytes = b""

    @property
    def digest(self) -> str:
        """The SHA-256 of the sealing bytes, by which a package is known again; '' without any."""
        return hashlib.sha256(self.content).hexdigest() if self.content else ""

    @property
    def signed(self) -> bool:
        """Whether anything claims to be a signature."""
        return bool(self.signature or self.public_key)


@dataclass(frozen=True)
class DocumentKey:
    """The key that documents are signed with, and its certificate."""

    key: EllipticCurvePrivateKey
    certificate: Certificate

    @property
    def fingerprint(self) -> str:
        """The SHA-256 of the certificate, as readers of PDF show it."""
        from cryptography.hazmat.primitives.hashes import SHA256

        return grouped(self.certificate.fingerprint(SHA256()).hex())


class Signer:
    """A private key at work; `document` is its second key, where it has one."""

    def __init__(self, key: Ed25519PrivateKey, document: DocumentKey | None = None) -> None:
        self.key = key
        self.document = document

    @property
    def public_key(self) -> bytes:
        """The public key as PEM."""
        from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

        public = self.key.public_key()
        return public.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)

    @property
    def fingerprint(self) -> str:
        """The fingerprint of the public key."""
        return fingerprint(self.public_key, "the key")

    def seal(self, folder: Path) -> bool:
        """Signs the package in `folder`, in two files beside what is signed.

        False where the folder holds nothing that a signature could cover.
        """
        signed = folder / SIGNED_FILE
        if not signed.is_file():
            return False
        (folder / SIGNATURE_FILE).write_bytes(self.key.sign(signed.read_bytes()))
        (folder / PUBLIC_KEY_FILE).write_bytes(self.public_key)
        return True


def fingerprint(public_key: bytes, name: str) -> str:
    """The SHA-256 of a public key in PEM, in groups of four digits; `name` is for messages.

    Raises:
        SigningError: where it is no Ed25519 public key.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import (
        Encoding,
        PublicFormat,
        load_pem_public_key,
    )

    try:
        key = load_pem_public_key(public_key)
    except Exception as problem:  # the library lists no errors for hostile bytes
        raise wrong_key(name, "is no public key in PEM form") from problem
    if not isinstance(key, Ed25519PublicKey):
        raise wrong_key(name, "is a public key of another kind than Ed25519")
    der = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return grouped(hashlib.sha256(der).hexdigest())


def grouped(digits: str) -> str:
    """Digits of a fingerprint in groups of four, to read out and compare."""
    return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))


def plain_fingerprint(words: str) -> str:
    """A fingerprint however it was spaced or spelled, to compare."""
    return "".join(c for c in words.casefold() if c not in " :-\n\t")


def fits(seal: Seal) -> bool:
    """Whether the signature is of exactly these bytes by exactly this key."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key

    key = load_pem_public_key(seal.public_key)
    if not isinstance(key, Ed25519PublicKey):
        return False
    try:
        key.verify(seal.signature, seal.content)
    except InvalidSignature:
        return False
    return True


def wrong_key(path: Path | str, what: str) -> SigningError:
    """The error for a key that is not what it has to be."""
    return SigningError(
        f"{path} {what}.",
        "Nothing was signed or changed. 'archivist key new FILE' makes a key.",
    )
