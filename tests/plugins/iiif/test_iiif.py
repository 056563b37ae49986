"""IIIF of a piece: one canvas a photograph, views as ranges, words as plain text."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import replace as with_changes
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from PIL import Image, ImageChops, ImageDraw, ImageStat

from archivist.errors import PackageError, SelectionError, SourceError
from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Depiction,
    Note,
    ObjectRecord,
    Region,
    Rights,
    SaleFact,
    SaleStage,
    Title,
    View,
)
from archivist.names import check_path
from archivist.release.package import FolderPackage
from archivist.testing import (
    BOWL,
    export,
    sample_photograph,
    sample_piece,
    sample_selection,
    with_picture,
)
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF, IiifOptions
from archivist_plugins.iiif.texts import plain, rights_uri

Json = dict[str, Any]


def _manifest(folder: Path, piece: Piece, options: IiifOptions | None = None) -> Json:
    """The manifest of `piece`, exported into `folder`."""
    export(IIIF, sample_selection(folder, [piece]), folder, options)
    return _json(folder / "iiif" / piece.slug / "manifest.json")


def _json(path: Path) -> Json:
    loaded: Json = json.loads(path.read_text(encoding="utf-8"))
    return loaded


def _of(record: ObjectRecord, folder: Path) -> Piece:
    return sample_piece(folder / "pictures", record)


def _dated(edtf: str, certainty: Certainty = Certainty.CERTAIN) -> ObjectRecord:
    date = Attribution(
        aspect=Aspect.DATE,
        date=Date(edtf=edtf, earliest=1811, latest=1811),
        certainty=certainty,
        as_stated=edtf,
    )
    return replace(BOWL, attributions=(date,))


def _values(manifest: Json, label: str) -> list[str]:
    for pair in manifest["metadata"]:
        if label in pair["label"]["en"]:
            return [value for values in pair["value"].values() for value in values]
    return []


def test_each_photograph_is_one_canvas_of_its_size(tmp_path: Path) -> None:
    manifest = _manifest(tmp_path, sample_piece(tmp_path / "pictures"))
    assert [canvas["label"]["en"] for canvas in manifest["items"]] == [["overall"], ["mark"]]
    assert [(c["width"], c["height"]) for c in manifest["items"]] == [(96, 72), (96, 72)]


def test_views_are_ranges_in_the_order_in_which_views_are_shown(tmp_path: Path) -> None:
    views = (View.MARK, View.OVERALL, View.BASE)
    manifest = _manifest(tmp_path, sample_piece(tmp_path / "pictures", views=views))
    (top,) = manifest["structures"]
    assert [r["label"]["en"][0] for r in top["items"]] == ["overall", "base", "mark"]
    base = manifest["items"][2]["id"]
    assert top["items"][1]["items"] == [{"id": base, "type": "Canvas"}]


def test_a_region_is_a_fragment_of_its_canvas_and_tagged_with_the_piece(tmp_path: Path) -> None:
    group = sample_photograph(tmp_path / "pictures", View.GROUP, 400)
    region = Region(x=50, y=20, width=100, height=75, reference_width=200, reference_height=150)
    group = with_changes(group, region=region)
    piece = with_changes(sample_piece(tmp_path / "pictures"), photographs=(group,))
    manifest = _manifest(tmp_path, piece)
    (canvas,) = manifest["items"]
    (place,) = manifest["structures"][0]["items"][0]["items"]
    assert place["source"]["id"] == canvas["id"]
    assert place["selector"] == {"type": "FragmentSelector", "value": "xywh=100,40,200,150"}
    (tag,) = canvas["annotations"][0]["items"]
    assert tag["target"] == f"{canvas['id']}#xywh=100,40,200,150"
    assert tag["body"]["value"] == "T 0417, Bowl with celadon glaze"


def test_one_photograph_of_two_views_is_one_canvas_in_two_ranges(tmp_path: Path) -> None:
    first = sample_photograph(tmp_path / "pictures", View.BASE, 400)
    region = Region(x=0, y=0, width=100, height=75, reference_width=400, reference_height=300)
    second = with_changes(
        first, depiction=Depiction(object=BOWL.id, view=View.MARK), label="mark", region=region
    )
    piece = with_changes(sample_piece(tmp_path / "pictures"), photographs=(first, second))
    manifest = _manifest(tmp_path, piece)
    (canvas,) = manifest["items"]
    assert canvas["label"]["en"] == ["base, mark"]
    base, mark = manifest["structures"][0]["items"]
    assert base["items"] == [{"id": canvas["id"], "type": "Canvas"}]
    assert mark["items"][0]["selector"]["value"] == "xywh=0,0,100,75"


def test_pictures_of_the_same_name_get_folders_of_their_own(tmp_path: Path) -> None:
    pictures = [
        with_changes(sample_photograph(tmp_path / str(size), View.BASE, size), name=name)
        for size, name in [(90, "base.jpg"), (91, "base.png"), (92, "base-2.jpg")]
    ]
    photographs = tuple(
        with_changes(p, photograph=replace(p.photograph, id=str(n))) for n, p in enumerate(pictures)
    )
    piece = with_changes(sample_piece(tmp_path / "pictures"), photographs=photographs)
    manifest = _manifest(tmp_path, piece)
    services = [c["items"][0]["items"][0]["body"]["service"][0]["id"] for c in manifest["items"]]
    assert [s.rsplit("/", 1)[1] for s in services] == ["base", "base-2", "base-2-2"]


def test_words_stand_in_the_language_of_the_archive_and_headings_in_english(
    tmp_path: Path,
) -> None:
    selection = sample_selection(tmp_path, [sample_piece(tmp_path / "pictures")])
    selection = with_changes(selection, archive=with_changes(selection.archive, language="nl"))
    export(IIIF, selection, tmp_path)
    (folder,) = [f for f in (tmp_path / "iiif").iterdir() if f.is_dir()]
    manifest = _json(folder / "manifest.json")
    assert list(manifest["label"]) == ["nl"]
    assert {tuple(p["label"]) for p in manifest["metadata"]} == {("en",)}
    assert {tuple(p["value"]) for p in manifest["metadata"]} == {("nl",)}


def test_a_title_in_two_languages_stands_in_both(tmp_path: Path) -> None:
    titles = (
        Title(value="Bowl"),
        Title(value="鉢", language="ja", preferred=True),
        Title(value="Dish", certainty=Certainty.REJECTED, language="nl"),
    )
    manifest = _manifest(tmp_path, _of(replace(BOWL, titles=titles), tmp_path))
    assert manifest["label"] == {"ja": ["鉢"], "en": ["Bowl"]}


def test_a_piece_without_title_goes_by_its_number(tmp_path: Path) -> None:
    manifest = _manifest(tmp_path, _of(replace(BOWL, titles=()), tmp_path))
    assert manifest["label"] == {"none": ["T 0417"]}


def test_the_metadata_tell_what_is_held_and_what_is_not(tmp_path: Path) -> None:
    manifest = _manifest(tmp_path, _of(BOWL, tmp_path))
    assert _values(manifest, "Date") == ["late 18th or early 19th century (1775–1825; probable)"]
    assert _values(manifest, "Other opinion") == ["date: c. 1900 (1895–1905; possible)"]
    assert "held to be later than it claims" in _values(manifest, "Mark")[0]


def test_prices_are_in_no_file(tmp_path: Path) -> None:
    sale = SaleFact(stage=SaleStage.SOLD, amount="4200", currency="GBP", as_stated="4200")
    piece = _of(replace(BOWL, sales=(sale,)), tmp_path)
    export(IIIF, sample_selection(tmp_path, [piece], audience="owner"), tmp_path)
    for file in (tmp_path / "iiif").rglob("*.json"):
        assert "4200" not in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("edtf", "moment"),
    [
        ("1811", "1811-01-01T00:00:00Z"),
        ("1811-05", "1811-05-01T00:00:00Z"),
        ("1811-05-30", "1811-05-30T00:00:00Z"),
    ],
)
def test_a_certain_date_of_one_year_or_day_is_put_on_the_timeline(
    edtf: str, moment: str, tmp_path: Path
) -> None:
    assert _manifest(tmp_path, _of(_dated(edtf), tmp_path))["navDate"] == moment
    assert _json(tmp_path / "iiif" / "collection.json")["items"][0]["navDate"] == moment


@pytest.mark.parametrize(
    ("edtf", "certainty"),
    [
        ("1811", Certainty.PROBABLE),
        ("1811?", Certainty.CERTAIN),
        ("1811~", Certainty.CERTAIN),
        ("1775/1825", Certainty.CERTAIN),
        ("181X", Certainty.CERTAIN),
        ("0000", Certainty.CERTAIN),
        ("-0205", Certainty.CERTAIN),
    ],
)
def test_a_date_that_is_uncertain_or_a_span_is_not(
    edtf: str, certainty: Certainty, tmp_path: Path
) -> None:
    assert "navDate" not in _manifest(tmp_path, _of(_dated(edtf, certainty), tmp_path))


def test_the_dublin_core_is_linked_where_it_is_in_the_release(tmp_path: Path) -> None:
    piece = _of(BOWL, tmp_path)
    files = export([IIIF, DUBLIN_CORE], sample_selection(tmp_path, [piece]), tmp_path)
    manifest = _json(tmp_path / "iiif" / piece.slug / "manifest.json")
    linked = [link["id"].split(".invalid/")[1] for link in manifest["seeAlso"]]
    assert linked
    assert set(linked) <= set(files)
    assert "seeAlso" not in _manifest(tmp_path / "alone", piece)


def test_addresses_begin_with_the_base_given_else_that_of_the_archive(tmp_path: Path) -> None:
    piece = _of(BOWL, tmp_path)
    options = IiifOptions(base_uri="https://pots.example/library")
    manifest = _manifest(tmp_path / "a", piece, options)
    assert manifest["id"] == f"https://pots.example/library/iiif/{piece.slug}/manifest.json"
    selection = sample_selection(tmp_path, [piece])
    archive = with_changes(selection.archive, base_uri="https://tidewell.example/")
    export(IIIF, with_changes(selection, archive=archive), tmp_path / "b")
    manifest = _json(tmp_path / "b" / "iiif" / piece.slug / "manifest.json")
    assert manifest["id"].startswith("https://tidewell.example/iiif/")


def test_an_archive_published_nowhere_has_addresses_that_lead_nowhere_and_says_so(
    tmp_path: Path,
) -> None:
    # RFC 6761, 6.4: names in `.invalid` never resolve.
    manifest = _manifest(tmp_path, _of(BOWL, tmp_path))
    assert manifest["id"].startswith("https://7f1d3c52-0b7e-4f0e-9a51-2f6f1f0c9a10.invalid/iiif/")
    summary = _json(tmp_path / "iiif" / "collection.json")["summary"]["en"][0]
    assert "Not published" in summary


def test_a_piece_without_photographs_has_no_manifest_and_the_collection_says_so(
    tmp_path: Path,
) -> None:
    shown = _of(BOWL, tmp_path)
    bare = with_changes(shown, photographs=(), slug="bare")
    broken = with_changes(
        shown,
        slug="broken",
        photographs=tuple(
            with_changes(p, photograph=replace(p.photograph, undecodable="cut short"))
            for p in shown.photographs
        ),
    )
    files = export(IIIF, sample_selection(tmp_path, [bare, shown, broken]), tmp_path)
    assert not [path for path in files if "/bare/" in path or "/broken/" in path]
    collection = _json(tmp_path / "iiif" / "collection.json")
    assert len(collection["items"]) == 1
    assert "2 more have no photograph" in collection["summary"]["en"][0]


@pytest.mark.parametrize(
    ("uri", "given"),
    [
        ("http://rightsstatements.org/vocab/InC/1.0/", "http://rightsstatements.org/vocab/InC/1.0/"),
        ("https://rightsstatements.org/page/InC/1.0/?language=en",
         "http://rightsstatements.org/vocab/InC/1.0/"),
        ("https://creativecommons.org/licenses/by-nc/4.0/",
         "http://creativecommons.org/licenses/by-nc/4.0/"),
        ("https://creativecommons.org/publicdomain/zero/1.0",
         "http://creativecommons.org/publicdomain/zero/1.0/"),
        ("https://example.org/my-terms", ""),
        ("all rights reserved", ""),
        ("", ""),
    ],
)  # fmt: skip
def test_rights_are_only_of_the_kinds_that_iiif_takes(uri: str, given: str) -> None:
    # Presentation API 3.0, 3.1 rights; with http as those bodies publish them.
    assert rights_uri(uri) == given


def test_rights_of_another_kind_are_said_in_the_required_statement(tmp_path: Path) -> None:
    rights = Rights(uri="https://example.org/my-terms", holder="A. Orr", credit="Photo: Orr")
    manifest = _manifest(tmp_path, _of(replace(BOWL, rights=rights), tmp_path))
    assert "rights" not in manifest
    assert manifest["requiredStatement"]["value"]["en"] == [
        "Photo: Orr",
        "Rights holder: A. Orr",
        "Rights: https://example.org/my-terms",
    ]


def test_words_in_angle_brackets_are_kept_from_being_taken_for_html(tmp_path: Path) -> None:
    notes = (Note(as_stated="<script>alert(1)</script>"),)
    titles = (Title(value="<b>Bowl</b>"),)
    record = replace(BOWL, titles=titles, descriptions=notes)
    manifest = _manifest(tmp_path, _of(record, tmp_path))
    assert _values(manifest, "Description") == ["<script>alert(1)</script> "]
    assert manifest["label"]["en"] == ["<b>Bowl</b> "]
    assert plain("a < b > c") == "a < b > c"


def test_the_pixels_of_all_tiles_together_are_the_picture(tmp_path: Path) -> None:
    picture = Image.linear_gradient("L").resize((700, 500))
    picture = Image.merge("RGB", (picture, picture.transpose(Image.Transpose.ROTATE_180), picture))
    ImageDraw.Draw(picture).ellipse((300, 100, 420, 220), fill="white")
    photograph = _saved(picture, tmp_path / "other")
    piece = with_changes(_of(BOWL, tmp_path), photographs=(photograph,))
    options = IiifOptions(tile_size=256, quality=95)
    files = export(IIIF, sample_selection(tmp_path, [piece]), tmp_path, options)
    whole = Image.new("RGB", (700, 500))
    tiles = 0
    for path, file in files.items():
        found = re.search(r"/(\d+),(\d+),(\d+),(\d+)/\3,\4/0/default\.jpg$", path)
        if found:
            with Image.open(file.location) as tile:
                whole.paste(tile, (int(found[1]), int(found[2])))
                tiles += 1
    assert tiles == 6
    difference = ImageStat.Stat(ImageChops.difference(whole, picture))
    assert max(difference.mean) < 1.5, "no more than JPEG takes away"


def _saved(picture: Image.Image, folder: Path, **how: Any) -> DisclosedPhotograph:
    """The picture as a release hands it on."""
    photograph = sample_photograph(folder)
    picture.save(photograph.path, "JPEG", quality=95, **how)
    return with_picture(photograph, photograph.path, width=picture.width, height=picture.height)


def test_a_picture_lying_on_its_side_is_shown_upright_and_without_its_headers(
    tmp_path: Path,
) -> None:
    # EXIF 2.3, 4.6.4 A: orientation 6 means that row 0 is the right-hand side.
    lying = Image.new("RGB", (300, 200), "black")
    ImageDraw.Draw(lying).rectangle((0, 0, 99, 199), fill="white")
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010E] = "secret words"
    photograph = _saved(lying, tmp_path / "other", exif=exif)
    photograph = with_changes(photograph, width=200, height=300)
    piece = with_changes(_of(BOWL, tmp_path), photographs=(photograph,))
    manifest = _manifest(tmp_path, piece)
    assert (manifest["items"][0]["width"], manifest["items"][0]["height"]) == (200, 300)
    full = tmp_path / "iiif" / piece.slug / "overall" / "full" / "max" / "0" / "default.jpg"
    with Image.open(full) as image:
        assert image.size == (200, 300)
        assert image.getpixel((100, 20)) > (200, 200, 200)
        assert not image.getexif()
    assert b"secret" not in full.read_bytes()


def test_a_photograph_that_is_cut_short_is_named_and_is_not_in_the_collection(
    tmp_path: Path,
) -> None:
    piece = _of(BOWL, tmp_path)
    path = piece.photographs[0].path
    path.write_bytes(path.read_bytes()[:300])
    cut = with_picture(piece.photographs[0], path)
    piece = with_changes(piece, photographs=(cut, *piece.photographs[1:]))
    exporter = IIIF.make(IiifOptions())
    selection = sample_selection(tmp_path, [piece])
    with pytest.raises(SourceError, match=r"overall\.jpg"):
        exporter.export_piece(piece, selection, FolderPackage(tmp_path / "out" / "a"))
    exporter.export_selection(selection, FolderPackage(tmp_path / "out" / "b"))
    assert _json(tmp_path / "out" / "b" / "collection.json")["items"] == []


def test_a_photograph_of_another_size_than_recorded_is_an_error_that_names_both(
    tmp_path: Path,
) -> None:
    piece = _of(BOWL, tmp_path)
    wrong = tuple(with_changes(p, width=95) for p in piece.photographs)
    with pytest.raises(PackageError, match="95 by 72 pixels and has 96 by 72"):
        _manifest(tmp_path, with_changes(piece, photographs=wrong))


@pytest.mark.parametrize(
    "options",
    [
        IiifOptions(base_uri="pots.example"),
        IiifOptions(tile_size=0),
        IiifOptions(quality=100),
    ],
)
def test_options_that_cannot_work_are_refused_before_anything_is_written(
    options: IiifOptions,
) -> None:
    with pytest.raises(SelectionError):
        IIIF.make(options)


def test_two_runs_give_the_same_bytes(tmp_path: Path) -> None:
    piece = _of(BOWL, tmp_path)
    first = export(IIIF, sample_selection(tmp_path, [piece]), tmp_path / "a")
    second = export(IIIF, sample_selection(tmp_path, [piece]), tmp_path / "b")
    assert {p: f.sha256 for p, f in first.items()} == {p: f.sha256 for p, f in second.items()}


def test_the_longest_names_still_fit_in_a_package(tmp_path: Path) -> None:
    photograph = with_changes(sample_photograph(tmp_path / "p"), name=f"{'x' * 36}.jpg")
    piece = with_changes(_of(BOWL, tmp_path), slug="y" * 37, photographs=(photograph,))
    for path in export(IIIF, sample_selection(tmp_path, [piece]), tmp_path):
        check_path(path)
    check_path(f"iiif/{'y' * 37}/{'x' * 35}/30000,20000,10000,10000/1024,1024/0/default.jpg")


def test_the_description_loads_without_the_picture_library() -> None:
    program = "import sys, archivist_plugins.iiif; sys.exit('PIL' in sys.modules)"
    path = [folder for folder in sys.path if folder]
    ended = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path[:0] = {path!r}; {program}"], check=False
    )
    assert ended.returncode == 0
