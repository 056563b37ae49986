"""Model values in plain words: nothing sharpened, nothing doubtful said without its doubt."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.hooks import Piece
from archivist.model import (
    Basis,
    Certainty,
    Composition,
    CompositionKind,
    Date,
    Dimension,
    EventKind,
    Legibility,
    Mark,
    MarkKind,
    MarkRelation,
    Measurement,
    Observation,
    ObservationKind,
    Part,
    Passage,
    Presence,
    Presentness,
    ProvenanceEvent,
    Script,
    Statement,
    TakenAt,
    Term,
    Unit,
)
from archivist.testing import BOWL, FARMHOUSE, sample_photograph
from archivist.wording import values as wording

PIECE = Piece(record=BOWL, photographs=(), parties=(FARMHOUSE,), slug="bowl", uri="https://x/1")


@pytest.mark.parametrize(
    ("date", "shown"),
    [
        (Date(earliest=1987, latest=1987), "1987"),
        (Date(earliest=1775, latest=1825), "1775–1825"),
        (Date(earliest=1644), "not before 1644"),
        (Date(latest=1644), "not after 1644"),
        (Date(earliest=-205, latest=8), "206 BCE–8 CE"),
        (Date(earliest=-205, latest=-100), "206 BCE–101 BCE"),
        (Date(earliest=0, latest=0), "1 BCE"),
        (Date(), ""),
    ],
)
def test_years_are_shown_as_historians_count_them(date: Date, shown: str) -> None:
    # ISO 8601 counts a year 0, historians do not: year 0 is 1 BCE, -0205 is 206 BCE.
    assert wording.years_shown(date) == shown


def test_a_date_keeps_the_words_it_was_stated_in_and_adds_years_only_where_they_say_more() -> None:
    date = Date(edtf="1775/1825", earliest=1775, latest=1825)
    assert wording.date_shown(date, "late Qianlong or after") == (
        "late Qianlong or after (1775–1825)"
    )
    assert wording.date_shown(date, "1775 to 1825") == "1775 to 1825"
    assert wording.date_shown(date) == "1775–1825"
    assert wording.date_shown(Date(edtf="XXXX"), "undated") == "undated"
    assert wording.date_shown(None, "old") == "old"


def test_a_convention_that_made_years_of_words_is_named() -> None:
    date = Date(edtf="1900~", earliest=1895, latest=1905, convention="circa: 5 years either way")
    assert wording.date_shown(date, "c. 1900") == ("c. 1900 (1895–1905; circa: 5 years either way)")


@pytest.mark.parametrize(
    ("edtf", "shown"),
    [
        ("1987", "1987"),
        ("1987-05", "1987-05"),
        ("1987-05-12", "1987-05-12"),
        ("1987?", "1987 (uncertain)"),
        ("1987~", "about 1987"),
        ("1987%", "about 1987 (uncertain)"),
    ],
)
def test_a_date_without_words_is_shown_as_close_and_as_sure_as_its_notation(
    edtf: str, shown: str
) -> None:
    assert wording.date_shown(Date(edtf=edtf, earliest=1987, latest=1987)) == shown


@pytest.mark.parametrize(
    ("number", "unit", "other", "source"),
    [
        ("36", Unit.FOOT, ("11.0", Unit.METRE), "NIST SP 811 (2008), B.7.2: 36 ft = 11.0 m"),
        ("18.4", Unit.CENTIMETRE, ("7.2", Unit.INCH), "arithmetic: 7.244 in, to a tenth"),
        ("18", Unit.CENTIMETRE, ("7", Unit.INCH), "arithmetic: 7.087 in, to a whole"),
        ("300", Unit.MILLIMETRE, ("11.8", Unit.INCH), "arithmetic: 11.811 in, to a tenth"),
        ("12", Unit.INCH, ("30", Unit.CENTIMETRE), "arithmetic: 30.48 cm, to a whole"),
        ("7.25", Unit.INCH, ("18", Unit.CENTIMETRE), "a quarter inch is 0.6 cm"),
        ("7.0625", Unit.INCH, ("17.9", Unit.CENTIMETRE), "a sixteenth is 0.16 cm"),
        ("2.5", Unit.KILOGRAM, ("5.5", Unit.POUND), "arithmetic: 5.512 lb"),
        ("0", Unit.CENTIMETRE, ("0", Unit.INCH), "nothing is nothing"),
    ],
)
def test_a_size_is_converted_to_the_precision_it_was_stated_with(
    number: str, unit: Unit, other: tuple[str, Unit], source: str
) -> None:
    assert wording.converted(number, unit) == other, source


def test_litres_have_no_partner_because_pints_differ() -> None:
    assert wording.converted("1", Unit.LITRE) is None


@settings(deadline=None)
@given(
    st.decimals(min_value=0, max_value=9999, places=2),
    st.sampled_from(sorted(wording.CONVERSIONS)),
)
def test_a_converted_size_is_rounded_to_the_power_of_ten_nearest_to_the_stated_step(
    number: Decimal, unit: Unit
) -> None:
    found = wording.converted(str(number), unit)
    assert found is not None
    factor = wording.CONVERSIONS[unit][1]
    exponent = Decimal(found[0]).as_tuple().exponent
    assert isinstance(exponent, int)
    digit = Decimal(1).scaleb(exponent)
    assert abs(Decimal(found[0]) - number * factor) <= digit / 2
    ratio = digit / (wording.resolution(str(number), unit) * factor)
    assert Decimal("0.316") < ratio < Decimal("3.163")  # the square root of ten, either way


def _size(**changes: object) -> Measurement:
    facts = {"dimension": Dimension.HEIGHT, "low": "30", "high": "30", "unit": Unit.CENTIMETRE}
    return Measurement(**{**facts, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({}, "height 30 cm (12 in)"),
        ({"high": "32"}, "height 30–32 cm (12–13 in)"),
        ({"approximate": True}, "height about 30 cm (about 12 in)"),
        ({"basis": Basis.RECALLED}, "height 30 cm (12 in), as recalled"),
        ({"basis": Basis.MEASURED}, "height 30 cm (12 in), measured"),
        ({"basis": Basis.SCALED}, "height 30 cm (12 in), scaled from a photograph"),
        ({"includes": ("stand", "cover")}, "height 30 cm (12 in), with stand and cover"),
        ({"part": "mouth", "which": "each"}, "mouth height 30 cm (12 in), each"),
        ({"dimension": Dimension.UNSTATED}, "size 30 cm (12 in)"),
        ({"unit": Unit.LITRE, "dimension": Dimension.CAPACITY}, "capacity 30 l"),
    ],
)
def test_a_measurement_says_how_it_is_known_and_what_it_takes_in(
    changes: dict[str, object], shown: str
) -> None:
    assert wording.measurement_shown(_size(**changes)) == shown


def test_a_mark_says_what_it_claims_apart_from_what_is_held() -> None:
    mark = Mark(
        kind=MarkKind.REIGN,
        characters="大明\n成化\n年製",
        romanised="Da Ming Chenghua nian zhi",
        translation="made in the Chenghua years of the great Ming",
        script=Script.SEAL,
        technique="underglaze",
        colour="blue",
        place="base",
        count=6,
        columns=3,
        legibility=Legibility.DRILLED_THROUGH,
        claim="Chenghua",
        claims=Date(edtf="1465/1487", earliest=1465, latest=1487),
        relation=MarkRelation.LATER_THAN_IT_CLAIMS,
        as_stated="apocryphal",
    )
    assert wording.mark_shown(PIECE, mark) == (
        "reign mark “大明 / 成化 / 年製” [Da Ming Chenghua nian zhi] meaning “made in the Chenghua "
        "years of the great Ming”, 6 characters in 3 columns, seal script, underglaze, blue, "
        "place: base, drilled through; claims Chenghua (1465–1487); held to be later than it "
        "claims, stated as “apocryphal”"
    )


def test_a_mark_of_which_nobody_said_more_says_no_more() -> None:
    assert wording.mark_shown(PIECE, Mark()) == "mark"
    label = Mark(kind=MarkKind.LABEL, written_by=FARMHOUSE.id, as_stated="paper label")
    assert wording.mark_shown(PIECE, label) == (
        "label; written by private collection, Wales, stated as “paper label”"
    )


@pytest.mark.parametrize(
    ("presence", "shown"),
    [
        (Presence.PRESENT, "hairline (rim), 2 cm"),
        (Presence.ABSENT, "no hairline (rim), 2 cm"),
        (Presence.UNKNOWN, "hairline (rim), 2 cm, looked for and not decided"),
    ],
)
def test_seen_not_there_and_not_decided_are_three_things(presence: Presence, shown: str) -> None:
    seen = Observation(
        term=Term(label="hairline"),
        kind=ObservationKind.DAMAGE,
        part="rim",
        presence=presence,
        extent="2 cm",
    )
    assert wording.observation_shown(seen) == shown


def test_words_that_say_more_than_the_term_are_kept_beside_it() -> None:
    seen = Observation(
        term=Term(label="hairline"), kind=ObservationKind.DAMAGE, as_stated="tight hairline"
    )
    assert wording.observation_shown(seen) == "hairline, stated as “tight hairline”"


def test_a_pair_a_set_and_missing_parts_are_told() -> None:
    cover = Part(name="cover", state=Presentness.MISSING)
    pair = Composition(kind=CompositionKind.PAIR, count=2, parts=(cover,))
    saucers = Composition(kind=CompositionKind.SET, count=6, parts=(Part(name="saucer", count=6),))
    assert wording.composition_shown(pair) == "pair, cover (missing)"
    assert wording.composition_shown(saucers) == "set of 6, 6 × saucer"
    assert wording.composition_shown(Composition()) == ""


def test_a_change_of_hands_names_who_may_be_named_and_says_where_there_is_a_gap() -> None:
    event = ProvenanceEvent(
        kind=EventKind.AUCTION,
        giver=FARMHOUSE.id,
        receiver="11111111-1111-4111-8111-111111111111",
        place="Marrowgate",
        lot="214",
        date=Date(edtf="1987", earliest=1987, latest=1987),
        until=Date(edtf="1990", earliest=1990, latest=1990),
        passage=Passage.GAP,
    )
    assert wording.event_shown(PIECE, event) == (
        "after a gap, 1987 until 1990: auction, from private collection, Wales, "
        "to a party not named here, Marrowgate, lot 214"
    )


def test_doubt_ground_and_speaker_follow_in_brackets() -> None:
    statement = Statement(
        certainty=Certainty.POSSIBLE, who=FARMHOUSE.id, said="1999", ground="the foot"
    )
    assert wording.with_caveats(PIECE, "Korean", statement) == (
        "Korean (possible; according to private collection, Wales; said 1999; ground: the foot)"
    )
    assert wording.with_caveats(PIECE, "old (1700)", Statement(certainty=Certainty.DOUBTFUL)) == (
        "old (1700; doubtful)"
    )
    assert wording.with_caveats(PIECE, "Korean", Statement()) == "Korean"


def test_the_moment_a_photograph_was_taken_names_its_witness(tmp_path: Path) -> None:
    disclosed = sample_photograph(tmp_path)
    assert wording.taken_shown(disclosed) == ""
    taken = (
        TakenAt(date=Date(edtf="1970-01-01"), witness="camera clock"),
        TakenAt(date=Date(edtf="2004-05"), witness="owner", preferred=True,
                certainty=Certainty.PROBABLE),
    )  # fmt: skip
    photograph = type(disclosed.photograph)(id="p", sha256="0", taken=taken)
    assert wording.taken_shown(replace(disclosed, photograph=photograph)) == (
        "2004-05, by the owner, probable"
    )


@pytest.mark.parametrize("tag", ["en", "ja", "zh-Hant", "es-419"])
def test_a_language_tag_is_passed_on(tag: str) -> None:
    assert wording.language_tag(tag) == tag


@pytest.mark.parametrize("tag", ["", "English language", "e", "en_GB", "<b>"])
def test_what_is_no_language_tag_is_left_out(tag: str) -> None:
    assert wording.language_tag(tag) == ""


def test_a_size_of_any_number_of_digits_can_be_told() -> None:
    long = "1" * 40 + ".5"
    told = wording.converted(long, Unit.INCH)
    assert told is not None
    assert told[0].startswith("28222222")
