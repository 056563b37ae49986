"""The search of what was given out finds a secret however it is packed, or no test would."""

from __future__ import annotations

import base64
import gzip
import io
import json
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from tests.release.planting import PINK
from tests.release.searching import PINK_PIXELS, found_in, views

SECRET = "qzx4242q"
WORDS = f"somebody told of {SECRET} and of nothing else, at some length, in a line of its own"


def zipped(name: str, content: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
    return stream.getvalue()


def pdf_with(change: Callable[[pikepdf.Pdf], object]) -> bytes:
    stream = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        change(pdf)
        pdf.save(stream, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return stream.getvalue()


def attached(pdf: pikepdf.Pdf) -> None:
    pdf.attachments["x.json"] = pikepdf.AttachedFileSpec(pdf, WORDS.encode())


PACKED: dict[str, bytes] = {
    "as it is": WORDS.encode(),
    "in capitals": WORDS.upper().encode(),
    "UTF-16, little end first": WORDS.encode("utf-16-le"),
    "UTF-16, big end first": WORDS.encode("utf-16-be"),
    "UTF-32": WORDS.encode("utf-32"),
    "base64": base64.b64encode(WORDS.encode()),
    "base64 of web addresses": base64.urlsafe_b64encode(b"\xff" + WORDS.encode()),
    "base64 in lines": base64.encodebytes(WORDS.encode() * 3),
    "base64 of UTF-16": base64.b64encode(WORDS.encode("utf-16")),
    "a data address": b'<img src="data:image/svg+xml;base64,' + base64.b64encode(WORDS.encode()),
    "hexadecimal": WORDS.encode().hex().encode(),
    "hexadecimal of the secret alone": SECRET.encode().hex().encode() + b"00",
    "percent signs": "".join(f"%{byte:02X}" for byte in WORDS.encode()).encode(),
    "numbers of XML": "".join(f"&#{ord(c)};" for c in WORDS).encode(),
    "hexadecimal numbers of XML": "".join(f"&#x{ord(c):x};" for c in WORDS).encode(),
    "escapes of JSON": "".join(f"\\u{ord(c):04x}" for c in WORDS).encode(),
    "JSON within JSON": json.dumps(json.dumps({"a": WORDS})).encode(),
    "zlib": b"junk" + zlib.compress(WORDS.encode()),
    "gzip": b"junk" + gzip.compress(WORDS.encode()),
    "a zip": zipped("x.txt", WORDS.encode()),
    "a name in a zip": zipped(f"{SECRET}.txt", b""),
    "a zip in a zip in base64": zipped("x", base64.b64encode(zipped("y", WORDS.encode()))),
    "title of a PDF": pdf_with(lambda pdf: pdf.docinfo.__setitem__("/Title", f"é {SECRET}")),
    "stream of a PDF": pdf_with(
        lambda pdf: pdf.Root.__setattr__("X", pdf.make_stream(WORDS.encode() * 40))
    ),
    "words of a PDF in an object stream": pdf_with(
        lambda pdf: pdf.Root.__setattr__("X", pdf.make_indirect(pikepdf.String(f"é {WORDS}")))
    ),
    "what an older state of a PDF held": pdf_with(lambda pdf: None)
    + b"9 0 obj\n<</Length 1>>stream\n"
    + zlib.compress(WORDS.encode())
    + b"\nendstream",
    "attachment of a PDF": pdf_with(attached),
}


@pytest.mark.parametrize("packing", PACKED)
def test_a_secret_is_found_in(packing: str, tmp_path: Path) -> None:
    path = tmp_path / "given out"
    path.write_bytes(b"before " + PACKED[packing] if packing == "as it is" else PACKED[packing])
    assert SECRET in found_in(path)


@pytest.mark.parametrize("format_", ["JPEG", "PNG", "TIFF", "WEBP", "GIF"])
def test_a_colour_that_nobody_may_see_is_found_in_every_picture(
    format_: str, tmp_path: Path
) -> None:
    pink, path = Image.new("RGB", (60, 40), PINK), tmp_path / "picture"
    pink.save(path, format_)
    assert PINK_PIXELS in found_in(path)
    Image.new("RGB", (60, 40), (0, 90, 0)).save(path, format_)
    assert PINK_PIXELS not in found_in(path)


def test_a_preview_hidden_in_another_file_is_found(tmp_path: Path) -> None:
    stream = io.BytesIO()
    Image.new("RGB", (60, 40), PINK).save(stream, "JPEG")
    path = tmp_path / "file"
    path.write_bytes(b"something before" + stream.getvalue())
    assert PINK_PIXELS in found_in(path)


def test_bytes_that_only_begin_like_a_zip_are_searched_as_any_others() -> None:
    digest = base64.b64encode(b"PK" + WORDS.encode())
    assert any(WORDS.encode() in view for view in views(digest))
