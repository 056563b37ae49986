"""Whether a name stands for what it may is decided by the words around it.

The phrases are invented; the words are common in the trade (common practice, no source).
"""

from __future__ import annotations

import pytest

from archivist.model.records import Attribution, Feature
from archivist.reading.features import features_in, read_features
from archivist.reading.tables import load_tables
from archivist.reading.titles import read_title
from archivist.reading.words import Words

TABLES = load_tables()


def labels(text: str, aspect: str) -> list[str]:
    statements = read_title(text, TABLES).statements
    return [
        s.term.label
        for s in statements
        if isinstance(s, Feature | Attribution) and s.term is not None and s.aspect == aspect
    ]


@pytest.mark.parametrize(
    ("text", "aspect", "wrong"),
    [
        ("Shown in aid of the Red Cross", "colour", "red"),
        ("Dish, red anchor period", "colour", "red"),
        ("Vase, black and white photograph", "colour", "black"),
        ("Surface like orange-peel", "colour", "orange"),
        ("The Tolling cabinet", "form", "cabinet"),
        ("I had it in my head as Korean", "form", "head"),
        ("Kan iemand dit zien?", "form", "jug"),
        ("Pendant zonder barst", "form", "pendant"),
        ("It stands on three feet", "form", "stand"),
        ("The reverse bears a label", "subject", "bear"),
        ("Dish with a foot ring", "form", "ring (jewellery)"),
        ("Bowl in a fitted wood box", "material", "wood"),
        ("Teile auf einer Linie, lino", "form", "plaque"),
    ],
)
def test_a_word_in_another_sense_names_nothing_of_the_piece(
    text: str, aspect: str, wrong: str
) -> None:
    assert wrong not in labels(text, aspect)


@pytest.mark.parametrize(
    ("text", "aspect", "label"),
    [
        ("Walnut cabinet on stand", "form", "cabinet"),
        ("Cabinet, walnut, about 1690", "form", "cabinet"),
        ("Gold pendant set with garnets", "form", "pendant"),
        ("Zilveren kan, Haarlem", "form", "jug"),
        ("Bowl, white glaze", "glaze", "white glaze"),
        ("Stoneware bowl, grey, with a nick", "colour", "grey"),
    ],
)
def test_the_same_word_is_read_where_it_is_of_the_piece(text: str, aspect: str, label: str) -> None:
    assert label in labels(text, aspect)


@pytest.mark.parametrize(
    ("text", "aspect", "label"),
    [
        ("ring", "form", "ring (jewellery)"),
        ("gold; pearl", "material", "pearl (gem)"),
        ("Gold ring with garnets", "form", "ring (jewellery)"),
        ("Side chairs, cherry, about 1825", "material", "cherry wood"),
    ],
)
def test_an_ambiguous_word_is_read_in_its_place(text: str, aspect: str, label: str) -> None:
    found = read_features(text, TABLES).statements
    assert label in [s.term.label for s in found if isinstance(s, Feature) and s.aspect == aspect]


@pytest.mark.parametrize(
    ("text", "aspect", "wrong"),
    [
        ("Box with a ring on the lid", "form", "ring (jewellery)"),
        ("He left the bed of the river", "form", "bed (furniture)"),
        ("Vase found by cherry trees", "material", "cherry wood"),
    ],
)
def test_an_ambiguous_word_is_read_nowhere_else(text: str, aspect: str, wrong: str) -> None:
    assert wrong not in labels(text, aspect)


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("Silver coffee pot, London, 1751", "London"),
        ("Silver beaker, Augsburg 1695-1700, parcel gilt", "Augsburg"),
        ("An Urbino istoriato dish", "Urbino"),
        ("Table clock, made in Augsburg about 1660", "Augsburg"),
        ("Vermoedelijk Makkum, schotel, 1780", "Makkum"),
        ("Doccia relief, hairline", "Doccia"),
    ],
)
def test_a_town_is_a_place_of_making_where_something_says_so(text: str, label: str) -> None:
    assert label in labels(text, "place")


@pytest.mark.parametrize(
    "text",
    [
        "Jug, bought from a dealer in Bath; an old chip",
        "Vase, shipped to Cairo and Istanbul in quantity",
        "Bowl. With thanks, Ann Onslow, Bath, 21 October 1992",
    ],
)
def test_a_town_by_itself_is_no_place_of_making(text: str) -> None:
    assert labels(text, "place") == []


@pytest.mark.parametrize(
    ("text", "makers"),
    [
        ("Silver mug, maker KHC, about 1840", ["KHC"]),
        ("Teapot made by Hannah Cornthwaite", ["Hannah Cornthwaite"]),
        ("Silver salver by Paul Storr", ["Paul Storr"]),
        ("Chippendale armchair", []),
        ("Armchair in Chippendale style", []),
        ("Jug sold by Hannah Cornthwaite", []),
        ("Bowl with damage by worm", []),
    ],
)
def test_a_maker_needs_a_word_that_says_so(text: str, makers: list[str]) -> None:
    assert labels(text, "maker") == makers


@pytest.mark.parametrize(
    ("text", "aspect", "label"),
    [
        ("Birnkrug mit Zinndeckel", "form", "jug"),
        ("Zwei Balustervasen", "form", "vase"),
        ("Theekumme, unbemalt", "form", "bowl"),
        ("Stel kastvazen", "form", "vase"),
        ("Böttgersteinzeug, poliert", "material", "Böttger stoneware"),
        ("Schwarzsteinzeug", "material", "stoneware"),
        ("Becher mit Goldmalerei", "decoration", "painted decoration"),
    ],
)
def test_a_compound_is_what_its_last_part_names(text: str, aspect: str, label: str) -> None:
    assert label in labels(text, aspect)


@pytest.mark.parametrize("text", ["Durchmesser 12 cm", "Voorbeeld", "broadcast", "Schalenberg"])
def test_a_word_that_only_ends_alike_is_no_compound(text: str) -> None:
    assert labels(text, "form") == []


@pytest.mark.parametrize(
    ("text", "aspect", "label"),
    [
        ("Zwei Krüge", "form", "jug"),
        ("deux vases couverts dorés", "decoration", "gilt decoration"),
        ("Vergoldeter Pokal", "decoration", "gilt decoration"),
        ("ciotola dipinta", "decoration", "painted decoration"),
        ("jarrones pintados", "decoration", "painted decoration"),
        ("jarrones pintados", "form", "vase"),
        ("beschilderde vazen", "decoration", "painted decoration"),
        ("Gravierte Silberschale", "decoration", "engraved decoration"),
    ],
)
def test_names_are_known_in_the_plural_and_with_their_endings(
    text: str, aspect: str, label: str
) -> None:
    assert label in labels(text, aspect)


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("Tapisserie d'Aubusson, laine et soie", "Aubusson"),
        ("Bronzo, porcellana di Doccia, 1750 circa", "Doccia"),
        ("Relojes, porcelana de Alcora", "Alcora"),
    ],
)
def test_what_is_made_may_be_of_the_town_that_follows(text: str, label: str) -> None:
    found = features_in(Words(text), TABLES)
    assert label in [s.term.label for s in found if isinstance(s, Attribution) and s.term]
