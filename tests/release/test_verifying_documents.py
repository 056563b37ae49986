"""Signatures within documents: judged in a package and alone, and never said to be more."""

from __future__ import annotations

import io
import json
import random
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner, Result

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import add_original
from archivist.cli.main import group
from archivist.errors import PackageError, PluginError
from archivist.keys import fingerprints_of_file, new_key
from archivist.plugins import load_plugins
from archivist.release.verifying import Standing, Verdict, in_words, verify
from archivist.signing import SIGNATURE_FILES, Signer
from archivist_plugins.dossier.judging import ADDED, ALTERED, HIDDEN, SignedPdf
from archivist_plugins.dossier.signature import signed
from tests.archives import add_photograph, jpeg, new_archive, piece, save
from tests.release.conftest import released

pytest.importorskip("pyhanko", reason="pyHanko is not installed")

PLUGINS = load_plugins()
NAME = "Ines Tidewell"


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Signer]:
    """The public file of a key with a certificate, and its signer."""
    return new_key(tmp_path_factory.mktemp("key") / "key.pem", name=NAME)


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Signer]:
    return new_key(tmp_path_factory.mktemp("other") / "key.pem", name=NAME)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    folder = tmp_path_factory.mktemp("small")
    with new_archive(folder / "archive") as made:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(made.catalogue, record)
        add_photograph(made, jpeg(folder / "old" / "1.jpg"), (record,))
        yield made


@pytest.fixture
def bag(small: Archive, key: tuple[Path, Signer], tmp_path: Path) -> Path:
    report = released(
        small, PLUGINS, tmp_path / "to", "bagit", "dossier", audience="buyer", signer=key[1],
        zips=True,
    )  # fmt: skip
    assert report.whole, (report.problems, report.failures)
    assert report.place is not None
    return report.place


@pytest.fixture
def dossier(bag: Path) -> Path:
    (found,) = bag.rglob("*.pdf")
    return found


def judged(path: Path, *expected: str) -> Verdict:
    return verify(PLUGINS, path, expected=expected)


def resealed(bag: Path) -> None:
    """What somebody does who alters a file, and then digests and signature of the bag with it."""
    import bagit

    for name in SIGNATURE_FILES:
        (bag / name).unlink(missing_ok=True)
    bagit.Bag(str(bag)).save(manifests=True)


def altered(content: bytes) -> bytes:
    at = content.index(b"stream") + 40
    return content[:at] + bytes((content[at] ^ 1,)) + content[at + 1 :]


# In a package


def test_a_package_tells_of_the_dossier_in_it_who_signed_that(
    bag: Path, key: tuple[Path, Signer]
) -> None:
    document = key[1].document
    assert document is not None
    for path in (bag, bag.with_name(f"{bag.name}.zip")):
        verdict = judged(path, *fingerprints_of_file(key[0]))
        assert verdict.standing is Standing.UNALTERED
        (found,) = verdict.documents
        assert found.path.startswith("dossier/")
        assert [(one.signer, one.fingerprint) for one in found.signatures] == [
            (NAME, document.fingerprint)
        ]
        assert f"signed too, as '{NAME}', and unaltered since" in " ".join(in_words(verdict))


def test_a_dossier_altered_together_with_all_digests_is_found_by_its_own_signature(
    bag: Path, dossier: Path
) -> None:
    dossier.write_bytes(altered(dossier.read_bytes()))
    assert judged(bag).standing is Standing.DAMAGED
    resealed(bag)
    verdict = judged(bag)
    assert verdict.standing is Standing.NOT_AS_SIGNED
    assert not verdict.report.problems
    assert f"{ALTERED}. Somebody altered it after it was signed" in in_words(verdict)[0]
    archive = bag.with_name("again.zip")
    with zipfile.ZipFile(archive, "w") as target:
        for path in sorted(bag.rglob("*")):
            target.write(path, f"x/{path.relative_to(bag).as_posix()}")
    assert judged(archive).standing is Standing.NOT_AS_SIGNED


