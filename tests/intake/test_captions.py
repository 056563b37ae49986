"""What the captions of photographs say joins the records of the pieces that they show.

All of it with real files: JPEGs with EXIF descriptions and comments, text files, lists.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.undoing import last_undoable, undo
from archivist.intake.apply import apply
from archivist.intake.proposal import ChangeObject, Proposal, read_proposal
from archivist.model import Aspect, Attribution, Certainty, ObjectRecord, Photograph

Make = Callable[..., Any]

ROWS = [
    ["Stock No", "What it is", "Date", "Height"],
    ["HW 0501", "Vase", "18th century", "30 cm"],
    ["HW 0502", "Celadon bowl", "", ""],
    ["HW 0503", "Dish", "", ""],
    ["HW 1745", "Jar", "", ""],
]


@pytest.fixture
def stocked(archive: Archive, sheet: Make, take_in: Make) -> Archive:
    """An archive with a few records."""
    take_in(sheet(ROWS))
    return archive


def described(path: Path, words: str, shade: int) -> Path:
    """A JPEG with `words` as its EXIF description, unlike all others by its shade."""
    from PIL import Image

    path.parent.mkdir(parents=True, exist_ok=True)
    image = Image.new("RGB", (64, 48), (shade % 256, shade * 7 % 256, shade * 13 % 256))
    exif = Image.Exif()
    exif[0x010E] = words
    image.save(path, "JPEG", exif=exif)
    return path


def record(archive: Archive, number: str) -> ObjectRecord:
    found = [r for r in archive.catalogue.all(ObjectRecord) if r.stock_number == number]
    assert len(found) == 1
    return found[0]


def dates(archive: Archive, number: str) -> list[str]:
    return [a.date.edtf for a in record(archive, number).attributions if a.date is not None]


def changes(proposal: Proposal) -> list[ChangeObject]:
    return [i for i in proposal.items if isinstance(i, ChangeObject)]


def test_a_caption_in_a_photograph_becomes_statements_with_the_caption_as_their_source(
    stocked: Archive, tmp_path: Path, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    described(
        folder / "HW 0502" / "a.jpg",
        "Celadon bowl, Korea, c. 1150, D. 19 cm, hairline to rim; ex collection of R. Marr",
        40,
    )
    take_in(folder)
    bowl = record(stocked, "HW 0502")
    assert dates(stocked, "HW 0502") == ["1150~"]
    assert [o.term.label for o in bowl.observations] == ["hairline"]
    assert [e.as_stated for e in bowl.provenance] == ["ex collection of R. Marr"]
    (photograph,) = stocked.catalogue.all(Photograph)
    said = next(a for a in bowl.attributions if a.as_stated == "c. 1150")
    assert said.source is not None
    assert said.source.original == photograph.sha256
    assert said.source.column == "EXIF ImageDescription"
    assert said.source.place == "HW 0502/a.jpg"
    assert said.certainty is Certainty.CERTAIN


def test_what_the_record_says_is_not_said_again_and_never_changed(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    before = record(stocked, "HW 0501")
    folder = tmp_path / "pictures"
    described(folder / "HW 0501.jpg", "Vase, 18th century, H. 30 cm", 41)
    proposal = read_proposal(look(folder).path)
    assert changes(proposal) == []
    apply(stocked, proposal, "p", "Ines Tidewell")
    assert record(stocked, "HW 0501") == before


def test_what_differs_stands_beside_as_another_opinion_and_is_told(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0501.jpg", "Vase, late 19th century, H. 25 cm", 42)
    proposal = read_proposal(look(folder).path)
    (change,) = changes(proposal)
    assert change.certainty is Certainty.PROBABLE
    assert "'late 19th century', where '18th century' stands" in " ".join(change.reasons)
    assert "'H. 25 cm', where '30 cm' stands" in " ".join(change.reasons)
    apply(stocked, proposal, "p", "Ines Tidewell")
    vase = record(stocked, "HW 0501")
    assert dates(stocked, "HW 0501") == ["17XX", "1875/1899"]
    held = vase.preferred(Aspect.DATE)
    assert held is not None
    assert held.as_stated == "18th century"


def test_nothing_doubles_on_a_second_survey_nor_from_another_folder(
    stocked: Archive, tmp_path: Path, take_in: Make, look: Make
) -> None:
    folder = tmp_path / "pictures"
    words = "Celadon bowl, c. 1150, hairline"
    for shade in (50, 51, 52):
        described(folder / "HW 0502" / f"{shade}.jpg", words, shade)
    take_in(folder)
    assert dates(stocked, "HW 0502") == ["1150~"]
    assert len(record(stocked, "HW 0502").observations) == 1
    assert look(folder).path is None
    other = tmp_path / "copies"
    described(other / "HW 0502" / "again.jpg", words, 53)
    proposal = read_proposal(look(other).path)
    assert changes(proposal) == []


def test_a_statement_that_a_person_took_away_does_not_come_back(
    stocked: Archive, tmp_path: Path, take_in: Make, look: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0502.jpg", "Celadon bowl, c. 1150", 54)
    take_in(folder)
    bowl = record(stocked, "HW 0502")
    with stocked.catalogue.action("edit", "Ines Tidewell", "not by me") as action:
        action.save(msgspec.structs.replace(bowl, attributions=()))
    assert look(folder).path is None


def test_a_caption_that_is_taken_back_can_be_taken_in_again(
    stocked: Archive, tmp_path: Path, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0502.jpg", "Celadon bowl, c. 1150", 55)
    before = record(stocked, "HW 0502")
    take_in(folder)
    assert record(stocked, "HW 0502") != before
    number = last_undoable(stocked.catalogue)
    assert number is not None
    undo(stocked.catalogue, number, "Ines Tidewell")
    assert record(stocked, "HW 0502") == before
    take_in(folder)
    assert dates(stocked, "HW 0502") == ["1150~"]


def test_the_text_beside_a_photograph_counts_as_its_caption(
    stocked: Archive, tmp_path: Path, picture: Make, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    picture(folder / "HW 0503.jpg")
    (folder / "HW 0503.txt").write_text(
        "Dish with Xuande mark but 18th century, foot chipped", encoding="utf-8", newline="\n"
    )
    take_in(folder)
    dish = record(stocked, "HW 0503")
    assert dates(stocked, "HW 0503") == ["17XX"]
    assert [m.claim for m in dish.marks] == ["Xuande"]
    assert [o.term.label for o in dish.observations] == ["chip"]
    assert {s.source.column for s in dish.marks if s.source} == {"text file beside it"}


def test_the_caption_in_a_list_of_photographs_is_read_of_its_piece(
    stocked: Archive, tmp_path: Path, picture: Make, sheet: Make, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    picture(folder / "both.jpg")
    listed = sheet(
        [
            ["File", "Piece", "View", "Caption"],
            ["both.jpg", "HW 0503", "base", "Foot with spur marks, Korea"],
        ],
        "photographs.xlsx",
    )
    take_in(folder, listed)
    dish = record(stocked, "HW 0503")
    assert [o.term.label for o in dish.observations] == ["spur mark"]
    (origin,) = {o.source for o in dish.observations}
    assert origin is not None
    assert (origin.column, "row 2" in origin.place) == ("caption", True)


def test_a_telling_name_is_read_and_a_year_in_a_name_is_not(
    stocked: Archive, tmp_path: Path, picture: Make, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    picture(folder / "2009" / "HW 0502 celadon bowl korea 12th c hairline.jpg")
    picture(folder / "1998" / "HW 0503" / "base.jpg")
    picture(folder / "1998" / "HW 0503" / "crack.jpg")
    take_in(folder)
    assert dates(stocked, "HW 0502") == ["11XX"]
    assert dates(stocked, "HW 0503") == []
    assert record(stocked, "HW 0503").observations == ()


def test_a_stock_number_is_no_year(stocked: Archive, tmp_path: Path, take_in: Make) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 1745.jpg", "HW 1745 jar, drilled base", 60)
    take_in(folder)
    assert dates(stocked, "HW 1745") == []
    assert [o.term.label for o in record(stocked, "HW 1745").observations] == ["drilled hole"]


def test_a_recent_year_is_asked_about_and_the_answer_holds(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0503.jpg", "Dish, 1998", 61)
    proposal = read_proposal(look(folder).path)
    (question,) = proposal.questions
    assert [c.answer for c in question.choices] == ["made in 1998", "photographed or sold then"]
    answered = msgspec.structs.replace(question, answer="photographed or sold then")
    apply(
        stocked,
        msgspec.structs.replace(proposal, questions=(answered,)),
        "p",
        "Ines Tidewell",
    )
    assert dates(stocked, "HW 0503") == []


def test_words_that_many_pieces_share_are_said_of_none(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    for shade, number in enumerate(("0501", "0502", "0503"), start=70):
        described(folder / f"HW {number}.jpg", "Korean ceramics, 12th century", shade)
    assert changes(read_proposal(look(folder).path)) == []


def test_a_photograph_of_several_pieces_says_nothing_of_one(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0502 and HW 0503.jpg", "Bowl and dish, Korea, 12th century", 80)
    assert changes(read_proposal(look(folder).path)) == []


def test_a_record_that_an_answer_makes_has_what_its_captions_say(
    archive: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    for shade in (90, 91):
        described(
            folder / "KR 12 bowl" / f"{shade}.jpg", "Celadon bowl, c. 1150, drilled base", shade
        )
    proposal = read_proposal(look(folder).path)
    made = [q for q in proposal.questions if q.key.startswith("new records")]
    assert len(made) == 1
    yes = msgspec.structs.replace(made[0], answer=made[0].choices[0].answer)
    apply(archive, msgspec.structs.replace(proposal, questions=(yes,)), "p", "Ines Tidewell")
    (bowl,) = archive.catalogue.all(ObjectRecord)
    assert [a.date.edtf for a in bowl.attributions if a.date] == ["1150~"]
    assert [o.term.label for o in bowl.observations] == ["drilled hole"]


def test_a_refused_caption_is_not_proposed_again(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0502.jpg", "Celadon bowl, c. 1150", 95)
    told = look(folder)
    proposal = read_proposal(told.path)
    items = tuple(
        msgspec.structs.replace(i, accept=False) if isinstance(i, ChangeObject) else i
        for i in proposal.items
    )
    from archivist.intake.proposal import rewrite_proposal

    refused = msgspec.structs.replace(proposal, items=items)
    rewrite_proposal(told.path, refused)
    apply(stocked, refused, told.path.name, "Ines Tidewell")
    assert dates(stocked, "HW 0502") == []
    assert look(folder).path is None


def test_an_opinion_of_a_caption_is_not_preferred(
    stocked: Archive, tmp_path: Path, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0501.jpg", "Vase, Ming", 96)
    take_in(folder)
    said: list[Attribution] = [
        a for a in record(stocked, "HW 0501").attributions if a.as_stated == "Ming"
    ]
    assert said
    assert not any(a.preferred for a in said)


def test_words_of_two_readings_are_a_question_whose_answer_replaces_what_was_read(
    stocked: Archive, tmp_path: Path, look: Make
) -> None:
    folder = tmp_path / "pictures"
    described(folder / "HW 0503.jpg", "Dish, D. 34 cm", 97)
    proposal = read_proposal(look(folder).path)
    (question,) = proposal.questions
    chosen = next(c for c in question.choices if "diameter" in c.answer)
    answered = msgspec.structs.replace(question, answer=chosen.answer)
    apply(
        stocked,
        msgspec.structs.replace(proposal, questions=(answered,)),
        "p",
        "Ines Tidewell",
    )
    sizes = record(stocked, "HW 0503").measurements
    assert [(m.dimension.value, m.low, m.unit.value) for m in sizes] == [("diameter", "34", "cm")]


def test_a_text_that_came_to_lie_beside_a_known_photograph_is_read(
    stocked: Archive, tmp_path: Path, picture: Make, take_in: Make
) -> None:
    folder = tmp_path / "pictures"
    picture(folder / "HW 0502.jpg")
    take_in(folder)
    (folder / "HW 0502.txt").write_text("Bowl, c. 1150", encoding="utf-8", newline="\n")
    take_in(folder)
    assert dates(stocked, "HW 0502") == ["1150~"]
