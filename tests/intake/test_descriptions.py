"""A column of descriptions is read, for what no other column of its row says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from archivist.catalogue.archive import Archive
from archivist.model import Aspect, ObjectRecord

Make = Callable[..., Any]

HEAD = ["Stock No", "What it is", "Date", "Description"]
WORDS = (
    "A fine tea bowl with celadon glaze, Korea, 12th century, H. 8 cm, hairline to rim. "
    "Compare a bowl dated 1712 in the Tolling collection."
)


def the_record(archive: Archive) -> ObjectRecord:
    (record,) = archive.catalogue.all(ObjectRecord)
    return record


def test_a_description_is_kept_and_read(archive: Archive, sheet: Make, take_in: Make) -> None:
    take_in(sheet([HEAD, ["HW 0601", "Bowl", "", WORDS]]))
    record = the_record(archive)
    assert [d.as_stated for d in record.descriptions] == [WORDS]
    assert [o.term.label for o in record.observations] == ["hairline"]
    assert [(m.dimension.value, m.low) for m in record.measurements] == [("height", "8")]
    assert [a.date.edtf for a in record.attributions if a.date] == ["11XX"]
    assert {o.source.column for o in record.observations if o.source} == {"Description"}


def test_of_a_column_and_a_description_the_narrower_date_is_held_and_both_stay(
    archive: Archive, sheet: Make, take_in: Make
) -> None:
    take_in(sheet([HEAD, ["HW 0601", "Tea bowl", "c. 1150", WORDS]]))
    record = the_record(archive)
    assert [a.date.edtf for a in record.attributions if a.date] == ["1150~", "11XX"]
    held = record.preferred(Aspect.DATE)
    assert held is not None
    assert held.as_stated == "c. 1150"
    forms = [f.term.label for f in record.features if f.aspect.value == "form"]
    assert forms == ["tea bowl"]


def test_a_description_that_changes_takes_its_own_statements_with_it(
    archive: Archive, sheet: Make, take_in: Make
) -> None:
    take_in(sheet([HEAD, ["HW 0601", "Tea bowl", "c. 1150", "hairline to rim"]]))
    take_in(sheet([HEAD, ["HW 0601", "Tea bowl", "c. 1150", "12th century, chipped foot"]]))
    record = the_record(archive)
    assert [o.term.label for o in record.observations] == ["chip"]
    assert [a.date.edtf for a in record.attributions if a.date] == ["1150~", "11XX"]
    assert record.date is not None
    assert record.date.edtf == "1150~"
