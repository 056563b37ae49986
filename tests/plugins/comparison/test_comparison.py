"""Sheets on which one view of many pieces stands side by side, in order of date, at one scale."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from dataclasses import replace as with_changes
from pathlib import Path

import pikepdf
import pytest
from msgspec.structs import replace
from PIL import Image, ImageDraw

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import (
    Aspect,
    Attribution,
    Basis,
    Certainty,
    Date,
    Dimension,
    Mark,
    MarkKind,
    MarkRelation,
    Measurement,
    Region,
    Title,
    Unit,
    View,
)
from archivist.testing import (
    BOWL,
    FARMHOUSE,
    export,
    sample_photograph,
    sample_selection,
    with_picture,
)
from archivist_plugins.comparison import COMPARISON, ComparisonOptions, Form, Paper
from archivist_plugins.comparison.figures import figures
from archivist_plugins.comparison.layout import (
    Extent,
    common_scale,
    printed,
    ratio_words,
    scale_bar,
    sheet,
)
from tests.release.searching import page_text

SIZE = (900, 1200)


def picture(folder: Path, view: View, tall: int, name: str) -> DisclosedPhotograph:
    """An upright shape of `tall` pixels, half as wide, on an even ground."""
    image = Image.new("RGB", SIZE, (150, 152, 155))
    box = (450 - tall // 4, 1100 - tall, 450 + tall // 4, 1100)
    ImageDraw.Draw(image).ellipse(box, fill=(120, 60, 40))
    folder.mkdir(parents=True, exist_ok=True)
    image.save(folder / name, "JPEG", quality=85)
    sample = sample_photograph(folder / "sample", view)
    return with_picture(sample, folder / name, name=name, width=SIZE[0], height=SIZE[1])


def vase(
    folder: Path,
    number: int,
    *,
    years: tuple[int, int] | None = (1736, 1795),
    high: str = "",
    tall: int = 1000,
    view: View = View.OVERALL,
    basis: Basis = Basis.MEASURED,
    marks: tuple[Mark, ...] = (),
    who: str = "",
) -> Piece:
    """A piece whose height in centimetres and in its picture are known exactly."""
    date = (
        Attribution(
            aspect=Aspect.DATE,
            date=Date(edtf="x", earliest=years[0], latest=years[1]),
            who=who,
            preferred=bool(who),  # adopted, so that it is held
            certainty=Certainty.PROBABLE,
        )
        if years
        else None
    )
    record = replace(
        BOWL,
        id=f"{number:08d}-4a86-4d6c-9f62-5d6f4e0b7a01",
        stock_number=f"V {number}",
        titles=(Title(value=f"Vase, {number} of many", preferred=True),),
        attributions=(date,) if date else (),
        measurements=(
            Measurement(
                dimension=Dimension.HEIGHT, low=high, high=high, unit=Unit.CENTIMETRE, basis=basis
            ),
        )
        if high
        else (),
        marks=marks,
    )
    shown = picture(folder, view, tall, f"{number}.jpg")
    return Piece(record, (shown,), (FARMHOUSE,), f"v-{number}", f"https://x.example/{number}")


def compared(folder: Path, pieces: list[Piece], **options: object) -> list[Path]:
    """The files of a comparison."""
    made = export(
        COMPARISON,
        sample_selection(folder / "none", pieces),
        folder / "out",
        ComparisonOptions(**options),  # type: ignore[arg-type]
    )
    return [file.location for _, file in sorted(made.items())]


def words(path: Path) -> list[str]:
    """The words of each page, without the marks of where typst let a line break."""
    with pikepdf.open(path) as pdf:
        return [" ".join(page_text(page).split()) for page in pdf.pages]


def test_pieces_stand_in_order_of_date_with_their_captions(tmp_path: Path) -> None:
    mark = Mark(kind=MarkKind.REIGN, claim="Chenghua", relation=MarkRelation.LATER_THAN_IT_CLAIMS)
    pieces = [
        vase(tmp_path, 1, years=None),
        vase(tmp_path, 2, years=(1800, 1820), marks=(mark,)),
        vase(tmp_path, 3, years=(1700, 1750), high="30", basis=Basis.RECALLED, who=FARMHOUSE.id),
    ]
    (file,) = compared(tmp_path, pieces)
    (page,) = words(file)
    assert "Overall, side by side" in page
    assert "3 pieces in order of date" in page
    places = [page.index(f"V {number}") for number in (3, 2, 1)]
    assert places == sorted(places)
    assert "1700–1750 (probable)" in page
    assert f"held by {FARMHOUSE.name}" in page
    assert "mark of Chenghua; held to be later than it claims" in page
    assert "scale by height 30 cm (12 in), as recalled" in page
    assert page.count("not to scale") == 2
    assert "no date" in page
    assert "For public" in page


def test_a_centimetre_is_as_long_in_every_picture(tmp_path: Path) -> None:
    found = []
    for number, (high, tall) in enumerate((("30", 1000), ("15", 1000), ("20", 500))):
        piece = vase(tmp_path, number, high=high, tall=tall)
        found += figures(piece, sample_selection(tmp_path, [piece]), View.OVERALL, tmp_path, 600)
    frame = sheet(ComparisonOptions()).frame
    scale = common_scale([figure.extent for figure in found], frame)
    assert scale is not None
    for figure, (high, tall) in zip(found, ((300, 1000), (150, 1000), (200, 500)), strict=True):
        wide, tall_on_paper = printed(figure.extent, frame, scale)
        assert tall_on_paper * tall / SIZE[1] == pytest.approx(high * scale, rel=0.03)
        assert wide <= frame[0] + 1e-9
        assert tall_on_paper <= frame[1] + 1e-9
    assert max(printed(f.extent, frame, scale)[1] for f in found) == pytest.approx(frame[1])


def test_what_has_no_scale_is_as_large_as_it_fits() -> None:
    assert printed(Extent((200, 100)), (50, 50), 0.1) == (50, 25)
    assert printed(Extent((100, 200), (10, 20)), (50, 50), None) == (25, 50)
    assert common_scale([Extent((1, 1))], (50, 50)) is None


@pytest.mark.parametrize(
    ("scale", "told", "length", "ratio"),
    [
        (0.1, "20 cm", 20, "1 : 10"),
        (0.237, "10 cm", 23.7, "1 : 4.2"),
        (0.02, "100 cm", 20, "1 : 50"),
        (2.5, "1 cm", 25, "2.5 : 1"),
        (9, "2 mm", 18, "9 : 1"),
    ],
)
def test_the_bar_stands_for_a_round_length(
    scale: float, told: str, length: float, ratio: str
) -> None:
    bar = scale_bar(scale)
    assert (bar.words, ratio_words(bar.ratio)) == (told, ratio)
    assert bar.length == pytest.approx(length)


def test_the_scale_is_on_the_sheet_only_where_there_is_one(tmp_path: Path) -> None:
    (file,) = compared(tmp_path / "a", [vase(tmp_path, 1, high="30")])
    (page,) = words(file)
    assert "At one scale, 1 : " in page
    (file,) = compared(tmp_path / "b", [vase(tmp_path, 1)])
    (page,) = words(file)
    assert "None of these is to scale" in page
    assert "1 : " not in page
    (file,) = compared(tmp_path / "c", [vase(tmp_path, 1, high="30")], scaled=False)
    (page,) = words(file)
    assert "as large as it fits" in page
    assert "not to scale" not in page


def test_pieces_without_that_view_are_left_out_and_named(tmp_path: Path) -> None:
    pieces = [vase(tmp_path, 1, view=View.FOOT_RIM), vase(tmp_path, 2)]
    (file,) = compared(tmp_path, pieces, view=View.FOOT_RIM)
    (page,) = words(file)
    assert "Foot rim, side by side" in page
    assert "1 piece has no photograph of this view and is left out: V 2" in page


def test_no_photograph_of_that_view_makes_no_sheet(tmp_path: Path) -> None:
    assert compared(tmp_path, [vase(tmp_path, 1)], view=View.MOUTH) == []


def test_of_a_group_photograph_the_part_that_shows_the_piece_is_set(tmp_path: Path) -> None:
    piece = vase(tmp_path, 1, high="30")
    region = Region(x=90, y=60, width=300, height=600, reference_width=900, reference_height=1200)
    piece = with_changes(piece, photographs=(with_changes(piece.photographs[0], region=region),))
    (made,) = figures(piece, sample_selection(tmp_path, [piece]), View.OVERALL, tmp_path, 4000)
    assert made.extent.pixels == (300, 600)
    assert made.extent.life == pytest.approx((150, 300))
    with Image.open(tmp_path / made.file) as image:
        assert image.size == (300, 600)


def test_a_damaged_photograph_is_said_to_be(tmp_path: Path) -> None:
    piece = vase(tmp_path, 1)
    photograph = piece.photographs[0]
    photograph.path.write_bytes(b"\xff\xd8\xff\xe0 no picture")
    piece = with_changes(piece, photographs=(with_picture(photograph, photograph.path),))
    (file,) = compared(tmp_path, [piece, vase(tmp_path / "other", 2)])
    assert "its file is damaged" in words(file)[0]


@pytest.mark.parametrize(
    ("paper", "landscape", "size"),
    [
        (Paper.A4, False, (595, 842)),
        (Paper.A4, True, (842, 595)),
        (Paper.LETTER, False, (612, 792)),
        (Paper.LETTER, True, (792, 612)),
    ],
)
def test_the_paper_is_that_which_was_asked_for(
    tmp_path: Path, paper: Paper, landscape: bool, size: tuple[int, int]
) -> None:
    (file,) = compared(tmp_path, [vase(tmp_path, 1)], paper=paper, landscape=landscape)
    with pikepdf.open(file) as pdf:
        boxes = {tuple(round(float(n)) for n in page.mediabox[2:]) for page in pdf.pages}  # type: ignore[index]
    assert boxes == {size}


def test_many_pieces_take_many_pages_and_lose_none(tmp_path: Path) -> None:
    shown = vase(tmp_path, 0).photographs
    pieces = [
        Piece(
            replace(BOWL, id=f"{n:08d}-4a86-4d6c-9f62-5d6f4e0b7a01", stock_number=f"M-{n:03d}"),
            shown, (FARMHOUSE,), f"m-{n}", "https://x.example",
        )
        for n in range(60)
    ]  # fmt: skip
    (file,) = compared(tmp_path, pieces, columns=5)
    pages = words(file)
    assert len(pages) > 2
    for number in range(60):
        assert sum(f"M-{number:03d}" in page for page in pages) == 1
    assert all(f"{n} / {len(pages)}" in page for n, page in enumerate(pages, start=1))


def test_a_png_is_a_picture_of_each_page(tmp_path: Path) -> None:
    files = compared(
        tmp_path, [vase(tmp_path, number) for number in range(2)], form=Form.PNG, columns=1
    )
    assert [file.name for file in files] == ["page-001.png", "page-002.png"]
    for file in files:
        with Image.open(io.BytesIO(file.read_bytes())) as image:
            assert image.size == pytest.approx((210 / 25.4 * 200, 297 / 25.4 * 200), abs=1)


def test_the_same_pieces_give_the_same_bytes(tmp_path: Path) -> None:
    piece = vase(tmp_path, 1, high="30")
    first, second = (compared(tmp_path / name, [piece])[0] for name in ("a", "b"))
    assert first.read_bytes() == second.read_bytes()


def test_another_checker_finds_no_fault_by_pdf_ua_1(tmp_path: Path) -> None:
    pytest.importorskip("outloud", reason="outloud is not installed")
    (file,) = compared(tmp_path, [vase(tmp_path, 1, high="30"), vase(tmp_path, 2)])
    report = tmp_path / "report.json"
    command = [sys.executable, "-c", "from outloud.cli import main; main()", str(file)]
    subprocess.run([*command, "--json", str(report)], capture_output=True, check=False)
    (result,) = json.loads(report.read_text(encoding="utf-8"))["results"]
    assert len([rule for rule in result["rules"] if rule["status"] == "ran"]) > 40
    assert result["findings"] == []
