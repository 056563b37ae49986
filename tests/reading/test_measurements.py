"""Sizes are read as stated: exact, with their dimension and part, never sharpened or invented."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model import Basis, Certainty, Dimension, Measurement, Unit
from archivist.model.measurements import MILLIMETRES, in_millimetres
from archivist.reading.measurements import read_measurements
from archivist.reading.result import Understood
from archivist.reading.tables import load_tables
from archivist.reading.words import Words, fillers
from tests.timing import seconds_of

TABLES = load_tables()


def read(text: str, **settings: object) -> list[Measurement]:
    understood = read_measurements(text, TABLES, **settings)  # type: ignore[arg-type]
    return [s for s in understood.statements if isinstance(s, Measurement)]


def short(text: str, **settings: object) -> list[tuple[str, str, str]]:
    """Dimension, size or range, and unit of each measurement of `text`."""
    return [
        (m.dimension.value, m.low if m.low == m.high else f"{m.low}-{m.high}", m.unit.value)
        for m in read(text, **settings)
    ]


@pytest.mark.parametrize(
    ("text", "low", "unit"),
    [
        ("13 1/2 in.", "13.5", "in"),
        ("13-1/2 in.", "13.5", "in"),
        ("13½ in.", "13.5", "in"),
        ("13 ½ inches", "13.5", "in"),
        ('13½"', "13.5", "in"),
        ("15/16 in.", "0.9375", "in"),
        ("8.20 cm", "8.20", "cm"),
        ("8,2 cm", "8.2", "cm"),
        ("1,149 mm", "1149", "mm"),
        ("8.2cm", "8.2", "cm"),
        ("2 lb 3 oz", "35", "oz"),
        ("an inch and a half", "1.5", "in"),
        ("two and a half inches", "2.5", "in"),
        ("half an inch", "0.5", "in"),
        ("12-inch dish", "12", "in"),
        ("5 ft 3 in tall", "63", "in"),
        ("height 5' 3\"", "63", "in"),
        ("120 ml", "120", "ml"),
    ],
)
def test_a_size_is_read_exactly_and_to_the_precision_stated(text: str, low: str, unit: str) -> None:
    (size,) = read(text)
    assert (size.low, size.high, size.unit.value) == (low, low, unit)


def test_a_fraction_without_a_finite_decimal_is_bracketed_by_decimals() -> None:
    (size,) = read("3 1/3 in.")
    assert Fraction(size.low) < Fraction(10, 3) < Fraction(size.high)
    assert Decimal(size.high) - Decimal(size.low) == Decimal("0.001")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("H. 8.2 cm", [("height", "8.2", "cm")]),
        ("8.2 cm high, 10 cm wide", [("height", "8.2", "cm"), ("width", "10", "cm")]),
        ("Diam.: 1-1/2 in.", [("diameter", "1.5", "in")]),
        ("38 in. (length)", [("length", "38", "in")]),
        ("4 x 7 (diam.) in.", [("unstated", "4", "in"), ("diameter", "7", "in")]),
        (
            "10 H x 5 W x 3 D in.",
            [("height", "10", "in"), ("width", "5", "in"), ("depth", "3", "in")],
        ),
        (
            "H. 10, W. 5, D. 3 cm",
            [("height", "10", "cm"), ("width", "5", "cm"), ("depth", "3", "cm")],
        ),
        (
            "H x W x D: 10 x 5 x 3 cm",
            [("height", "10", "cm"), ("width", "5", "cm"), ("depth", "3", "cm")],
        ),
        ("13¼ in. high by 6½ in. wide", [("height", "13.25", "in"), ("width", "6.5", "in")]),
        ("Höhe 12,5 cm, Durchmesser 20 cm", [("height", "12.5", "cm"), ("diameter", "20", "cm")]),
        ("weighs 340 g", [("weight", "340", "g")]),
    ],
)
def test_dimensions_are_read_before_and_after_their_size(
    text: str, expected: list[tuple[str, str, str]]
) -> None:
    assert short(text) == expected


def test_an_order_holds_only_where_stated_or_set() -> None:
    text = "10 x 5 x 3 cm"
    assert [d for d, _, _ in short(text)] == ["unstated"] * 3
    assert [d for d, _, _ in short(text, order="H x W x D")] == ["height", "width", "depth"]


def test_a_column_gives_unit_and_dimension_to_a_bare_number() -> None:
    assert read("8.2") == []
    assert short("8.2", default_unit=Unit.CENTIMETRE, default_dimension=Dimension.HEIGHT) == [
        ("height", "8.2", "cm")
    ]


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("two to three inches", "2-3"),
        ("8-10 in.", "8-10"),
        ("between 8 and 10 in. high", "8-10"),
        ("8 in. to 10 in.", "8-10"),
        ("7 or 8 in.", "7-8"),
    ],
)
def test_a_range_keeps_both_its_ends(text: str, span: str) -> None:
    assert [size for _, size, _ in short(text)] == [span]


def test_about_and_from_memory_are_kept() -> None:
    (size,) = read("about 9 in. high, from memory")
    assert size.approximate
    assert size.basis is Basis.RECALLED
    assert size.low == size.high == "9"
    assert size.as_stated == "about 9 in. high, from memory"


def test_from_memory_at_the_end_goes_for_all_sizes_before_it() -> None:
    assert [m.basis for m in read("H. 8 cm, W. 10 cm, from memory")] == [Basis.RECALLED] * 2


def test_the_c_of_a_century_makes_no_size_approximate() -> None:
    (size,) = read("18th c. 12 in. high")
    assert not size.approximate


def test_parts_which_and_what_is_included_are_kept() -> None:
    assert [m.part for m in read("Diam. of mouth 12 cm, diam. of foot 5 cm")] == ["mouth", "foot"]
    assert read("frame: 742 x 635 mm")[0].part == "frame"
    assert read("each 10 cm high")[0].which == "each"
    assert [m.which for m in read("8 in. high, the larger 9 in. high")] == ["", "the larger"]
    assert read("H. 10 cm with stand")[0].includes == ("stand",)
    assert read("H. 10 cm without stand")[0].includes == ()


def test_a_converted_pair_gives_both_and_says_which_is_the_second() -> None:
    first, second = read("H. 13 1/2 in. (34.3 cm)")
    assert (first.low, first.unit, second.low, second.unit) == (
        "13.5",
        Unit.INCH,
        "34.3",
        Unit.CENTIMETRE,
    )
    assert second.dimension is Dimension.HEIGHT
    assert second.reading is not None
    assert second.reading.rule == "converted pair"


def test_a_pair_that_disagrees_is_a_question() -> None:
    understood = read_measurements("H. 13 1/2 in. (43.3 cm)", TABLES)
    (question,) = understood.questions
    assert "disagree" in question.asks
    assert [
        [m.low for m in reading if isinstance(m, Measurement)] for reading in question.readings
    ] == [["13.5"], ["43.3"]]
    assert not read_measurements("H. 13 1/2 in. (34.3 cm)", TABLES).questions


def test_pairs_of_several_sizes_are_matched_one_by_one() -> None:
    sizes = read("10.9 × 25.8 cm (4 5/16 × 10 3/16 in.)", order="HWD")
    assert [(m.dimension.value, m.low) for m in sizes] == [
        ("height", "10.9"),
        ("width", "25.8"),
        ("height", "4.3125"),
        ("width", "10.1875"),
    ]


def test_d_alone_is_depth_or_diameter_and_asked() -> None:
    understood = read_measurements("D. 12 cm", TABLES)
    (question,) = understood.questions
    dimensions = [m.dimension for (m,) in question.readings if isinstance(m, Measurement)]
    assert dimensions == [Dimension.DEPTH, Dimension.DIAMETER]


def test_a_comma_that_may_be_either_is_asked() -> None:
    understood = read_measurements("8,250 kg", TABLES)
    assert "comma" in understood.questions[0].asks


@pytest.mark.parametrize(
    "text",
    [
        "lot 1484 in 1952",
        "a bowl on three feet",
        "the 1950's",
        "no. 12",
        "5 in the set",
        "12/3/1970",
    ],
)
def test_what_is_no_size_stays_unread(text: str) -> None:
    assert read(text) == []


def test_a_doubted_size_keeps_its_doubt() -> None:
    (size,) = read("H. 12 cm?")
    assert size.certainty is Certainty.POSSIBLE
    (size,) = read("probably 12 cm high")
    assert size.certainty is Certainty.PROBABLE


def test_a_dimension_goes_on_to_the_next_part() -> None:
    sizes = read("Diam. of mouth 12 cm, of foot 5 cm")
    assert [(m.dimension, m.part) for m in sizes] == [
        (Dimension.DIAMETER, "mouth"),
        (Dimension.DIAMETER, "foot"),
    ]


def test_inches_and_feet_are_what_nist_says() -> None:
    """NIST SP 811 (2008), B.8: 1 in = 2.54 cm and 1 ft = 30.48 cm exactly."""
    assert MILLIMETRES[Unit.INCH] == Decimal("25.4")
    assert MILLIMETRES[Unit.FOOT] == Decimal("304.8")
    (size,) = read("5 ft tall")
    assert in_millimetres(size) == (Decimal("1524.0"), Decimal("1524.0"))


WORDS = """\
8.2 13 1/2 1/2 ½ 1,149 8,25 cm mm in. in " ' ft x × by H. W D. diam. high of mouth foot ( \
) ; , . : - – to or about each larger with stand from memory two a half an inch and \
between lb oz | / = 7/8 1952 lot A) (diam.) \n"""

