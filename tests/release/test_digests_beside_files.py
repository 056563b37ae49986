"""A digest that stands beside a file is that file's, in whatever a release writes.

One release with every exporter for the owner and one for the public. Whoever writes a digest has a
reader here; a file with digests that no reader knows fails the test.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pikepdf
import pytest
from lxml import etree

from archivist.catalogue.archive import Archive
from archivist.hooks import ExporterDescription
from archivist.plugins import load_plugins
from archivist.release.release import release
from archivist.release.request import Request
from tests.archives import add_photograph, jpeg, new_archive, piece, save

PLUGINS = load_plugins()
EXPORTERS = tuple(d.name for d in PLUGINS.of("exporter", ExporterDescription))
HEX = re.compile(r"(?<![0-9A-Za-z-])(?:[0-9a-f]{128}|[0-9a-f]{64})(?![0-9A-Za-z])")
BINARY = frozenset({".jpg", ".png", ".xlsx", ".woff2"})

Beside = tuple[Path, str]
"""A file and the digest that is told of it."""


def _released(root: Path, address: str) -> Path:
    """The file of the release that a web address means."""
    return root / urlsplit(address).path.lstrip("/")


def _lido(file: Path, root: Path) -> Iterator[Beside]:
    lido = "{http://www.lido-schema.org}"
    for shown in etree.parse(file).iter(f"{lido}resourceSet"):
        link = shown.findtext(f".//{lido}linkResource")
        if link:
            yield _released(root, link), shown.findtext(f"{lido}resourceID") or ""


def _linked_art(file: Path, root: Path) -> Iterator[Beside]:
    def walked(value: Any) -> Iterator[dict[str, Any]]:
        if isinstance(value, dict):
            yield value
            value = list(value.values())
        if isinstance(value, list):
            for inner in value:
                yield from walked(inner)

    for one in walked(json.loads(file.read_text("utf-8"))):
        digests = [i["content"] for i in one.get("identified_by", ()) if i.get("_label")]
        for address in one.get("access_point", ()):
            for digest in digests:
                yield _released(root, address["id"]), digest


def _premis(file: Path, root: Path) -> Iterator[Beside]:
    premis = "{http://www.loc.gov/premis/v3}"
    for one in etree.parse(file).iter(f"{premis}object"):
        for at in one.iter(f"{premis}contentLocation"):
            path = at.findtext(f"{premis}contentLocationValue") or ""
            in_bag = at.findtext(f"{premis}contentLocationType") == "path in the bag"
            for digest in one.iter(f"{premis}messageDigest"):
                yield (root.parent if in_bag else root) / path, digest.text or ""


def _crate(file: Path, root: Path) -> Iterator[Beside]:
    for one in json.loads(file.read_text("utf-8"))["@graph"]:
        if "sha256" in one and not one["@id"].startswith("#"):
            yield file.parent / one["@id"], one["sha256"]


def _delivery(file: Path, root: Path) -> Iterator[Beside]:
    for one in json.loads(file.read_text("utf-8")):
        yield file.parent / one["file"], one["sha256"]


def _pictures(file: Path, root: Path) -> Iterator[Beside]:
    for one in json.loads(file.read_text("utf-8")):
        yield root.parent / one["file"], one["sha256"]


def _manifest(file: Path, root: Path) -> Iterator[Beside]:
    for line in file.read_text("utf-8").splitlines():
        digest, _, path = line.partition("  ")
        yield file.parent / path, digest


def _dossier(file: Path, root: Path) -> Iterator[Beside]:
    """The names and digests as the page prints them, and the record attached to it."""
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext (poppler) is not installed")
    command = [tool, "-layout", "-enc", "UTF-8", str(file), "-"]
    words = subprocess.run(command, check=True, capture_output=True, encoding="utf-8").stdout
    with pikepdf.open(file) as pdf:
        record = file.with_suffix(".record.json")
        record.write_bytes(pdf.attachments["record.json"].get_file().read_bytes())
    told = re.search(r"SHA-256 of record\.json\s+([0-9a-f]{64})", words)
    assert told
    yield record, told[1]
    name = ""
    for line in words.splitlines():
        named = re.match(r"\s*([a-z-]+-\d\d\.[a-z]+)\s", line)
        name = named[1] if named else name
        for digest in HEX.findall(line) if name else ():
            if "original" in line:
                continue
            folder = "iptc" if "iptc" in line else "ro-crate"
            yield root / folder / file.stem / name, digest


READERS: dict[str, Callable[[Path, Path], Iterator[Beside]]] = {
    "lido/*.xml": _lido,
    "linked-art/*.json": _linked_art,
    "premis/*.xml": _premis,
    "ro-crate/ro-crate-metadata.json": _crate,
    "iptc/*/delivery.json": _delivery,
    "objects/*/pictures.json": _pictures,
    "*manifest-sha*.txt": _manifest,
    "dossier/*.pdf": _dossier,
}
"""Who reads the digests of which files."""

OF_NO_FILE_BESIDE = (
    "objects/*/photographs.json",  # of originals, by which the owner knows them again
    "objects/*/tables/*.jsonl",
    "spreadsheet/*.csv",  # the version of the record that a row was written from
    "release.json",
)
FOLDERS_OF_NONE = frozenset({"archive", "reference-library"})
"""Files in which a digest names what is not handed on, or is the version of a record."""


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    folder = tmp_path_factory.mktemp("archive")
    with new_archive(folder / "archive") as made:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(made.catalogue, record)
        add_photograph(made, jpeg(folder / "old" / "one.jpg", tone=3), (record,))
        add_photograph(made, jpeg(folder / "old" / "two.jpg", tone=9), (record,))
        yield made


def beside(place: Path) -> Iterator[tuple[str, Beside]]:
    """Every digest of a release with the file it stands beside, and in which file it stands."""
    for data in [p for p in place.rglob("iiif") if p.is_dir() and p.parent.name != "objects"]:
        root = data.parent
        top = root.parent if root.name == "data" else root
        for file in sorted(p for p in top.rglob("*") if p.is_file()):
            readers = [read for pattern, read in READERS.items() if file.match(pattern)]
            for read in readers:
                for found in read(file, root):
                    yield file.relative_to(top).as_posix(), found
            if readers or file.suffix in BINARY:
                continue
            below = file.relative_to(root if file.is_relative_to(root) else top)
            if any(map(below.match, OF_NO_FILE_BESIDE)) or below.parts[0] in FOLDERS_OF_NONE:
                continue
            text = file.read_bytes().decode("utf-8", "replace")
            assert not HEX.search(text), f"{file} tells a digest, and nobody here reads it"


@pytest.mark.parametrize("audience", ["owner", "public"])
@pytest.mark.parametrize("bag", [True, False])
def test_a_digest_is_that_of_the_file_beside_it(
    audience: str, bag: bool, archive: Archive, tmp_path: Path
) -> None:
    exporters = tuple(name for name in EXPORTERS if bag or name != "bagit")
    request = Request(exporters, audience, tmp_path, tuple(_objects(archive)))
    assert release(archive, PLUGINS, request).whole
    seen: dict[str, int] = {}
    for where, (file, digest) in beside(tmp_path):
        algorithm = "sha512" if len(digest) == 128 else "sha256"
        assert file.is_file(), f"{where} tells a digest of {file}, which is not there"
        told = hashlib.new(algorithm, file.read_bytes()).hexdigest()
        assert told == digest, f"{where} tells another digest than that of {file}"
        kind = where.removeprefix("data/").split("/")[0]
        seen[kind] = seen.get(kind, 0) + 1
    wanted = {"lido", "linked-art", "premis", "ro-crate", "iptc", "dossier"}
    assert wanted | ({"objects", "manifest-sha256.txt"} if bag else set()) <= set(seen)


def _objects(archive: Archive) -> tuple[str, ...]:
    from archivist.catalogue.search import Query, select

    return select(archive.catalogue, Query())
