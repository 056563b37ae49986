"""What is a fault, repair, wear or feature of making, and what only looks like one.

All cases are ours; what the words mean is common practice of the trade, no source.
"""

from __future__ import annotations

import pytest

from archivist.model import Observation
from archivist.reading.condition import condition_in
from archivist.reading.condition.forms import accents, inflected, slips
from archivist.reading.tables import load_tables
from archivist.reading.words import Words
from tests.timing import seconds_of

TABLES = load_tables()


def found(text: str) -> list[Observation]:
    return list(condition_in(Words(text), TABLES))


def pairs(text: str) -> list[tuple[str, str]]:
    return [(o.term.label, o.part) for o in found(text)]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Jug, spout ground", "spout"),
        ("The neck has at some time been ground", "neck"),
        ("Bowl with a later foot", "foot rim"),
        ("Teapot, the knop later", "finial"),
        ("Tureen, replaced scroll handle", "handle"),
        ("Cover: modern", "cover"),
        ("Coffee pot, hinge loose", "hinge"),
        ("Vase, the handles are missing", "handle"),
        ("Tankard, thumbpiece gone", "thumbpiece"),
        ("Box without its cover", "cover"),
        ("Figure, has lost a hand", "hand"),
        ("Kanne, Henkel neu", "handle"),
        ("Dose, Deckel nicht original", "cover"),
        ("Terrine, Knauf fehlt", "finial"),
        ("Cafetière, bec refait", "spout"),
        ("Boîte, couvercle postérieur", "cover"),
        ("Trembleuse, anses manquantes", "handle"),
        ("Kan, tuit vernieuwd", "spout"),
        ("Pot, deksel van latere datum", "cover"),
        ("Schenkkan, oor losgeraakt", "handle"),
        ("Brocca, ansa mancante", "handle"),
        ("Zuppiera, coperchio non pertinente", "cover"),
        ("Jarra, asa repuesta", "handle"),
        ("Sopera, tapa moderna", "cover"),
        ("Reloj, agujas cambiadas", "hands"),
    ],
)
def test_a_state_is_a_fault_of_the_part_beside_it(text: str, part: str) -> None:
    assert [p for _, p in pairs(text)] == [part]


def test_a_part_that_no_table_knows_is_named_as_it_is_written() -> None:
    assert pairs("Hunting group, whistle lost") == [("missing part", "whistle")]
    assert pairs("Spieldose, Kurbel fehlt") == [("missing part", "Kurbel")]


def test_a_part_is_remembered_through_its_sentence_and_no_further() -> None:
    assert pairs("The left wing, which was cast apart, is missing.") == [("missing part", "wing")]
    assert pairs("Lid: a little large, so from another box.") == [("replacement", "cover")]
    assert pairs("The foot is square. It was made later.") == []


@pytest.mark.parametrize(
    "text",
    [
        "Bowl on a blue ground",
        "Panel, flowers on a lacquer ground",
        "A polished manner of painting",
        "A later copy of the pattern",
        "He came back later with the others",
        "New designs were sent out with the fleet",
        "The picture is now lost",
        "Handed on to a modern collector",
        "Candelabrum with loose ring handles by design",
        "Beaker without handles",
        "Dish lacking a mark",
        "On the third day she was gone",
        "It took off in Paris",
    ],
)
def test_a_state_without_its_part_is_no_fault(text: str) -> None:
    assert pairs(text) == []


@pytest.mark.parametrize(
    "text",
    [
        "bronze, lost-wax casting",
        "cracked-ice ground",
        "a broken line of dots around the rim",
        "split bamboo handle",
        "crack willow and reeds",
        "stoneware worn by the sea",
        "two bowls stuck in the kiln",
        "a repair shop in Utrecht",
        "the Broken Bridge, a famous view",
        "She wears a red coat",
        "A dealer's ticket is stuck to the base",
        "a glued paper label",
        "holes drilled before firing for a mount",
        "Schade, dass sie nicht bleibt",
        "Das Stück ist ein schönes Beispiel",
        "une belle coupe à boire",
        "la colle de peau est une colle animale",
        "made up of three sections",
        "a marriage plate with two doves",
        "darning stitch sampler",
        "the craze for porcelain",
        "made to wear on a belt",
    ],
)
def test_words_that_only_look_like_faults_are_none(text: str) -> None:
    faults = ("damage", "repair", "wear", "alteration", "residue")
    assert [o.term.label for o in found(text) if o.kind.value in faults] == []


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("geklebte Hände", "glued"),
        ("zwei gesprungene Teller", "crack"),
        ("bestoßener Rand", "chip"),
        ("tasses fêlées", "hairline"),
        ("assiettes ébréchées", "chip"),
        ("pieds recollés", "glued"),
        ("beschadigde rand", "damage"),
        ("gelijmde schotels", "glued"),
        ("bordi sbeccati", "chip"),
        ("anse incollate", "glued"),
        ("platos desportillados", "chip"),
        ("asas pegadas", "glued"),
    ],
)
def test_inflected_words_are_read(text: str, label: str) -> None:
    assert label in [term for term, _ in pairs(text)]


