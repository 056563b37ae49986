"""Words are made ready for the typesetter without losing one, and what no font has is told."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.errors import PluginError
from archivist_plugins.typesetting import fonts as fonts_module
from archivist_plugins.typesetting.fonts import SCRIPT_FONTS, TEXT_FONTS, Fonts, installed_fonts
from archivist_plugins.typesetting.glyphs import (
    Typesetter,
    columns_of,
    direction_of,
    language_of,
    number,
    script_of,
)

FONTS = installed_fonts()
WORDS = st.text(st.characters(exclude_categories=("Cs",)), max_size=30)


def test_all_fonts_that_are_asked_for_are_installed_and_lie_where_they_are_said_to() -> None:
    assert FONTS.missing == ()
    assert all(file.is_file() for file in FONTS.files)
    names = " ".join(file.name for file in FONTS.files)
    for wanted in ("SourceSerif4", "SourceSans3", "SourceCodePro", "NotoSerifTC", "Amiri"):
        assert wanted in names


@pytest.mark.parametrize(
    "words",
    [
        "Glaze pools & thins; “blue-green” – 18.4 cm × 2",
        "大明成化年製",
        "古染付の皿",
        "조선백자",
        "青花瓷、古代陶瓷",
        "Qia\u0301nlo\u0301ng, x\u0327\u0302, Viê\u0323t",
        "صحن أزرق",
        "צלחת כחולה",
        "Ελληνικά, Русский, Ø œ ß đ ǎ",
    ],
)
def test_words_of_these_scripts_stay_as_they_are(words: str) -> None:
    typesetter = Typesetter(FONTS)
    assert typesetter.printable(words) == words
    assert typesetter.replaced == {}


def test_a_character_without_a_glyph_stands_as_its_number_and_is_counted() -> None:
    typesetter = Typesetter(FONTS)
    assert typesetter.printable("a\U00013000b\U00013000 \ue000\x07") == (
        "a‹U+13000›b‹U+13000› ‹U+E000›‹U+0007›"
    )
    assert typesetter.replaced == {"\U00013000": 2, "\ue000": 1, "\x07": 1}


def test_a_mark_that_no_font_sets_over_its_letter_follows_it_as_a_number() -> None:
    typesetter = Typesetter(Fonts(FONTS.files[:1]))
    assert typesetter.printable("e\u0489") == "e‹U+0489›"
    assert typesetter.replaced == {"\u0489": 1}


@given(WORDS)
def test_whatever_the_words_only_what_fonts_can_show_is_left_and_nothing_is_dropped(
    words: str,
) -> None:
    typesetter = Typesetter(FONTS)
    printable = typesetter.printable(words)
    expected = sum(len(number(c)) * n for c, n in typesetter.replaced.items())
    kept = len(" ".join(words.splitlines())) - sum(typesetter.replaced.values())
    assert len(printable) == kept + expected
    again = Typesetter(FONTS)
    assert again.printable(printable) == printable
    assert again.replaced == {}


@pytest.mark.parametrize(
    ("words", "direction"),
    [
        ("Dish", "ltr"),
        ("صحن blue", "rtl"),
        ("1736: צלחת", "rtl"),
        ("Dish صحن", "ltr"),
        ("18 – 20", "ltr"),
        ("大明", "ltr"),
    ],
)
def test_the_first_letter_with_a_direction_decides(words: str, direction: str) -> None:
    assert direction_of(words) == direction


@pytest.mark.parametrize(
    ("words", "script"), [("古染付の皿", "jp"), ("백자 白磁", "kr"), ("大明", "tc"), ("Dish", "tc")]
)
def test_chinese_characters_take_the_forms_of_the_script_they_stand_in(
    words: str, script: str
) -> None:
    assert script_of(words) == script


@pytest.mark.parametrize(
    ("words", "language"),
    [("古染付の皿、18.4", "ja"), ("조선 白磁", "ko"), ("大明", ""), ("皿の dish", ""), ("صحن", "")],
)
def test_a_language_is_named_only_where_the_script_alone_tells_it(
    words: str, language: str
) -> None:
    assert language_of(words) == language


def test_only_words_that_need_it_are_wrapped_and_those_for_programs_never() -> None:
    made = Typesetter(FONTS).content(
        {"text": "Dish", "lines": ["صحن"], "alt": "صحن", "n": 3, "none": None}
    )
    assert made == {
        "text": "Dish",
        "lines": [{"t": "صحن", "dir": "rtl", "script": "tc", "lang": ""}],
        "alt": "صحن",
        "n": 3,
        "none": None,
    }


@pytest.mark.parametrize(
    ("mark", "columns"),
    [
        ("大明\n成化\n年製", [["大", "明"], ["成", "化"], ["年", "製"]]),
        (" 福 ", [["福"]]),
        ("No. 12", None),
        ("大明 / 成化", None),
        ("大明成化年製大", None),
        ("", None),
    ],
)
def test_short_marks_of_chinese_characters_are_drawn_in_columns(
    mark: str, columns: list[list[str]] | None
) -> None:
    assert columns_of(mark) == columns


def test_a_missing_font_of_the_text_is_named_with_what_to_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(TEXT_FONTS, "no_such_font", "no-such-font")
    with pytest.raises(PluginError, match="no-such-font") as caught:
        installed_fonts()
    assert "pip install no-such-font" in caught.value.remedy


def test_a_missing_font_of_a_script_is_only_noted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(SCRIPT_FONTS, "no_such_script", "no-such-script")
    found = installed_fonts()
    assert found.missing == ("no-such-script",)
    assert found.files == FONTS.files


def test_a_font_package_that_names_itself_is_taken_in(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    package = tmp_path / "my_fonts"
    package.mkdir()
    (package / "__init__.py").write_text("", encoding="utf-8")
    (package / "Mine.ttf").write_bytes(FONTS.files[0].read_bytes())
    described = tmp_path / "my_fonts-1.dist-info"
    described.mkdir()
    (described / "METADATA").write_text("Name: my-fonts\nVersion: 1\n", encoding="utf-8")
    (described / "entry_points.txt").write_text(
        "[fontpkg.family]\nmine = my_fonts\n", encoding="utf-8"
    )
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    assert package / "Mine.ttf" in fonts_module.installed_fonts().files
