"""What the demo collection promises is really in its files."""

import csv
import hashlib
import importlib
import io
import re
import sys
import warnings
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_collection"
PACKAGE = DEMO / "archivist_demo"
COLLECTION = PACKAGE / "collection"
PHOTOGRAPHS = COLLECTION / "Photographs"
VIEWS = {
    "overall",
    "side",
    "back",
    "base",
    "foot rim",
    "mark",
    "mouth",
    "interior",
    "detail",
    "damage",
    "label",
    "group",
}


def photographs() -> list[Path]:
    return sorted(path for path in PHOTOGRAPHS.rglob("*") if path.is_file())


def kept_files() -> list[Path]:
    """Everything below the demo but the caches that tools leave beside scripts."""
    return [
        path
        for path in DEMO.rglob("*")
        if path.is_file()
        and not any(
            part == "__pycache__" or part.startswith(".") for part in path.relative_to(DEMO).parts
        )
    ]


def truth() -> list[dict[str, str]]:
    with (PACKAGE / "truth.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def stock_rows() -> list[list[object]]:
    calamine = pytest.importorskip("python_calamine")
    book = calamine.CalamineWorkbook.from_path(str(COLLECTION / "Stock book.xlsx"))
    return [list(row) for row in book.get_sheet_by_index(0).to_python()]


def exif_by_pillow(path: Path) -> dict[str, object]:
    from PIL import ExifTags, Image

    with Image.open(path) as picture:
        exif = picture.getexif()
        main = {ExifTags.TAGS.get(tag, str(tag)): value for tag, value in exif.items()}
        detail = exif.get_ifd(ExifTags.IFD.Exif)
        place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    return {**main, "taken": detail.get(0x9003), "serial": detail.get(0xA431), "gps": dict(place)}


def exif_by_piexif(path: Path) -> dict[str, object]:
    piexif = pytest.importorskip("piexif")
    read = piexif.load(str(path))
    taken = read["Exif"].get(piexif.ExifIFD.DateTimeOriginal)
    return {
        "Orientation": read["0th"].get(piexif.ImageIFD.Orientation),
        "taken": taken.decode() if taken else None,
        "gps": read["GPS"],
        "Make": (read["0th"].get(piexif.ImageIFD.Make) or b"").decode() or None,
    }


def jpegs() -> list[Path]:
    return [path for path in photographs() if path.suffix.lower() == ".jpg"]


def test_there_are_at_least_forty_records_and_a_hundred_and_sixty_photographs() -> None:
    assert len([row for row in stock_rows()[3:] if row[0]]) == 43
    assert len(photographs()) >= 160


def test_the_whole_demo_stays_under_twelve_megabytes() -> None:
    size = sum(path.stat().st_size for path in kept_files())
    assert size < 12_000_000
    collection = sum(path.stat().st_size for path in COLLECTION.rglob("*") if path.is_file())
    assert collection < 11_500_000


def test_the_package_says_where_the_collection_lies() -> None:
    sys.path.insert(0, str(DEMO))
    try:
        import archivist_demo
    finally:
        sys.path.remove(str(DEMO))
    assert archivist_demo.folder() == COLLECTION
    assert (archivist_demo.folder() / "Stock book.xlsx").is_file()


def test_the_stock_book_has_a_title_over_its_header_and_an_error_in_a_formula() -> None:
    rows = stock_rows()
    assert str(rows[0][0]).startswith("H. Wenderholt")
    assert rows[2][0] == "Stock No"
    import zipfile

    with zipfile.ZipFile(COLLECTION / "Stock book.xlsx") as book:
        sheet = book.read("xl/worksheets/sheet1.xml").decode("utf-8")
    assert "#VALUE!" in sheet
    assert '<mergeCell ref="A1:' in sheet


def test_one_stock_number_is_used_twice_in_the_stock_book() -> None:
    counts = Counter(row[0] for row in stock_rows()[3:])
    assert [number for number, count in counts.items() if count > 1] == ["HW 0424"]


def test_sales_are_dated_by_dates_by_serial_numbers_and_by_words() -> None:
    import datetime

    rows = stock_rows()
    column = rows[2].index("Sold on")
    kinds = {type(row[column]) for row in rows[3:] if row[column] != ""}
    assert {float, str} <= kinds
    assert kinds & {datetime.date, datetime.datetime}
    serial = next(row for row in rows if row[0] == "HW 0406")[column]
    # Serial numbers count days from 30 December 1899 (ECMA-376 part 1, 18.17.4.1, 1900 system).
    assert datetime.date(1899, 12, 30) + datetime.timedelta(
        days=int(float(str(serial)))
    ) == datetime.date(2006, 4, 1)


def test_the_older_list_is_windows_1252_and_not_utf_8() -> None:
    data = (COLLECTION / "old stock 1998-2003.csv").read_bytes()
    with pytest.raises(UnicodeDecodeError):
        data.decode("utf-8")
    rows = list(csv.reader(io.StringIO(data.decode("cp1252")), delimiter=";"))
    assert {len(row) for row in rows} == {9}
    assert len(rows) == 7


def test_every_photograph_is_in_the_truth_once_and_only_photographs_are() -> None:
    named = [row["path"] for row in truth()]
    assert len(named) == len(set(named))
    assert set(named) == {path.relative_to(COLLECTION).as_posix() for path in photographs()}


def test_the_truth_uses_the_words_of_the_model_and_numbers_of_the_sheets() -> None:
    old = (COLLECTION / "old stock 1998-2003.csv").read_bytes().decode("cp1252")
    numbers = [row[0] for row in stock_rows()[3:]]
    numbers += [line.split(";")[0] for line in old.splitlines()[1:]]
    # The owner wrote 'HW 0421', '0421' and the number 423 for the same kind of thing.
    known = {str(number).removeprefix("HW ").removesuffix(".0").zfill(4) for number in numbers}
    for row in truth():
        assert row["view"] in VIEWS
        for number in filter(None, row["stock_numbers"].split("; ")):
            assert number.removeprefix("HW ") in known, row


def test_most_photographs_carry_a_stock_number_in_their_path() -> None:
    rows = truth()
    carried = [
        row
        for row in rows
        if row["stock_numbers"]
        and all(
            number.removeprefix("HW ") in row["path"] for number in row["stock_numbers"].split("; ")
        )
    ]
    assert len(carried) > 0.9 * len(rows)


def test_the_views_a_student_needs_are_all_there() -> None:
    counts = Counter(row["view"] for row in truth())
    assert counts["base"] >= 25
    assert counts["damage"] >= 15
    for view in VIEWS:
        assert counts[view] >= 1, view


def test_some_photographs_have_no_record_and_some_records_no_photograph() -> None:
    rows = truth()
    assert any(not row["stock_numbers"] for row in rows)
    shown = {number for row in rows for number in row["stock_numbers"].split("; ")}
    assert "HW 0411" not in shown
    assert "HW 0411" in {row[0] for row in stock_rows()}


def test_the_group_photograph_names_four_pieces_with_regions_inside_it() -> None:
    from PIL import Image

    row = next(row for row in truth() if row["stock_numbers"].count(";") == 3)
    with Image.open(COLLECTION / row["path"]) as picture:
        wide, high = picture.size
    parts = row["regions"].split("; ")
    assert len(parts) == 4
    for part in parts:
        number, box = part.split("=")
        x, y, w, h = (int(value) for value in box.split(","))
        assert number in row["stock_numbers"]
        assert 0 <= x < x + w <= wide + 1
        assert 0 <= y < y + h <= high + 1
        assert w * h > 5000


def test_two_libraries_agree_on_orientation_date_and_place_of_every_jpeg() -> None:
    for path in jpegs():
        pillow, other = exif_by_pillow(path), exif_by_piexif(path)
        for field in ("Orientation", "taken", "Make"):
            assert pillow.get(field) == other[field], (path, field)
        assert bool(pillow["gps"]) == bool(other["gps"]), path


def test_some_photographs_are_stored_sideways_and_stand_upright_once_turned() -> None:
    from PIL import Image, ImageOps

    turned: dict[object, list[Path]] = {}
    for path in jpegs():
        orientation = exif_by_pillow(path).get("Orientation")
        if orientation in (3, 6, 8):
            turned.setdefault(orientation, []).append(path)
    assert set(turned) == {3, 6, 8}
    for orientation in (6, 8):
        for path in turned[orientation]:
            with Image.open(path) as picture:
                assert picture.width > picture.height
                upright = ImageOps.exif_transpose(picture)
            assert upright.height > upright.width


def test_one_camera_lost_its_clock_and_one_was_a_year_behind() -> None:
    fair = {
        str(exif_by_pillow(path)["taken"])[:10] for path in jpegs() if "2014 fair" in path.parts
    }
    assert fair == {"2000:01:01"}
    estate = {
        str(exif_by_pillow(path)["taken"])[:4] for path in jpegs() if "Arbery estate" in path.parts
    }
    assert estate == {"2007"}


def test_some_photographs_name_their_camera_some_their_place_and_some_nothing() -> None:
    read = [exif_by_pillow(path) for path in jpegs()]
    assert sum(bool(exif.get("serial")) for exif in read) > 20
    placed = [exif for exif in read if exif["gps"]]
    assert 5 <= len(placed) < len(read) / 4
    assert any(exif.get("Make") is None and exif["taken"] is None for exif in read)
    suffixes = Counter(path.suffix.lower() for path in photographs())
    assert suffixes[".tif"] == 1
    assert suffixes[".png"] == 1


def test_captions_are_written_as_exif_as_xmp_and_as_iptc() -> None:
    from PIL import Image, IptcImagePlugin

    described, titled, captioned = 0, 0, 0
    for path in jpegs():
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path) as picture:
                described += 0x010E in picture.getexif()
                titled += b"dc:title" in picture.info.get("xmp", b"")
                iptc = IptcImagePlugin.getiptcinfo(picture) or {}
        captioned += (2, 120) in iptc
    assert described >= 3
    assert titled == 3  # one of them is kept twice
    assert captioned == 2


