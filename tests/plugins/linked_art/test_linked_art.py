"""Linked Art of a piece: what is certain is said of it, what is doubted is ascribed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace as changed

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Basis,
    Certainty,
    Date,
    Dimension,
    EventKind,
    Measurement,
    ObjectRecord,
    Party,
    PartyKind,
    ProvenanceEvent,
    Term,
    Title,
    Unit,
)
from archivist.testing import BOWL, FARMHOUSE, export, sample_piece, sample_selection
from archivist_plugins.iiif import IIIF
from archivist_plugins.iptc import IPTC
from archivist_plugins.linked_art import LINKED_ART
from archivist_plugins.linked_art.exporter import as_json
from archivist_plugins.linked_art.objects import human_made_object
from archivist_plugins.linked_art.parts import time_span
from archivist_plugins.linked_art.vocabulary import Vocabulary

PRINTER = Party(id="p 1", name="Edda Marl", kind=PartyKind.PERSON)
TERMS = Vocabulary("https://x.test/")


def _made(record: ObjectRecord = BOWL) -> dict[str, Any]:
    piece = Piece(record, (), (FARMHOUSE, PRINTER), "bowl", "https://x.test/1")
    made = human_made_object(piece, sample_selection(Path(), [piece]))
    return dict(json.loads(as_json(made)))


def _statements(made: dict[str, Any], heading: str) -> list[tuple[str, str]]:
    """The kind and the words of the statements under a heading."""
    return [
        (one["classified_as"][0]["_label"], one["content"])
        for one in made["referred_to_by"]
        if one.get("_label") == heading
    ]


def test_the_date_that_is_held_stands_on_the_making_with_its_doubt_in_its_name() -> None:
    span = _made()["produced_by"]["timespan"]
    assert span["begin_of_the_begin"] == "1775-01-01T00:00:00Z"
    assert span["end_of_the_end"] == "1825-12-31T23:59:59Z"
    assert "probable" in span["identified_by"][0]["content"]


def test_what_is_not_certain_or_not_held_is_ascribed_with_its_certainty() -> None:
    ascribed = _made()["attributed_by"]
    assert [one["classified_as"][0]["_label"] for one in ascribed] == ["Probably", "Possibly"]
    other = ascribed[1]["assigned"][0]["timespan"]
    assert other["begin_of_the_begin"][:4] == "1895"


def test_a_contrary_opinion_that_is_certain_is_still_only_ascribed() -> None:
    held = Attribution(aspect=Aspect.CULTURE, term=Term(label="Korean"), preferred=True)
    other = Attribution(aspect=Aspect.CULTURE, term=Term(label="Chinese"), who=PRINTER.id)
    made = _made(changed(BOWL, attributions=(held, other)))
    assert "Chinese" not in [one["_label"] for one in made["classified_as"]]
    [ascribed] = made["attributed_by"]
    assert "classified_as" not in ascribed
    assert ascribed["assigned_property"] == "classified_as"
    assert ascribed["carried_out_by"] == [
        {"id": "https://7f1d3c52-0b7e-4f0e-9a51-2f6f1f0c9a10.invalid/parties/p%201",
         "type": "Person", "_label": "Edda Marl"}
    ]  # fmt: skip


def test_a_rejected_opinion_is_told_in_words_and_ascribed_to_nobody() -> None:
    wrong = Attribution(
        aspect=Aspect.DATE,
        as_stated="Ming",
        certainty=Certainty.REJECTED,
        date=Date(edtf="1368/1644", earliest=1368, latest=1644),
    )
    made = _made(changed(BOWL, attributions=(wrong,)))
    assert "produced_by" not in made
    assert "attributed_by" not in made
    assert _statements(made, "Rejected opinion") == [
        ("Note", "date: not held to be Ming (1368–1644; rejected)")
    ]


def test_a_doubted_culture_does_not_classify_the_piece() -> None:
    said = Attribution(
        aspect=Aspect.CULTURE, term=Term(label="Korean"), certainty=Certainty.DOUBTFUL
    )
    made = _made(changed(BOWL, attributions=(said,)))
    assert "Korean" not in [one["_label"] for one in made["classified_as"]]
    assert made["attributed_by"][0]["classified_as"][0]["_label"] == "doubtful"


def test_a_mark_is_words_and_its_claim_is_no_date() -> None:
    made = _made()
    [(kind, words)] = _statements(made, "Mark")
    assert kind == "Markings"
    assert "claims Chenghua; held to be later than it claims" in words
    assert "Chenghua" not in json.dumps([made["produced_by"], made["attributed_by"]])


def test_a_firing_gap_is_a_physical_statement_and_a_hairline_one_of_condition() -> None:
    made = _made()
    assert [kind for kind, _ in _statements(made, "Making")] == ["Physical Statement"]
    assert [kind for kind, _ in _statements(made, "Damage")] == ["Condition Statement"]


def test_a_recalled_range_keeps_its_limits_its_ground_and_its_doubt() -> None:
    size = Measurement(
        dimension=Dimension.HEIGHT,
        low="30",
        high="32",
        unit=Unit.CENTIMETRE,
        basis=Basis.RECALLED,
        certainty=Certainty.PROBABLE,
        part="cover",
    )
    [made] = _made(changed(BOWL, measurements=(size,)))["dimension"]
    limits = made["lower_value_limit"], made["value"], made["upper_value_limit"]
    assert limits == (30, 31, 32)
    assert [one["_label"] for one in made["classified_as"]] == ["Height", "cover"]
    [said] = made["assigned_by"]
    assert [one["_label"] for one in said["classified_as"]] == ["Probably", "recalled"]
    assert "as recalled" in made["_label"]


def test_a_size_that_is_no_number_stays_in_words() -> None:
    size = Measurement(low="9" * 400, high="9" * 400, unit=Unit.LITRE)
    made = _made(changed(BOWL, measurements=(size,)))
    assert "dimension" not in made
    assert len(_statements(made, "Size")) == 1


@pytest.mark.parametrize(
    ("date", "begins", "ends"),
    [
        (Date(edtf="1900-02", earliest=1900, latest=1900), "1900-02-01", "1900-02-28"),
        (Date(edtf="1904-02-29", earliest=1904, latest=1904), "1904-02-29", "1904-02-29"),
        (Date(edtf="../1700", latest=1700), None, "1700-12-31"),
        (Date(edtf="-0205/0220", earliest=-205, latest=220), None, "0220-12-31"),
    ],
)
def test_a_time_span_has_the_moments_that_are_known_and_can_be_written(
    date: Date, begins: str | None, ends: str
) -> None:
    made = time_span(TERMS, "words", date)
    assert (made.get("begin_of_the_begin", "")[:10] or None) == begins
    assert made["end_of_the_end"][:10] == ends


def test_ownership_passes_by_a_sale_that_is_certain_and_by_no_other() -> None:
    sale = ProvenanceEvent(kind=EventKind.SALE, giver=FARMHOUSE.id, receiver=PRINTER.id)
    doubted = changed(sale, certainty=Certainty.POSSIBLE)
    stay = ProvenanceEvent(kind=EventKind.STAY, receiver=PRINTER.id)
    made = _made(changed(BOWL, provenance=(sale, doubted, stay)))
    [one] = made["changed_ownership_through"]
    assert one["classified_as"][0]["_label"] == "Purchasing"
    assert one["transferred_title_from"][0]["type"] == "Group"
    assert one["transferred_title_to"][0]["type"] == "Person"
    assert len(_statements(made, "Provenance")) == 3


def test_a_term_has_the_address_of_its_source_or_else_one_of_this_archive() -> None:
    own = TERMS.term("form", Term(label="bowl / 碗"))
    assert own["id"] == "https://x.test/terms/form/bowl%20%2F%20%E7%A2%97"
    seen = TERMS.term("form", Term(label="bowl", uri="https://example.org/bowl"))
    assert seen["id"] == "https://example.org/bowl"
    assert TERMS.term("form", Term(label="bowl", uri="see a book"))["id"] == (
        "https://x.test/terms/form/bowl"
    )


def test_titles_keep_their_doubt_and_only_the_preferred_one_is_primary() -> None:
    titles = (
        Title(value="Schale", language="de", certainty=Certainty.POSSIBLE),
        Title(value="Bowl", language="en-GB", preferred=True),
    )
    names = _made(changed(BOWL, titles=titles))["identified_by"][:2]
    assert [n["content"] for n in names] == ["Bowl", "Schale (possible)"]
    assert [n["classified_as"][0]["_label"] for n in names] == ["Primary Name", "Alternate Name"]
    assert [n.get("language", [{}])[0].get("_label") for n in names] == ["English", None]


def test_pictures_and_manifest_are_linked_where_the_release_holds_them(tmp_path: Path) -> None:
    piece = replace(sample_piece(tmp_path / "pictures"))
    files = export((LINKED_ART, IIIF, IPTC), sample_selection(tmp_path, [piece]), tmp_path)
    made = json.loads(files[f"linked-art/{piece.slug}.json"].location.read_text("utf-8"))
    shown = [one["digitally_shown_by"][0] for one in made["representation"]]
    there = [one["access_point"][0]["id"].split(".invalid/")[1] for one in shown]
    assert there == [f"iptc/{piece.slug}/{photo.name}" for photo in piece.photographs]
    manifest = made["subject_of"][0]["digitally_carried_by"][0]["access_point"][0]["id"]
    assert manifest.split(".invalid/")[1] in files
