"""Keys as files: PKCS #8 (RFC 5958) as OpenSSL writes and reads it, with a passphrase or without.

A key made for a name holds a second one for documents, with a certificate of that name which it
signed itself.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

from archivist.errors import SigningError
from archivist.signing import DocumentKey, Signer, fingerprint, grouped, wrong_key

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

_PUBLIC_SUFFIX = ".public.pem"


class NeedsPassphraseError(SigningError):
    """The private key is locked; whoever can ask the owner for its passphrase does so."""


def new_key(path: Path, passphrase: str = "", name: str = "") -> tuple[Path, Signer]:
    """Makes a private key at `path` and its public half beside it; the public file, the signer.

    With a `name`, whose it is, there is a key for documents in it too.

    Raises:
        SigningError: where either file is there already or cannot be written.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import Encoding

    public_path = path.with_name(f"{path.name.removesuffix('.pem')}{_PUBLIC_SUFFIX}")
    document = _document_key(name) if name.strip() else None
    signer = Signer(Ed25519PrivateKey.generate(), document)
    private, public = _locked(signer.key, passphrase), signer.public_key
    if document is not None:
        certificate = document.certificate.public_bytes(Encoding.PEM)
        private += _locked(document.key, passphrase) + certificate
        public += certificate
    try:
        for taken in (path, public_path):
            if taken.exists():
                raise SigningError(
                    f"{taken} is there already, and a key is never written over.",
                    "Nothing was changed. Name another file.",
                )
        path.parent.mkdir(parents=True, exist_ok=True)
        # Nobody else may read it, from its first moment on; Windows goes by the folder's rights.
        only_new = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        with os.fdopen(os.open(path, only_new, 0o600), "wb") as file:
            file.write(private)
        public_path.write_bytes(public)
    except OSError as problem:
        raise SigningError(
            f"The key {path} cannot be written: {problem.strerror}.",
            "Choose a place that you may write to.",
        ) from problem
    return public_path, signer


def _locked(key: Ed25519PrivateKey | EllipticCurvePrivateKey, passphrase: str) -> bytes:
    from cryptography.hazmat.primitives.serialization import (
        BestAvailableEncryption,
        Encoding,
        KeySerializationEncryption,
        NoEncryption,
        PrivateFormat,
    )

    lock: KeySerializationEncryption = NoEncryption()
    if passphrase:
        lock = BestAvailableEncryption(passphrase.encode("utf-8"))
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, lock)


def _document_key(name: str) -> DocumentKey:
    """A key and a certificate of it that says nothing but the name, and never ends.

    99991231235959Z is how a certificate says that it has no end (RFC 5280, 4.1.2.5).
    """
    from datetime import UTC, datetime

    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.hashes import SHA256

    key = ec.generate_private_key(ec.SECP256R1())
    whose = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, name.strip()[:64])])
    signs_only = x509.KeyUsage(True, True, *(False,) * 7)  # digital signature, content commitment
    certificate = (
        x509.CertificateBuilder()
        .subject_name(whose)
        .issuer_name(whose)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(datetime(2000, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC))
        .add_extension(signs_only, critical=True)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .sign(key, SHA256())
    )
    return DocumentKey(key, certificate)


_BLOCK = re.compile(rb"-----BEGIN ([A-Z ]+)-----.*?-----END \1-----", re.DOTALL)


def _blocks(data: bytes, kind: bytes) -> list[bytes]:
    """The PEM blocks whose label ends in `kind` ('PRIVATE KEY', 'CERTIFICATE'), in order."""
    return [found[0] + b"\n" for found in _BLOCK.finditer(data) if found[1].endswith(kind)]


def read_signer(path: Path, passphrase: str = "") -> Signer:
    """The signer whose private key lies at `path`.

    Raises:
        NeedsPassphraseError: where the key is locked and no passphrase was given.
        SigningError: where it cannot be read, is no Ed25519 private key, or the passphrase is
            wrong.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    data = _read(path)
    blocks = _blocks(data, b"PRIVATE KEY")
    if not blocks and _blocks(data, b"PUBLIC KEY"):
        raise wrong_key(path, "is a public key, by which nothing can be signed")
    if not blocks:
        raise wrong_key(path, "is no private key in PEM form")
    key = _opened(path, blocks[0], passphrase)
    if not isinstance(key, Ed25519PrivateKey):
        raise wrong_key(path, f"is a key of another kind ({type(key).__name__.strip('_')})")
    certificates = _blocks(data, b"CERTIFICATE")
    if len(blocks) == 1 or not certificates:
        return Signer(key)
    second = _opened(path, blocks[1], passphrase)
    try:
        certificate = x509.load_pem_x509_certificate(certificates[0])
    except ValueError as problem:
        raise wrong_key(path, "holds a certificate that cannot be read") from problem
    if not isinstance(second, EllipticCurvePrivateKey):
        raise wrong_key(path, "holds a second key of another kind than ECDSA")
    if certificate.public_key() != second.public_key():
        raise wrong_key(path, "holds a certificate of another key")
    return Signer(key, DocumentKey(second, certificate))


def _opened(path: Path, block: bytes, passphrase: str) -> object:
    """The private key in a block of the file at `path`."""
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        return load_pem_private_key(block, passphrase.encode("utf-8") if passphrase else None)
    except TypeError as problem:
        if passphrase:  # given for a key that has none: the key can be read without it
            return _opened(path, block, "")
        raise NeedsPassphraseError(
            f"{path} is locked by a passphrase, and none was given.",
            "Nothing was signed or changed. Run the command where it can ask you for it.",
        ) from problem
    except (ValueError, UnsupportedAlgorithm) as problem:
        told = "cannot be opened with that passphrase" if passphrase else "is no private key"
        raise wrong_key(path, told) from problem


def fingerprint_of_file(path: Path) -> str:
    """The fingerprint of the public key that lies at `path`.

    Raises:
        SigningError: where it cannot be read or is none.
    """
    keys = _blocks(_read(path), b"PUBLIC KEY")
    return fingerprint(keys[0] if keys else b"", str(path))


def fingerprints_of_file(path: Path) -> tuple[str, ...]:
    """The fingerprint of the public key at `path`, and that of the certificate beside it, if any.

    Raises:
        SigningError: where it cannot be read, or holds no such key.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives.hashes import SHA256

    found = [fingerprint_of_file(path)]
    for block in _blocks(_read(path), b"CERTIFICATE"):
        try:
            certificate = x509.load_pem_x509_certificate(block)
        except ValueError as problem:
            raise wrong_key(path, "holds a certificate that cannot be read") from problem
        found.append(grouped(certificate.fingerprint(SHA256()).hex()))
    return tuple(found)


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as problem:
        raise SigningError(
            f"The key {path} cannot be read: {problem.strerror}.",
            "Nothing was signed or changed. Name the key's own file, and see that you may read it.",
        ) from problem