def test_some_files_are_kept_twice_and_some_as_small_copies() -> None:
    from PIL import Image

    digests = Counter(hashlib.sha256(path.read_bytes()).hexdigest() for path in photographs())
    assert sorted(count for count in digests.values() if count > 1) == [2, 2, 2]
    small = list((PHOTOGRAPHS / "for web").iterdir())
    assert len(small) == 4
    for path in small:
        with Image.open(path) as picture:
            assert max(picture.size) == 480


def test_every_name_is_legal_on_every_system_and_no_two_differ_only_in_case() -> None:
    reserved = {"con", "prn", "aux", "nul", *(f"{n}{d}" for n in ("com", "lpt") for d in range(10))}
    seen: Counter[str] = Counter()
    for path in kept_files():
        relative = path.relative_to(ROOT).as_posix()
        seen[relative.casefold()] += 1
        assert len(relative) <= 120
        # Microsoft, 'Naming Files, Paths, and Namespaces': characters, endings, device names.
        assert not set(path.name) & set('<>:"/\\|?*')
        assert all(ord(character) >= 32 for character in path.name)
        assert not path.name.endswith((" ", "."))
        assert path.name.split(".")[0].casefold() not in reserved
    assert max(seen.values()) == 1
    names = " ".join(seen)
    assert "'" in names
    assert not names.isascii()


