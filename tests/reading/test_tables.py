"""Tables are plain files that name their sources, and that a plugin or an owner can extend."""

from __future__ import annotations

from pathlib import Path

import pytest

from archivist.errors import SettingsError
from archivist.model.records import Attribution
from archivist.reading.dates import overall, read_dates
from archivist.reading.tables import Tables, load_tables

TABLES = load_tables()
PERIOD_HEADINGS = "kind,label,variant,characters,within,culture,first_year,last_year,source"


def labels(text: str, tables: Tables) -> list[str]:
    """The labels of the periods read."""
    return [
        s.term.label
        for s in read_dates(text, tables).statements
        if isinstance(s, Attribution) and s.term is not None
    ]


def test_every_entry_names_its_source() -> None:
    assert TABLES.periods
    assert [row.label for row in TABLES.periods if not row.source] == []
    assert [row.label for row in TABLES.rows if not row.source] == []
    assert {words["language"] for words in TABLES.date_words} == {
        "de",
        "en",
        "es",
        "fr",
        "it",
        "nl",
    }


def test_no_identifier_of_a_vocabulary_is_given_from_memory() -> None:
    assert [r.label for r in TABLES.rows if r.uri and "from memory" in r.source] == []


def test_the_shipped_tables_are_read_once() -> None:
    assert load_tables() is load_tables()


def test_more_periods_come_in_by_a_file_of_the_same_columns(tmp_path: Path) -> None:
    file = tmp_path / "Töpfer periods.csv"
    file.write_text(
        f"{PERIOD_HEADINGS}\nperiod,Ravensmere,Ravens Mere|Rabenmeer,,,Europe,1761,1789,invented\n",
        encoding="utf-8",
    )
    extended = load_tables([file])
    assert labels("Ravens-Mere period", extended) == ["Ravensmere"]
    assert labels("Ravens-Mere period", TABLES) == []
    date = overall(read_dates("Rabenmeer", extended))
    assert date is not None
    assert (date.earliest, date.latest) == (1761, 1789)


def test_more_terms_keep_their_further_columns(tmp_path: Path) -> None:
    file = tmp_path / "terms.csv"
    file.write_text(
        "kind,label,variant,source,weight\nform,owl jar,owl-jar|jar with owl,invented,heavy\n",
        encoding="utf-8",
    )
    (row,) = (r for r in load_tables([file]).terms("form") if r.label == "owl jar")
    assert row.names == ("owl jar", "owl-jar", "jar with owl")
    assert row.more == {"weight": "heavy"}
    assert row.term.label == "owl jar"


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("a,b\n1,2\n", "neither the columns of terms"),
        (f"{PERIOD_HEADINGS}\nperiod,Late,,,,,1800,1700,x\n", "Late"),
        (f"{PERIOD_HEADINGS}\nperiod,Nought,,,,,0,1700,x\n", "Nought"),
        (f"{PERIOD_HEADINGS}\nperiod,Short\n", "too many or too few"),
        (f"{PERIOD_HEADINGS}\nperiod,Words,,,,,then,now,x\n", "Words"),
    ],
)
def test_a_table_that_does_not_fit_is_named_with_its_line(
    tmp_path: Path, content: str, told: str
) -> None:
    file = tmp_path / "broken.csv"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(SettingsError, match=r"broken\.csv") as raised:
        load_tables([file])
    assert told in str(raised.value)


def test_a_table_that_is_not_there_or_no_text_is_told(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match=r"absent\.csv"):
        load_tables([tmp_path / "absent.csv"])
    (tmp_path / "odd.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SettingsError, match=r"odd\.csv"):
        load_tables([tmp_path / "odd.csv"])


def test_conventions_are_changed_entry_by_entry_and_the_rest_stays(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text('name = "house"\nbefore = 50\n[parts]\nearly = [0, 33]\n', encoding="utf-8")
    conventions = load_tables(conventions=file).conventions
    assert conventions.parts["early"] == (0, 33)
    assert conventions.parts["late"] == TABLES.conventions.parts["late"]
    date = overall(read_dates("before 1912", load_tables(conventions=file)))
    assert date is not None
    assert (date.earliest, date.latest, date.edtf) == (1862, 1912, "../1912")


def test_conventions_may_stand_under_their_heading_as_in_the_settings(tmp_path: Path) -> None:
    file = tmp_path / "archive.toml"
    file.write_text("[conventions]\nafter = 20\n", encoding="utf-8")
    assert load_tables(conventions=file).conventions.after == 20


@pytest.mark.parametrize("content", ["circa = 5", "surprise = 1", "= nonsense", "[parts]\nmid = 3"])
def test_conventions_that_do_not_fit_are_refused_with_their_file(
    tmp_path: Path, content: str
) -> None:
    file = tmp_path / "wrong.toml"
    file.write_text(content, encoding="utf-8")
    with pytest.raises(SettingsError, match=r"wrong\.toml"):
        load_tables(conventions=file)


def test_circa_rules_hold_for_the_years_they_name() -> None:
    tables = TABLES.with_conventions(
        {
            "circa": [
                {"earlier": 1, "later": 2, "first": 1900},
                {"earlier": 10, "later": 10, "multiple_of": 10},
                {"earlier": 3, "later": 3},
            ]
        }
    )
    conventions = tables.conventions
    assert conventions.circa_of(1950) == (1, 2)
    assert conventions.circa_of(1850) == (10, 10)
    assert conventions.circa_of(1853) == (3, 3)
    assert conventions.circa_of(-99) == (10, 10)  # 100 BCE