def test_inflexion_goes_by_the_language() -> None:
    assert set(inflected("sbeccato", "it")) == {"sbeccato", "sbeccata", "sbeccati", "sbeccate"}
    assert "éclats d'émail" in inflected("éclat d'émail", "fr")
    assert "petits éclats" in inflected("petit éclat", "fr")
    assert "geklebte" in inflected("geklebt", "de")
    assert inflected("chip", "en") == ("chip", "chips")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Standringchips", [("chip", "foot rim")]),
        ("Teller mit Randbestoßungen", [("chip", "rim")]),
        ("Kom met bodembarst", [("crack", "base")]),
        ("Schotel, glazuurschilfers", [("chip", "glaze")]),
        ("Randerscheinung", []),
    ],
)
def test_a_part_and_a_fault_in_one_word_are_both_read(
    text: str, expected: list[tuple[str, str]]
) -> None:
    assert pairs(text) == expected


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("hairlnie to the rim", "hairline"),
        ("foot chiped", "chip"),
        ("restorred neck", "restoration"),
        ("kiln fualt", "firing flaw"),
        ("neck overpianted", "overpaint"),
    ],
)
def test_a_slip_in_a_usual_term_is_read_as_the_term(text: str, label: str) -> None:
    (seen,) = found(text)
    assert seen.term.label == label
    assert seen.as_stated in text


@pytest.mark.parametrize("word", ["hipped", "tracked", "reposed", "drilling", "stoned"])
def test_another_word_is_no_slip(word: str) -> None:
    assert pairs(f"{word} roof") == []


def test_no_slip_is_a_word_that_is_known() -> None:
    assert slips(("filled", "rubbed"), frozenset(("filed",))).get("filed") is None
    assert slips(("rubbed",), frozenset())["rubebd"] == "rubbed"


def test_an_accent_that_makes_another_word_counts() -> None:
    assert accents("colle") != accents("collé")
    assert pairs("anse collée") == [("glued", "handle")]
    assert pairs("un pot de colle") == []
    assert pairs("FELURE AU COL") == pairs("fêlure au col")


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("vase, sagged in the kiln", "warping"),
        ("Brennblasen in der Glasur", "glaze bubble"),
        ("segni di zampe di gallo sul fondo", "spur mark"),
        ("setter marks on the base", "firing scar"),
        ("défauts de cuisson", "firing flaw"),
        ("knife-trimming marks", "knife mark"),
        ("two holes for suspension", "suspension hole"),
        ("an orange-peel texture to the glaze", "orange peel"),
    ],
)
def test_features_of_making_are_no_damage(text: str, label: str) -> None:
    (seen,) = found(text)
    assert (seen.term.label, seen.kind.value) == (label, "making")


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("soft horizontal fold", "sheet fold"),
        ("fly spots in the margins", "mould damage"),
        ("movement overhauled", "overhauled"),
        ("chair, recaned seat", "reseating"),
        ("tipped feet", "repaired timber"),
        ("assay scrape under the base", "plate scratch"),
        ("coat of arms erased", "removed engraving"),
        ("entrée dish, bleeding at the edges", "plate worn"),
        ("relais décousus", "textile damage"),
        ("foderato su tela", "laid down"),
        ("tarlature", "worm damage"),
    ],
)
def test_the_words_of_other_trades_are_read(text: str, label: str) -> None:
    assert [term for term, _ in pairs(text)] == [label]


@pytest.mark.parametrize(
    "text", ["in good order", "bon état", "guter Zustand", "goede staat", "intact", "wohlerhalten"]
)
def test_good_order_is_no_perfection(text: str) -> None:
    assert pairs(text) == [("good order", "")]


@pytest.mark.parametrize(
    "text", ["in mint condition", "Dish, perfect.", "pristine", "parfait état"]
)
def test_perfection_has_a_term_of_its_own(text: str) -> None:
    assert pairs(text) == [("perfect condition", "")]


def test_good_words_about_other_things_say_nothing_of_condition() -> None:
    assert pairs("drawn with flawless ease, a perfect curve") == []


@pytest.mark.parametrize(
    "text", ["The rim may not be ground", "rim possibly ground", "rim no chips"]
)
def test_words_that_deny_or_doubt_stay_outside_the_value(text: str) -> None:
    (seen,) = found(text)
    assert seen.part == "rim"
    assert not {"not", "possibly", "no"} & set(seen.as_stated.split())


@pytest.mark.parametrize(
    "piece", ["later ", "rim is ", "rim chipped and later ", "collé Henkel ", "kiln stuck "]
)
def test_time_grows_with_length_alone(piece: str) -> None:
    short, long = Words(piece * 500), Words(piece * 4000)
    condition_in(short, TABLES)
    first = max(seconds_of(lambda: condition_in(short, TABLES)), 0.001)
    assert seconds_of(lambda: condition_in(long, TABLES)) < 24 * first


def test_a_colour_of_the_ware_is_no_part_and_the_red_of_a_print_is() -> None:
    assert pairs("blue and white bowl hairline") == [("hairline", "")]
    assert pairs("the red has flaked") == [("glaze chip", "red")]


def test_words_far_from_a_fault_are_not_its_words() -> None:
    (seen,) = found("Unter dem Rand sitzt, wie man sieht, ein Fuchs: ein Chip")
    assert seen.as_stated == "Chip"
