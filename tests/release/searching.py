"""Looks for secrets in every byte of a file, and in what is packed within it, all the way down."""

from __future__ import annotations

import base64
import binascii
import html
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote_to_bytes

import pikepdf
from PIL import Image, ImageFile, ImageSequence

from tests.release.planting import AMOUNT, GPS_NUMBER, PINK

SECRET = re.compile(rb"qzx\d{4}q", re.IGNORECASE)
IDENTIFIER = re.compile(rb"[0-9a-f]{8}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{12}")
_BASE64 = re.compile(rb"[A-Za-z0-9+/_-]{24,}={0,2}")
_LINES_OF_BASE64 = re.compile(rb"(?:[A-Za-z0-9+/]{40,}\r?\n[ \t]*)+[A-Za-z0-9+/]*={0,2}")
_HEXADECIMAL = re.compile(rb"(?:[0-9A-Fa-f]{2}){9,}")
_ZLIB = re.compile(rb"\x78[\x01\x5e\x9c\xda]")
_GZIP = re.compile(rb"\x1f\x8b\x08")
_PERCENT = re.compile(rb"(?:%[0-9A-Fa-f]{2}){3,}")
_JSON_ESCAPES = re.compile(rb"(?:\\u[0-9A-Fa-f]{4}){3,}")
_DEEPEST = 6
_ZIP = (b"PK\x03\x04", b"PK\x05\x06")
"""How a zip begins (APPNOTE.TXT, 4.3.7 and 4.3.16); 'PK' alone begins one digest in 65,536."""

PINK_PIXELS = "pink pixels"
POSITION = "the position as numbers"


def found_in(path: Path) -> set[str]:
    """Every secret word, identifier and other sign of a secret in a file, in lower case."""
    return _searched(path.read_bytes())


def _searched(data: bytes) -> set[str]:
    found: set[str] = set()
    for view in views(data):
        found |= {match.decode().lower() for match in SECRET.findall(view)}
        found |= {_spelled(match) for match in IDENTIFIER.findall(view)}
        if any(GPS_NUMBER.to_bytes(4, order) in view for order in ("big", "little")):
            found.add(POSITION)
        if AMOUNT.encode() in view:
            found.add(AMOUNT)
    if any(_is_pink(picture) for picture in pictures(data)):
        found.add(PINK_PIXELS)
    return found


def _spelled(match: bytes) -> str:
    digits = match.decode().replace("-", "")
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))


def views(data: bytes, depth: int = 0) -> Iterator[bytes]:
    """The bytes as they are, as words of two bytes a letter, and everything packed in them."""
    yield data
    yield data.replace(b"\0", b"")
    if b"&#" in data:
        yield html.unescape(data.decode("utf-8", "replace")).encode()
    if _PERCENT.search(data):
        yield unquote_to_bytes(data)
    for run in _JSON_ESCAPES.findall(data):
        yield bytes.fromhex(run.replace(b"\\u", b"").decode()).replace(b"\0", b"")
    if depth < _DEEPEST:
        for inner in unpacked(data):
            yield from views(inner, depth + 1)


def unpacked(data: bytes) -> Iterator[bytes]:
    """What is packed in some bytes: members of a zip, streams of a PDF, zlib, base64, digits."""
    if data.startswith(_ZIP):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for member in archive.infolist():
                yield member.filename.encode() + member.comment + member.extra
                yield archive.read(member)
        return
    if data.startswith(b"%PDF"):
        yield from pdf_parts(data)  # and below what nothing in it refers to any more
    for kind, bits in ((_ZLIB, 15), (_GZIP, 31)):
        for start in (match.start() for match in kind.finditer(data)):
            try:
                yield zlib.decompressobj(bits).decompress(data[start:], 1 << 24)
            except zlib.error:
                continue
    for run in _HEXADECIMAL.findall(data):
        yield bytes.fromhex(run.decode())
    joined = [re.sub(rb"\s", b"", run) for run in _LINES_OF_BASE64.findall(data)]
    for run in (*joined, *_BASE64.findall(data)):
        try:
            plain = run.translate(bytes.maketrans(b"-_", b"+/"))
            decoded = base64.b64decode(plain + b"=" * (-len(plain) % 4), validate=True)
        except (ValueError, binascii.Error):
            continue
        yield decoded


