"""A signed dossier: pyHanko validates it, poppler and OpenSSL agree, and it stays what it was."""

from __future__ import annotations

import io
import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from archivist.errors import PluginError
from archivist.keys import new_key
from archivist.signing import DocumentKey, Signer
from archivist.testing import export, sample_piece, sample_selection
from archivist_plugins.dossier import DOSSIER, exporter
from archivist_plugins.dossier.signature import signed

pytest.importorskip("pyhanko", reason="pyHanko is not installed")


@pytest.fixture(scope="module")
def signer(tmp_path_factory: pytest.TempPathFactory) -> Signer:
    _, made = new_key(tmp_path_factory.mktemp("key") / "key.pem", name="Ines Tidewell")
    return made


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory, signer: Signer) -> tuple[bytes, Path]:
    """The same dossier before it was signed, as bytes, and signed, as a file."""
    folder = tmp_path_factory.mktemp("dossier")
    selection = replace(sample_selection(folder, [sample_piece(folder)]), signer=signer)
    before: list[bytes] = []

    def noted(pdf: bytes, document: DocumentKey, made: str) -> bytes:
        before.append(pdf)
        return signed(pdf, document, made)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(exporter, "signed", noted)
        (made,) = export(DOSSIER, selection, folder / "signed").values()
    return before[0], made.location


def test_the_dossier_as_it_was_set_stays_in_it_to_the_byte(both: tuple[bytes, Path]) -> None:
    plain, path = both
    assert path.read_bytes().startswith(plain)
    with pikepdf.open(io.BytesIO(plain)) as before, pikepdf.open(path) as after:
        assert before.Root.Metadata.read_bytes() == after.Root.Metadata.read_bytes()
        assert len(before.pages) == len(after.pages)
        assert "/Version" not in after.Root, "PDF/A-3 is PDF 1.7, as its first line says"
        assert "/Extensions" not in after.Root


def test_pyhanko_validates_it_and_names_whose_it_is(
    both: tuple[bytes, Path], signer: Signer
) -> None:
    """Trust comes from the certificate that the signer gave by another way."""
    from asn1crypto import x509
    from cryptography.hazmat.primitives.serialization import Encoding
    from pyhanko.pdf_utils.reader import PdfFileReader
    from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
    from pyhanko_certvalidator import ValidationContext

    assert signer.document is not None
    certificate = x509.Certificate.load(signer.document.certificate.public_bytes(Encoding.DER))
    content = both[1].read_bytes()
    (embedded,) = PdfFileReader(io.BytesIO(content)).embedded_signatures
    status = validate_pdf_signature(embedded, ValidationContext(trust_roots=[certificate]))
    assert status.bottom_line
    assert status.coverage is SignatureCoverageLevel.ENTIRE_FILE
    assert status.signing_cert.subject.native == {"common_name": "Ines Tidewell"}
    assert embedded.sig_object["/SubFilter"] == "/ETSI.CAdES.detached"
    place = content.index(b"stream") + 40
    altered = content[:place] + bytes((content[place] ^ 1,)) + content[place + 1 :]
    (other,) = PdfFileReader(io.BytesIO(altered), strict=False).embedded_signatures
    assert not validate_pdf_signature(other, ValidationContext(trust_roots=[certificate])).intact


def test_its_last_pages_print_the_fingerprints_to_compare(
    both: tuple[bytes, Path], signer: Signer
) -> None:
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext (poppler) is not installed")
    done = subprocess.run([tool, str(both[1]), "-"], capture_output=True, check=True)
    told = " ".join(done.stdout.decode("utf-8").split())
    assert signer.document is not None
    for words in ("This file is signed.", signer.document.fingerprint, signer.fingerprint):
        assert words in told, words


def test_poppler_finds_the_signature_valid(both: tuple[bytes, Path]) -> None:
    tool = shutil.which("pdfsig")
    if tool is None:
        pytest.skip("pdfsig (poppler) is not installed")
    done = subprocess.run([tool, str(both[1])], capture_output=True, text=True, check=False)
    assert "Signature Validation: Signature is Valid." in done.stdout
    assert "Total document signed" in done.stdout
    assert "Ines Tidewell" in done.stdout


def test_openssl_verifies_the_signed_bytes(both: tuple[bytes, Path], tmp_path: Path) -> None:
    """The bytes that /ByteRange names, against the CMS in /Contents (ISO 32000-1, 12.8.1)."""
    tool = shutil.which("openssl")
    if tool is None:
        pytest.skip("OpenSSL is not installed")
    content = both[1].read_bytes()
    with pikepdf.open(both[1]) as pdf:
        value = pdf.Root.AcroForm.Fields[0].V
        first, length, second, rest = (int(number) for number in value.ByteRange)
        (tmp_path / "signature.der").write_bytes(bytes(value.Contents))
    assert second + rest == len(content)
    covered = content[first : first + length] + content[second : second + rest]
    (tmp_path / "covered").write_bytes(covered)
    command = [tool, "cms", "-verify", "-binary", "-inform", "DER", "-noverify"]
    command += ["-in", "signature.der", "-content", "covered", "-out", "out"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert "successful" in done.stderr.lower(), done.stderr
    (tmp_path / "covered").write_bytes(covered[:-1])
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode != 0


def test_it_is_still_pdf_ua_by_a_second_checker(both: tuple[bytes, Path], tmp_path: Path) -> None:
    pytest.importorskip("outloud", reason="outloud is not installed")
    report = tmp_path / "report.json"
    command = [sys.executable, "-c", "from outloud.cli import main; main()", str(both[1])]
    subprocess.run([*command, "--json", str(report)], capture_output=True, check=False)
    (result,) = json.loads(report.read_text(encoding="utf-8"))["results"]
    assert result["findings"] == []


def test_the_annotation_keeps_to_what_pdf_a_asks_of_one(both: tuple[bytes, Path]) -> None:
    """ISO 19005-3, 6.3.2: it prints, and is neither hidden nor invisible; 6.4.3: it covers all."""
    with pikepdf.open(both[1]) as pdf:
        (field,) = pdf.Root.AcroForm.Fields
        assert int(field.F) & 0b100
        assert not int(field.F) & 0b100011
        assert "/NeedAppearances" not in pdf.Root.AcroForm
        assert all(float(number) < 0 for number in field.Rect)
        # 6.3.3: it needs no appearance, since it has no extent.
        left, bottom, right, top = map(float, field.Rect)
        assert (left, bottom) == (right, top)


def test_a_signer_without_a_name_leaves_the_dossier_as_it_is(tmp_path: Path) -> None:
    _, nameless = new_key(tmp_path / "key.pem")
    selection = sample_selection(tmp_path, [sample_piece(tmp_path)])
    (made,) = export(DOSSIER, replace(selection, signer=nameless), tmp_path / "out").values()
    assert b"/ByteRange" not in made.location.read_bytes()


def test_without_pyhanko_it_is_said_what_to_install(
    signer: Signer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pyhanko.sign", None)
    assert signer.document is not None
    with pytest.raises(PluginError, match="pyHanko, which does that, is not installed"):
        signed(b"%PDF-1.7", signer.document, "2026-01-15T09:00:00Z")
