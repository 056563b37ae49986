"""Literature and exhibitions are citations of a piece, and never its owners or its date."""

from __future__ import annotations

from typing import Any

import pytest

from archivist.model import CitationKind
from archivist.reading.citations import read_citations
from archivist.reading.plain import plain
from archivist.reading.tables import load_tables
from archivist.reading.titles import read_title

TABLES = load_tables()


def cited(text: str, kind: CitationKind = CitationKind.LITERATURE) -> list[dict[str, Any]]:
    return list(plain(read_citations(text, TABLES, kind=kind))["statements"])


def in_caption(text: str) -> list[dict[str, Any]]:
    return list(plain(read_title(text, TABLES))["statements"])


def test_the_items_of_a_section_are_citations_each_with_its_pages_and_numbers() -> None:
    first, second = cited("Lit.: Alder 1960, p. 14; Voss 1972, no. 33, pl. IV")
    assert (first["authors"], first["pages"], first["date"]["edtf"]) == ("Alder", "p. 14", "1960")
    assert (second["authors"], second["number"]) == ("Voss", "no. 33, pl. IV")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Exhibited: Tolling Museum, 1936, no. 27", ("exhibition", "Tolling Museum", "no. 27")),
        ("Ausstellung: Museum Hartwig, 1962, Nr. 14", ("exhibition", "Museum Hartwig", "Nr. 14")),
        ("Exposition : musée Duvernay, 1937, n° 88", ("exhibition", "musée Duvernay", "n° 88")),
        ("Esposizioni: Museo Ferrandi, 1961, n. 4", ("exhibition", "Museo Ferrandi", "n. 4")),
        ("Tentoonstelling: Museum Aerden, 1936, nr. 9", ("exhibition", "Museum Aerden", "nr. 9")),
        ("Exposiciones: Museo Urrutia, 1992, núm. 6", ("exhibition", "Museo Urrutia", "núm. 6")),
    ],
)  # fmt: skip
def test_a_heading_of_any_language_says_what_is_cited(
    text: str, expected: tuple[str, str, str]
) -> None:
    (one,) = cited(text)
    assert (one["kind"], one["venue"], one["number"]) == expected


def test_what_compares_another_piece_does_not_cite_this_one() -> None:
    assert [one["kind"] for one in cited("Alder 1960, p. 4; cf. Voss 1972, pl. 3")] == [
        "literature",
        "relation",
    ]


def test_what_was_never_published_or_exhibited_is_cited_nowhere() -> None:
    assert cited("Never published in Alder 1960") == []
    assert cited("not exhibited at Tolling, 1936", CitationKind.EXHIBITION) == []


def test_a_doubt_before_a_citation_is_the_speakers() -> None:
    (one,) = cited("possibly exhibited at the Hall Museum, 1936, no. 4")
    assert one["certainty"] == "possible"


def test_a_section_of_a_caption_ends_where_the_piece_is_described_again() -> None:
    kinds = [s["kind"] for s in in_caption("Bowl. Exhibited: Hall Museum, 1936, no. 27. H. 12 cm")]
    assert kinds == ["title", "form", "exhibition", "measurement"]


def test_a_citation_within_a_caption_ends_at_its_plate() -> None:
    told = in_caption("Bowl, illustrated in Alder, Early Bowls, London 1960, pl. 12, hairline")
    assert [s["as_stated"] for s in told if s["kind"] == "literature"] == [
        "illustrated in Alder, Early Bowls, London 1960, pl. 12"
    ]
    assert [s["term"] for s in told if s["kind"] == "condition"] == ["hairline"]


@pytest.mark.parametrize(
    "caption",
    [
        "Bowl. Published: Alder, Early Bowls, 1960, pl. 3",
        "Schale, abgebildet in Hartwig, Frühe Schalen, 1958, Abb. 4",
        "Bol, exposé au musée Duvernay, 1937, n° 4",
        "Dish, exhibited at the Hall Museum, 1936, no. 27",
    ],
)
def test_the_year_of_a_publication_or_exhibition_dates_no_piece(caption: str) -> None:
    kinds = {s["kind"] for s in in_caption(caption)}
    assert kinds & {"literature", "exhibition"}
    assert not kinds & {"date", "provenance"}


@pytest.mark.parametrize(
    "caption",
    ["Bowl, illustrated with birds", "Figure, shown seated", "Bowl, shown at rest", "Unpublished"],
)  # fmt: skip
def test_words_of_citations_in_other_use_cite_nothing(caption: str) -> None:
    assert not {s["kind"] for s in in_caption(caption)} & {"literature", "exhibition", "relation"}