PIECES = st.sampled_from(WORDS.split(" "))


def accounted(understood: Understood) -> bool:
    """Whether every word is in a statement, in an unread span, or a filler."""
    words = Words(understood.text)
    spans = [(s.start, s.end) for s in understood.unread]
    spans += [(s.reading.start, s.reading.end) for s in understood.statements if s.reading]
    filler = fillers(TABLES)
    return all(
        word in filler
        or not any(c.isalnum() for c in word)
        or any(first < end and start < last for first, last in spans)
        for word, start, end in zip(words.folded, words.starts, words.ends, strict=True)
    )


@settings(deadline=None)
@given(st.lists(PIECES, max_size=25).map(" ".join) | st.text(max_size=80))
def test_nothing_is_lost_or_raised_and_words_are_as_written(text: str) -> None:
    for column in ({}, {"order": "HWD", "default_unit": Unit.INCH}):
        understood = read_measurements(text, TABLES, **column)  # type: ignore[arg-type]
        assert accounted(understood)
        for statement in understood.statements:
            assert statement.reading is not None
            start, end = statement.reading.start, statement.reading.end
            assert statement.as_stated == text[start:end]
            assert 0 <= start < end <= len(text)


@settings(deadline=None)
@given(
    st.decimals(min_value=0, max_value=999, places=2),
    st.sampled_from(["mm", "cm", "in.", "kg"]),
)
def test_any_decimal_is_read_back_to_the_digit(value: Decimal, unit: str) -> None:
    (size,) = read(f"H. {value} {unit}")
    assert size.low == size.high == format(value, "f")


