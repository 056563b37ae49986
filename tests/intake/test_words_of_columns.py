"""What columns, amounts, days, names and numbers are taken to be."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.catalogue.numbers import number_key
from archivist.hooks import Cell, FoundRow
from archivist.intake.days import looks_like_day, order_of, read_day
from archivist.intake.headings import propose, samples
from archivist.intake.money import read_amount
from archivist.intake.parties import Parties, name_in
from archivist.intake.roles import Role
from archivist.intake.stock_numbers import NumberIndex
from archivist.intake.views import view_in
from archivist.model import Certainty, ObjectRecord, Party, PartyKind, Unit, View
from archivist.reading.tables import load_tables

TABLES = load_tables()


def proposed(heading: str, *cells: str) -> Role:
    row = [
        FoundRow(table="", number=n, cells=(Cell(column=heading, text=text),))
        for n, text in enumerate(cells or ("x",))
    ]
    return propose(samples(row), TABLES)[0].role


@pytest.mark.parametrize(
    ("heading", "cells", "role"),
    [
        ("Stock No", ("HW 0401", "HW 0402"), Role.STOCK_NUMBER),
        ("What it is", ("a bowl",), Role.TITLE),
        ("Origin", ("Japan, Seto",), Role.PLACE),
        ("When made", ("circa 1690", "18th c."), Role.DATE),
        ("Date", ("c. 1580–1600", "Edo"), Role.DATE),
        ("Size", ("H 21 cm",), Role.SIZE),
        ("State", ("flaked at rim",), Role.CONDITION),
        ("From", ("Nishidera",), Role.BOUGHT_FROM),
        ("Paid", ("£310", "F 200"), Role.PRICE_PAID),
        ("To", ("Dr Brunnick",), Role.BUYER),
        ("Bought", ("2004-05-08", "spring 2004", "2008"), Role.BOUGHT_ON),
        ("Bought", ("Salzgate fair", "Mr T. Nishidera"), Role.BOUGHT_FROM),
        ("Bought", ("£310", "£90"), Role.PRICE_PAID),
        ("Sold", ("3.4.1999", "1999"), Role.SOLD_ON),
        ("Sold", ("Mrs Farrant-Lowe", "Halloran"), Role.BUYER),
        ("Sold", ("£120", "£95"), Role.PRICE_SOLD),
        ("Höhe (cm)", ("21,5",), Role.HEIGHT),
        ("Zustand", ("Haarriss",), Role.CONDITION),
        ("Datation", ("vers 1750",), Role.DATE),
        ("État", ("fêle",), Role.CONDITION),
        ("尺寸", ("高 21 cm",), Role.SIZE),
        ("Buyer's address", ("Lindenhof 14",), Role.BUYER_ADDRESS),
        ("Notes (private)", ("not below 200",), Role.PRIVATE_NOTE),
        ("Qwzx", ("zzz", "yyy"), Role.KEEP),
        ("Qwzx", ("H 21 cm", "D 9 in."), Role.SIZE),
    ],
)
def test_a_column_is_known_by_its_heading_and_its_cells(
    heading: str, cells: tuple[str, ...], role: Role
) -> None:
    assert proposed(heading, *cells) is role


def test_a_column_nobody_named_is_kept_with_the_owner() -> None:
    row = FoundRow(table="", number=2, cells=(Cell(column="Qwzx", text="blue folder"),))
    (column,) = propose(samples([row]), TABLES)
    assert (column.role, column.private) == (Role.KEEP, True)


def test_only_one_column_is_the_stock_number() -> None:
    row = FoundRow(
        table="",
        number=2,
        cells=(Cell(column="Ref", text="A"), Cell(column="Stock No", text="HW 0401")),
    )
    roles = [column.role for column in propose(samples([row]), TABLES)]
    assert roles.count(Role.STOCK_NUMBER) == 1
    assert roles[1] is Role.STOCK_NUMBER


def test_units_and_currencies_are_read_from_headings() -> None:
    cells = (Cell(column="Height (in)", text="9"), Cell(column="Cost €", text="90"))
    height, cost = propose(samples([FoundRow(table="", number=2, cells=cells)]), TABLES)
    assert height.unit is Unit.INCH
    assert cost.currency == "EUR"


@pytest.mark.parametrize(
    ("words", "amount", "currency"),
    [
        ("310", "310", "GBP"),
        ("£1,250", "1250", "GBP"),
        ("1.250,50 €", "1250.50", "EUR"),
        ("1'250.-", "1250", "GBP"),
        ("F 200", "200", "F"),
        ("US$ 90", "90", "USD"),
        ("CHF 1’250", "1250", "CHF"),
        ("12.5", "12.5", "GBP"),
    ],
)
def test_amounts_are_exact_and_keep_their_currency(words: str, amount: str, currency: str) -> None:
    assert read_amount(words, TABLES, "GBP") == (amount, currency)


@pytest.mark.parametrize("words", ["with 0434", "310 or 320", "", "?", "paid 3 times 20"])
def test_words_that_are_no_amount_are_not_made_into_one(words: str) -> None:
    assert read_amount(words, TABLES) is None


@given(st.dates(min_value=datetime.date(1900, 3, 1), max_value=datetime.date(2099, 12, 31)))
def test_serial_numbers_of_days_are_read_as_spreadsheets_count_them(day: datetime.date) -> None:
    """ECMA-376 part 1, 18.17.4.1: in the 1900 date base 1900-03-01 has the serial number 61."""
    serial = 61 + (day - datetime.date(1900, 3, 1)).days
    read = read_day(str(serial), TABLES)
    if serial > 9999:
        assert read is not None
        assert read[0].edtf == day.isoformat()


@pytest.mark.parametrize(
    ("words", "edtf"),
    [
        ("2004-05-08", "2004-05-08"),
        ("38808", "2006-04-01"),
        ("3.4.1999", "1999-04-03"),
        ("12.12.2001", "2001-12-12"),
        ("25/12/98", "1998-12-25"),
        ("12/25/98", "1998-12-25"),
        ("2008", "2008"),
        ("2004?", "2004?"),
    ],
)
def test_days_are_read_as_they_are_written(words: str, edtf: str) -> None:
    read = read_day(words, TABLES)
    assert read is not None
    assert read[0].edtf == edtf
    assert looks_like_day(words)


def test_a_column_says_whether_days_come_before_months() -> None:
    assert order_of(["3/4/99", "25/4/99"]) == "day first"
    assert order_of(["3/4/99", "4/25/99"]) == "month first"
    assert order_of(["3/4/99", "5/6/99"]) == ""
    undecided, decided = (read_day("3/4/99", TABLES, order) for order in ("", "month first"))
    assert undecided is not None
    assert decided is not None
    assert (undecided[0].edtf, undecided[1].confidence) == ("1999-04-03", "0.6")
    assert (decided[0].edtf, decided[1].confidence) == ("1999-03-04", "1")


@pytest.mark.parametrize("words", ["Easter eggs", "31.2.1999", "with 0434", ""])
def test_words_that_are_no_day_are_not_made_into_one(words: str) -> None:
    assert read_day(words, TABLES) is None


@pytest.mark.parametrize(
    ("words", "name", "place"),
    [
        ("Mme Aurélie Castagnac, Vauxmarin", "Mme Aurélie Castagnac", "Vauxmarin"),
        ("Ostringham saleroom, lot 212", "Ostringham saleroom", ""),
        ("Kloosterman & Vael, Wijkdam", "Kloosterman & Vael", "Wijkdam"),
        ("Private source, Hamasato", "Private source, Hamasato", "Hamasato"),
        ("西寺 太郎", "西寺 太郎", ""),
    ],
)
def test_names_are_parted_from_places_and_lots(words: str, name: str, place: str) -> None:
    found = name_in(words, TABLES)
    assert found is not None
    assert (found.name, found.place) == (name, place)


@pytest.mark.parametrize("words", ["with 0434", "?", "a Dutchman, cash", "brocante", "", "1999"])
def test_words_that_name_nobody_make_no_party(words: str) -> None:
    assert name_in(words, TABLES) is None


def test_a_party_is_found_again_by_its_name_whatever_the_spacing() -> None:
    known = Party(id="p1", name="Dr Casimir  Brunnick", also_known_as=("C. Brunnick",))
    parties = Parties([known], TABLES)
    assert parties.named("dr casimir brunnick").id == "p1"
    assert parties.named("C. Brunnick").id == "p1"
    museum = parties.named("Calder Row Museum")
    assert (museum.kind, museum.private) == (PartyKind.MUSEUM, True)
    assert parties.named("Calder Row Museum").id == museum.id


def test_shorter_names_of_known_parties_are_asked_about_and_not_joined() -> None:
    parties = Parties([Party(id="p1", name="Dr Casimir Brunnick")], TABLES)
    short = parties.named("Dr Brunnick")
    assert short.id != "p1"
    assert [(a.name, b.name) for a, b in parties.alike()] == [
        ("Dr Brunnick", "Dr Casimir Brunnick")
    ]


def index(*numbers: str) -> NumberIndex:
    return NumberIndex((ObjectRecord(id=n, stock_number=n) for n in numbers), TABLES)


@pytest.mark.parametrize(
    "words", ["HW 0417", "hw-417", "HW0417", "HW_0417_foot", "the foot of HW 0417 (2)", "hw.0417b"]
)
def test_a_stock_number_is_known_however_it_is_written(words: str) -> None:
    (claim,) = index("HW 0417", "HW 0418").claims(words)
    assert (claim.objects, claim.certainty) == (("HW 0417",), Certainty.CERTAIN)


@pytest.mark.parametrize("words", ["0417", "417 foot", "bowl 0417"])
def test_a_number_without_its_letters_is_probable(words: str) -> None:
    (claim,) = index("HW 0417", "HW 0418").claims(words)
    assert (claim.objects, claim.certainty) == (("HW 0417",), Certainty.PROBABLE)


@pytest.mark.parametrize(
    "words",
    [
        "IMG_0417",
        "DSC0417",
        "DSC 0417",
        "scan0417",
        "P0417",
        "foot 17",
        "2017",
        "10417",
        "04170",
        "x0417",
    ],
)
def test_numbers_of_cameras_years_and_other_numbers_are_none(words: str) -> None:
    assert index("HW 0417", "HW 2017", "HW 0017").claims(words) == []


@pytest.mark.parametrize("words", ["IMG_0421", "DSC 0421", "scan 421"])
def test_a_number_of_a_camera_is_no_record_without_letters_either(words: str) -> None:
    assert index("0421").claims(words) == []


def test_a_record_without_letters_is_found_where_names_have_those_of_the_archive() -> None:
    (claim,) = index("0421", "HW 0417").claims("HW 0421 rim")
    assert claim.objects == ("0421",)


def test_several_numbers_are_several_claims() -> None:
    claims = index("HW 0407", "HW 0418", "HW 0419").claims("Korean group 0407 0418 0419 9999")
    assert [c.objects[0] for c in claims] == ["HW 0407", "HW 0418", "HW 0419"]


@given(st.text(alphabet="ABh 0-_.9876543'é中", max_size=12))
def test_number_keys_do_not_depend_on_case(number: str) -> None:
    assert number_key(number) == number_key(number.upper()) == number_key(number.lower())


@pytest.mark.parametrize(
    ("words", "view"),
    [
        ("front", View.OVERALL),
        ("foot rim", View.FOOT_RIM),
        ("foot (2)", View.FOOT_RIM),
        ("rim", View.MOUTH),
        ("Boden", View.BASE),
        ("dessous", View.BASE),
        ("mark on base", View.MARK),
        ("crack in the base", View.DAMAGE),
        ("底款", View.MARK),
        ("高台", View.FOOT_RIM),
        ("étiquette", View.LABEL),
        ("Rückseite", View.BACK),
        ("ruckseite", View.BACK),
    ],
)
def test_views_are_read_from_words_in_several_languages(words: str, view: View) -> None:
    seen = view_in(words, TABLES)
    assert seen is not None
    assert seen.view is view


@pytest.mark.parametrize(
    "words",
    [
        "IMG_1234",
        "blue vase",
        "HW 0417",
        "",
        "football",
        "remarkable",
        "no mark",
        "ohne Marke",
        "zonder merk",
        "senza marchio",
        "sans marque",
    ],
)
def test_words_that_name_no_view_give_none(words: str) -> None:
    assert view_in(words, TABLES) is None


@pytest.mark.parametrize("words", ["Vase mit Henkel", "Vase sur pied", "jar with lid"])
def test_a_part_that_the_piece_is_told_with_is_no_certain_view(words: str) -> None:
    seen = view_in(words, TABLES)
    assert seen is not None
    assert seen.certainty is Certainty.PROBABLE


@pytest.mark.parametrize("words", ["No. 417 mark", "no_0417_mark", "HW 417 Marke"])
def test_a_number_denies_no_view(words: str) -> None:
    seen = view_in(words, TABLES)
    assert seen is not None
    assert (seen.view, seen.certainty) == (View.MARK, Certainty.CERTAIN)
