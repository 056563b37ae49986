"""What stands on a piece, as captions and descriptions tell of it: one class of turns a test."""

from __future__ import annotations

import pytest

from archivist.model.marks import Mark, MarkKind, MarkRelation
from archivist.model.observations import Observation, Presence
from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import read_dates
from archivist.reading.marks import read_marks
from archivist.reading.tables import load_tables
from archivist.reading.titles import read_title

TABLES = load_tables()


def marks(text: str) -> list[Mark]:
    return [s for s in read_marks(text, TABLES).statements if isinstance(s, Mark)]


def dates(text: str) -> list[str]:
    found = read_title(text, TABLES).statements
    return [
        s.date.edtf
        for s in found
        if isinstance(s, Attribution) and s.aspect is Aspect.DATE and s.date is not None
    ]


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("impressed mark DULLARD", "DULLARD"),
        ("Impr. WYRE & CORVANE, 1780", "WYRE & CORVANE"),
        ("stamped E. Marr to the drawer", "E. Marr"),
        ("estampille de Honoré Vaudrin", "Honoré Vaudrin"),
        ("signed Ellis Marr Londini fecit", "Ellis Marr Londini fecit"),
        ("sgd. Thos. Wyre, London fecit", "Thos. Wyre, London fecit"),
        ("signed Harunaga ga", "Harunaga ga"),
        ("firmado Ruy Almeda en la base", "Ruy Almeda"),
        ("gepunzt HK", "HK"),
        ("date letter Q", "Q"),
        ("lettre-date R", "R"),
        ("Jahresstempel 817", "817"),
        ("Beschauzeichen N", "N"),
        ("with the initials J K W", "J K W"),
        ("engraved with the initials R.T.", "R.T"),
        ("numbered 318", "318"),
        ('in pencil, "Tolling 1911"', "Tolling 1911"),
        ("on the dial one reads «Corvane, rue Basse»", "Corvane, rue Basse"),
        ("engraved with roses and the word FORTUNA", "FORTUNA"),
        ("inscribed A Keepsake from Ayle, small chip", "A Keepsake from Ayle"),
    ],
)
def test_what_stands_on_a_piece_is_kept_as_it_is_written(text: str, written: str) -> None:
    assert [m.characters.rstrip(".") for m in marks(text)] == [written]


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("stamped with a crowned C", "crowned C"),
        ("impressed shield, white", "shield"),
        ("gemerkt met een ster", "ster"),
        ("gemarkt mit gekreuzten Schwertern", "gekreuzten Schwertern"),
    ],
)
def test_a_sign_may_be_the_mark(text: str, sign: str) -> None:
    assert [m.characters for m in marks(text)] == [sign]


@pytest.mark.parametrize(
    "text", ["Zeptermarke", "Meisterpunze", "bijenkorfmerk", "Goldziffer", "Händlerstempel"]
)
def test_words_made_up_of_two_are_words_for_a_mark(text: str) -> None:
    assert len(marks(text)) == 1


@pytest.mark.parametrize("text", ["Briefmarke", "kenmerk", "Warenzeichen", "opmerkelijk"])
def test_words_that_only_end_so_are_no_marks(text: str) -> None:
    assert not marks(text)


@pytest.mark.parametrize(
    "text",
    [
        "engraved with a lion",
        "painted with swans",
        "incised lotus",
        "gold ground",
        "with star cracks",
    ],
)
def test_decoration_is_no_mark(text: str) -> None:
    assert not marks(text)


def test_characters_that_are_counted_are_a_mark_where_it_is_told_how_or_what() -> None:
    [mark] = marks("Schale, vier Zeichen in Eisenrot")
    assert (mark.count, mark.colour) == (4, "iron red")
    [mark] = marks("Three letters, 'RST', to the rim")
    assert mark.characters == "RST"
    assert not marks("three letters by the owner")


def test_a_hallmark_with_its_town_claims_its_year_and_leaves_it_as_a_date() -> None:
    text = "Teapot, hallmarked London 1789, maker's mark HB"
    one, other = marks(text)
    assert one.claims is not None
    assert (one.characters, one.claims.edtf, other.characters) == ("London", "1789", "HB")
    assert dates(text) == ["1789"]


@pytest.mark.parametrize(
    "text",
    [
        "Aucune marque",
        "keine Marke",
        "geen merk",
        "nessuna marca",
        "ninguna marca",
        "no hallmarks",
        "sans poinçon",
        "nicht signiert",
        "sin firma",
        "carece de marca",
    ],
)
def test_no_mark_is_an_observation_in_six_languages(text: str) -> None:
    [found] = read_marks(text, TABLES).statements
    assert isinstance(found, Observation)
    assert found.presence is Presence.ABSENT


def test_a_reign_beside_a_sign_is_the_date_of_the_piece() -> None:
    [mark] = marks("Bowl, conch mark, Yongzheng")
    assert (mark.kind, mark.claims) == (MarkKind.SYMBOL, None)
    assert dates("Bowl, conch mark, Yongzheng") == ["1723/1735"]


def test_a_time_named_after_a_mark_is_no_mark() -> None:
    assert not marks("Leaf dish, red anchor period")
    found = read_dates("Leaf dish, red anchor period", TABLES).statements
    assert [s.date.edtf for s in found if isinstance(s, Attribution) and s.date] == ["1752/1756"]


@pytest.mark.parametrize(
    ("text", "relation"),
    [
        ("Xuande mark, Kangxi period", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("Chenghua-Marke, Kangxi-Zeit", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("Kangxi mark, Kangxi period", MarkRelation.UNSTATED),
        ("Xuande mark, 18th century", MarkRelation.UNSTATED),
        ("Xuande mark, perhaps Kangxi period", MarkRelation.UNSTATED),
        ("Marca de Wanli en sello y de su época", MarkRelation.OF_THE_PERIOD),
        ("Marque de Wanli sous couverte, et d'époque", MarkRelation.OF_THE_PERIOD),
    ],
)
def test_a_later_period_beside_a_reign_mark_says_how_the_mark_stands(
    text: str, relation: MarkRelation
) -> None:
    [mark] = marks(text)
    assert mark.relation is relation


def test_what_the_writer_says_of_a_mark_behind_a_colon_does_not_stand_on_it() -> None:
    [mark] = marks("Merk: apocrief Wanli, in werkelijkheid Kangxi.")
    assert (mark.characters, mark.claim) == ("", "Wanli")
    assert mark.relation is MarkRelation.LATER_THAN_IT_CLAIMS


def test_what_is_written_behind_a_colon_ends_with_its_sentence() -> None:
    [mark] = marks("Inscribed: Ellis Marr of Ayle. The glaze is worn")
    assert mark.characters == "Ellis Marr of Ayle"


def test_a_mark_that_is_spoken_of_again_is_one() -> None:
    assert len(marks("Kangxi mark in blue; the mark is well written; its mark")) <= 2
    assert len(marks("It bears the mark of Kangxi. The piece and its mark are right")) == 1


def test_a_label_says_what_it_says_even_after_a_clause() -> None:
    [mark] = marks("The label, which has since come off, reads 'Lung-ch'uan'.")
    assert mark.claim == "Lung-ch'uan"
