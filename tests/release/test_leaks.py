"""What others are given holds what the disclosure table lets them see: all of it, and no more.

A secret stands in every field of the model and in every corner of the photographs; every exporter
is run for every audience; every byte that comes out is searched, also within what is packed.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path

import msgspec
import pikepdf
import pytest

from archivist.catalogue.settings import AudienceSettings
from archivist.errors import SettingsError
from archivist.hooks import (
    ArchiveFacts,
    DisclosedPhotograph,
    ExporterDescription,
    Piece,
    Selection,
)
from archivist.keys import new_key, read_signer
from archivist.model import ObjectRecord, Override
from archivist.plugins import load_plugins
from archivist.release.disclosure import OWNERS_ALONE, disclosures, table
from archivist.release.release import release
from archivist.release.request import Request
from archivist.signing import Signer
from tests.archives import save
from tests.release.planting import MAKERS, NOBODY, Planted, Secrets, planted
from tests.release.searching import PINK_PIXELS, POSITION, found_in, page_text, views

EXPORTERS = {
    "bagit",
    "comparison",
    "dossier",
    "dublin-core",
    "iiif",
    "iptc",
    "lido",
    "linked-art",
    "premis",
    "reference-library",
    "ro-crate",
    "spreadsheet",
}
"""Exporters whose output `searching` can look into. Whoever adds one looks at what it writes, and
teaches `searching` to unpack that where it is packed in a way of its own."""

HANDED: dict[type, set[str]] = {
    ArchiveFacts: {
        *("id", "name", "owner", "language", "rights_uri", "rights_holder", "credit"),
        *("base_uri", "program"),
    },
    DisclosedPhotograph: {
        *("photograph", "depiction", "path", "name", "media_type", "width", "height", "sha256"),
        *("sha512", "size", "original_sha256", "label", "region", "how"),
        *("colours_kept", "history"),
    },
    Piece: {"record", "photographs", "parties", "slug", "uri", "preserved", "withheld"},
    Selection: {
        *("archive", "audience", "made", "title", "count", "pieces", "preserved"),
        *("whole_archive", "signer", "exporters"),
    },
}
"""What an exporter is handed beside the model. Whoever adds to it thinks of who may see it."""

OTHERS = tuple(sorted(set(table()["audiences"]) - {"owner"}))
PLUGINS = load_plugins()
NAMES = tuple(d.name for d in PLUGINS.of("exporter", ExporterDescription))
KEPT_UP_TO_DATE = tuple(
    d.name for d in PLUGINS.of("exporter", ExporterDescription) if not d.immutable
)

# Pillow notes what is odd about the odd files made here.
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:PIL")


@dataclass(frozen=True)
class Given:
    """What was given out, and which secrets stand in it and where."""

    folder: Path
    found: dict[str, list[str]]


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Planted]:
    made = planted(tmp_path_factory.mktemp("in"))
    yield made
    made.archive.catalogue.close()


@pytest.fixture(scope="module")
def signer(tmp_path_factory: pytest.TempPathFactory) -> Signer:
    path = tmp_path_factory.mktemp("key") / "key.pem"
    new_key(path, name="Ines Tidewell")
    return read_signer(path)


def give(source: Planted, audience: str, folder: Path, signer: Signer) -> Given:
    """Everything that can be given out of the piece: as a signed bag, as a zip, as a website."""
    for part, exporters, zips in (("bag", NAMES, True), ("web", KEPT_UP_TO_DATE, False)):
        request = Request(
            exporters,
            audience,
            folder / part,
            (source.object,),
            base_uri="https://bowls.example/",
            named_after_piece=True,
            zips=zips,
            signer=signer if zips else None,
        )
        report = release(source.archive, PLUGINS, request)
        assert report.whole, (report.failures, report.problems)
    return Given(folder, searched(folder))


def searched(folder: Path) -> dict[str, list[str]]:
    """Every secret with the files that hold it; names of files and folders are searched too."""
    found: dict[str, list[str]] = {}
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        name = path.relative_to(folder).as_posix()
        for secret in found_in(path) | ({s for s in ("qzx",) if s in name.lower()}):
            found.setdefault(secret, []).append(name)
    return found


def of_secrets(secrets: Secrets, found: dict[str, list[str]]) -> dict[str, list[str]]:
    """What was found, without identifiers that are nobody's secret."""
    return {
        name: where
        for name, where in found.items()
        if name in secrets.ways or name.startswith("qzx") or name in (PINK_PIXELS, POSITION)
    }


