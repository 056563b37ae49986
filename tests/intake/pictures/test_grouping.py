"""Photographs of one piece are put together by what names say, then by clock and likeness."""

from __future__ import annotations

import pytest

from archivist.intake.pictures.grouping import Grouped, Thin, grouped
from archivist.intake.pictures.labels import Entry
from archivist.intake.pictures.look import Look
from archivist.intake.pictures.names import (
    day_in,
    is_general_folder,
    moment_in,
    own_numbers,
    plain_stem,
    words_left,
)
from archivist.model import Certainty
from archivist.reading.tables import load_tables

TABLES = load_tables()


def look(colour: int) -> Look:
    """A look of which only the palette is of interest."""
    palette = bytes(255 if n == colour else 0 for n in range(27))
    return Look(
        width=4, height=3, frequencies=b"", small=b"", colour=(0, 0, 0), background=(0, 0, 0),
        background_spread=0, palette=palette, sharpness=0,
    )  # fmt: skip


def paths(*entries: Entry) -> list[list[str]]:
    groups, _ = grouped(entries, TABLES)
    return [[entries[m].path for m in group.members] for group in groups]


def named(*names: str) -> list[list[str]]:
    return paths(*(Entry(name, number) for number, name in enumerate(names)))


def test_a_number_in_names_and_folders_is_one_piece() -> None:
    assert named(
        "2009/March/HW 0417 blue vase/IMG_1234.JPG",
        "2009/March/HW 0417 blue vase/foot.jpg",
        "for web/hw417 small.jpg",
        "HW 0418/IMG_1235.JPG",
        "HW-0418 foot.tif",
    ) == [
        ["2009/March/HW 0417 blue vase/IMG_1234.JPG", "2009/March/HW 0417 blue vase/foot.jpg",
         "for web/hw417 small.jpg"],
        ["HW 0418/IMG_1235.JPG", "HW-0418 foot.tif"],
    ]  # fmt: skip


def test_numbers_without_letters_are_those_with_the_usual_letters() -> None:
    assert named("HW 0417/a.jpg", "HW 0418/b.jpg", "0417 foot.jpg") == [
        ["0417 foot.jpg", "HW 0417/a.jpg"],
        ["HW 0418/b.jpg"],
    ]


def test_a_folder_named_for_a_piece_holds_one_piece() -> None:
    found = named("2009/blue vase/IMG_1.JPG", "2009/blue vase/IMG_2.JPG", "2009/jar/IMG_3.JPG")
    assert found == [
        ["2009/blue vase/IMG_1.JPG", "2009/blue vase/IMG_2.JPG"],
        ["2009/jar/IMG_3.JPG"],
    ]


def test_names_in_a_general_folder_part_pieces() -> None:
    found = named(
        "March/blue vase (1).jpg", "March/blue vase foot (2).jpg", "March/blue vase small (1).jpg",
        "March/blue vase small Marke.jpg",
    )  # fmt: skip
    assert found == [
        ["March/blue vase (1).jpg", "March/blue vase foot (2).jpg"],
        ["March/blue vase small (1).jpg", "March/blue vase small Marke.jpg"],
    ]


def test_a_copy_goes_with_its_original_wherever_it_lies() -> None:
    found = paths(
        Entry("HW 0417/IMG_1.JPG", 0),
        Entry("HW 0418/IMG_2.JPG", 1),
        Entry("for web/a81c33.jpg", 0, copy=True),
    )
    assert found == [["HW 0417/IMG_1.JPG", "for web/a81c33.jpg"], ["HW 0418/IMG_2.JPG"]]


def row(gaps: list[float], colours: list[int] | None = None) -> tuple[list[Grouped], list[Thin]]:
    """Photographs of a card, so many seconds after each other."""
    moment, entries = 0.0, []
    for number, gap in enumerate([0.0, *gaps]):
        moment += gap
        seen = look(colours[number]) if colours else None
        entries.append(
            Entry(f"DCIM/100ABCDE/DSC_{number:04d}.JPG", number, seen, moment=moment, camera="C")
        )
    return grouped(entries, TABLES)


def sizes(groups: list[Grouped]) -> list[int]:
    return [len(group.members) for group in groups]


def test_long_gaps_part_pieces_of_a_card() -> None:
    groups, _ = row([9, 12, 10, 200, 14, 9, 240, 11, 8, 12])
    assert sizes(groups) == [4, 3, 4]
    assert all(group.certainty is not Certainty.CERTAIN for group in groups)


def test_what_a_gap_means_is_found_in_the_row_itself() -> None:
    slow, _ = row([60, 80, 70, 900, 75, 66, 1100, 82, 64, 71])
    assert sizes(slow) == [4, 3, 4]


def test_a_clock_that_is_years_off_changes_nothing() -> None:
    gaps = [9.0, 12, 10, 200, 14, 9, 240, 11, 8, 12]
    entries = [
        Entry(f"card/DSC_{n:04d}.JPG", n, moment=-9e8 + sum(gaps[:n]), camera="C")
        for n in range(len(gaps) + 1)
    ]
    assert sizes(grouped(entries, TABLES)[0]) == [4, 3, 4]