def test_a_dossier_that_another_signed_is_told_to_whoever_knows_the_certificate(
    bag: Path, dossier: Path, key: tuple[Path, Signer], other: tuple[Path, Signer]
) -> None:
    document = other[1].document
    assert document is not None
    content = dossier.read_bytes()
    plain = content[: content.index(b"%%EOF") + len(b"%%EOF")]
    dossier.write_bytes(signed(plain, document, "2026-01-15T09:00:00Z"))
    resealed(bag)
    key[1].seal(bag)  # so that the package itself speaks for the key
    assert judged(bag).standing is Standing.UNALTERED
    verdict = judged(bag, *fingerprints_of_file(key[0]))
    assert verdict.standing is Standing.OTHER_SIGNER
    assert "is signed with another certificate" in in_words(verdict)[0]


def test_a_dossier_that_is_missing_is_said_to_be_missing_and_nothing_more(
    bag: Path, dossier: Path
) -> None:
    dossier.unlink()
    verdict = judged(bag)
    assert verdict.standing is Standing.DAMAGED
    assert verdict.documents == ()


def test_a_dossier_released_without_a_bag_is_signed_by_itself(
    small: Archive, key: tuple[Path, Signer], tmp_path: Path
) -> None:
    report = released(small, PLUGINS, tmp_path, "dossier", audience="buyer", signer=key[1])
    assert report.whole, report.problems
    assert report.signed == 1
    assert report.place is not None
    (path,) = report.place.rglob("*.pdf")
    assert judged(path).standing is Standing.UNALTERED
    _, nameless = new_key(tmp_path / "nameless.pem")
    report = released(small, PLUGINS, tmp_path, "dossier", audience="buyer", signer=nameless)
    assert "nothing was signed" in report.problems[0]


def test_an_altered_invoice_among_the_originals_says_nothing_of_the_package(
    small: Archive, dossier: Path, tmp_path: Path
) -> None:
    """Such as one that was stamped after it was signed: it is as it was taken in."""
    invoice = tmp_path / "invoice.pdf"
    invoice.write_bytes(added_to(dossier.read_bytes()))
    digests = small.store.take_in(invoice, ".pdf")
    with small.catalogue.action("apply", "Ines Tidewell") as action:
        add_original(action, digests, ".pdf", "application/pdf")
    report = released(
        small, PLUGINS, tmp_path / "all", "bagit", audience="owner", objects=(), whole_archive=True
    )
    assert report.place is not None
    assert list((report.place / "data" / "originals").rglob("*.pdf"))
    verdict = judged(report.place)
    assert verdict.standing is Standing.UNDAMAGED
    assert verdict.documents == ()
    assert judged(invoice).standing is Standing.NOT_AS_SIGNED


# Alone


def test_a_signed_dossier_alone_is_unaltered_and_shows_its_certificate(
    dossier: Path, key: tuple[Path, Signer], other: tuple[Path, Signer], tmp_path: Path
) -> None:
    alone = tmp_path / "Found by the heirs.PDF"
    alone.write_bytes(dossier.read_bytes())
    verdict = judged(alone)
    assert verdict.standing is Standing.UNALTERED
    assert "whatever name stands in it: compare the fingerprint" in in_words(verdict)[0]
    assert judged(alone, *fingerprints_of_file(key[0])).standing is Standing.UNALTERED
    of_the_key = judged(alone, key[1].fingerprint)
    assert "the file of the public key has both" in in_words(of_the_key)[0]
    elsewhere = judged(alone, *fingerprints_of_file(other[0]))
    assert elsewhere.standing is Standing.OTHER_SIGNER, "a name anybody can write"


