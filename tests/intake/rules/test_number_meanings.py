"""Numbers in names that are something else than a stock number are known for what they are."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.intake.rules.number_meanings import (
    CAMERA_FOLDER,
    MACHINE,
    PRICE,
    number_meanings,
    without_other_numbers,
)
from archivist.intake.stock_numbers import NumberIndex
from archivist.model import Certainty, ObjectRecord
from archivist.reading.tables import load_tables

TABLES = load_tables()

BOOK = NumberIndex(
    (
        ObjectRecord(id=f"HW {n:04d}", stock_number=f"HW {n:04d}")
        for n in (102, 350, 417, 480, 1200, 2006, 2009, 2012)
    ),
    TABLES,
)


def kinds(name: str) -> set[str]:
    return {meaning.what for meaning in number_meanings(name, TABLES)}


@given(
    st.integers(100, 999),
    st.text(alphabet="ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_", min_size=5, max_size=5).filter(
        lambda free: not free.isdigit()
    ),
)
def test_every_folder_of_a_camera_is_known_as_one(number: int, free: str) -> None:
    # DCF (JEITA CP-3461B, 3.2.1): three digits, 100 to 999, and five free characters.
    assert CAMERA_FOLDER in kinds(f"{number}{free}") | kinds(f"{number}{free}".lower())
    assert BOOK.claims(f"{number}{free}") == []


SIGNS = ("€", "£", "$", "¥", "EUR", "USD", "GBP", "CHF", "DM", "Euro", "kr", "Fr.")
PRICES = [
    *(f"{sign} 350" for sign in SIGNS),
    *(f"350 {sign}" for sign in SIGNS),
    *(f"{sign}350" for sign in ("€", "£", "$", "EUR", "CHF")),
    *(f"{word} 1200" for word in ("ask", "asking", "Price", "Preis", "VB", "prix", "paid")),
    "1.200,-", "480.-", "350,00", "1,200", "£1,200", "350 pounds",
]  # fmt: skip


@pytest.mark.parametrize("name", PRICES)
def test_a_price_is_no_stock_number_however_it_is_written(name: str) -> None:
    assert PRICE in kinds(name)
    assert BOOK.claims(name) == []


@pytest.mark.parametrize(
    "name",
    [
        "card 2006-05", "Site 2009", "Backup 2012", "sold 2009", "2009", "2012 fair", "05-2006",
        "102 pictures", "350 pieces", "417 Stück", "first 480", "417 photos",
        "lot 417", "page 102", "p. 350", "Los 417", "sale 350", "fig 480", "cat. 417",
        "417 mm", "H 480", "1200x480", "480 dpi", "350 px", "102 kg", "ISO 1200",
        "IMG-20120102-WA0417", "FB_IMG_1417", "+44 7700 900417", "0171 4170350", "Screenshot_417",
        "a417b480", "20090102_041700", "Oke, 417 Mill Lane", "Dr Elm 350", "box 102", "tel 417350",
        "X 0417", "KB 0417",
    ],
)  # fmt: skip
def test_years_counts_pages_sizes_telephones_and_addresses_are_no_stock_numbers(name: str) -> None:
    assert BOOK.claims(name) == []


@pytest.mark.parametrize(
    ("name", "numbers"),
    [
        ("HW 2009 Site", ["HW 2009"]), ("HW 0417 350 EUR", ["HW 0417"]),
        ("HW 0350 ask 1200", ["HW 0350"]), ("hw-102 102ABCDE", ["HW 0102"]),
        ("HW 0417 lot 350", ["HW 0417"]), ("HW 0417 sold 2011", ["HW 0417"]),
        ("HW 0417 480 mm", ["HW 0417"]), ("HW 2006-05", ["HW 2006"]), ("0417 foot", ["HW 0417"]),
        ("417 vase 350 EUR", ["HW 0417"]),
        ("plate 0417", ["HW 0417"]), ("case 0417", ["HW 0417"]),
        ("group 0350 0417", ["HW 0350", "HW 0417"]),
    ],
)  # fmt: skip
def test_the_owners_numbers_are_known_beside_any_of_these(name: str, numbers: list[str]) -> None:
    assert [claim.objects[0] for claim in BOOK.claims(name)] == numbers


def test_a_book_of_bare_numbers_is_read_with_the_same_care() -> None:
    book = NumberIndex(
        (ObjectRecord(id=n, stock_number=n) for n in ("417", "2009", "350", "0421")), TABLES
    )
    for name in ("350 EUR", "417ABCDE", "lot 417", "Hollis 417", "417 pictures"):
        assert book.claims(name) == [], name
    assert [c.objects[0] for c in book.claims("417 foot")] == ["417"]
    assert [c.objects[0] for c in book.claims("jar 0421")] == ["0421"]


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("HW O417", "HW 0417"), ("HW 04l7 foot", "HW 0417"), ("WH 0417", "HW 0417"),
        ("HW 0471", "HW 0417"), ("HW 4017", "HW 0417"), ("HW 12OO", "HW 1200"),
    ],
)  # fmt: skip
def test_a_typing_slip_is_offered_and_not_taken(name: str, meant: str) -> None:
    assert not [c for c in BOOK.claims(name) if c.certainty is Certainty.CERTAIN]
    assert BOOK.slips(name) == (meant,)


def test_a_number_that_fits_or_is_of_another_kind_is_no_slip() -> None:
    for name in ("HW 0417", "IMG_0471", "HW 9999", "blue vase", "350 EUR", "2011"):
        assert BOOK.slips(name) == (), name


def test_in_a_long_book_with_gaps_an_unlisted_number_is_another_piece() -> None:
    book = NumberIndex(
        (ObjectRecord(id=str(n), stock_number=f"HW {n:04d}") for n in range(100, 3000, 40)), TABLES
    )
    assert book.slips("HW 0104") == ()
    assert book.slips("HW O140") == ("140",)


@given(st.text(max_size=30))
def test_what_is_blanked_leaves_all_else_in_its_place(name: str) -> None:
    import unicodedata

    plain = unicodedata.normalize("NFKC", name)
    blanked = without_other_numbers(name, TABLES)
    assert len(blanked) == len(plain)
    assert all(b in (p, " ") for b, p in zip(blanked, plain, strict=True))


def test_machines_names_are_known_by_their_turns_of_letters_and_figures() -> None:
    for one, other in itertools.pairwise(("a1c33f", "e141e5", "5f0a9c2e")):
        assert MACHINE in kinds(one) & kinds(other)