def test_scans_without_a_clock_are_parted_by_their_looks_and_are_no_more_than_possible() -> None:
    entries = [Entry(f"scans/scan{n:04d}.tif", n, look(c)) for n, c in enumerate([3, 3, 3, 9, 9])]
    groups, _ = grouped(entries, TABLES)
    assert sizes(groups) == [3, 2]
    assert {group.certainty for group in groups} == {Certainty.POSSIBLE}


def test_an_edge_that_is_thin_is_named() -> None:
    _, thin = row([9, 12, 10, 46, 14, 9, 300, 11, 8, 320, 9, 11], None)
    _, plain = row([9, 12, 10, 300, 14, 9, 300, 11, 8, 320, 9, 11], None)
    assert not plain
    assert all(part.members for part in thin)


def test_several_numbers_in_one_name_are_a_group_photograph() -> None:
    groups, _ = grouped([Entry("group 0407 0418 0419.jpg", 0), Entry("0407 foot.jpg", 1)], TABLES)
    assert [group.several for group in groups] == [False, True]


def test_a_folder_with_two_numbers_is_named_and_decides_nothing() -> None:
    groups, thin = grouped([Entry("HW 0417 and HW 0418/IMG_1.JPG", 0)], TABLES)
    assert not groups[0].key.startswith("number")
    assert any("several numbers" in part.says for part in thin)


def test_one_picture_with_two_numbers_is_named() -> None:
    _, thin = grouped(
        [Entry("HW 0417/a.jpg", 0), Entry("HW 0418/a.jpg", 0), Entry("HW 0418/b.jpg", 1)], TABLES
    )
    assert [part.says for part in thin] == ["one picture is claimed by two pieces"]


@pytest.mark.parametrize(
    ("name", "numbers"),
    [
        ("HW 0417 vase", ["hw 417"]), ("hw-417", ["hw 417"]), ("HW0417", ["hw 417"]),
        ("0417 foot", ["417"]), ("IMG_0417", []), ("DSC 0417", []), ("scan0003", []),
        ("2009", []), ("2009 March", []), ("P1010417", []), ("20171028_101112", []),
        ("e141e5", []), ("HW 0407 0418", ["hw 407", "hw 418"]), ("blue vase", []),
    ],
)  # fmt: skip
def test_own_numbers_are_told_from_those_of_cameras_and_years(
    name: str, numbers: list[str]
) -> None:
    assert list(own_numbers(name, TABLES)) == numbers


@pytest.mark.parametrize(
    ("name", "plain", "worked"),
    [
        ("Copy of foot", "foot", True), ("foot copy", "foot", True),
        ("Kopie von Fuß", "fuss", True),
        ("foot_small", "foot", True), ("foot (2)", "foot 2", False), ("foot-edited", "foot", True),
        ("small", "small", False), ("IMG_0417 (edited)", "img 0417", True),
        ("foot - Kopie (2)", "foot", True), ("foot-scaled", "foot", True),
    ],
)  # fmt: skip
def test_what_copies_are_called_by_is_taken_off(name: str, plain: str, worked: bool) -> None:
    assert plain_stem(name, TABLES) == (plain, worked)


def test_general_folders_and_piece_folders() -> None:
    general = [
        "March",
        "2009",
        "2014 fair",
        "for web",
        "100CANON",
        "Bilder",
        "Neuer Ordner",
        "2009-03-14",
    ]
    assert [name for name in general if not is_general_folder(name, TABLES)] == []
    assert not is_general_folder("blue vase", TABLES)
    assert not is_general_folder("HW 0417 moon jar", TABLES)
    assert words_left("blue vase Fuß (3)", TABLES) == "blue vase"


def test_moments_and_days_in_names() -> None:
    assert moment_in("WhatsApp Image 2019-03-02 at 10.11.12") == "2019-03-02T10:11:12"
    assert moment_in("20171028_101112") == "2017-10-28T10:11:12"
    assert moment_in("20171328_101112") == ""
    assert day_in("P20171028") == "2017-10-28"
    assert day_in("scan 20170230") == ""


def test_what_telephones_call_things_is_no_number_and_no_word_of_a_piece() -> None:
    assert own_numbers("IMG-20110304-WA0001", TABLES) == ()
    assert own_numbers("WA 0417 vase", TABLES) == ("wa 417",)
    for name in (
        "WhatsApp Image 2011-03-05 at 01.00.25",
        "WhatsApp Bild 2011-03-05 um 01.00.25",
        "WhatsApp Image 2011-03-05 om 01.00.25",
        "IMG-20110304-WA0001",
    ):
        assert words_left(name, TABLES) == ""
    assert moment_in("WhatsApp Bild 2011-03-05 um 01.00.25") == "2011-03-05T01:00:25"
