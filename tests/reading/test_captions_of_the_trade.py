"""Invented captions in the manner of the trade: what is read, and above all what is not."""

from __future__ import annotations

from typing import Any

import pytest

from archivist.reading import load_tables, read_title
from archivist.reading.plain import plain

TABLES = load_tables()


def said(caption: str, kind: str) -> list[dict[str, Any]]:
    """The statements of one kind that a caption makes, as plain data."""
    told = plain(read_title(caption, TABLES))
    return [s for s in told["statements"] if s["kind"] == kind]


def terms(caption: str, kind: str) -> list[str]:
    """The terms of the statements of one kind."""
    return [s["term"] for s in said(caption, kind)]


def test_a_base_drilled_for_a_lamp_is_an_alteration_no_mark_and_no_lamp() -> None:
    caption = (
        "blue and white vase, Kuang-hsu six character mark, drilled for a lamp, "
        "13 1/2 in. (34.3 cm)"
    )
    (mark,) = said(caption, "mark")
    assert (mark["claim"], mark["legibility"], mark["count"]) == ("Kuang-hsu", "unstated", 6)
    (seen,) = said(caption, "condition")
    assert (seen["term"], seen["class"], seen["as_stated"]) == (
        "drilled hole",
        "alteration",
        "drilled for a lamp",
    )
    assert terms(caption, "form") == ["vase"]
    assert said(caption, "date") == []


def test_a_mark_that_was_drilled_through_is_one() -> None:
    (mark,) = said("Bowl, Qianlong seal mark, drilled through, 15 cm", "mark")
    assert mark["legibility"] == "drilled through"


@pytest.mark.parametrize(
    ("caption", "forms"),
    [
        ("Wine glass, bell bowl, c. 1765", ["wine glass"]),
        ("Famille rose medallion bowl", ["bowl"]),
        ("Vase mounted as a lamp", ["vase"]),
        ("Ewer in the form of a bell", ["ewer"]),
        ("Jar with wooden stand", ["jar"]),
        ("Censer with lion mask handles", ["censer"]),
        ("Plate, minor knife scratches", ["plate"]),
    ],
)
def test_a_form_word_within_another_phrase_is_no_form(caption: str, forms: list[str]) -> None:
    assert terms(caption, "form") == forms


@pytest.mark.parametrize(
    ("caption", "place"),
    [
        ("Vase, signed on the base, gilt rubbed, 30 cm", "base"),
        ("Vase, Qianlong mark and of the period, neck reduced by about 1 in.", ""),
    ],
)
def test_what_follows_a_mark_at_a_comma_is_of_the_piece(caption: str, place: str) -> None:
    (mark,) = said(caption, "mark")
    assert mark.get("place", "") == place
    assert mark["legibility"] == "unstated"
    assert len(said(caption, "condition")) == 1


def test_how_much_a_neck_was_reduced_by_is_no_size_of_the_piece() -> None:
    caption = "Vase, neck reduced by abt 1 1/2 in., 11 3/4 in."
    assert [m["low"] for m in said(caption, "measurement")] == ["11.75"]
    assert said(caption, "condition")[0]["extent"] == "1 1/2 in."


@pytest.mark.parametrize(
    ("caption", "characters"),
    [
        ("Tulip vase, marked AK in blue", "AK"),
        ("Coffee pot, maker's mark WC, 28 oz", "WC"),
        ("Bottle, impressed LV seal", "LV"),
        ("Teapot, seal of Ellis Marr", "Ellis Marr"),
        ("Seal, inscribed 'Hall of Quiet Study', 5 cm", "Hall of Quiet Study"),
        ("Dish, VOC monogram", "VOC"),
    ],
)
def test_what_stands_on_a_piece_is_kept_as_the_characters(caption: str, characters: str) -> None:
    (mark,) = said(caption, "mark")
    assert mark["characters"] == characters


@pytest.mark.parametrize(
    ("caption", "count"),
    [
        ("Vase, 4-char Kangxi mark in a double ring", 4),
        ("Bol, marque de Chenghua à six caractères", 6),
        ("Schale, Kangxi Marke mit vier Zeichen", 4),
    ],
)
def test_characters_are_counted_in_any_language_of_labels(caption: str, count: int) -> None:
    (mark,) = said(caption, "mark")
    assert mark["count"] == count
    assert said(caption, "date") == []


@pytest.mark.parametrize(
    "caption",
    [
        "Teadust vase, impressed Chien-lung seal mk.",
        "Bol, marque apocryphe de Chenghua",
        "Kom, Chenghua merk",
        "Vaso, marca Qianlong apocrifa",
    ],
)
def test_a_mark_is_no_date_however_it_is_abbreviated_or_said(caption: str) -> None:
    assert said(caption, "date") == []
    assert said(caption, "mark")[0]["claims"]