def pdf_parts(data: bytes) -> Iterator[bytes]:
    """Every stream of a PDF, unpacked, its dictionaries, and the words on its pages."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Stream):
                try:
                    yield item.read_bytes()
                except pikepdf.PdfError:  # a picture, whose own packing is looked into
                    yield item.read_raw_bytes()
                yield str(dict(item.items())).encode()
            else:
                yield str(item).encode()
                yield item.unparse() if hasattr(item, "unparse") else b""
        for page in pdf.pages:
            yield page_text(page).encode()


def page_text(page: pikepdf.Page) -> str:
    """The words on a page, by the ToUnicode tables of its fonts (ISO 32000-1, 9.10.3)."""
    fonts = {
        str(name): _to_unicode(font) for name, font in dict(page.resources.get("/Font", {})).items()
    }
    table: dict[int, str] = {}
    words: list[str] = []
    for instruction in pikepdf.parse_content_stream(page):
        operands, name = instruction.operands, str(instruction.operator)
        if name == "Tf":
            table = fonts.get(str(operands[0]), {})
        elif name in ("Tj", "TJ", "'", '"'):
            last = operands[-1]
            strings = last if isinstance(last, pikepdf.Array) else [last]
            for string in strings:
                if isinstance(string, pikepdf.String):
                    codes = bytes(string)
                    pairs = zip(codes[::2], codes[1::2], strict=False)
                    words += [table.get(high * 256 + low, "") for high, low in pairs]
        elif name in ("Td", "TD", "Tm", "T*"):
            words.append("")
    return "".join(words)


def _to_unicode(font: pikepdf.Object) -> dict[int, str]:
    if "/ToUnicode" not in font:
        return {}
    cmap = font.ToUnicode.read_bytes().decode("ascii", "replace")
    table: dict[int, str] = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", cmap, re.DOTALL):
        for code, text in re.findall(r"<(\w+)>\s*<(\w+)>", block):
            table[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be", "replace")
    for block in re.findall(r"beginbfrange(.*?)endbfrange", cmap, re.DOTALL):
        for first, last, text in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", block):
            start = int.from_bytes(bytes.fromhex(text), "big")
            for number, code in enumerate(range(int(first, 16), int(last, 16) + 1)):
                table[code] = chr(start + number)
    return table


def pictures(data: bytes) -> Iterator[Image.Image]:
    """Every picture in some bytes: the file itself with all frames, previews, members of a zip."""
    if data.startswith(_ZIP):
        for inner in unpacked(data):
            yield from pictures(inner)
        return
    if data.startswith(b"%PDF"):
        for part in pdf_parts(data):
            yield from pictures(part)
        return
    starts = [0, *(match.start() for match in re.finditer(rb"\xff\xd8\xff", data) if match.start())]
    allowed, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, True
    try:
        for start in starts:
            try:
                with Image.open(io.BytesIO(data[start:])) as picture:
                    for frame in ImageSequence.Iterator(picture):
                        yield frame.convert("RGB")
            except (OSError, ValueError, SyntaxError):
                continue
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = allowed


def _is_pink(picture: Image.Image) -> bool:
    """Whether a twentieth of a picture has the colour that nobody else may see."""
    small = picture.resize((40, 30), Image.Resampling.NEAREST)
    red, green, blue = PINK
    data = small.tobytes()
    near = sum(
        abs(r - red) < 50 and abs(g - green) < 50 and abs(b - blue) < 50
        for r, g, b in zip(data[::3], data[1::3], data[2::3], strict=True)
    )
    return near > 60
