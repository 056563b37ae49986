"""`archivist read` shows people what was understood, and gives scripts a stable form of it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from archivist.cli.main import group

FIELDS = {"kind", "span", "rule", "confidence", "certainty", "as_stated"}
WHOLE = {
    *("text", "statements", "mentions", "unread", "questions", "overall", "composition"),
}
STANDING = {"of", "role", "standing", "holder", "licence"}


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
    """The objects that `--json -` writes, one a line; within this process, which is quicker."""
    given = given.encode() if isinstance(given, str) else given
    done = CliRunner().invoke(group, ["read", "--as", kind, "--json", "-", *arguments], input=given)
    assert done.exit_code == 0, done.output
    return [json.loads(line) for line in done.stdout_bytes.decode("utf-8").splitlines()]


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


ALWAYS = {
    "date": {"edtf", "earliest", "latest"},
    "measurement": {"dimension", "part", "low", "high", "unit", "approximate", "basis"},
    "mark": {"mark_kind", "script", "legibility", "relation"},
    "condition": {"term", "class", "part", "presence"},
    "provenance": {"event", "passage"},
    "title": {"value"},
}
"""The fields of each kind of statement that are always there; kinds that are not named: term."""
SOMETIMES = {
    "date": {"convention"},
    "measurement": {"which", "includes"},
    "mark": {
        *("characters", "romanised", "translation", "technique", "colour", "place", "columns"),
        *("count", "claim", "claims"),
    },
    "condition": {"extent", "date", "vocabulary", "code", "uri"},
    "provenance": {
        *("giver", "giver_life", "receiver", "receiver_life", "agent", "agent_life"),
        *("place", "date", "until", "lot", "number"),
    },
    "title": {"language"},
}
TERM = ({"term"}, {"vocabulary", "code", "uri"})

EXAMPLES = [
    (
        "date",
        "designed c. 1780",
        {"edtf": "1780~", "earliest": 1775, "latest": 1785, "ground": "designed"},
    ),
    ("date", "206 BC-AD 220", {"edtf": "-0205/0220", "earliest": -206, "latest": 220}),
    (
        "measurement",
        "about 8 1/2 in. high with stand, from memory",
        {
            "dimension": "height",
            "low": "8.5",
            "high": "8.5",
            "unit": "in",
            "part": "",
            "approximate": True,
            "basis": "recalled",
            "includes": ["stand"],
        },
    ),
    (
        "mark",
        "Six-character Kangxi mark in underglaze blue, partly obscured",
        {
            "mark_kind": "reign",
            "count": 6,
            "claim": "Kangxi",
            "technique": "underglaze",
            "colour": "blue",
            "legibility": "obscured",
            "relation": "unstated",
            "claims": {"edtf": "1662/1722", "earliest": 1662, "latest": 1722},
        },
    ),
    (
        "condition",
        "possibly a 2 cm hairline to the rim",
        {
            "term": "hairline",
            "class": "damage",
            "part": "rim",
            "presence": "present",
            "extent": "2 cm",
            "certainty": "possible",
        },
    ),
    ("condition", "no restoration", {"term": "restoration", "presence": "absent", "part": ""}),
    (
        "feature",
        "celadon",
        {"kind": "glaze", "term": "celadon glaze", "vocabulary": "glaze"},
    ),
    (
        "provenance",
        "by descent to Ada Vane [1851-1930], Port Sorrel, by 1902",
        {
            "event": "descent",
            "passage": "unknown",
            "receiver": "Ada Vane",
            "receiver_life": "1851-1930",
            "place": "Port Sorrel",
            "date": {"edtf": "../1902", "earliest": None, "latest": 1902},
        },
    ),
    ("title", "A tea bowl, 1780", {"kind": "title", "value": "A tea bowl"}),
]


@pytest.mark.parametrize(("kind", "text", "expected"), EXAMPLES)
def test_each_kind_has_the_fields_that_the_help_lists(
    kind: str, text: str, expected: dict[str, Any]
) -> None:
    (read,) = as_json(kind, text + "\n")
    assert set(read) <= WHOLE
    assert any(expected.items() <= statement.items() for statement in read["statements"])
    for statement in read["statements"]:
        always, sometimes = (
            (ALWAYS[statement["kind"]], SOMETIMES[statement["kind"]])
            if statement["kind"] in ALWAYS
            else TERM
        )
        assert (
            FIELDS | always <= set(statement) <= FIELDS | always | sometimes | STANDING | {"ground"}
        )
        start, end = statement["span"]
        assert statement["as_stated"] == read["text"][start:end]


def test_every_field_is_in_the_help() -> None:
    shown = run("--help").stdout.decode("utf-8")
    for fields in (FIELDS, *ALWAYS.values(), *SOMETIMES.values(), *TERM):
        for name in fields:
            assert name in shown, name


def test_a_pair_and_its_parts_are_a_composition() -> None:
    (read,) = as_json("title", "A pair of ginger jars with covers, stand missing\n")
    assert (read["composition"]["kind"], read["composition"]["count"]) == ("pair", 2)
    assert {(p["name"], p["state"]) for p in read["composition"]["parts"]} == {
        ("cover", "present"),
        ("stand", "missing"),
    }


def test_an_archive_reads_by_its_own_conventions_and_a_file_goes_before_them(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "our archive"
    made = [sys.executable, "-m", "archivist", "new", str(folder), "--owner", "Ines Tidewell"]
    subprocess.run(made, capture_output=True, check=True)
    with (folder / "archive.toml").open("a", encoding="utf-8", newline="\n") as settings:
        settings.write('\n[conventions]\nname = "ours"\ncirca = [{ earlier = 10, later = 20 }]\n')
    file = tmp_path / "their habit.toml"
    file.write_text("circa = [{ earlier = 1, later = 1 }]\n", encoding="utf-8")

    def years(*arguments: str, inside: Path | None = None) -> tuple[int, int]:
        done = subprocess.run(
            [sys.executable, "-m", "archivist", *arguments, "--as", "date", "--json", "c. 1780"],
            capture_output=True,
            check=True,
            cwd=inside,
        )
        (date,) = json.loads(done.stdout)["statements"]
        return date["earliest"], date["latest"]

    assert years("-a", str(folder), "read") == (1770, 1800)
    assert years("read", inside=folder) == (1770, 1800)
    assert years("read", "--conventions", str(file), inside=folder) == (1779, 1781)
    assert years("read", inside=tmp_path) == (1775, 1785)


def test_a_folder_that_is_no_archive_is_told(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "archivist", "-a", str(tmp_path), "read", "1780"],
        capture_output=True,
        check=False,
    )
    assert done.returncode == 2
    assert b"is not an archive" in done.stderr
    assert done.stdout == b""


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
    for expected in ("Qing dynasty", "1795 to 1805", "asserted", "To ask:", "riddle"):
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
