"""Clocks that were never set, began again or run ahead are doubted with all they told after; one
error of one camera is one error."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.imaging.exif import Clock
from archivist.imaging.taken import read_clock
from archivist.intake.pictures.taken import told
from archivist.intake.rules.clocks import Witnessed, doubtful_clocks, wrong_clocks
from archivist.model import Certainty, TakenAt

NOW = "2026-12-01T10:00:00Z"
DAY = datetime.timedelta(days=1)


def at(words: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(words)


def taken(
    *clocks: datetime.datetime, folder: str = "", row: str = "", first: int = 1
) -> list[Witnessed]:
    """Photographs of one camera, numbered in the order given where a row is named."""
    return [
        Witnessed(
            place,
            "Oke 1",
            clock,
            told([], f"{folder}/IMG_{place}.JPG", 2027).taken if folder else (),
            row,
            first + place if row else 0,
        )
        for place, clock in enumerate(clocks)
    ]


@given(
    st.integers(1995, 2020),
    st.integers(0, 24 * 60 - 1),
    st.lists(st.integers(1, 100 * 24 * 60), max_size=6),
)
def test_any_reading_of_a_first_day_is_doubted_with_the_run_after_it(
    year: int, minutes: int, gaps: list[int]
) -> None:
    clock = datetime.datetime(year, 1, 1) + datetime.timedelta(minutes=minutes)  # noqa: DTZ001
    clocks = [clock]
    for gap in gaps:
        clock += datetime.timedelta(minutes=gap)
        clocks.append(clock)
    assert set(doubtful_clocks(taken(*clocks), NOW)) == set(range(len(clocks)))


@pytest.mark.parametrize("day", ["1980-01-06", "1999-08-22", "1979-12-31", "1970-01-01"])
def test_other_days_at_which_clocks_begin_are_known(day: str) -> None:
    assert set(doubtful_clocks(taken(at(f"{day}T03:04:05"), at(f"{day}T05:04:05")), NOW)) == {0, 1}


def test_a_camera_that_ran_through_new_year_is_believed() -> None:
    clocks = [at("2008-12-30T10:00"), at("2009-01-01T11:00"), at("2009-01-03T10:00")]
    assert doubtful_clocks(taken(*clocks), NOW) == {}


def test_a_month_that_a_folder_bears_out_ends_the_doubt_and_a_year_does_not() -> None:
    first = at("2009-01-01T11:00")
    assert doubtful_clocks(taken(first, folder="2009-01"), NOW) == {}
    assert set(doubtful_clocks(taken(first, folder="2009"), NOW)) == {0}


def test_a_camera_that_was_laid_aside_may_have_been_set() -> None:
    clocks = [at("2003-01-01T00:10"), at("2003-02-01T10:00"), at("2005-06-01T10:00")]
    assert set(doubtful_clocks(taken(*clocks), NOW)) == {0, 1}


def test_a_clock_that_goes_back_while_the_camera_counts_on_has_begun_again() -> None:
    clocks = [
        at("2008-06-01T10:00"), at("2008-06-01T10:05"), at("2005-03-02T00:01"),
        at("2005-03-02T00:05"), at("2008-06-03T09:00"),
    ]  # fmt: skip
    assert set(doubtful_clocks(taken(*clocks, row="DCIM/dsc", first=410), NOW)) == {2, 3}
    assert doubtful_clocks(taken(*clocks), NOW) == {}, "without numbers nothing tells the order"


def test_a_count_that_begins_again_is_no_clock_that_does() -> None:
    late = taken(at("2009-06-01T10:00"), at("2009-06-01T10:05"), row="a", first=10)
    early = taken(at("2008-06-01T10:00"), at("2008-06-01T10:05"), row="a", first=9000)
    assert doubtful_clocks([*late, *early], NOW) == {}


def test_what_is_to_come_was_not_photographed() -> None:
    clocks = [at("2027-01-20T10:00"), at("2027-02-20T10:00"), at("2020-02-20T10:00")]
    assert set(doubtful_clocks(taken(*clocks), NOW)) == {0, 1}


def clock(words: str) -> TakenAt:
    read, _ = read_clock(Clock(witness="EXIF DateTimeOriginal", words=words, offset=""))
    assert read is not None
    return read


def test_a_doubted_clock_gives_way_to_folders_and_is_never_certain() -> None:
    within = [clock("2003:01:02 10:00:00")]
    alone = told(within, "new/IMG_1.JPG", 2027, doubt="it began again").best
    assert alone is not None
    assert alone.certainty is Certainty.DOUBTFUL
    beside = told(within, "2009-03/IMG_1.JPG", 2027, doubt="it began again").best
    assert beside is not None
    assert beside.date.edtf == "2009-03?"


def contradicted(days: int, folders: list[tuple[str, str]]) -> list[Witnessed]:
    """Photographs whose clock was so many days off, by the day they were taken and their folder."""
    return [
        Witnessed(n, "Oke 1", at(day) - days * DAY, told([], f"{folder}/IMG_{n}.JPG", 2027).taken)
        for n, (day, folder) in enumerate(folders)
    ]


def test_one_error_of_a_camera_is_one_however_vaguely_folders_tell_of_it() -> None:
    days = [f"2009-{month:02d}-14T10:00" for month in range(1, 12)]
    folders = ["2009", "2009-03-14", "2009/March"]
    found = wrong_clocks(
        contradicted(1827, [(d, "2009" if n % 2 else f"2009-{d[5:7]}") for n, d in enumerate(days)])
    )
    assert len(found) == 1
    assert len(found[0].places) == len(days)
    assert abs(found[0].offset.days - 1827) <= 31
    assert len(wrong_clocks(contradicted(1827, [("2009-03-14T10:00", f) for f in folders]))) == 1


def test_folders_of_sales_and_backups_ask_nothing_of_a_clock() -> None:
    for folder in ("sold 2011", "Backup 2012", "350 EUR 2011", "Marrow 2012"):
        days = [("2006-03-14T10:00", folder)] * 5
        assert wrong_clocks(contradicted(0, days)) == [], folder
