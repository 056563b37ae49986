"""A raw file without a JPEG beside it: others are given a copy of its preview, never the file."""

from __future__ import annotations

import io
from pathlib import Path

import msgspec
import piexif
import pytest
from click.testing import CliRunner
from lxml import etree
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import Occurrence, add_occurrence, add_original, write_inventory
from archivist.catalogue.sources import add_source
from archivist.cli.main import group
from archivist.imaging.probe import probe
from archivist.model import Depiction, ObjectRecord, Photograph, Region, View
from archivist.plugins import load_plugins
from archivist.release.pieces import Discloser, Stays, rules_of
from archivist.release.preview import preview
from archivist.release.release import release
from archivist.release.report import Report
from archivist.release.request import Request
from tests.archives import OWNER, add_photograph, jpeg, new_archive, new_id, piece, save
from tests.imaging import raw_files
from tests.imaging.raw_files import SENSOR, write_raw
from tests.release.conftest import everything

SIZE = (640, 480)
PLACE = b"Quarry Row 7"


def preview_with_words() -> bytes:
    """A preview as cameras write it: with a GPS position, a serial number and a comment."""
    stream = io.BytesIO()
    exif = {
        "0th": {piexif.ImageIFD.ImageDescription: PLACE},
        "Exif": {piexif.ExifIFD.BodySerialNumber: b"77-0012"},
        "GPS": {piexif.GPSIFD.GPSLatitude: ((51, 1), (30, 1), (0, 1))},
    }
    drawn = Image.linear_gradient("L").resize(SIZE).convert("RGB")
    drawn.save(stream, "JPEG", quality=92, exif=piexif.dump(exif), comment=PLACE)
    return stream.getvalue()


def take_raw(archive: Archive, path: Path, record: ObjectRecord, **said: object) -> Photograph:
    """The raw file as it is taken in, showing the piece from its base."""
    described = probe(path)
    digests = archive.store.take_in(path, described.extension)
    view = {"view": View.BASE, "reviewed": True, **said}
    photograph = Photograph(
        id=new_id(),
        sha256=digests.sha256,
        extension=described.extension,
        media_type=described.media_type,
        undecodable=described.undecodable,
        depictions=(Depiction(object=record.id, **view),),  # type: ignore[arg-type]
    )
    with archive.catalogue.action("apply", OWNER) as action:
        add_source(action, new_id(1), "photo-folder", str(path.parent))
        add_original(action, digests, described.extension, described.media_type)
        add_occurrence(action, Occurrence(digests.sha256, new_id(1), path.name))
        action.save(photograph)
    write_inventory(archive.catalogue, archive.store)
    return photograph


@pytest.fixture(params=["dng", "nef", "cr2", "hidden"])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def raw_of(folder: Path, kind: str, orientation: int = 6) -> Path:
    suffix = "nef" if kind == "hidden" else kind
    path = folder / "old" / f"IMG_1.{suffix}"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(raw_files, "jpeg", lambda picture: preview_with_words())
        write_raw(path, Image.new("RGB", SIZE), kind=kind, orientation=orientation)
    assert PLACE in path.read_bytes()
    return path


def given(archive: Archive, to: Path, audience: str, *exporters: str) -> Report:
    return release(archive, load_plugins(), Request(exporters, audience, to, everything(archive)))


def test_others_are_given_a_copy_of_the_preview_and_nothing_of_the_raw_file(
    tmp_path: Path, kind: str
) -> None:
    raw = raw_of(tmp_path, kind)
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        take_raw(archive, raw, record)
        report = given(archive, tmp_path / "out", "buyer", "bagit", "premis")
        assert report.whole, (report.problems, report.failures)
        assert report.withheld_photographs == 0
    assert report.place is not None
    files = [path for path in report.place.rglob("*") if path.is_file()]
    photographs = [path for path in files if "photographs" in path.parts]
    assert [path.suffix for path in photographs] == [".jpg"]
    with Image.open(photographs[0]) as copy:
        assert copy.size == (SIZE[1], SIZE[0]), "upright, as the raw file says"
        assert not copy.getexif()
        assert not {"comment", "xmp", "exif", "icc_profile"} & set(copy.info)
    for path in files:
        data = path.read_bytes()
        assert SENSOR not in data
        assert PLACE not in data
        assert b"77-0012" not in data
    (told,) = [path for path in files if "premis" in path.parts and path.suffix == ".xml"]
    words = " ".join(str(text) for text in etree.parse(told).getroot().itertext())
    assert "taken from the preview that the camera put into its RAW" in words
    assert "a derived copy" in words


