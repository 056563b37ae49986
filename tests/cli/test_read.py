"""`archivist read` shows people what was understood, and gives scripts a stable form of it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

FIELDS = {"kind", "span", "rule", "confidence", "certainty", "as_stated"}


def run(*arguments: str, given: str | bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """The command as a user starts it."""
    return subprocess.run(
        [sys.executable, "-m", "archivist", "read", *arguments],
        input=given.encode() if isinstance(given, str) else given,
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONUTF8": "1", "COLUMNS": "120"},
    )


def as_json(kind: str, given: str | bytes, *arguments: str) -> list[dict[str, Any]]:
    """The objects that `--json -` writes, one a line."""
    done = run("--as", kind, "--json", "-", *arguments, given=given)
    assert done.returncode == 0, done.stderr.decode()
    return [json.loads(line) for line in done.stdout.decode("utf-8").splitlines()]


def test_one_object_a_line_comes_out_for_each_line_that_goes_in() -> None:
    read = as_json("date", "c. 1780\n\nnonsense\n18th century\n")
    assert [r["text"] for r in read] == ["c. 1780", "", "nonsense", "18th century"]
    assert [len(r["statements"]) for r in read] == [1, 0, 0, 1]
    assert read[2]["unread"] == [{"span": [0, 8], "words": "nonsense"}]


def test_a_date_has_edtf_and_historical_years_and_its_convention() -> None:
    (read,) = as_json("date", "ca. 206 BCE\n")
    (date,) = read["statements"]
    assert set(date) >= FIELDS
    assert (date["kind"], date["edtf"]) == ("date", "-0205~")
    assert (date["earliest"], date["latest"]) == (-211, -201)
    assert date["span"] == [0, 11]
    assert date["as_stated"] == "ca. 206 BCE"
    assert "circa" in date["convention"]


def test_an_open_end_is_null() -> None:
    (read,) = as_json("date", "before 1912\n")
    assert read["statements"][0]["earliest"] is None
    assert read["statements"][0]["latest"] == 1912


def test_a_period_stands_beside_its_date_with_the_same_span() -> None:
    (read,) = as_json("date", "Qianlong mark and period\n")
    date, period = read["statements"]
    assert (date["kind"], date["earliest"], date["latest"]) == ("date", 1736, 1795)
    assert (period["kind"], period["term"], period["span"]) == ("period", "Qianlong", date["span"])


def test_several_dates_have_an_overall_and_one_has_none() -> None:
    several, one = as_json("date", "designed 1984, manufactured 2000\n1984\n")
    assert several["overall"] == {"edtf": "1984/2000", "earliest": 1984, "latest": 2000}
    assert "overall" not in one


def test_a_json_string_may_hold_line_breaks() -> None:
    (read,) = as_json("date", '"206 BC -\\n220 AD"\n')
    assert read["text"] == "206 BC -\n220 AD"
    assert (read["statements"][0]["earliest"], read["statements"][0]["latest"]) == (-206, 220)


def test_a_caption_that_begins_with_a_quotation_mark_is_taken_as_it_is() -> None:
    (read,) = as_json("date", '"Hawk" vase, 1780\n')
    assert read["text"] == '"Hawk" vase, 1780'
    assert read["statements"][0]["edtf"] == "1780"


def test_windows_line_ends_and_bytes_that_are_no_utf8_do_no_harm() -> None:
    read = as_json("date", b"1780\r\n\xff 1790\r\n")
    assert read[0]["text"] == "1780"
    assert read[1]["statements"][0]["edtf"] == "1790"


def test_two_readings_are_questions() -> None:
    (read,) = as_json("date", "Chia-ching\n")
    assert read["statements"] == []
    (question,) = read["questions"]
    assert question["words"] == "Chia-ching"
    assert {r[0]["edtf"] for r in question["readings"]} == {"1522/1566", "1796/1820"}


def test_a_measurement_has_exact_decimal_strings() -> None:
    (read,) = as_json("measurement", "H. 13 1/2 in.\n")
    measurement = next(s for s in read["statements"] if s["kind"] == "measurement")
    assert set(measurement) >= FIELDS | {"dimension", "part", "low", "high", "unit"}
    assert measurement["dimension"] == "height"
    assert (measurement["low"], measurement["high"], measurement["unit"]) == ("13.5", "13.5", "in")


@pytest.mark.parametrize("kind", ["mark", "condition", "feature", "provenance", "title"])
def test_every_kind_of_words_has_the_common_fields(kind: str) -> None:
    text = "Bowl with Kangxi mark, hairline to rim; by descent to his niece, by 1932\n"
    (read,) = as_json(kind, text)
    assert set(read) >= {"text", "statements", "unread"}
    assert read["statements"]
    for statement in read["statements"]:
        assert set(statement) >= FIELDS
        start, end = statement["span"]
        assert 0 <= start <= end <= len(read["text"])


def test_a_conventions_file_changes_what_circa_is_worth(tmp_path: Path) -> None:
    file = tmp_path / "our habit.toml"
    file.write_text("circa = [{ earlier = 10, later = 20 }]\n", encoding="utf-8")
    (read,) = as_json("date", "c. 1780\n", "--conventions", str(file))
    assert (read["statements"][0]["earliest"], read["statements"][0]["latest"]) == (1770, 1800)


def test_a_conventions_file_that_does_not_fit_is_told_and_nothing_is_read(tmp_path: Path) -> None:
    file = tmp_path / "wrong.toml"
    file.write_text("circa = 'wide'\n", encoding="utf-8")
    done = run("--conventions", str(file), "1780")
    assert done.returncode == 2
    assert b"wrong.toml" in done.stderr
    assert b"Traceback" not in done.stderr
    assert done.stdout == b""


def test_people_see_words_reading_questions_and_what_was_not_understood() -> None:
    done = run("--as", "date", "Qing dynasty, c. 1800; 3/1/1832, and a riddle")
    assert done.returncode == 0
    shown = done.stdout.decode("utf-8")
    for expected in ("Qing dynasty", "1795 to 1805", "circa year", "To ask:", "riddle"):
        assert expected in shown
    assert "All dates together" in shown


def test_before_our_era_is_said_in_words_to_people() -> None:
    shown = run("--as", "date", "206 BC-AD 220").stdout.decode("utf-8")
    assert "206 BCE to 220" in shown


def test_nothing_to_read_is_said() -> None:
    assert "Nothing to read" in run("--as", "date", "...").stdout.decode("utf-8")


def test_the_help_documents_the_output() -> None:
    shown = run("--help").stdout.decode("utf-8")
    for expected in ("statements", "as_stated", "earliest", "overall", "--conventions", "unread"):
        assert expected in shown