def test_a_dossier_that_nobody_signed_is_said_to_tell_nothing(
    small: Archive, key: tuple[Path, Signer], tmp_path: Path
) -> None:
    report = released(small, PLUGINS, tmp_path, "dossier", audience="buyer")
    assert report.place is not None
    (path,) = report.place.rglob("*.pdf")
    verdict = judged(path)
    assert verdict.standing is Standing.UNSIGNED
    assert not verdict.good
    assert "nothing can be said of it" in in_words(verdict)[0]
    assert "unaltered" not in in_words(verdict)[0]
    assert judged(path, *fingerprints_of_file(key[0])).standing is Standing.OTHER_SIGNER


def added_to(content: bytes) -> bytes:
    """The PDF as a program saves it that adds a change behind what is there."""
    from pyhanko.pdf_utils import generic
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(io.BytesIO(content))
    writer.root["/Lang"] = generic.pdf_string("de")  # type: ignore[no-untyped-call]
    writer.update_root()
    target = io.BytesIO()
    writer.write(target)
    return target.getvalue()


def without_field(content: bytes) -> bytes:
    """The PDF with its signature still in it, and nothing that names it."""
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(io.BytesIO(content))
    del writer.root["/AcroForm"]
    writer.update_root()
    target = io.BytesIO()
    writer.write(target)
    return target.getvalue()


def spaced(content: bytes) -> bytes:
    """The PDF with words hidden in the room of the signature, which no signature covers."""
    at = content.rindex(b"0000>") - 64
    return content[:at] + b"this is no hexadecimal at all" + content[at + 29 :]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (altered, ALTERED),
        (added_to, ADDED),
        (lambda content: content + b"\n", ADDED),
        (without_field, HIDDEN),
        (spaced, "a signature that cannot be read"),
        (lambda content: content[:-200], ""),
    ],
    ids=["altered", "added", "one byte more", "field taken away", "hidden words", "cut off"],
)
def test_whatever_was_done_to_a_dossier_after_it_was_signed_is_said(
    dossier: Path, change: object, told: str
) -> None:
    dossier.write_bytes(change(dossier.read_bytes()))  # type: ignore[operator]
    verdict = judged(dossier)
    assert verdict.standing is Standing.NOT_AS_SIGNED
    assert told in verdict.trouble


def countersigned(content: bytes, signer: Signer) -> bytes:
    """The PDF with a second signature behind the first, as a reader of PDF adds one."""
    from asn1crypto import keys, x509
    from cryptography.hazmat.primitives.serialization import (
        Encoding,
        NoEncryption,
        PrivateFormat,
    )
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign import signers
    from pyhanko_certvalidator.registry import SimpleCertificateStore

    assert signer.document is not None
    private = signer.document.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    certificate = signer.document.certificate.public_bytes(Encoding.DER)
    target = io.BytesIO()
    signers.sign_pdf(
        IncrementalPdfFileWriter(io.BytesIO(content)),
        signers.PdfSignatureMetadata(field_name="second"),
        signer=signers.SimpleSigner(
            signing_cert=x509.Certificate.load(certificate),
            signing_key=keys.PrivateKeyInfo.load(private),
            cert_registry=SimpleCertificateStore(),  # type: ignore[no-untyped-call]
        ),
        output=target,
    )
    return target.getvalue()


def test_a_second_signature_behind_the_first_leaves_both_standing(
    dossier: Path, other: tuple[Path, Signer]
) -> None:
    """As where an heir countersigns."""
    content = countersigned(dossier.read_bytes(), other[1])
    dossier.write_bytes(content)
    verdict = judged(dossier)
    assert verdict.standing is Standing.UNALTERED, verdict.trouble
    assert len(verdict.documents[0].signatures) == 2
    dossier.write_bytes(altered(content))
    assert judged(dossier).standing is Standing.NOT_AS_SIGNED
    dossier.write_bytes(added_to(content))
    assert judged(dossier).standing is Standing.NOT_AS_SIGNED


