"""What words do with a value: each turn of phrase lets it stand, takes it away or gives it on.

The turns are common practice of the trade, no source; the idea of triggers with direction and reach
is that of NegEx and ConText (from memory, see `archivist.reading.standing`).
"""

from __future__ import annotations

from typing import Any

import pytest

from archivist.reading.descriptions import read_description
from archivist.reading.plain import plain
from archivist.reading.tables import load_tables
from archivist.reading.titles import read_title

TABLES = load_tables()


def caption(text: str) -> dict[str, Any]:
    return plain(read_title(text, TABLES))


def dates(text: str) -> list[tuple[int, int]]:
    """The years that the writer of a caption asserts of the making of the piece."""
    return [
        (s["earliest"], s["latest"])
        for s in caption(text)["statements"]
        if s["kind"] == "date"
        and s["certainty"] != "rejected"
        and not {"of", "role", "holder", "standing"} & set(s)
    ]


def terms(text: str, kind: str) -> list[tuple[str, str]]:
    """The terms of a kind, each with how sure it is."""
    return [(s["term"], s["certainty"]) for s in caption(text)["statements"] if s["kind"] == kind]


def faults(text: str) -> list[tuple[str, str]]:
    return [
        (s["term"], s["presence"]) for s in caption(text)["statements"] if s["kind"] == "condition"
    ]


@pytest.mark.parametrize(
    "text",
    [
        "certainly not Edo",
        "anything but Ming",
        "far from Ming",
        "Kangxi it is not",
        "I do not think it is Ming",
        "the foot argues against Yuan",
        "Ming? Hardly.",
        "Catalogued as Yuan. That can no longer be upheld.",
        "keineswegs 17. Jh.",
        "neither Ming nor Qing",
        "Pas une pièce du XVIIIe siècle",
        "Non è Ming",
        "Geen Ming",
        "No es Ming",
    ],
)
def test_what_is_denied_is_rejected_and_never_asserted(text: str) -> None:
    assert dates(text) == []
    rejected = [s for s in caption(text)["statements"] if s["certainty"] == "rejected"]
    assert rejected
    assert all(s["standing"] == "denied" for s in rejected)


@pytest.mark.parametrize(
    ("text", "years"),
    [
        ("Bowl, restored 1985, Kangxi", [(1662, 1722)]),
        ("Bowl, Kangxi, sold London 1998", [(1662, 1722)]),
        ("Bowl, Kangxi. Compare a dish dated 1730.", [(1662, 1722)]),
        ("Bowl, Kangxi, photographed 1911", [(1662, 1722)]),
        ("Bowl, Kangxi, exhibited Berlin 1929", [(1662, 1722)]),
        ("Wine cup, Kangxi, with a Qing carved stand", [(1662, 1722)]),
        ("Later copy of a Yongzheng vase, c. 1900", [(1895, 1905)]),
        ("Tobias Wren (1730-1795)", []),
        ("Invoice of 12 March 1965", []),
        ("If it were Kangxi the foot would be unglazed", []),
        ("sold to us as Ming, it is not", []),
        ("formerly attributed to Ming", []),
        ('Exhibited: "Art under the Ming", Berlin, 1929', []),
        ("wanted: Kangxi bowls", []),
        ("Ming collectors always ask", []),
    ],
)
def test_dates_of_other_things_are_no_dates_of_making(
    text: str, years: list[tuple[int, int]]
) -> None:
    assert dates(text) == years


@pytest.mark.parametrize(
    ("text", "years"),
    [
        ("Vase, Kangxi", [(1662, 1722)]),
        ("This bowl dates from the 18th century", [(1700, 1799)]),
        ("I would date it to the 18th century", [(1700, 1799)]),
        ("The bowl was made in 1780", [(1780, 1780)]),
        ("A Louis XV mantel clock", [(1715, 1774)]),
        ("no doubt 18th century", [(1700, 1799)]),
        ("not only Ming but late Ming", [(1368, 1644), (1553, 1644)]),
    ],
)
def test_a_caption_and_a_verb_of_making_license_a_date(
    text: str, years: list[tuple[int, int]]
) -> None:
    assert dates(text) == years


@pytest.mark.parametrize(
    ("text", "certainty"),
    [
        ("probably Ming", "probable"),
        ("Ming, I would say", "probable"),
        ("Ming, perhaps", "possible"),
        ("cannot rule out Ming", "possible"),
        ("Ming is doubtful", "doubtful"),
        ("looks like Ming", "probable"),
        ("Ming", "certain"),
    ],
)
def test_doubt_is_heard_before_and_after(text: str, certainty: str) -> None:
    (date,) = [s for s in caption(text)["statements"] if s["kind"] == "date"]
    assert date["certainty"] == certainty


def test_who_says_so_is_named_and_what_the_writer_holds_is_the_writer_s() -> None:
    read = caption("late 16th century according to Dr Marr. I still say Korean")
    (date,) = [s for s in read["statements"] if s["kind"] == "date"]
    (culture,) = [s for s in read["statements"] if s["kind"] == "culture"]
    assert date["holder"] == "Dr Marr"
    assert "holder" not in culture


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("no restoration was found", [("restoration", "absent")]),
        ("Never restored", [("restoration", "absent")]),
        ("hairline not visible from outside", [("hairline", "present")]),
        ("Keine Risse, aber ein Chip", [("crack", "absent"), ("chip", "present")]),
        ("Ni fêle ni restauration", [("hairline", "absent"), ("restoration", "absent")]),
        ("not without wear", [("wear", "present")]),
        ("Haarrisse konnten nicht festgestellt werden", [("hairline", "absent")]),
    ],
)
def test_a_fault_is_there_or_not_as_the_words_say(
    text: str, expected: list[tuple[str, str]]
) -> None:
    assert faults(text) == expected


def test_of_two_faults_with_an_or_neither_is_certain() -> None:
    assert {s for _, s in terms("chip or firing flaw at the rim", "condition")} == {"possible"}


def test_a_repair_has_a_date_of_its_own() -> None:
    read = caption("Bowl, Kangxi, handle restored 1985")
    (repair,) = [s for s in read["statements"] if s["kind"] == "condition"]
    assert repair["date"]["earliest"] == 1985
    assert [m["role"] for m in read["mentions"]] == ["repaired"]


def test_what_is_of_a_part_names_the_part() -> None:
    read = caption("the cover, a 19th-century replacement, is 12 cm")
    assert {s["of"] for s in read["statements"] if s["kind"] == "date"} == {"cover"}
    assert {s["part"] for s in read["statements"] if s["kind"] == "measurement"} == {"cover"}


def test_prose_asserts_nothing_without_a_licence() -> None:
    text = (
        "Born in 1732, the painter moved to Fenton in 1751. During the Ming dynasty such bowls "
        "were used for tea. In 1926 the collector saw one in Paris."
    )
    read = plain(read_description(text, TABLES))
    assert [s for s in read["statements"] if s["kind"] == "date"] == []


def test_every_statement_names_its_licence_and_keeps_the_words_that_deny_it() -> None:
    for text in ("certainly not Edo", "no chips", "Vase, Kangxi, H. 12 cm", "It was made in 1780"):
        for statement in caption(text)["statements"]:
            assert statement["licence"]
    assert [s["as_stated"] for s in caption("no chips")["statements"]] == ["no chips"]


def test_one_question_is_asked_of_a_period_and_its_years() -> None:
    read = caption("My aunt swapped it for a Kangxi one")
    assert len([q for q in read.get("questions", ()) if q["words"] == "Kangxi"]) <= 1