@pytest.fixture(scope="module", params=OTHERS)
def given(
    request: pytest.FixtureRequest,
    source: Planted,
    signer: Signer,
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[str, Given]:
    audience: str = request.param
    return audience, give(source, audience, tmp_path_factory.mktemp(audience), signer)


def test_every_exporter_that_is_installed_has_been_looked_at() -> None:
    ours = {
        offer.description.name
        for offer in PLUGINS.offers
        if offer.kind == "exporter" and offer.origin.distribution == "archivist"
    }
    assert ours == EXPORTERS


def test_everything_that_an_exporter_is_handed_has_been_thought_of() -> None:
    for type_, names in HANDED.items():
        assert {field.name for field in fields(type_)} == names, type_


def test_no_private_key_is_in_what_was_signed_with_it(
    given: tuple[str, Given], signer: Signer
) -> None:
    _, out = given
    assert signer.document is not None
    secret = signer.document.key.private_numbers().private_value
    keys = (signer.key.private_bytes_raw(), secret.to_bytes(32, "big"))
    for path in (out.folder / "bag").rglob("*"):
        if path.is_file() and path.suffix != ".jpg":
            assert not any(key in view for view in views(path.read_bytes()) for key in keys), path


def test_an_audience_finds_what_the_table_lets_it_see_and_nothing_else(
    source: Planted, given: tuple[str, Given]
) -> None:
    audience, out = given
    allowed = source.secrets.known(audience)
    found = of_secrets(source.secrets, out.found)
    leaked = {
        name: (source.secrets.ways.get(name), found[name][:3]) for name in set(found) - allowed
    }
    assert leaked == {}
    missing = {name: source.secrets.ways[name] for name in allowed - set(found)}
    assert missing == {}, "the table lets it be seen, and nothing holds it"


def test_the_zip_holds_what_the_folder_holds(given: tuple[str, Given]) -> None:
    _, out = given
    (archive,) = (out.folder / "bag").glob("*.zip")
    (folder,) = (path for path in (out.folder / "bag").iterdir() if path.is_dir())
    assert found_in(archive) == set(searched(folder))


def test_the_words_on_the_pages_of_a_dossier_are_searched_too(given: tuple[str, Given]) -> None:
    _, out = given
    (path,) = (out.folder / "bag").rglob("dossier/*.pdf")
    with pikepdf.open(path) as pdf:
        words = "".join(page_text(page) for page in pdf.pages)
    assert "Celadonbowl" in words.replace(" ", "")
    assert "qzx" in words


def test_pictures_for_others_name_no_place_camera_or_face(given: tuple[str, Given]) -> None:
    """ExifTool is the second reader; it finds what neither of our libraries looks for."""
    tool = shutil.which("exiftool")
    if tool is None:
        pytest.skip("ExifTool is not installed")
    _, out = given
    command = [tool, "-r", "-j", "-G1", "-a", "-u", "-ee", str(out.folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    files = json.loads(done.stdout)
    shown = [
        f for f in files if f.get("File:MIMEType", "").startswith(("image/", "application/pdf"))
    ]
    assert len(shown) > 20
    for file in shown:
        for tag, value in file.items():
            group, _, name = tag.rpartition(":")
            assert not group.startswith(("GPS", "MakerNotes", "IFD1")), (file["SourceFile"], tag)
            for word in (
                "GPS",
                "Serial",
                "RegionName",
                "ThumbnailImage",
                "MakerNote",
                "CameraOwner",
            ):
                assert word not in name, (file["SourceFile"], tag, value)


def test_the_owner_finds_every_secret_so_that_the_search_can_find_each(
    source: Planted, signer: Signer, tmp_path: Path
) -> None:
    out = give(source, "owner", tmp_path / "one", signer)
    everything = Request(("bagit",), "owner", tmp_path / "all", (), whole_archive=True)
    assert release(source.archive, PLUGINS, everything).whole
    found = {*out.found, *searched(tmp_path / "all")}
    assert set(source.secrets.ways) - found == set()
    assert {PINK_PIXELS, POSITION} <= found


def test_the_secrets_are_in_every_corner_of_each_photograph(tmp_path: Path) -> None:
    from tests.release.planting import landscape

    for extension, (_, make) in MAKERS.items():
        secrets = Secrets({})
        path = tmp_path / f"picture{extension}"
        path.write_bytes(make(landscape(), secrets.word))
        found = found_in(path)
        assert set(secrets.ways) <= found, extension
        assert len(secrets.ways) >= (1 if extension == ".gif" else 25), extension
        assert PINK_PIXELS in found, extension


def test_an_override_for_one_piece_opens_and_closes_what_it_names_and_nothing_else(
    source: Planted, signer: Signer, tmp_path: Path
) -> None:
    record = source.archive.catalogue.get(source.object, ObjectRecord)
    assert record is not None
    let = ("record.sales", "private_party.name", "relations.same sale")
    kept = ("record.marks", "statement.ground", "provenance_event.date")
    overrides = (
        *(Override(audience="buyer", field=field, shown=True) for field in let),
        *(Override(audience="buyer", field=field) for field in kept),
        *(Override(audience="museum", field="record.notes", shown=True),),
    )
    save(
        source.archive.catalogue,
        msgspec.structs.replace(record, overrides=(*record.overrides, *overrides)),
    )
    try:
        out = give(source, "buyer", tmp_path, signer)
    finally:
        save(source.archive.catalogue, record)
    expected = source.secrets.known("buyer", let=map(step, let), kept=map(step, kept))
    assert set(of_secrets(source.secrets, out.found)) == expected
    assert expected != source.secrets.known("buyer")


def test_who_does_not_see_the_stock_number_reads_it_in_no_name_either(
    source: Planted, tmp_path: Path
) -> None:
    settings = source.archive.settings
    hidden = AudienceSettings(like="buyer", never_sees=("record.stock_number",))
    source.archive.settings = msgspec.structs.replace(settings, audiences={"friend": hidden})
    try:
        request = Request(NAMES, "friend", tmp_path, (source.object,), named_after_piece=True)
        assert release(source.archive, PLUGINS, request).whole
    finally:
        source.archive.settings = settings
    for path in tmp_path.rglob("*"):
        assert "t-1-" not in path.relative_to(tmp_path).as_posix()
        if path.is_file():
            assert not any(b"T 1<" in v or b'"T 1"' in v for v in views(path.read_bytes())), path


def step(name: str) -> tuple[str, str]:
    section, _, field = name.partition(".")
    return section, field


def test_what_only_originals_and_the_archive_hold_is_the_owners_alone_in_the_table() -> None:
    for section in OWNERS_ALONE:
        for field, who in table()[section].items():
            assert who == ["owner"], (section, field)
            override = Override(audience="heir", field=f"{section}.{field}", shown=True)
            with pytest.raises(SettingsError, match="is the owner's alone"):
                disclosures()["heir"].overridden((override,))


def test_a_secret_that_is_nobodys_is_the_owners(source: Planted) -> None:
    nobodys = {name for name, way in source.secrets.ways.items() if NOBODY in way}
    assert len(nobodys) > 1000
    for audience in OTHERS:
        assert not nobodys & source.secrets.known(audience)
