"""Rows of a stock book become records; a second look proposes what changed and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import events
from archivist.catalogue.sources import imported, sources
from archivist.catalogue.undoing import last_undoable, undo
from archivist.hooks import Cell, FoundRow
from archivist.intake.apply import apply
from archivist.intake.cells import CellReader
from archivist.intake.drafts import keep_preference, read_cells, record_of
from archivist.intake.mapping import Column
from archivist.intake.parties import Parties
from archivist.intake.proposal import ChangeObject, CreateObject, read_proposal
from archivist.intake.roles import Role
from archivist.model import (
    STATEMENT_FIELDS,
    Aspect,
    Attribution,
    Certainty,
    CompositionKind,
    Note,
    ObjectRecord,
    Party,
    SaleStage,
    Term,
    Title,
)
from archivist.reading.tables import load_tables

HEAD = ["Stock No", "What it is", "When made", "Size", "Buyer", "Cost £", "Margin"]
BOWL = ["HW 0401", "Celadon bowl", "12th century", "H 7.6 cm", "Dr Casimir Brunnick", 310, 40]
JUG = ["HW 0402", "Stoneware jug", "circa 1690", "H 21 cm", "", 425, 525]

Sheet = Callable[..., Path]
Look = Callable[..., Any]


def named(archive: Archive, number: str) -> ObjectRecord:
    return archive.catalogue.object_named(number)


def with_cell(row: list[Any], column: str, value: object) -> list[Any]:
    changed = list(row)
    changed[HEAD.index(column)] = value
    return changed


def test_a_row_becomes_a_record_with_every_statement_and_where_it_stood(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    done = take_in(sheet([HEAD, BOWL, JUG]))
    assert (done.records, done.files, done.parties) == (2, 1, 1)
    record = named(archive, "HW 0401")
    assert record.title == "Celadon bowl"
    assert record.titles[0].preferred
    assert record.date is not None
    assert (record.date.earliest, record.date.latest) == (1100, 1199)
    (size,) = record.measurements
    assert (size.dimension, size.low, size.unit) == ("height", "7.6", "cm")
    (source,) = sources(archive.catalogue)
    origin = size.source
    assert origin is not None
    assert (origin.source, origin.row, origin.column, origin.place) == (
        source.id,
        "HW 0401",
        "Size",
        "sheet Stock, row 2, column D",
    )
    assert archive.original_path(origin.original).read_bytes()[:2] == b"PK"


def test_prices_buyers_and_addresses_are_facts_of_trade_and_never_notes_for_others(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    head = [*HEAD, "Buyer's address", "Shelf", "Notes (private)"]
    take_in(sheet([head, [*BOWL, "Lindenhof 14, Obersteinau", "B2", "beat me down"]]))
    record = named(archive, "HW 0401")
    (buyer,) = [s for s in record.sales if s.stage is SaleStage.SOLD]
    party = archive.catalogue.get(buyer.party, Party)
    assert party is not None
    assert (party.name, party.private, party.address) == (
        "Dr Casimir Brunnick",
        True,
        "Lindenhof 14, Obersteinau",
    )
    (cost,) = [s for s in record.sales if s.stage is SaleStage.BOUGHT]
    assert (cost.amount, cost.currency, cost.as_stated) == ("310", "GBP", "310")
    assert all(note.private for note in record.notes)


def test_a_column_without_a_home_is_kept_word_for_word_under_its_heading(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([[*HEAD, "Qwzx"], [*BOWL, "  blue folder,  p. 3 "]]))
    note = next(n for n in named(archive, "HW 0401").notes if n.heading == "Qwzx")
    assert note.as_stated == "blue folder,  p. 3"
    (source,) = sources(archive.catalogue)
    assert imported(archive.catalogue, source.id)[("HW 0401", "Qwzx")].text == (
        "  blue folder,  p. 3 "
    )


def test_a_pair_is_a_pair_and_doubt_stays_doubt(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    head = ["No", "Piece", "Origin", "Date"]
    take_in(sheet([head, ["T 1", "PAIR of bottle vases", "Bristol?", "16th century?"]]))
    record = named(archive, "T 1")
    assert record.composition is not None
    assert (record.composition.kind, record.composition.count) == (CompositionKind.PAIR, 2)
    place = record.preferred(Aspect.PLACE)
    assert place is not None
    assert (place.as_stated, place.term and place.term.label, place.certainty) == (
        "Bristol?",
        "Bristol",
        Certainty.POSSIBLE,
    )
    date = record.preferred(Aspect.DATE)
    assert date is not None
    assert date.certainty is not Certainty.CERTAIN


def test_surveying_and_applying_twice_changes_nothing(
    archive: Archive, sheet: Sheet, look: Look
) -> None:
    path = sheet([HEAD, BOWL, JUG])
    told = look(path)
    first = apply(archive, told.proposal, told.path.name, "Ines")
    again = apply(archive, told.proposal, told.path.name, "Ines")
    assert first.records == 2
    assert again.nothing
    assert len(archive.catalogue.actions()) == len(events(archive.catalogue)) == 1
    second = look(path)
    assert (second.path, second.proposal.items, second.unchanged) == (None, (), 2)


def test_two_surveys_before_the_first_is_applied_make_each_record_once(
    archive: Archive, sheet: Sheet, look: Look
) -> None:
    path = sheet([HEAD, BOWL, JUG])
    for told in [look(path), look(path)]:
        apply(archive, told.proposal, told.path.name, "Ines")
    assert archive.catalogue.count("object") == 2
    assert archive.catalogue.count("party") == 1


def test_only_new_rows_are_proposed(archive: Archive, sheet: Sheet, take_in: Look) -> None:
    take_in(sheet([HEAD, BOWL]))
    done = take_in(sheet([HEAD, JUG, BOWL]))
    assert (done.records, done.changed) == (1, 0)


def test_a_changed_cell_replaces_its_own_statements_and_no_others(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    before = named(archive, "HW 0401")
    done = take_in(sheet([HEAD, with_cell(BOWL, "When made", "late 13th century")]))
    after = named(archive, "HW 0401")
    assert (done.records, done.changed) == (0, 1)
    assert after.date is not None
    assert after.date.latest == 1299
    assert len(after.attributions) == 1
    for field in STATEMENT_FIELDS:
        if field != "attributions":
            assert getattr(after, field) == getattr(before, field)


def test_what_is_read_is_marked_by_nobody_and_the_first_of_what_disagrees_is_held(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    take_in(sheet([HEAD, with_cell(BOWL, "When made", "12th century; perhaps 14th century")]))
    bowl = named(archive, "HW 0401")
    dates = [a for a in bowl.attributions if a.aspect is Aspect.DATE]
    assert len(dates) == 2
    assert not any(a.preferred for a in bowl.attributions)
    assert bowl.date == dates[0].date


def test_one_of_those_that_replace_a_preferred_statement_takes_over_the_preference() -> None:
    chosen, *new = (
        Attribution(aspect=Aspect.PERIOD, term=Term(label=label), preferred=label == "Edo")
        for label in ("Edo", "Meiji", "Taisho")
    )
    result = keep_preference({"attributions": [chosen]}, {"attributions": new})
    assert [a.preferred for a in result["attributions"]] == [True, False]


def test_an_emptied_cell_takes_its_statements_away(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, BOWL, JUG]))
    take_in(sheet([HEAD, with_cell(BOWL, "Size", ""), JUG]))
    assert named(archive, "HW 0401").measurements == ()
    assert named(archive, "HW 0402").measurements != ()


def test_a_column_that_is_gone_takes_nothing_away(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    told = look(sheet([HEAD[:3], BOWL[:3]]))
    assert [i for i in told.proposal.items if isinstance(i, ChangeObject)] == []


def edited(archive: Archive, number: str, **changes: Any) -> None:
    with archive.catalogue.action("edit", "Ines Tidewell") as action:
        action.save(msgspec.structs.replace(named(archive, number), **changes))


def test_an_edit_in_the_catalogue_wins_and_the_conflict_is_asked(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    edited(archive, "HW 0401", titles=(Title(value="Lotus bowl", preferred=True),))
    path = sheet([HEAD, with_cell(BOWL, "What it is", "Celadon bowl, repaired")])
    told = look(path)
    (question,) = told.proposal.questions
    assert "Ines Tidewell changed" in question.asks
    assert not [i for i in told.proposal.items if isinstance(i, ChangeObject)]
    apply(archive, told.proposal, told.path.name, "Ines")
    assert named(archive, "HW 0401").title == "Lotus bowl"
    assert look(path).path is None, "the same is not asked twice"


def answered(proposal: Any, answer: str, number: int = 0) -> Any:
    questions = list(proposal.questions)
    questions[number] = msgspec.structs.replace(questions[number], answer=answer)
    return msgspec.structs.replace(proposal, questions=tuple(questions))


def test_a_conflict_can_be_answered_for_the_catalogue_for_good(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    edited(archive, "HW 0401", titles=(Title(value="Lotus bowl", preferred=True),))
    path = sheet([HEAD, with_cell(BOWL, "What it is", "Celadon bowl, repaired")])
    told = look(path)
    apply(archive, answered(told.proposal, "the catalogue"), told.path.name, "Ines")
    told.path.unlink()
    assert look(path).path is None


def test_an_edit_of_another_statement_is_no_conflict(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    edited(archive, "HW 0401", descriptions=(Note(as_stated="a word more"),))
    done = take_in(sheet([HEAD, with_cell(BOWL, "Size", "H 8 cm")]))
    assert done.changed == 1
    record = named(archive, "HW 0401")
    assert record.measurements[0].low == "8"
    assert record.descriptions[0].as_stated == "a word more"


def test_rows_with_one_number_become_records_of_their_own(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    plate = ["HW 0401", "Delft plate", "18th century", "D 9 in", "", 30, 80]
    path = sheet([HEAD, BOWL, plate])
    told = look(path)
    doubtful = [i for i in told.proposal.items if isinstance(i, CreateObject)]
    assert {i.certainty for i in doubtful} == {Certainty.PROBABLE}
    take_in(path)
    assert len(archive.catalogue.keyed(ObjectRecord, "HW 0401")) == 2
    assert look(path).path is None
    assert look(sheet([HEAD, plate, BOWL])).unchanged == 2, "in another order they are the same"


def test_rows_without_a_number_are_known_again_by_their_words(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    one, other = with_cell(BOWL, "Stock No", ""), with_cell(JUG, "Stock No", "")
    take_in(sheet([HEAD, one, other]))
    done = take_in(sheet([HEAD, other, one, with_cell(JUG, "What it is", "Third")]))
    assert archive.catalogue.count("object") == 2 + done.records


def test_a_changed_number_is_asked_about_and_doubles_nothing(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    take_in(sheet([HEAD, BOWL, JUG]))
    path = sheet([HEAD, with_cell(BOWL, "Stock No", "HW 0901"), JUG])
    told = look(path)
    (question,) = told.proposal.questions
    assert "Is it the same piece" in question.asks
    assert not [i for i in told.proposal.items if isinstance(i, CreateObject)]
    apply(archive, answered(told.proposal, "the same"), told.path.name, "Ines")
    assert archive.catalogue.count("object") == 2
    assert named(archive, "HW 0901").title == "Celadon bowl"
    told.path.unlink()
    assert look(path).path is None


def test_the_number_of_another_sources_record_is_asked_about(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    take_in(sheet([HEAD, BOWL]))
    old = sheet([["No.", "Piece", "State"], ["HW 0401", "Bowl", "chip"]], "old.csv")
    told = look(old)
    (question,) = told.proposal.questions
    assert [choice.answer for choice in question.choices] == ["the same", "another"]
    apply(archive, answered(told.proposal, "the same"), told.path.name, "Ines")
    record = named(archive, "HW 0401")
    assert [t.value for t in record.titles] == ["Celadon bowl", "Bowl"]
    assert [t.preferred for t in record.titles] == [True, False]
    assert record.observations
    told.path.unlink()
    assert look(old).path is None


def test_what_was_undone_is_proposed_again_and_revived_not_doubled(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    path = sheet([HEAD, BOWL])
    take_in(path)
    first = named(archive, "HW 0401")
    undo(archive.catalogue, last_undoable(archive.catalogue), "Ines")
    assert archive.catalogue.count("object") == 0
    take_in(path)
    assert named(archive, "HW 0401") == first
    assert archive.catalogue.count("object", "withdrawn") == 0


def test_a_record_its_owner_withdrew_stays_withdrawn(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    path = sheet([HEAD, BOWL])
    take_in(path)
    edited(archive, "HW 0401", withdrawn=True)
    assert look(path).path is None


def test_a_refused_row_is_not_proposed_again(archive: Archive, sheet: Sheet, look: Look) -> None:
    path = sheet([HEAD, BOWL, JUG])
    told = look(path)
    items = tuple(
        msgspec.structs.replace(i, accept=False)
        if isinstance(i, CreateObject) and i.record.stock_number == "HW 0402"
        else i
        for i in read_proposal(told.path).items
    )
    from archivist.intake.proposal import rewrite_proposal

    rewrite_proposal(told.path, msgspec.structs.replace(told.proposal, items=items))
    done = apply(archive, read_proposal(told.path), told.path.name, "Ines")
    assert done.records == 1
    assert look(path).path is None


def test_a_moved_sheet_is_the_same_source(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look, tmp_path: Path
) -> None:
    path = sheet([HEAD, BOWL])
    take_in(path)
    (tmp_path / "elsewhere").mkdir()
    moved = path.rename(tmp_path / "elsewhere" / path.name)
    assert not [i for i in look(moved).proposal.items if isinstance(i, CreateObject)]


def test_a_source_can_be_named_by_its_identifier(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look, tmp_path: Path
) -> None:
    path = sheet([HEAD, BOWL])
    take_in(path)
    (source,) = sources(archive.catalogue)
    renamed = sheet([HEAD, with_cell(BOWL, "Size", "H 9 cm")], "renamed.xlsx")
    told = look(renamed, source_id=source.id)
    assert [type(i).__name__ for i in told.proposal.items] == ["KeepFile", "ChangeObject"]


def test_an_edited_column_file_is_used_again(archive: Archive, sheet: Sheet, look: Look) -> None:
    path = sheet([HEAD, BOWL])
    (mapping,) = look(path).mappings
    text = mapping.read_text(encoding="utf-8")
    assert 'heading = "Margin"' in text
    before, after = text.split('heading = "Margin"')
    mapping.write_text(
        before
        + 'heading = "Margin"\nrole = "description"\n'
        + after.split("\n", 1)[1].replace("private = true\n", ""),
        encoding="utf-8",
    )
    told = look(path)
    (create,) = [i for i in told.proposal.items if isinstance(i, CreateObject)]
    assert [d.as_stated for d in create.record.descriptions] == ["40"]
    assert not told.mappings, "nothing had to be proposed"


@pytest.mark.parametrize("damage", ['role = "tittle"', "role = ", 'colour = "red"'])
def test_a_column_file_that_does_not_fit_is_refused_and_named(
    archive: Archive, sheet: Sheet, look: Look, damage: str
) -> None:
    from archivist.errors import SelectionError

    path = sheet([HEAD, BOWL])
    (mapping,) = look(path).mappings
    mapping.write_text(
        mapping.read_text(encoding="utf-8").replace('role = "title"', damage), encoding="utf-8"
    )
    with pytest.raises(SelectionError, match="column file"):
        look(path)


def test_characters_that_xml_forbids_come_through_as_they_are(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    path = sheet([HEAD, with_cell(BOWL, "What it is", "bowl \x0b with \x01 marks")], "a.csv")
    take_in(path)
    assert named(archive, "HW 0401").title == "bowl \x0b with \x01 marks"


def test_a_role_that_is_changed_after_taking_in_is_read_anew(
    archive: Archive, sheet: Sheet, take_in: Look, look: Look
) -> None:
    path = sheet([HEAD, BOWL, JUG])
    mapping = look(path).mappings[0]
    take_in(path)
    text = mapping.read_text(encoding="utf-8")
    assert 'role = "date made"' in text
    mapping.write_text(text.replace('role = "date made"', 'role = "period"'), encoding="utf-8")
    told = look(path)
    assert {type(i) for i in told.proposal.items} == {ChangeObject}
    assert "now read as 'period'" in told.proposal.items[0].reasons[0]
    mapping.write_text(text.replace('role = "date made"', 'role = "note"'), encoding="utf-8")
    done = take_in(path)
    assert done.changed == 2
    record = named(archive, "HW 0401")
    assert record.attributions == ()
    assert "12th century" in [note.as_stated for note in record.notes]
    assert look(path).path is None


ROLES = sorted(set(Role) - {Role.LEAVE_OUT, Role.STOCK_NUMBER, Role.OTHER_NUMBER, Role.CREDIT})


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(ROLES),
    st.text(max_size=40)
    | st.sampled_from(["c. 1690?", "with 0434", "H 9 cm, worn", "? or Japan", "£3 or 4", "nil"]),
)
def test_no_word_of_a_cell_is_lost_whatever_its_role(role: Role, text: str) -> None:
    """Either the words stand on the record as they are, or every part of them was read."""
    tables = load_tables()
    reader = CellReader(tables, Parties((), tables))
    columns = {("", "C"): Column(heading="C", role=role)}
    row = FoundRow(table="", number=2, cells=(Cell(column="C", text=text),))
    record = record_of(read_cells(row.cells, "", columns, reader), "x")
    stated = [s.as_stated for f in STATEMENT_FIELDS for s in getattr(record, f)]
    if not text.strip():
        assert not stated
        return
    from archivist.intake import words

    whole = words.read(role, text.strip(), tables)
    assert text.strip() in stated or (whole.statements and not whole.unread)


def test_a_column_of_its_own_for_the_date_is_held_before_words_of_the_title(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(
        sheet(
            [
                ["Stock No", "What it is", "When made"],
                ["HW 1", "Qing bowl, six character Daoguang mark", "1821-50"],
            ]
        )
    )
    held = named(archive, "HW 1").date
    assert held is not None
    assert (held.earliest, held.latest) == (1821, 1850)


@pytest.mark.parametrize("words", ["Total", "Sub-total:", "TOTAL 2004", "Carried forward", "Summe"])
def test_a_row_of_sums_is_asked_about_and_makes_no_record(
    words: str, archive: Archive, sheet: Sheet, look: Look
) -> None:
    told = look(sheet([HEAD, BOWL, [words, "", "", "", "", 735, 565]]))
    made = [i.record.stock_number for i in told.proposal.items if isinstance(i, CreateObject)]
    assert made == ["HW 0401"]
    assert [q.asks for q in told.proposal.questions] == [
        f"'{words}' seems to be a sum of the rows above. Is it a piece?"
    ]


def test_a_piece_whose_name_begins_like_a_sum_is_a_piece(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, ["HW 1", "Totaal faience plate", "", "", "", 4, 5]]))
    assert named(archive, "HW 1").title == "Totaal faience plate"


@pytest.mark.parametrize("words", ["stock", "NFS", "n/a", "-", "Unsold.", "unverkauft"])
def test_words_for_no_sale_make_neither_a_sale_nor_a_person(
    words: str, archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, with_cell(BOWL, "Buyer", words)]))
    record = named(archive, "HW 0401")
    assert not [s for s in record.sales if s.stage is SaleStage.SOLD]
    assert not list(archive.catalogue.all(Party))
    assert (words, True) in [(n.as_stated, n.private) for n in record.notes]


def test_a_cell_of_buyer_day_and_sum_is_one_sale_and_no_ones_name(
    archive: Archive, sheet: Sheet, take_in: Look
) -> None:
    take_in(sheet([HEAD, with_cell(BOWL, "Buyer", "Dr Casimir Brunnick, 12.6.1998, £350")]))
    (sale,) = [s for s in named(archive, "HW 0401").sales if s.stage is SaleStage.SOLD]
    party = archive.catalogue.get(sale.party, Party)
    assert party is not None
    assert party.name == "Dr Casimir Brunnick"
    assert sale.date is not None
    assert (sale.date.edtf, sale.amount, sale.currency) == ("1998-06-12", "350", "GBP")