@pytest.mark.parametrize("name", ["HW 0438 gourd/", "HW 0424/"])
def test_drawing_a_photograph_again_gives_the_committed_picture(name: str) -> None:
    numpy = pytest.importorskip("numpy", reason="drawing the pictures needs numpy")
    pytest.importorskip("piexif", reason="drawing the pictures needs piexif")
    from PIL import Image

    sys.path.insert(0, str(DEMO / "drawing"))
    try:
        album, make = importlib.import_module("album"), importlib.import_module("make")
        photograph = next(
            p for p in album.PHOTOGRAPHS if p.path.startswith(name) and p.view == "overall"
        )
        data, _ = make.file_bytes(photograph)
    finally:
        sys.path.remove(str(DEMO / "drawing"))
    committed = (PHOTOGRAPHS / photograph.path).read_bytes()
    if data == committed:
        return
    # Another version of Pillow or numpy rounds otherwise: then the pictures must look the same.
    ours = numpy.asarray(Image.open(io.BytesIO(data)).convert("RGB"), numpy.float32)
    theirs = numpy.asarray(Image.open(io.BytesIO(committed)).convert("RGB"), numpy.float32)
    assert ours.shape == theirs.shape
    assert float(numpy.abs(ours - theirs).mean()) < 1.5


def looked_through() -> list[dict[str, str]]:
    path = COLLECTION / "Photographs, looked through.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file, delimiter=";"))


