"""What a dossier says of a piece, before any of it is set."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace as with_changes
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Composition,
    Date,
    Mark,
    MarkKind,
    MarkRelation,
    Note,
    ObjectRecord,
    Observation,
    ObservationKind,
    Part,
    Party,
    Passage,
    Presence,
    Presentness,
    ProvenanceEvent,
    Region,
    Relation,
    RelationKind,
    SaleFact,
    SaleStage,
    Term,
    View,
    canonical_json,
)
from archivist.testing import BOWL, FARMHOUSE, sample_piece, sample_selection
from archivist_plugins.dossier import checking
from archivist_plugins.dossier.condition import NOTHING_RECORDED
from archivist_plugins.dossier.content import content, cover_number
from archivist_plugins.dossier.pictures import PagePicture
from archivist_plugins.dossier.provenance import NONE_RECORDED

EXPERT = Party(id="9f2d1c6e-51f1-4f1c-8f5b-1f0a7b5a2c10", name="Ode Fairweather", private=False)


def said(record: ObjectRecord = BOWL, parties: tuple[Party, ...] = (FARMHOUSE,)) -> dict[str, Any]:
    piece = Piece(record, (), parties, "slug", "uri")
    return content(piece, sample_selection(Path(), [piece]), (), (), "a4")


def row(told: dict[str, Any], label: str) -> dict[str, Any]:
    (found,) = [r for r in told["identification"] if r["label"] == label]
    return dict(found)


def texts(found: dict[str, Any]) -> list[str]:
    return [" ".join([line["word"], line["text"]]).strip() for line in found["lines"]]


# Identification


def test_a_bare_record_has_every_heading_and_says_that_nothing_is_recorded() -> None:
    told = said(ObjectRecord(id=BOWL.id))
    assert len(told["identification"]) == 11
    assert all(r["none"] for r in told["identification"])
    wanted = [["none given here"], *([["none recorded"]] * 10)]
    assert [texts(row) for row in told["identification"]] == wanted
    assert told["condition"]["none"] == NOTHING_RECORDED
    assert told["provenance"]["none"] == NONE_RECORDED
    assert told["cover"] == -1


def test_what_was_written_of_condition_stands_under_condition_and_not_among_the_notes() -> None:
    notes = (
        Note(as_stated="Hairline from rim,\nabout 9 cm", heading="Condition"),
        Note(as_stated="shown twice", heading="Remarks"),
    )
    told = said(replace(ObjectRecord(id=BOWL.id), notes=notes))
    assert told["condition"]["none"] == ""
    assert [(group["heading"], group["lines"]) for group in told["condition"]["groups"]] == [
        ("As it was written", ["Hairline from rim, about 9 cm"])
    ]
    assert told["notes"] == ["Remarks: shown twice"]


def test_a_piece_cut_out_of_a_group_is_not_said_to_be_shown_with_others(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path, views=(View.GROUP,))
    (whole,) = piece.photographs
    part = Region(x=0, y=0, width=4, height=4, reference_width=9, reference_height=9)
    told = []
    for photo in (
        whole,
        with_changes(whole, region=part),
        with_changes(whole, how="Part of the picture decoded from JPEG."),
    ):
        one = with_changes(piece, photographs=(photo,))
        pictures = [PagePicture("p.jpg", 9, 9)]
        found = content(one, sample_selection(tmp_path, [one]), pictures, (), "a4")
        told.append(texts(row(found, "Photographs"))[0].partition(": ")[2])
    assert told == ["with other pieces", *["the piece, out of a picture of several"] * 2]


def test_what_is_recorded_stands_under_its_heading_with_the_word_of_the_trade_before_it() -> None:
    told = said()
    assert texts(row(told, "Materials and techniques")) == ["material stoneware", "glaze celadon"]
    assert texts(row(told, "Maker")) == ["culture Korean"]
    assert texts(row(told, "Inventory number")) == ["stock number T 0417"]
    assert row(told, "Subject")["none"]


def test_features_that_tell_a_piece_apart_are_what_was_seen_not_what_was_looked_for() -> None:
    absent = Observation(
        term=Term(label="overspray"), kind=ObservationKind.REPAIR, presence=Presence.ABSENT
    )
    told = said(replace(BOWL, observations=(*BOWL.observations, absent)))
    features = texts(row(told, "Distinguishing features"))
    assert [line.split()[0] for line in features] == ["damage", "making"]
    assert not any("overspray" in line for line in features)


def test_a_long_description_has_pages_of_its_own_and_keeps_every_paragraph() -> None:
    paragraphs = [f"Paragraph {n}: {'words ' * 60}".strip() for n in range(9)]
    told = said(replace(BOWL, descriptions=(Note(as_stated="\n\n".join(paragraphs)),)))
    assert told["descriptions"] == [{"heading": "", "paragraphs": paragraphs}]
    assert "in full" in texts(row(told, "Description"))[0]
    assert said()["descriptions"] == []


# Condition


def groups(told: dict[str, Any]) -> dict[str, list[str]]:
    return {g["heading"]: g["lines"] for g in told["condition"]["groups"]}


def test_what_comes_from_the_making_stands_apart_from_damage() -> None:
    told = groups(said())
    assert list(told) == ["Damage", "From the making"]
    assert told["Damage"] == ["hairline (rim), stated as “hairline from rim”"]
    assert "firing gap" in told["From the making"][0]


@pytest.mark.parametrize("kind", list(ObservationKind))
def test_every_kind_of_observation_is_told_in_the_words_it_was_made_in(
    kind: ObservationKind,
) -> None:
    seen = Observation(
        term=Term(label="star crack"), kind=kind, part="base", as_stated="bad crack through base"
    )
    told = groups(said(replace(BOWL, observations=(seen,))))
    (lines,) = told.values()
    assert lines == ["star crack (base), stated as “bad crack through base”"]


def test_absent_unknown_rejected_and_missing_are_four_things() -> None:
    def seen(label: str, **facts: Any) -> Observation:
        return Observation(term=Term(label=label), kind=ObservationKind.REPAIR, **facts)

    told = groups(
        said(
            replace(
                BOWL,
                composition=Composition(parts=(Part(name="cover", state=Presentness.MISSING),)),
                observations=(
                    seen("rivet"),
                    seen("overspray", presence=Presence.ABSENT),
                    seen("fill", presence=Presence.UNKNOWN),
                    seen("glue", certainty=Certainty.REJECTED),
                ),
            )
        )
    )
    assert told == {
        "Repairs": ["rivet"],
        "Parts missing or replaced": ["cover (missing)"],
        "Looked for and not found": ["repair: no overspray"],
        "Looked for and not decided": ["repair: fill, looked for and not decided"],
        "Said once and rejected": ["glue (rejected)"],
    }


# Marks


def test_a_mark_its_reading_and_what_it_is_held_to_be_are_told_apart() -> None:
    (mark,) = said()["marks"]["marks"]
    assert mark["claims"] == "Chenghua"
    assert mark["held"] == "later than it claims"
    assert {"label": "As written", "text": "大明 / 成化 / 年製"} in mark["rows"]


@pytest.mark.parametrize(
    ("characters", "columns", "drawn"),
    [
        ("大明成\n化年製", 2, True),
        ("大明成\n化年製", 0, True),
        ("大明\n成化\n年製", 2, False),
        ("大明成化年製", 0, False),
        ("大明成化年製", 2, False),
        ("成化年製", 1, True),
        ("福", 0, True),
        ("No. 12", 0, False),
    ],
)
def test_a_mark_is_drawn_only_where_the_record_says_how_its_characters_stand(
    characters: str, columns: int, drawn: bool
) -> None:
    mark = Mark(kind=MarkKind.REIGN, characters=characters, columns=columns)
    (told,) = said(replace(BOWL, marks=(mark,)))["marks"]["marks"]
    assert (told["columns"] is not None) is drawn


@pytest.mark.parametrize(
    ("mark", "held"),
    [
        (Mark(kind=MarkKind.REIGN), "not recorded"),
        (Mark(kind=MarkKind.LABEL), ""),
        (
            Mark(kind=MarkKind.LABEL, relation=MarkRelation.UNDETERMINED),
            "not determined: of the period it names, or later",
        ),
        (
            Mark(relation=MarkRelation.OF_THE_PERIOD, certainty=Certainty.POSSIBLE),
            "of the period it names (possible)",
        ),
    ],
)
def test_nothing_is_held_of_a_mark_that_nobody_has_said(mark: Mark, held: str) -> None:
    (told,) = said(replace(BOWL, marks=(mark,)))["marks"]["marks"]
    assert told["held"] == held


# Opinions and provenance


def test_contrary_and_rejected_opinions_stand_beside_the_one_that_is_held() -> None:
    contrary = Attribution(
        aspect=Aspect.DATE,
        as_stated="c. 1900",
        certainty=Certainty.POSSIBLE,
        who=EXPERT.id,
        said="2009",
        ground="too even a glaze",
    )
    rejected = Attribution(
        aspect=Aspect.DATE, as_stated="Chenghua", certainty=Certainty.REJECTED, said="1998"
    )
    held = BOWL.attributions[0]
    record = replace(BOWL, attributions=(rejected, contrary, held))
    (dates,) = said(record, (FARMHOUSE, EXPERT))["opinions"]
    assert [(o["standing"], o["who"], o["since"]) for o in dates["opinions"]] == [
        ("held", "Ines Tidewell", "date not recorded"),
        ("other opinion", "Ode Fairweather", "2009"),
        ("rejected", "Ines Tidewell", "1998"),
    ]
    assert dates["opinions"][1]["ground"] == "too even a glaze"
    assert dates["opinions"][0]["ground"] == "no ground recorded"


def test_a_gap_is_said_to_be_a_gap_and_what_is_not_known_not_to_be_known() -> None:
    events = tuple(
        ProvenanceEvent(
            receiver=FARMHOUSE.id, date=Date(edtf=str(y), earliest=y, latest=y), passage=passage
        )
        for y, passage in ((1900, Passage.UNKNOWN), (1920, Passage.GAP), (1930, Passage.UNKNOWN),
                           (1940, Passage.DIRECT))
    )  # fmt: skip
    told = said(replace(BOWL, provenance=events))["provenance"]
    assert [e["gap"] for e in told["events"]] == [
        "",
        "a gap comes before this",
        "how it came here from the one before is not known",
        "",
    ]
    assert ". " in told["lines"][0]
    assert len(told["lines"]) == 2


def test_every_event_names_its_evidence_or_says_that_there_is_none() -> None:
    with_ground = replace(BOWL.provenance[0], ground="invoice seen", evidence=("ab" * 32,))
    told = said(replace(BOWL, provenance=(*BOWL.provenance, with_ground)))["provenance"]
    assert [e["evidence"] for e in told["events"]] == [
        "no evidence is named here",
        "invoice seen; 1 document with the owner",
    ]


def test_comparable_pieces_are_named_by_the_words_given_and_no_other_relation_is_shown() -> None:
    other = "11111111-1111-4111-8111-111111111111"
    record = replace(
        BOWL,
        relations=(
            Relation(kind=RelationKind.COMPARE, object=other, as_stated="T 0421, the same blue"),
            Relation(kind=RelationKind.COMPARE, object=other),
            Relation(kind=RelationKind.SAME_SALE, object=other, as_stated="the other lot"),
        ),
    )
    told = said(record)["comparable"]
    assert [c["text"] for c in told] == ["T 0421, the same blue", "a piece of the same archive"]
    assert {c["identifier"] for c in told} == {f"urn:uuid:{other}"}


def test_what_cannot_all_be_true_is_said() -> None:
    taller = replace(BOWL.measurements[0], low="22", high="22")
    told = said(replace(BOWL, measurements=(*BOWL.measurements, taller)))
    assert len(told["contradictions"]) == 1
    assert "18.4 cm" in told["contradictions"][0]
    assert said()["contradictions"] == []


def test_facts_of_the_sale_are_nowhere_on_the_pages() -> None:
    sale = SaleFact(stage=SaleStage.SOLD, amount="98765", currency="GBP", invoice="INV-55")
    told = json.dumps(said(replace(BOWL, sales=(sale,))))
    assert "98765" not in told
    assert "INV-55" not in told


# Cover and checking


def test_the_cover_has_the_best_view_that_can_be_shown(tmp_path: Path) -> None:
    views = (View.MARK, View.SIDE, View.OVERALL)
    piece = sample_piece(tmp_path, views=views)
    shown = [PagePicture(f"{n}.jpg", 10, 10) for n in range(3)]
    assert cover_number(piece, shown) == 2
    assert cover_number(piece, [*shown[:2], PagePicture(trouble="damaged")]) == 1
    assert cover_number(with_changes(piece, photographs=piece.photographs[:1]), shown[:1]) == 0


def test_the_cover_never_says_a_date_without_its_doubt() -> None:
    assert said()["summary"][0] == "Korean, late 18th or early 19th century (probable)"


def test_the_printed_digest_is_that_of_the_attached_record() -> None:
    piece = Piece(BOWL, (), (FARMHOUSE,), "a", "b")
    attached = checking.attachments(piece)
    assert attached["record.json"] == canonical_json(BOWL)
    facts = checking.record_facts(piece)
    assert hashlib.sha256(attached["record.json"]).hexdigest() == facts["sha256"]
    assert json.loads(attached["parties.json"])[0]["name"] == FARMHOUSE.name
    assert checking.code_words(piece) == f"urn:uuid:{BOWL.id} sha256:{facts['sha256']}"


def test_a_copys_digest_stands_with_that_of_its_original(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path)
    copy = with_changes(piece.photographs[0], original_sha256="ab" * 32, how="no metadata")
    given = with_changes(piece, photographs=(copy, piece.photographs[1]))
    first, second = checking.photograph_digests(given)
    assert (first["original"], first["how"]) == ("ab" * 32, "no metadata")
    assert second["original"] == ""
    assert checking.done_to_all(given) == ""
    alike = with_changes(given, photographs=(copy, copy))
    assert checking.done_to_all(alike) == "no metadata"
    assert {d["how"] for d in checking.photograph_digests(alike)} == {""}
    assert second["sha256"] == piece.photographs[1].sha256