@pytest.mark.parametrize("piece", ["1 ", "12 x ", "1/", "½", "10 cm (4 in.) ", "D. 3 cm, ", "( "])
def test_long_hostile_text_takes_no_long_time(piece: str) -> None:
    text = piece * (20_000 // len(piece))
    assert (
        seconds_of(lambda: read_measurements(text, TABLES, order="HWD", default_unit=Unit.INCH))
        < 0.05 * len(text) / 1000
    )


DATA = Path(__file__).parents[3] / "shared" / "data" / "dimensions.csv"


@pytest.mark.skipif(not DATA.exists(), reason="the open museum data is not beside the project")
def test_the_dimensions_of_open_museum_data_are_recovered() -> None:
    import csv

    with DATA.open(encoding="utf-8", newline="") as file:
        rows = [r for r in csv.DictReader(file) if r["gold_in_text"] == "Y"][::10]
    right = 0
    for row in rows:
        wanted = [
            float(row[c]) * 10
            for c in ("height_cm", "width_cm", "depth_cm", "diameter_cm")
            if row[c]
        ]
        sizes = [
            size
            for m in read(row["dimensions_text"], default_unit=Unit.INCH)
            if (size := in_millimetres(m)) is not None
        ]
        right += all(any(abs(float(low) - w) <= 0.6 for low, _ in sizes) for w in wanted)
    assert right / len(rows) >= 0.97
