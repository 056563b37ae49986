"""Names, addresses and prices leave running words; sizes, dates and marks stay in them."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.model import Measurement, Note, ObjectRecord, Party, PartyKind, Unit
from archivist.release.scrubbing import (
    CONTACT_WITHHELD,
    NAME_WITHHELD,
    PRICE_WITHHELD,
    Scrubber,
)
from archivist.testing import BOWL
from tests.archives import new_id
from tests.strategies import records
from tests.timing import seconds_of

HARROW = Party(
    id=new_id(1), name="Mrs Edith Harrow", kind=PartyKind.PERSON, address="4 Quarry Row, Wales"
)
MASON = Party(id=new_id(2), name="John Mason", kind=PartyKind.PERSON)
SCRUBBER = Scrubber((HARROW, MASON))


@pytest.mark.parametrize(
    "price",
    [
        "£450",
        "£ 1,200.50",
        "£450-500",
        "£450 – £500",
        "£4/10/-",
        "£4 10s 6d",
        "450 GBP",
        "GBP 450",
        "US$ 1,200",
        "$3k",
        "1 200 €",
        "€1.200,-",
        "1.200,- DM",
        "DM 450",
        "Hfl. 450",
        "Fr. 300",
        "450$",
        "¥12,000-15,000",
        "￥12,000",
        "12,000円",
        "₩12,000,000",
        "12,000 won",
        "50 gns",
        "two hundred guineas",
        "four hundred and fifty pounds",
        "a thousand dollars",
        "450 pounds",
        "1.5 million yen",
    ],
)
def test_a_price_is_withheld_however_it_is_spelled(price: str) -> None:
    # Common practice of catalogues and invoices, no source.
    cleaned = SCRUBBER.words(f"It was {price}, then.")
    assert PRICE_WITHHELD in cleaned
    assert not any(character.isdigit() for character in cleaned)
    assert cleaned.startswith("It was ")
    assert cleaned.endswith("then.")


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ("paid 450 for it", f"paid {PRICE_WITHHELD} for it"),
        ("cost me 300", f"cost me {PRICE_WITHHELD}"),
        ("price: 400-600.", f"price: {PRICE_WITHHELD}."),
        ("sold for 1,200 in 1987", f"sold for {PRICE_WITHHELD} in 1987"),
        ("to Mrs. Harrow, Quarry House", f"to {NAME_WITHHELD}, Quarry House"),
        ("at 4 Quarry Row", f"at {NAME_WITHHELD}"),
        ("write to e.h@bowls.example!", f"write to {CONTACT_WITHHELD}!"),
        ("ring +44 (0)171 555 0199 first", f"ring {CONTACT_WITHHELD} first"),
        ("her phone: 0171 555 0199, at night", f"her phone: {CONTACT_WITHHELD}, at night"),
        ("net 1,200 to the trade", f"net {PRICE_WITHHELD} to the trade"),
        ("insured for 5000", f"insured for {PRICE_WITHHELD}"),
        ("valued at 900; worth 800", f"valued at {PRICE_WITHHELD}; worth {PRICE_WITHHELD}"),
        ("we gave 300 for it", f"we gave {PRICE_WITHHELD} for it"),
        ("cost code AXT/B, in pencil", f"cost code {PRICE_WITHHELD}, in pencil"),
        ("the Harrow collection", f"the {NAME_WITHHELD} collection"),
        ("HARROW label, ex Harrow", f"{NAME_WITHHELD} label, ex {NAME_WITHHELD}"),
        ("Harrow’s late husband said", f"{NAME_WITHHELD}’s late husband said"),
        ("bought of old Harrow", f"bought of old {NAME_WITHHELD}"),
        ("sold privately, from the Harrows", "sold privately, from the Harrows"),
        ("got it from the Harrows", f"got it from the {NAME_WITHHELD}"),
        ("Edith Mary Harrow’s vase", f"{NAME_WITHHELD}’s vase"),
        ("Harrow thought it early", f"{NAME_WITHHELD} thought it early"),
        ("estate of Mason; Mason sold it", f"estate of {NAME_WITHHELD}; {NAME_WITHHELD} sold it"),
    ],
)
def test_what_is_told_of_money_and_people_is_withheld(words: str, left: str) -> None:
    assert SCRUBBER.words(words) == left


@pytest.mark.parametrize(
    "words",
    [
        "18th century",
        "Mason's ironstone",
        "Mason’s patent ironstone, a Mason jar, masons, made in Harrow, the Harrow Road kiln",
        "collection of mason's tools; sold to masons",
        "offered in 1987, valued for its glaze, worth a look, limit of the glaze",
        "tel el-amarna, 1887; phone 12",
        "we had 3 for a year; gave 3 pieces",
        "net weight 450 g, netting 3 cm",
        "our code of practice, stock code number 12",
        "six-character mark",
        "6 marks on the base, mark 1 of 6",
        "H 450 mm, diam. 18.4 cm, 12 1/2 in",
        "c. 1750–1780, potter fl. 1750",
        "shown in 1987, won first prize",
        "weighs 12 pounds",
        "12 pounds 4 oz",
        "No. 450, lot 12, T 0417",
        "dm 4 high",
        "reserve in the decoration, hammer marks",
        "sold in 1987",
        "sold for 20 years",
        "Ming, 1368/1644",
        "價 (price) is not told",
        "a pound of clay, francs and all",
        "one and a half inches",
    ],
)
def test_words_and_numbers_that_are_no_price_stay(words: str) -> None:
    assert SCRUBBER.words(words) == words


@pytest.mark.parametrize(
    ("words", "doubtful"),
    [
        ("The Harrow bowl", ("Harrow",)),
        ("a Mason jar from Harrow", ("Mason", "Harrow")),
        ("the Harrow collection, by masons", ()),
        ("Edith Harrow had it, and Mr Mason", ()),
        ("", ()),
    ],
)
def test_a_surname_of_which_nothing_says_that_it_is_one_is_named_to_the_owner(
    words: str, doubtful: tuple[str, ...]
) -> None:
    assert SCRUBBER.doubtful(words) == doubtful


def test_only_surnames_of_those_who_may_not_be_named_are_looked_for() -> None:
    nobody = Scrubber((msgspec.structs.replace(HARROW, name=""),))
    assert nobody.words("the Harrow collection") == "the Harrow collection"
    assert nobody.doubtful("The Harrow bowl") == ()
    firm = Scrubber((msgspec.structs.replace(HARROW, kind=PartyKind.FIRM),))
    assert firm.words("the Harrow collection") == "the Harrow collection"


@given(st.text(max_size=60))
def test_scrubbing_twice_is_scrubbing_once(text: str) -> None:
    once = SCRUBBER.words(text)
    assert SCRUBBER.words(once) == once


@pytest.mark.parametrize(
    "piece", ["1", "1 ", "1,", "1.1,", "one hundred ", "a.", "+1 ", "tel 1 ", "Harrow ", "£"]
)
def test_no_page_of_one_thing_takes_long(piece: str) -> None:
    """Four times as much takes about four times as long, and not sixteen times."""

    def seconds(times: int) -> float:
        text = piece * times
        return seconds_of(lambda: SCRUBBER.words(text))

    few = min(seconds(2_000) for _ in range(3))
    assert min(seconds(8_000) for _ in range(3)) < max(10 * few, 0.2)


def test_a_value_without_anything_to_withhold_is_the_very_same() -> None:
    assert SCRUBBER.value(BOWL) is BOWL


def test_identifiers_and_measures_are_never_scrubbed() -> None:
    party = Party(id="harrow", name="450", kind=PartyKind.PERSON)
    scrubber = Scrubber((party,))
    size = Measurement(low="450", high="450", unit=Unit.MILLIMETRE, as_stated="450 mm")
    record = msgspec.structs.replace(BOWL, measurements=(size,))
    assert scrubber.value(record).id == record.id
    assert scrubber.value(record).measurements[0].unit is Unit.MILLIMETRE


@given(records())
def test_words_are_scrubbed_wherever_in_a_record_they_stand(record: ObjectRecord) -> None:
    note = Note(as_stated="Mrs Harrow paid £450")
    cleaned = SCRUBBER.value(msgspec.structs.replace(record, descriptions=(note,), notes=(note,)))
    assert cleaned.descriptions[0].as_stated == f"{NAME_WITHHELD} paid {PRICE_WITHHELD}"
    assert cleaned.notes == cleaned.descriptions