def test_a_change_between_two_signatures_is_the_firsts_trouble(
    dossier: Path, other: tuple[Path, Signer]
) -> None:
    """Whoever signed last covers it; whoever signed first never saw it."""
    dossier.write_bytes(countersigned(added_to(dossier.read_bytes()), other[1]))
    verdict = judged(dossier)
    assert verdict.standing is Standing.NOT_AS_SIGNED
    assert [one.trouble for one in verdict.documents[0].signatures] == [ADDED, ""]


def test_of_many_bits_flipped_none_goes_unseen_but_in_the_spelling_of_the_signature(
    dossier: Path,
) -> None:
    """What may differ unseen is in the signature's own container: the case of its digits, and
    fields of the CMS that nothing covers (RFC 5652, 5.4). It tells of the document nothing."""
    content = dossier.read_bytes()
    (first,) = SignedPdf().signatures(content)
    start = content.index(b"/Contents <") + len(b"/Contents <")
    end = content.index(b">", start)
    chance = random.Random(6)
    for _ in range(120):
        at = chance.choice((chance.randrange(start), chance.randrange(end, len(content))))
        changed = (
            content[:at] + bytes((content[at] ^ 1 << chance.randrange(8),)) + content[at + 1 :]
        )
        try:
            found = SignedPdf().signatures(changed)
        except PackageError:
            continue
        assert found != (first,), at
        assert not found or found[0].trouble, at


def test_no_certificate_is_trusted_by_its_name(
    dossier: Path, key: tuple[Path, Signer], other: tuple[Path, Signer]
) -> None:
    mine, anothers = (signer.document for _, signer in (key, other))
    assert mine is not None
    assert anothers is not None
    assert mine.certificate.subject == anothers.certificate.subject
    assert mine.fingerprint != anothers.fingerprint


def test_without_pyhanko_a_package_is_still_judged_and_a_document_alone_is_refused(
    bag: Path, dossier: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pyhanko.pdf_utils.reader", None)
    verdict = judged(bag)
    assert verdict.standing is Standing.UNALTERED
    assert "could not be checked for a signature" in " ".join(in_words(verdict))
    with pytest.raises(PluginError, match="pyHanko, which checks that, is not installed"):
        judged(dossier)


def test_what_is_no_pdf_is_said_to_be_none(tmp_path: Path) -> None:
    path = tmp_path / "letter.pdf"
    for content in (b"", b"Dear Sir", b"%PDF-1.7\nnothing more"):
        path.write_bytes(content)
        with pytest.raises(PackageError, match="cannot be read as a PDF"):
            judged(path)
    with pikepdf.new() as made:
        made.add_blank_page()
        made.save(path)
    assert judged(path).standing is Standing.UNSIGNED


# The command


def run(*words: object) -> Result:
    return CliRunner().invoke(group, [str(word) for word in words], prog_name="archivist")


def test_the_library_that_checks_signatures_prints_nothing_of_its_own(dossier: Path) -> None:
    command = [sys.executable, "-m", "archivist", "verify", str(dossier)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert done.stderr == ""


def test_the_command_says_it_of_folder_zip_and_pdf(
    bag: Path, dossier: Path, key: tuple[Path, Signer]
) -> None:
    document = key[1].document
    assert document is not None
    for path in (bag, bag.with_name(f"{bag.name}.zip"), dossier):
        done = run("verify", path, "--signed-by", key[0])
        assert done.exit_code == 0, done.output
        assert f"{path.name}: unaltered" in done.output
        assert document.fingerprint in done.output
        assert f"in the name of '{NAME}'" in done.output
    plain = json.loads(run("verify", dossier, "--json").output)
    assert plain["standing"] == "unaltered"
    assert plain["documents"][0]["signatures"][0]["fingerprint"] == document.fingerprint
    dossier.write_bytes(altered(dossier.read_bytes()))
    done = run("verify", dossier)
    assert done.exit_code == 1
    assert "not as it was signed" in done.output
    assert run("verify", bag).exit_code == 1