def test_pages_for_the_public_show_it(tmp_path: Path) -> None:
    raw = raw_of(tmp_path, "nef")
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        take_raw(archive, raw, record)
        report = given(archive, tmp_path / "out", "public", "iiif", "reference-library", "dossier")
        assert report.whole, (report.problems, report.failures)
        (line,) = preview(
            Discloser(archive, rules_of(archive, load_plugins())["public"]), record
        ).photographs
        assert line.seen == "base (the preview within it)"
    assert report.place is not None
    manifest = next((report.place / "iiif").rglob("manifest.json"))
    (canvas,) = msgspec.json.decode(manifest.read_bytes())["items"]
    assert (canvas["width"], canvas["height"]) == (SIZE[1], SIZE[0])


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"reviewed": False}, Stays.NOT_REVIEWED),
        ({"view": View.LABEL}, Stays.VIEW),
        ({"private": True}, Stays.PRIVATE),
    ],
)
def test_the_rules_of_views_hold_for_it_as_for_any_other(
    tmp_path: Path, said: dict[str, object], why: Stays
) -> None:
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        take_raw(archive, raw_of(tmp_path, "dng"), record, **said)
        report = given(archive, tmp_path / "out", "buyer", "dublin-core")
        assert report.withheld_because == {why.value: 1}


def test_a_raw_file_without_a_preview_stays_and_that_is_said(tmp_path: Path) -> None:
    raw = write_raw(tmp_path / "old" / "IMG_1.nef", Image.new("RGB", (40, 30)), kind="nef")
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        take_raw(archive, raw, record)
        for _ in range(2):
            report = given(archive, tmp_path / "out", "public", "dublin-core")
            assert report.whole
            assert report.withheld_because == {"undecodable": 1}


def test_where_its_picture_lies_beside_it_that_alone_is_given(tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        raw = take_raw(archive, raw_of(tmp_path, "dng"), record)
        beside = add_photograph(archive, jpeg(tmp_path / "old" / "IMG_1.jpg"), (record,), View.BASE)
        save(archive.catalogue, msgspec.structs.replace(beside, derived_from=raw.sha256))
        report = given(archive, tmp_path / "out", "public", "dublin-core")
        assert report.withheld_because == {"raw": 1}
        discloser = Discloser(archive, rules_of(archive, load_plugins())["public"])
        (shown,) = discloser.piece(record).photographs
        assert shown.original_sha256 == beside.sha256


def test_a_region_is_cut_out_of_the_preview(tmp_path: Path) -> None:
    region = Region(x=0, y=0, width=480, height=320, reference_width=480, reference_height=640)
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        take_raw(archive, raw_of(tmp_path, "dng"), record, region=region)
        discloser = Discloser(archive, rules_of(archive, load_plugins())["public"])
        (shown,) = discloser.piece(record).photographs
        assert (shown.width, shown.height, shown.media_type) == (480, 320, "image/jpeg")
        assert shown.how.startswith("Part of the picture taken from the preview")


def test_show_lists_it_with_the_size_of_its_preview(tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, record)
        made = take_raw(archive, raw_of(tmp_path, "nef"), record)
    arguments = ["--archive", str(tmp_path / "archive"), "show", "T 1"]
    shown = CliRunner(env={"COLUMNS": "120"}).invoke(group, arguments, prog_name="archivist")
    assert f"base  {made.sha256[:12]}  raw, its preview is 480 × 640" in shown.output
