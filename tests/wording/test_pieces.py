"""Marks, observations, parts and events in words: nothing doubtful said without its doubt."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    CitationKind,
    Composition,
    CompositionKind,
    Date,
    EventKind,
    Legibility,
    Mark,
    MarkKind,
    MarkRelation,
    Observation,
    ObservationKind,
    Part,
    Passage,
    Polarity,
    Presence,
    Presentness,
    ProvenanceEvent,
    Reading,
    Relation,
    RelationKind,
    Script,
    TakenAt,
    Term,
)
from archivist.testing import BOWL, FARMHOUSE, sample_photograph

PIECE = Piece(record=BOWL, photographs=(), parties=(FARMHOUSE,), slug="bowl", uri="https://x/1")


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


def test_a_part_and_what_was_done_then_stand_before_the_value() -> None:
    mounts = Attribution(
        aspect=Aspect.PLACE, term=Term(label="Paris"), part="mounts", role=AttributionRole.MOUNTED
    )
    cover = Attribution(
        aspect=Aspect.DATE,
        as_stated="19th century",
        date=Date(edtf="18XX", earliest=1801, latest=1900),
        part="cover",
    )
    decorated = Attribution(
        aspect=Aspect.PLACE, term=Term(label="London"), role=AttributionRole.DECORATED
    )
    assert wording.attribution_shown(mounts) == "mounts, mounted: Paris"
    assert wording.attribution_shown(cover) == "cover: 19th century (1801–1900)"
    assert wording.attribution_shown(decorated) == "decorated: London"


@pytest.mark.parametrize(
    ("composition", "words"),
    [
        (Composition(kind=CompositionKind.SINGLE, count=1, of=2), "single piece, one of a pair"),
        (
            Composition(kind=CompositionKind.SINGLE, count=1, of=6),
            "single piece, one of a set of 6",
        ),
        (Composition(kind=CompositionKind.SET, count=4, of=6), "4 of a set of 6"),
        (Composition(kind=CompositionKind.PAIR, count=2, of=2), "pair"),
        (Composition(count=2), "group of 2"),
    ],
)
def test_what_is_here_is_told_apart_from_what_there_was(
    composition: Composition, words: str
) -> None:
    assert wording.composition_shown(composition) == words


def test_an_observation_says_when_it_came_about() -> None:
    repair = Observation(
        term=Term(label="restoration"),
        kind=ObservationKind.REPAIR,
        part="rim",
        date=Date(edtf="1985", earliest=1985, latest=1985),
    )
    assert wording.observation_shown(repair) == "restoration (rim), when: 1985"


def test_an_event_that_gave_nobody_title_says_so() -> None:
    offered = ProvenanceEvent(
        kind=EventKind.OFFER, giver=FARMHOUSE.id, date=Date(edtf="1987", earliest=1987, latest=1987)
    )
    assert wording.event_shown(PIECE, offered) == (
        "1987: offered for sale, from private collection, Wales, no change of ownership"
    )


def test_literature_and_exhibitions_are_cited_in_the_usual_order() -> None:
    book = Citation(
        kind=CitationKind.LITERATURE,
        authors="A. Tolling",
        title="Plain glazes",
        venue="Marrowgate",
        date=Date(edtf="1985", earliest=1985, latest=1985),
        pages="pp. 14–15",
        number="no. 27",
    )
    assert wording.citation_shown(book) == (
        "A. Tolling, “Plain glazes”, Marrowgate, 1985, pp. 14–15, no. 27"
    )
    assert wording.citation_shown(Citation(kind=CitationKind.EXHIBITION, as_stated="Ghent")) == (
        "Ghent"
    )


def test_a_piece_without_a_record_is_told_by_its_words() -> None:
    other = Relation(kind=RelationKind.PAIR_WITH, as_stated="the other at Tolling Hall")
    assert wording.relation_shown(PIECE, other) == "one of a pair with: the other at Tolling Hall"
    nameless = Relation(kind=RelationKind.COMPARE, object=BOWL.id)
    assert wording.relation_shown(PIECE, nameless) == ""


@pytest.mark.parametrize(
    ("polarity", "words"),
    [
        (Polarity.FORMER, "formerly held"),
        (Polarity.CLAIMED, "claimed"),
        (Polarity.ASSERTED, ""),
    ],
)
def test_a_value_that_words_do_not_assert_says_what_they_do(polarity: Polarity, words: str) -> None:
    reading = Reading(rule="century", polarity=polarity)
    said = Attribution(aspect=Aspect.PERIOD, term=Term(label="Edo"), reading=reading)
    assert wording.caveats(PIECE, said) == words