@pytest.mark.parametrize(
    "caption",
    [
        "Daoguang seal mark & period",
        "Daoguang-Marke und aus der Zeit",
        "marque et époque Daoguang",
    ],
)
def test_a_mark_of_its_period_dates_the_piece(caption: str) -> None:
    (date,) = said(f"Coupe, {caption}, 12 cm", "date")
    assert (date["earliest"], date["latest"]) == (1821, 1850)


@pytest.mark.parametrize(
    "caption",
    [
        "Reign of terror engraving, king of hearts, may be later",
        "Tang style horse, modern, straw glaze",
        "Bowl, return no. 1784, in the style of the Ming",
        "Ginger jar, Kangxi style, on cracked ice ground",
    ],
)
def test_no_word_of_other_use_dates_a_piece_or_damages_it(caption: str) -> None:
    assert said(caption, "date") == []
    assert said(caption, "condition") == []


@pytest.mark.parametrize(
    ("caption", "term", "part"),
    [
        ("Vase, ground down foot", "ground foot", "foot rim"),
        ("Vase, lip ground", "ground rim", "rim"),
        ("Dish, kiln grit adhering to footrim", "kiln grit", "foot rim"),
        ("Table, old worm to one leg", "worm damage", "leg"),
        ("Jar, foot reduced", "reduced", "foot rim"),
        ("Cup, wear to gilding inside cup", "wear", "gilding"),
        ("Bol, restauration ancienne au pied", "restoration", "foot rim"),
        ("Schale, Haarriss am Rand", "hairline", "rim"),
        ("Piatto, sbeccature al bordo", "chip", "rim"),
        ("Plato, desconchones en el borde", "chip", "rim"),
        ("Kom, schilfertje aan de voetring", "chip", "foot rim"),
    ],
)
def test_condition_is_read_with_its_part(caption: str, term: str, part: str) -> None:
    (seen,) = said(caption, "condition")
    assert (seen["term"], seen["part"]) == (term, part)


@pytest.mark.parametrize(
    "caption",
    ["Bol sans restaurations", "Schale ohne Risse", "Piatto senza restauri", "Kom, geen barsten"],
)
def test_no_in_another_language_negates(caption: str) -> None:
    (seen,) = said(caption, "condition")
    assert seen["presence"] == "absent"


@pytest.mark.parametrize(
    ("caption", "expected"),
    [
        ("Dish, bought in Wexbridge 1974", {"event": "sale", "place": "Wexbridge"}),
        ("Cup, ex. coll. Dr. A. Whitfield", {"event": "stay", "receiver": "Dr. A. Whitfield"}),
        ("Cup, by descent in the Pell family", {"event": "descent", "receiver": "Pell family"}),
        ("Tile, by repute from a mosque", {"event": "transfer", "giver": "mosque"}),
        ("Vase, anc. coll. Duvernay", {"event": "stay", "receiver": "Duvernay"}),
        ("Kom, voorheen collectie Van Aerden", {"event": "stay"}),
    ],
)
def test_provenance_in_a_caption_names_places_and_parties(
    caption: str, expected: dict[str, str]
) -> None:
    (event,) = said(caption, "provenance")
    assert expected.items() <= event.items()


def test_a_price_or_as_found_is_nobody_and_no_place() -> None:
    for caption in ("Bowl, sold as found, $1200 in 1978", "Bowl, bought 1971, paid 40,000 yen"):
        (event,) = said(caption, "provenance")
        assert not {"place", "receiver", "giver"} & set(event)


def test_a_description_after_a_clause_of_provenance_is_read_too() -> None:
    caption = "Ex museum, dish, blue and white, Yongle, 38 cm"
    assert terms(caption, "form") == ["dish"]
    assert terms(caption, "decoration") == ["blue and white"]


@pytest.mark.parametrize(
    ("caption", "ware"),
    [
        ("Lonquan bowl", "Longquan celadon"),
        ("long kwan ware dish", "Longquan celadon"),
        ("Satzuma vase", "Satsuma ware"),
        ("A Shigaraky jar", "Shigaraki ware"),
    ],
)
def test_a_misheard_ware_is_read_with_its_nearness(caption: str, ware: str) -> None:
    (feature,) = said(caption, "ware")
    assert feature["term"] == ware
    assert feature["rule"] == "ware term, by likeness"
    assert 0.5 < float(feature["confidence"]) < 0.9


@pytest.mark.parametrize(
    "caption",
    [
        "Large bowl, Shallow dish, Garden vase, Finest porcelain, Country pottery",
        "kitchen ware, earthen ware, Mounted bowl, Swallow dish",
    ],
)
def test_no_ordinary_word_is_heard_as_a_ware(caption: str) -> None:
    assert said(caption, "ware") == []


def test_what_is_without_its_lid_is_measured_so_and_not_lidless() -> None:
    told = plain(read_title("Jar with wooden lid, ht: 33 cm without lid", TABLES))
    (part,) = told["composition"]["parts"]
    assert (part["name"], part["state"]) == ("cover", "present")
