"""The dossier as others read it: PDF/A-3a, PDF/UA-1, text, attachment, fonts and the code.

That typst finds no fault by PDF/A-3 and PDF/UA-1 is the first check, since it writes nothing
otherwise. The second is pikepdf (qpdf), the third `outloud`, which checks ISO 14289-1 by the
Matterhorn Protocol 1.1. A validator of PDF/A judges in test_dossier_preflight.py; it knows part 1.
No package of a registry that carries one of part 3 was found.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace as with_changes
from itertools import pairwise
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from msgspec.structs import replace

from archivist.hooks import Piece
from archivist.model import (
    Certainty,
    Mark,
    MarkKind,
    Note,
    Passage,
    Relation,
    RelationKind,
    Title,
    View,
    canonical_json,
    digest,
    from_json,
)
from archivist.model.records import ObjectRecord
from archivist.testing import BOWL, export, sample_piece, sample_selection
from archivist_plugins.dossier import DOSSIER, DossierOptions, Paper
from archivist_plugins.dossier.identification import ROWS
from tests.strategies import records

OBJECT_ID = Path(__file__).resolve().parents[3] / "shared/standards/vocab/object_id.json"

SCRIPTS = {
    "Chinese": "大清乾隆年製",
    "Japanese": "古染付の皿",
    "Korean": "조선백자",
    "simplified Chinese": "青花瓷",
    "Greek": "Ελληνικά",
    "Cyrillic": "Русский",
    "accents": "Qiánlóng",
    "Hebrew": "צלחת",
}
TALL = "x\u0327\u0302"
ARABIC = "صحن أزرق"

RICH = replace(
    BOWL,
    titles=(*BOWL.titles, Title(value=SCRIPTS["Japanese"], language="ja"), Title(value=ARABIC)),
    descriptions=(Note(as_stated="\n".join([*SCRIPTS.values(), ARABIC, TALL])),),
    marks=(
        replace(BOWL.marks[0], characters="大明成\n化年製"),
        Mark(kind=MarkKind.LABEL, characters="No. 1182"),
    ),
    provenance=(
        *BOWL.provenance,
        replace(BOWL.provenance[0], passage=Passage.GAP, certainty=Certainty.POSSIBLE),
    ),
    measurements=(*BOWL.measurements, replace(BOWL.measurements[0], low="22", high="22")),
    relations=(Relation(kind=RelationKind.COMPARE, object=BOWL.id, as_stated="T 0421"),),
)
VIEWS = (View.OVERALL, View.BASE, View.MARK, View.DAMAGE)


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dossier")
    piece = sample_piece(folder, RICH, VIEWS)
    first, *others = piece.photographs
    piece = with_changes(
        piece, photographs=(with_changes(first, original_sha256="ab" * 32), *others)
    )
    (made,) = export(DOSSIER, sample_selection(folder, [piece]), folder / "out").values()
    return made.location


@pytest.fixture
def pdf(path: Path) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(path) as opened:
        yield opened


def tool(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"{name} (poppler) is not installed")
    return found


@pytest.fixture(scope="module")
def text(path: Path) -> str:
    """All text in reading order, lines as they stand."""
    command = [tool("pdftotext"), "-enc", "UTF-8", str(path), "-"]
    done = subprocess.run(command, capture_output=True, check=True)
    return done.stdout.decode("utf-8")


def structure(node: Any) -> Iterator[Any]:
    """Every element of the structure tree below `node`, in order."""
    kids = node.get("/K")
    for kid in [] if kids is None else kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from structure(kid)


# PDF/A-3a (ISO 19005-3)


def test_it_says_that_it_is_pdf_a_3a_and_pdf_ua_1(pdf: pikepdf.Pdf) -> None:
    with pdf.open_metadata() as metadata:
        assert metadata.pdfa_status == "3A"
        assert metadata["{http://www.aiim.org/pdfua/ns/id/}part"] == "1"


def test_it_keeps_the_rules_of_pdf_a_that_can_be_read_off_it(pdf: pikepdf.Pdf) -> None:
    """ISO 19005-3, 6.1.3 (no encryption, an ID), 6.2.3 (output intent), 6.6.1 (no scripts)."""
    assert not pdf.is_encrypted
    assert "/ID" in pdf.trailer
    intents = list(pdf.Root.OutputIntents)  # type: ignore[call-overload]
    assert [intent.S for intent in intents] == ["/GTS_PDFA1"]
    assert intents[0].DestOutputProfile.read_bytes()[36:40] == b"acsp"
    for thing in pdf.objects:
        if isinstance(thing, pikepdf.Dictionary):
            assert "/JS" not in thing
            assert thing.get("/S") not in ("/JavaScript", "/Launch")
    assert "/AcroForm" not in pdf.Root


def test_every_font_is_embedded_as_a_subset_and_can_be_searched(pdf: pikepdf.Pdf) -> None:
    """ISO 19005-3, 6.2.11.4 (embedded) and 6.2.11.7 (Unicode)."""
    fonts = {
        str(thing.BaseFont): thing
        for thing in pdf.objects
        if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font"
    }
    assert any("NotoSerifTC" in name for name in fonts)
    assert any("SourceSerif4" in name for name in fonts)
    descriptors = [
        thing
        for thing in pdf.objects
        if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor"
    ]
    assert descriptors
    for descriptor in descriptors:
        assert re.match(r"/[A-Z]{6}\+", str(descriptor.FontName))
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor.keys())
    for font in fonts.values():
        assert font.Subtype != "/Type0" or "/ToUnicode" in font


def test_the_record_is_attached_as_data_and_is_the_record_to_the_byte(pdf: pikepdf.Pdf) -> None:
    """ISO 19005-3, 6.8: an associated file says how it relates to the document."""
    associated = {str(file.UF): file for file in pdf.Root.AF}  # type: ignore[attr-defined]
    schemas = {"record.schema.json", "party.schema.json"}
    assert set(associated) == {"record.json", "parties.json", *schemas}
    for file in associated.values():
        assert file.AFRelationship == "/Data"
        assert file.EF.F.Subtype == "/application/json"
    content = pdf.attachments["record.json"].get_file().read_bytes()
    assert content == canonical_json(RICH)
    assert from_json(content, ObjectRecord) == RICH


def test_no_clock_and_no_path_of_this_computer_is_in_it(path: Path, pdf: pikepdf.Pdf) -> None:
    dates = {str(pdf.docinfo[key]) for key in ("/CreationDate", "/ModDate")}
    assert dates == {"D:20260115093000Z"}
    everything = b"".join(
        thing.read_bytes()
        for thing in pdf.objects
        if isinstance(thing, pikepdf.Stream) and thing.get("/Filter") != "/DCTDecode"
    )
    assert str(path.parent.parent).encode() not in everything + path.read_bytes()


# PDF/UA-1 (ISO 14289-1)


def test_it_is_tagged_and_says_its_language_and_title(pdf: pikepdf.Pdf) -> None:
    assert pdf.Root.MarkInfo.Marked is True or bool(pdf.Root.MarkInfo.Marked)
    assert str(pdf.Root.Lang).startswith("en")
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    assert str(pdf.docinfo["/Title"]) == RICH.title


def test_every_picture_has_words_that_say_what_it_shows(pdf: pikepdf.Pdf) -> None:
    figures = [e for e in structure(pdf.Root.StructTreeRoot) if e.S == "/Figure"]
    told = [str(figure.get("/Alt", "")) for figure in figures]
    assert all(told)
    for view in ("the whole piece", "base", "mark", "damage"):
        assert any(view in alt for alt in told)


def test_headings_go_down_by_one_level_at_a_time(pdf: pikepdf.Pdf) -> None:
    levels = [
        int(str(e.S)[2:])
        for e in structure(pdf.Root.StructTreeRoot)
        if re.fullmatch(r"/H\d", str(e.S))
    ]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert {1, 2} <= set(levels)


def test_another_checker_finds_no_fault_by_pdf_ua_1(path: Path, tmp_path: Path) -> None:
    pytest.importorskip("outloud", reason="outloud is not installed")
    report = tmp_path / "report.json"
    command = [sys.executable, "-c", "from outloud.cli import main; main()", str(path)]
    subprocess.run([*command, "--json", str(report)], capture_output=True, check=False)
    (result,) = json.loads(report.read_text(encoding="utf-8"))["results"]
    ran = [rule for rule in result["rules"] if rule["status"] == "ran"]
    assert len(ran) > 40
    assert result["findings"] == []


# What can be read


def test_identification_has_the_categories_of_object_id() -> None:
    if not OBJECT_ID.exists():
        pytest.skip("shared/standards/vocab/object_id.json does not lie beside the project")
    published = json.loads(OBJECT_ID.read_text(encoding="utf-8"))
    wanted = {
        name.casefold().replace("&", "and")
        for name in (*published["categories"], *published["also_in_standard"])
    }
    assert {label.casefold() for label, _ in ROWS} == wanted


def test_the_headings_of_object_id_stand_in_their_order_on_the_page(text: str) -> None:
    identification = text[text.index("\fIdentification\n") :]
    found = [re.search(rf"^{label}\b", identification, re.MULTILINE) for label, _ in ROWS]
    places = [match.start() for match in found if match]
    assert len(places) == len(ROWS)
    assert places == sorted(places)


@pytest.mark.parametrize("script", sorted(SCRIPTS))
def test_words_of_every_script_can_be_searched(text: str, script: str) -> None:
    assert SCRIPTS[script] in text


def test_arabic_and_stacked_marks_keep_their_characters(text: str) -> None:
    """Spaces may be told apart otherwise by a reader; every letter is there, in its order."""
    letters = "".join(c for c in text if "\u0600" <= c <= "\u06ff")
    assert ARABIC.replace(" ", "") in letters
    assert TALL in text


def test_everything_that_has_to_be_said_is_said(text: str) -> None:
    told = " ".join(text.split())
    for words in (
        "firing gap at the foot, not a crack",
        "hairline from rim",
        "Other opinion · possible",
        "A gap comes before this.",
        "The diameter is 18.4 cm in one place and 22 cm in another.",
        "T 0421",
        "later than it claims",
        "The record does not say which photograph shows which mark.",
        "It is no guarantee of authorship or age",
        "It is not a conservator’s report",
        "Lead and cadmium",
        "1933–1945",
        "sha256sum FILE",
        "shasum -a 256 FILE",
        "Get-FileHash -Algorithm SHA256 FILE",
        "BagIt (RFC 8493)",
    ):
        assert words in told, words


def test_the_digest_of_record_and_of_every_photograph_is_printed(path: Path, text: str) -> None:
    assert digest(RICH) in text
    assert "ab" * 32 in text
    pictures = path.parent.parent.parent
    digests = [
        hashlib.sha256((pictures / f"{view.value.replace(' ', '-')}.jpg").read_bytes()).hexdigest()
        for view in VIEWS
    ]
    assert all(found in text for found in digests)


def test_the_code_on_the_page_says_identifier_and_digest(path: Path, tmp_path: Path) -> None:
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    from PIL import Image

    with pikepdf.open(path) as opened:
        last = str(len(opened.pages))
    page = tmp_path / "page"
    at = ["-f", last, "-l", last, "-r", "150", "-png", "-singlefile"]
    subprocess.run([tool("pdftoppm"), *at, str(path), str(page)], check=True, capture_output=True)
    (found,) = zxingcpp.read_barcodes(Image.open(page.with_suffix(".png")))
    assert found.text == f"urn:uuid:{RICH.id} sha256:{digest(RICH)}"


@pytest.mark.parametrize("paper", list(Paper))
def test_no_word_however_long_leaves_the_page(tmp_path: Path, paper: Paper) -> None:
    long = "https://example.invalid/" + "address" * 60
    record = replace(
        RICH,
        stock_number="W" * 90,
        titles=(Title(value="M" * 200),),
        marks=(replace(BOWL.marks[0], as_stated="Q" * 150),),
        descriptions=(Note(as_stated=f"{long}\n{'x' * 500}\n{'ชามกระเบื้อง' * 9}"),),
    )
    selection = sample_selection(tmp_path, [sample_piece(tmp_path, record)])
    made = export(DOSSIER, selection, tmp_path / "out", DossierOptions(paper=paper))
    (file,) = made.values()
    command = [tool("pdftotext"), "-bbox", str(file.location), "-"]
    boxes = subprocess.run(command, capture_output=True, check=True).stdout.decode("utf-8")
    width, height = map(float, re.findall(r'<page width="([\d.]+)" height="([\d.]+)"', boxes)[0])
    words = re.findall(r'xMin="(\S+)" yMin="(\S+)" xMax="(\S+)" yMax="(\S+)"', boxes)
    margin = 24 / 25.4 * 72 - 2
    assert len(words) > 300
    for x_min, y_min, x_max, y_max in (map(float, word) for word in words):
        assert margin < x_min
        assert x_max < width - margin
        assert 0 < y_min < y_max < height


# Any record


@given(record=records())
@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_a_record_holds_its_dossier_is_set_and_holds_it_whole(
    record: ObjectRecord, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("any")
    piece = Piece(record, (), (), "any", "uri")
    (made,) = export(DOSSIER, sample_selection(folder, [piece]), folder).values()
    with pikepdf.open(made.location) as opened:
        attached = opened.attachments["record.json"].get_file().read_bytes()
    assert attached == canonical_json(record)
