"""The dossier as a release makes it: one file a piece, whatever the piece is like."""

from __future__ import annotations

import io
from dataclasses import replace as with_changes
from importlib.metadata import EntryPoint
from pathlib import Path

import pikepdf
import pytest
from msgspec.structs import replace
from PIL import Image

from archivist.errors import PackageError, PluginError
from archivist.hooks import DisclosedPhotograph, ExporterDescription, Piece
from archivist.model import Note, ObjectRecord, Region, Title, View
from archivist.plugins import GROUP, load_plugins
from archivist.testing import (
    BOWL,
    export,
    sample_photograph,
    sample_piece,
    sample_selection,
    with_picture,
)
from archivist_plugins import bagit
from archivist_plugins.dossier import DOSSIER, DossierOptions, Paper
from archivist_plugins.dossier import exporter as exporter_module
from archivist_plugins.dossier.exporter import replaced_told
from archivist_plugins.dossier.pictures import LARGEST_OF_MANY, page_picture
from archivist_plugins.typesetting.fonts import Fonts, installed_fonts
from archivist_plugins.typesetting.glyphs import Typesetter

SLUG = "t-0417-0b9a4c1e"


def dossier(folder: Path, piece: Piece, paper: Paper = Paper.A4) -> Path:
    (made,) = export(
        DOSSIER, sample_selection(folder, [piece]), folder / "out", DossierOptions(paper=paper)
    ).values()
    return made.location


def pages(path: Path) -> int:
    with pikepdf.open(path) as pdf:
        return len(pdf.pages)


def attached(path: Path) -> bytes:
    with pikepdf.open(path) as pdf:
        return pdf.attachments["record.json"].get_file().read_bytes()


def test_the_host_finds_the_dossier_and_takes_it_for_a_package() -> None:
    plugins = load_plugins([EntryPoint("dossier", "archivist_plugins.dossier", GROUP)])
    assert plugins.failures == ()
    assert plugins.of("exporter", ExporterDescription) == (DOSSIER,)
    assert DOSSIER.immutable
    assert not DOSSIER.takes_in


@pytest.mark.parametrize(("paper", "size"), [(Paper.A4, (595, 842)), (Paper.LETTER, (612, 792))])
def test_one_file_a_piece_on_the_paper_that_was_asked_for(
    tmp_path: Path, paper: Paper, size: tuple[int, int]
) -> None:
    made = dossier(tmp_path, sample_piece(tmp_path), paper)
    assert made.name == f"{SLUG}.pdf"
    with pikepdf.open(made) as pdf:
        boxes = {tuple(round(float(n)) for n in page.mediabox[2:]) for page in pdf.pages}  # type: ignore[index]
    assert boxes == {size}


def test_the_same_piece_gives_the_same_bytes(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path)
    first = dossier(tmp_path / "a", piece).read_bytes()
    assert dossier(tmp_path / "b", piece).read_bytes() == first


def test_a_piece_without_photographs_or_words_has_a_dossier(tmp_path: Path) -> None:
    bare = Piece(ObjectRecord(id=BOWL.id), (), (), "bare", "uri")
    assert pages(dossier(tmp_path, bare)) == 5


@pytest.mark.parametrize("nothing", ["\x1e", " \t", "\u2028", "\u200b", "\u00ad", "\x07"])
def test_words_of_which_nothing_is_to_be_seen_are_set_all_the_same(
    tmp_path: Path, nothing: str
) -> None:
    """PDF/UA refuses a document without a title, and a heading without words."""
    note = Note(as_stated="Long words. " * 200, heading=nothing)
    for number, title in ((nothing, ()), (nothing, (Title(value=nothing),))):
        record = replace(
            BOWL, stock_number=number, titles=title, descriptions=(note, Note(as_stated=nothing))
        )
        made = dossier(tmp_path / f"{len(title)}", Piece(record, (), (), "seen", "uri"))
        with pikepdf.open(made) as pdf:
            assert str(pdf.docinfo["/Title"])


def test_three_hundred_photographs_are_all_shown_and_reduced(tmp_path: Path) -> None:
    photo = sample_photograph(tmp_path, View.DETAIL, 400)
    many = tuple(with_changes(photo, name=f"detail-{n:03d}.jpg") for n in range(300))
    made = dossier(tmp_path, with_changes(sample_piece(tmp_path), photographs=many))
    with pikepdf.open(made) as pdf:
        text = b"".join(page.Contents.read_bytes() for page in pdf.pages)
    assert text.count(b" Do") == 1 + 300, "the cover, and each of them"


def test_more_than_sixty_photographs_are_made_smaller(tmp_path: Path) -> None:
    photo = sample_photograph(tmp_path, size=2400)
    assert page_picture(photo, tmp_path, 0, many=True).width == LARGEST_OF_MANY
    assert page_picture(photo, tmp_path, 1, many=False).width > LARGEST_OF_MANY


def test_forty_thousand_words_of_description_are_set(tmp_path: Path) -> None:
    words = "\n".join(" ".join(f"word{n}x{m}" for m in range(400)) for n in range(100))
    record = replace(BOWL, descriptions=(Note(as_stated=words),))
    made = dossier(tmp_path, sample_piece(tmp_path, record))
    assert pages(made) > 60
    assert b"word99x399" in attached(made)


