"""What may be told of a piece: every statement, and no opinion taken for another."""

from __future__ import annotations

from msgspec.structs import replace

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Feature,
    FeatureAspect,
    Note,
    ObjectRecord,
    SaleFact,
    SaleStage,
    Term,
    Title,
)
from archivist.testing import BOWL, DISPUTED, FARMHOUSE
from archivist.wording.facts import Heading, facts, held


def _piece(record: ObjectRecord) -> Piece:
    return Piece(record=record, photographs=(), parties=(FARMHOUSE,), slug="p", uri="https://x/1")


def test_every_statement_of_the_sample_record_is_told_under_its_heading() -> None:
    told = [(fact.heading.value, fact.text) for fact in facts(_piece(BOWL))]
    assert told == [
        ("Stock number", "T 0417"),
        ("Date", "late 18th or early 19th century (1775–1825; probable)"),
        ("Culture", "Korean"),
        ("Other opinion", "date: c. 1900 (1895–1905; possible)"),
        ("Composition", "single piece"),
        ("Form", "bowl"),
        ("Material", "stoneware"),
        ("Glaze", "celadon"),
        ("Size", "diameter 18.4 cm (7.2 in)"),
        (
            "Mark",
            "reign mark “大明 / 成化 / 年製”, 6 characters in 2 columns, regular script, place: "
            "base; claims Chenghua; held to be later than it claims, stated as “six-character "
            "mark, later”",
        ),
        ("Making", "firing gap (foot rim), stated as “firing gap at the foot, not a crack”"),
        ("Damage", "hairline (rim), stated as “hairline from rim”"),
        (
            "Provenance",
            "1987: sale, from private collection, Wales, stated as “from a farmhouse sale”",
        ),
        ("Description", "Glaze pools & thins; <blue-green> towards the foot."),
    ]


def test_what_was_rejected_is_never_held_and_still_told() -> None:
    record = ObjectRecord(
        id="r",
        attributions=(
            Attribution(
                aspect=Aspect.DATE,
                as_stated="1600",
                date=Date(edtf="1600", earliest=1600, latest=1600),
                certainty=Certainty.REJECTED,
                preferred=True,
            ),
            Attribution(aspect=Aspect.CULTURE, term=Term(label="Dutch")),
        ),
        features=(
            Feature(
                aspect=FeatureAspect.GLAZE,
                term=Term(label="salt glaze"),
                certainty=Certainty.REJECTED,
            ),
        ),
    )
    piece = _piece(record)
    assert held(piece, Aspect.DATE) is None
    told = {
        fact.heading: fact.text for fact in facts(piece) if fact.heading is not Heading.REJECTED
    }
    assert told == {Heading.CULTURE: "Dutch"}
    rejected = [fact.text for fact in facts(piece) if fact.heading is Heading.REJECTED]
    assert rejected == [
        "date: not held to be 1600 (rejected)",
        "glaze: not held to be salt glaze (rejected)",
    ]


def test_the_facts_of_a_sale_are_never_told() -> None:
    sale = SaleFact(stage=SaleStage.SOLD, amount="4200", currency="GBP", as_stated="sold 4200")
    told = facts(_piece(replace(BOWL, sales=(sale,))))
    assert not [fact for fact in told if "4200" in fact.text]


def test_other_titles_numbers_and_notes_have_a_place() -> None:
    record = replace(
        BOWL,
        titles=(*BOWL.titles, Title(value="Spring moon", certainty=Certainty.POSSIBLE)),
        other_numbers=("K 12",),
        notes=(Note(heading="Box", as_stated="Paulownia, later"), Note(as_stated=" ")),
    )
    told = [(fact.heading, fact.text) for fact in facts(_piece(record))]
    assert (Heading.OTHER_TITLE, "Spring moon (possible)") in told
    assert (Heading.OTHER_NUMBER, "K 12") in told
    assert [text for heading, text in told if heading is Heading.NOTE] == ["Box: Paulownia, later"]


def test_short_values_keep_their_doubt() -> None:
    record = ObjectRecord(
        id="r",
        attributions=(
            Attribution(
                aspect=Aspect.MAKER,
                term=Term(label="Jan Hoek"),
                as_stated="prob. by J. Hoek",
                certainty=Certainty.PROBABLE,
                ground="the foot",
            ),
        ),
    )
    (fact,) = facts(_piece(record))
    assert fact.short == "Jan Hoek (probable)"
    assert fact.text == "Jan Hoek, stated as “prob. by J. Hoek” (probable; ground: the foot)"


def test_what_is_held_agrees_is_anothers_of_a_part_or_rejected_stands_under_its_own_heading() -> (
    None
):
    told = [(fact.heading.value, fact.text) for fact in facts(_piece(DISPUTED))]
    assert told == [
        ("Stock number", "T 0418"),
        ("Date", "18th century (1700–1799)"),
        ("Period", "Edo period"),
        ("Agrees with it", "date: Edo period (1603–1868)"),
        (
            "Other opinion",
            "date: c. 1900 (1895–1905; according to private collection, Wales; said 1998; ground: "
            "the foot)",
        ),
        ("Rejected opinion", "kiln: not held to be Seaholme (rejected; ground: the clay)"),
        ("Rejected opinion", "glaze: not held to be salt glaze (rejected)"),
        ("Of a part", "cover: 19th century (1800–1899)"),
        ("Of a part", "mounts, mounted: Marrowgate, stated as “mounted in Marrowgate”"),
        ("Composition", "single piece, one of a pair, cover"),
        ("Form", "vase"),
        ("Repair", "restoration (rim), when: 1985, stated as “rim restored in 1985”"),
        (
            "Provenance",
            "1991: loan, from private collection, Wales, no change of ownership, stated as "
            "“lent in 1991”",
        ),
        ("Related piece", "one of a pair with: the other of the pair at Tolling Hall"),
        (
            "Literature",
            "Ada Voss, “Plain vases”, 1985, p. 14, stated as “Voss, Plain vases, 1985, p. 14”",
        ),
        (
            "Exhibition",
            "“Vases”, Marrowgate, 1990, no. 27, stated as “Vases, Marrowgate, 1990, no. 27”",
        ),
    ]


def test_years_narrower_than_all_that_was_said_are_told_with_the_words_of_each() -> None:
    said = (
        Attribution(
            aspect=Aspect.DATE, as_stated=words, date=Date(edtf="", earliest=first, latest=last)
        )
        for words, first, last in (("Ming", 1368, 1644), ("17th century", 1600, 1699))
    )
    told = facts(_piece(ObjectRecord(id="r", attributions=tuple(said))))
    assert told[0].heading is Heading.DATE
    assert told[0].text == (
        "Ming; 17th century (1600–1644; the years in which several statements agree)"
    )


def test_what_another_asserts_and_the_owner_rejects_is_told_of_each() -> None:
    theirs = Attribution(aspect=Aspect.PERIOD, term=Term(label="Ming"), who=FARMHOUSE.id)
    own = Attribution(aspect=Aspect.PERIOD, term=Term(label="Ming"), certainty=Certainty.REJECTED)
    told = [
        (fact.heading, fact.text)
        for fact in facts(_piece(ObjectRecord(id="r", attributions=(theirs, own))))
    ]
    assert told == [
        (
            Heading.REJECTED,
            "period: Ming (according to private collection, Wales), which is not held",
        ),
        (Heading.REJECTED, "period: not held to be Ming (rejected)"),
    ]
