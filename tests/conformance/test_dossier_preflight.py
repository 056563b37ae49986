"""The dossier as Apache PDFBox Preflight judges it, a validator of PDF/A by other hands.

Debian's packages libpdfbox2-java, libactivation-java, libcommons-io-java and libjaxb-api-java carry
it (version 2.0.27 was tried). It knows PDF/A-1b (ISO 19005-1) alone, so it finds fault with what
only later parts allow; each such fault stands in a table here with the clause of ISO 19005-3 that
allows it, and any other fails: fonts and their widths, colour, transparency, actions, structure.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from archivist.keys import new_key
from archivist.testing import export, sample_piece, sample_selection
from archivist_plugins.dossier import DOSSIER
from tests.conformance.test_dossier_pdf import RICH, VIEWS

JARS = tuple(
    Path("/usr/share/java", f"{name}.jar")
    for name in (
        *("preflight", "pdfbox2", "xmpbox", "fontbox2", "commons-logging", "commons-io"),
        *("javax.activation", "jaxb-api"),
    )
)

ALLOWED = {
    ("2.1.6", "Invalid version of the ICCProfile"): "6.2.3 and 6.2.4.2: ICC version 4 is allowed",
    ("1.2.9", "EmbeddedFile entry is present"): "6.8: files of any kind may be embedded",
    ("1.4.7", "EmbeddedFile entry is present"): "6.8: files of any kind may be embedded",
    ("1.2.3", "can't convert to Destination COSObject"): (
        "ISO 32000-1, 7.3.10: a destination may be an indirect object; it reads direct ones only"
    ),
    ("7.3", "Cannot find a definition for the namespace http://www.aiim.org/pdfua/ns/id/"): (
        "6.6.2.3: the schema is described, in the description that uses it; it looks elsewhere"
    ),
}
ALLOWED_OF_A_SIGNATURE = {
    ("5.3.1", "widget annotation lacks an appearance dictionary"): (
        "6.3.3: one of no extent needs none (test_dossier_signature.py holds that it has none)"
    )
}


@pytest.fixture(scope="module")
def dossiers(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The same dossier of a piece with words in many scripts, without and with a signature."""
    folder = tmp_path_factory.mktemp("dossier")
    piece = sample_piece(folder, RICH, VIEWS)
    selection = sample_selection(folder, [piece])
    _, signer = new_key(folder / "key.pem", name="Ines Tidewell")
    (plain,) = export(DOSSIER, selection, folder / "plain").values()
    (made,) = export(DOSSIER, replace(selection, signer=signer), folder / "signed").values()
    return plain.location, made.location


def faults(path: Path) -> list[tuple[str, str]]:
    """Code and words of every fault that Preflight finds."""
    java = shutil.which("java")
    missing = [jar.name for jar in JARS if not jar.exists()]
    if java is None or missing:
        pytest.skip(f"Java or {', '.join(missing)} (PDFBox Preflight) is not installed")
    command = [java, "-cp", ":".join(map(str, JARS)), "org.apache.pdfbox.preflight.Validator_A1b"]
    done = subprocess.run([*command, str(path)], capture_output=True, text=True, check=False)
    assert "valid PDF/A-1b file" in done.stdout, done.stderr
    found = (re.match(r"([\d.]+) : (.*)", line) for line in done.stdout.splitlines())
    return [(match[1], match[2]) for match in found if match]


def unexplained(path: Path, allowed: dict[tuple[str, str], str]) -> list[tuple[str, str]]:
    return [
        (code, words)
        for code, words in faults(path)
        if not any(code == known and part in words for known, part in allowed)
    ]


def test_it_finds_no_fault_but_what_later_parts_of_pdf_a_allow(
    dossiers: tuple[Path, Path],
) -> None:
    plain, _ = dossiers
    assert unexplained(plain, ALLOWED) == []


def test_nor_does_it_with_a_signature(
    dossiers: tuple[Path, Path],
) -> None:
    _, signed = dossiers
    assert unexplained(signed, ALLOWED | ALLOWED_OF_A_SIGNATURE) == []


def test_it_does_find_what_no_part_of_pdf_a_allows(
    dossiers: tuple[Path, Path], tmp_path: Path
) -> None:
    """A font taken out, and a script put in: the table above hides neither."""
    broken = tmp_path / "broken.pdf"
    with pikepdf.open(dossiers[0]) as pdf:
        font = next(
            thing
            for thing in pdf.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor"
        )
        for key in {"/FontFile", "/FontFile2", "/FontFile3"} & set(font.keys()):
            del font[key]
        pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="1")
        pdf.save(broken)
    codes = {code for code, _ in unexplained(broken, ALLOWED)}
    assert any(code.startswith("3.") for code in codes), codes
    assert any(code.startswith("6.") for code in codes), codes