def test_a_photograph_that_cannot_be_decoded_is_said_and_the_rest_is_shown(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path)
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(piece.photographs[0].path.read_bytes()[:300])
    photo = with_picture(piece.photographs[0], broken)
    picture = page_picture(photo, tmp_path, 0, many=False)
    assert not picture.file
    assert str(tmp_path) not in picture.trouble
    made = dossier(tmp_path, with_changes(piece, photographs=(photo, piece.photographs[1])))
    assert pages(made) > 4


def test_of_a_region_only_the_region_is_shown(tmp_path: Path) -> None:
    Image.new("RGB", (200, 100), "red").save(tmp_path / "two.png")
    photo = sample_photograph(tmp_path)
    region = Region(x=50, y=0, width=100, height=100, reference_width=200, reference_height=100)
    cut = with_picture(photo, tmp_path / "two.png", region=region)
    picture = page_picture(cut, tmp_path, 0, many=False)
    assert (picture.width, picture.height) == (100, 100)


def test_nothing_that_a_photograph_carries_besides_its_picture_gets_into_the_file(
    tmp_path: Path,
) -> None:
    photo = _with_secrets(tmp_path)
    made = dossier(tmp_path, with_changes(sample_piece(tmp_path), photographs=(photo,)))
    streams = [made.read_bytes()]
    with pikepdf.open(made) as pdf:
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Stream):
                streams.append(thing.read_raw_bytes())
                if thing.get("/Filter") != "/DCTDecode":
                    streams.append(thing.read_bytes())
    everything = b"".join(streams)
    assert b"urn:uuid:" in everything
    for secret in (b"SECRET", str(tmp_path).encode(), b"dossier-"):
        assert secret not in everything


def _with_secrets(folder: Path) -> DisclosedPhotograph:
    photo = sample_photograph(folder)
    exif = Image.Exif()
    exif[270] = "SECRET-EXIF"
    target = io.BytesIO()
    Image.open(photo.path).save(target, "JPEG", exif=exif, comment=b"SECRET-COMMENT")
    path = folder / "SECRET-NAME.jpg"
    path.write_bytes(target.getvalue())
    assert b"SECRET-EXIF" in path.read_bytes()
    return with_picture(photo, path)


def test_words_that_no_font_can_show_are_told_and_stay_whole_in_the_record(tmp_path: Path) -> None:
    record = replace(BOWL, titles=(Title(value="Jar \U00013000 with \x07 bell"),))
    made = dossier(tmp_path, sample_piece(tmp_path, record))
    with pikepdf.open(made) as pdf:
        assert str(pdf.docinfo["/Title"]) == "Jar ‹U+13000› with ‹U+0007› bell"
    assert "\U00013000".encode() in attached(made)


def test_without_fonts_for_chinese_the_dossier_is_made_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = installed_fonts()
    latin = Fonts(
        tuple(f for f in found.files if "pylopdf" not in str(f)), ("pylopdf-fonts-zh-tw",)
    )
    monkeypatch.setattr(exporter_module, "installed_fonts", lambda: latin)
    made = dossier(tmp_path, sample_piece(tmp_path))
    assert "大明".encode() in attached(made)


def test_without_the_fonts_of_the_text_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing() -> Fonts:
        raise PluginError("no fonts", "install them")

    monkeypatch.setattr(exporter_module, "installed_fonts", missing)
    with pytest.raises(PluginError):
        dossier(tmp_path, sample_piece(tmp_path))
    assert not list((tmp_path / "out").rglob("*.pdf"))


def test_a_glyph_that_fails_in_setting_names_the_piece_and_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Fonts, "show", lambda self, cluster: True)
    record = replace(BOWL, titles=(Title(value="Jar \U00013000"),))
    with pytest.raises(PackageError, match="T 0417") as caught:
        dossier(tmp_path, sample_piece(tmp_path, record))
    assert "fontpkg" in caught.value.remedy


def test_the_pages_say_how_many_characters_stand_as_numbers_and_which_fonts_are_missing() -> None:
    fonts = Fonts(installed_fonts().files, ("pylopdf-fonts-ko",))
    typesetter = Typesetter(fonts)
    assert replaced_told(typesetter) == ""
    typesetter.printable("\U00013000")
    assert replaced_told(typesetter).startswith("1 character has no font")
    typesetter.printable("\U00013000")
    assert replaced_told(typesetter).startswith("2 characters have no font")
    assert replaced_told(typesetter).endswith("pylopdf-fonts-ko.")


def test_a_bag_takes_the_dossier_in_and_holds_the_same_record(tmp_path: Path) -> None:
    selection = sample_selection(tmp_path / "pictures", audience="buyer")
    written = export([DOSSIER, *bagit.archivist_exporters()], selection, tmp_path / "out")
    made = written[f"bagit/data/dossier/{SLUG}.pdf"].location
    with pikepdf.open(made) as pdf:
        for name in ("record.json", "parties.json"):
            inside = pdf.attachments[name].get_file().read_bytes()
            assert inside == written[f"bagit/data/objects/{SLUG}/{name}"].location.read_bytes()
