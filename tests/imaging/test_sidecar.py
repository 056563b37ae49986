"""XMP beside pictures: whatever the file holds, it says what it says and breaks nothing."""

from __future__ import annotations

import json
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.imaging.sidecar import LARGEST, Sidecar, read_sidecar

HEAD = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF '
    'xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" '
    'xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/">'
)
TAIL = "</rdf:Description></rdf:RDF></x:xmpmeta>"
WHOLE = (
    HEAD + "<photoshop:DateCreated>1987-06</photoshop:DateCreated>"
    "<xmp:CreateDate>2019-05-06T10:00:00+02:00</xmp:CreateDate>"
    '<dc:title><rdf:Alt><rdf:li xml:lang="x-default">青磁鉢</rdf:li></rdf:Alt></dc:title>'
    "<dc:creator><rdf:Seq><rdf:li>Odile Brandt</rdf:li><rdf:li>Another</rdf:li></rdf:Seq>"
    "</dc:creator>" + TAIL
)


def read(data: bytes) -> Sidecar:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.xmp"
        path.write_bytes(data)
        return read_sidecar(path)


def test_title_creator_and_dates_are_read_in_any_script() -> None:
    said = read(WHOLE.encode())
    assert [(c.words, c.where) for c in said.captions] == [("青磁鉢", "XMP sidecar dc:title")]
    assert said.photographer == "Odile Brandt"
    assert {t.witness: t.date.edtf for t in said.taken} == {
        "XMP sidecar photoshop:DateCreated": "1987-06",
        "XMP sidecar xmp:CreateDate": "2019-05-06T10:00:00+02:00",
    }


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="ExifTool is not installed")
def test_exiftool_reads_the_same(tmp_path: Path) -> None:
    path = tmp_path / "a.xmp"
    path.write_text(WHOLE, encoding="utf-8")
    names = ("-XMP:Title", "-XMP:DateCreated", "-XMP:CreateDate", "-XMP:Creator")
    done = subprocess.run(
        ["exiftool", "-j", *names, str(path)], capture_output=True, check=True
    )  # fmt: skip
    (theirs,) = json.loads(done.stdout)
    said = read_sidecar(path)
    assert theirs["Title"] == said.captions[0].words
    assert theirs["Creator"][0] == said.photographer
    dates = [t.date.edtf.replace("-", ":", 2).replace("T", " ") for t in said.taken]
    assert [theirs["DateCreated"], theirs["CreateDate"]] == dates


def test_entities_are_not_expanded_and_a_date_that_is_none_is_named() -> None:
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    body = "<dc:title>&b;</dc:title><xmp:CreateDate>yesterday</xmp:CreateDate>"
    said = read((bomb + HEAD + body + TAIL).encode())
    assert "aaaa" not in "".join(c.words for c in said.captions)
    assert any("is no date" in remark for remark in said.remarks)


def test_what_is_too_large_to_be_words_is_not_read() -> None:
    said = read(WHOLE.encode() + b" " * LARGEST)
    assert not said.captions
    assert "larger than 4 MB" in said.remarks[0]


@given(st.one_of(st.binary(max_size=200), st.text(max_size=80).map(lambda t: (HEAD + t).encode())))
def test_no_bytes_make_it_fail_and_what_says_nothing_is_named(data: bytes) -> None:
    said = read(data)
    assert said.remarks or said.captions or said.taken or said.photographer


@given(st.integers(0, len(WHOLE.encode())))
def test_a_sidecar_cut_short_says_no_more_than_it_did(length: int) -> None:
    whole, part = read(WHOLE.encode()), read(WHOLE.encode()[:length])
    assert {t.witness for t in part.taken} <= {t.witness for t in whole.taken}
    assert all(any(w.words.startswith(c.words) for w in whole.captions) for c in part.captions)