def test_the_owner_looked_most_photographs_through_but_not_all() -> None:
    data = (COLLECTION / "Photographs, looked through.csv").read_bytes()
    assert data.count(b"\r\n") == data.count(b"\n") == len(looked_through()) + 1
    listed = {row["File"].replace("\\", "/") for row in looked_through()}
    there = {path.relative_to(PHOTOGRAPHS).as_posix() for path in photographs()}
    assert listed < there
    assert 10 <= len(there - listed) <= 15
    assert sum(bool(row["Remarks"]) for row in looked_through()) >= 8


def test_what_the_owner_saw_is_what_the_photographs_show() -> None:
    from archivist.intake.views import view_in
    from archivist.reading.tables import load_tables

    tables = load_tables()
    really = {row["path"]: row for row in truth()}
    for row in looked_through():
        known = really["Photographs/" + row["File"].replace("\\", "/")]
        seen = view_in(row["Shows"], tables)
        assert seen is not None, row
        assert seen.view == known["view"], row
        numbers = re.findall(r"\d+,\d+,\d+,\d+", row["Where in it"])
        assert numbers == re.findall(r"\d+,\d+,\d+,\d+", known["regions"]), row


def test_the_list_of_photographs_makes_them_reviewed_by_ordinary_intake(tmp_path: Path) -> None:
    from importlib.metadata import EntryPoint

    from archivist.catalogue.archive import Archive
    from archivist.intake.apply import apply
    from archivist.intake.survey import survey
    from archivist.model import Photograph
    from archivist.plugins import load_plugins

    plugins = load_plugins(
        [
            EntryPoint("photo-folder", "archivist_plugins.photo_folder", "archivist"),
            EntryPoint("spreadsheet", "archivist_plugins.spreadsheet", "archivist"),
        ]
    )
    papers = [COLLECTION / "Stock book.xlsx", COLLECTION / "old stock 1998-2003.csv"]
    pictures = [PHOTOGRAPHS, COLLECTION / "Photographs, looked through.csv"]
    with Archive.create(tmp_path / "archive", owner="H. Wenderholt") as archive:
        for sources in (papers, pictures):
            told = survey(archive, sources, plugins)
            assert told.path is not None
            apply(archive, told.proposal, told.path.name, "H. Wenderholt")
        views = {row["path"].removeprefix("Photographs/"): row["view"] for row in truth()}
        reviewed = regions = 0
        for row in archive.catalogue.connection.execute("SELECT path, sha256 FROM occurrence"):
            for photograph in archive.catalogue.keyed(Photograph, row["sha256"]):
                for depiction in photograph.depictions:
                    if depiction.reviewed:
                        reviewed += 1
                        assert depiction.view == views[row["path"]]
                    regions += depiction.region is not None
        assert reviewed >= 178
        assert regions == 4
