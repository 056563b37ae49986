"""`find` prints what is found for people and for programs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace

from archivist.catalogue.archive import Archive
from archivist.cli.finding import FACET_OPTIONS
from archivist.cli.found_shown import table
from archivist.finding.entry import Entry
from archivist.finding.facets import FACETS
from archivist.finding.search import Found
from archivist.model import Dimension, Feature, FeatureAspect, Measurement, Term, Unit
from tests.archives import new_archive, piece, save
from tests.cli.conftest import Run


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    with new_archive(tmp_path / "archive") as archive:
        _fill(archive)
        yield archive.folder


def _fill(archive: Archive) -> None:
    for number, (title, form, years, tall) in enumerate(
        (
            ("Celadon bowl", "bowl", (1100, 1200), "7.6"),
            ("Vase, Qianlong", "vase", (1736, 1795), "30"),
            ("=1+1", "jar", (1700, 1800), "20"),
            ("Jar of no known date", "jar", None, "20"),
        )
    ):
        record = replace(
            piece(f"T {number}", title, years),
            features=(Feature(aspect=FeatureAspect.FORM, term=Term(label=form)),),
            measurements=(
                Measurement(dimension=Dimension.HEIGHT, low=tall, high=tall, unit=Unit.CENTIMETRE),
            ),
        )
        save(archive.catalogue, record)


def numbers(run: Run, folder: Path, *words: str) -> list[str]:
    result = run("-a", folder, "find", "--json", *words)
    assert result.exit_code == 0, result.output
    return [found["number"] for found in json.loads(result.stdout)]


def test_every_facet_of_the_library_has_its_option() -> None:
    assert list(FACET_OPTIONS) == [facet.name for facet in FACETS]


@pytest.mark.parametrize(
    ("asked", "wanted"),
    [
        ((), ["T 0", "T 2", "T 1", "T 3"]),
        (("cel",), ["T 0"]),
        (("Ch'ien-lung",), ["T 1"]),
        (("--made", "1730/1800"), ["T 2", "T 1"]),
        (("--made", "1730/1800", "--certainly"), ["T 1"]),
        (("--form", "JAR"), ["T 2", "T 3"]),
        (("--form", "va", "--form", "bowl"), ["T 0", "T 1"]),
        (("--height", "20cm/12in"), ["T 2", "T 1", "T 3"]),
        (("--object", "T 3", "--object", "T 0"), ["T 0", "T 3"]),
        (("--order", "latest", "--limit", "1"), ["T 1"]),
        (("--order", "number"), ["T 0", "T 1", "T 2", "T 3"]),
        (("--for", "public", "bowl"), ["T 0"]),
    ],
)
def test_what_is_asked_for_is_found(
    run: Run, folder: Path, asked: tuple[str, ...], wanted: list[str]
) -> None:
    assert numbers(run, folder, *asked) == wanted


def test_what_would_fit_but_for_an_unknown_date_is_counted(run: Run, folder: Path) -> None:
    result = run("-a", folder, "find", "--made", "1700/1800")
    assert result.stdout.splitlines()[0].split() == [
        *("number", "title", "date", "within", "height", "cm")
    ]
    assert "possibly" not in result.stdout
    assert result.stderr == "2 pieces; 1 more piece would fit but for a date that is not known.\n"


def test_a_value_that_no_piece_has_is_told_with_those_there_are(run: Run, folder: Path) -> None:
    result = run("-a", folder, "find", "--form", "bwl")
    assert result.exit_code == 0
    assert result.stdout == ""
    assert "No piece has --form 'bwl'. There are: jar, bowl, vase." in result.stderr


def test_csv_can_be_read_again_and_runs_no_formula(run: Run, folder: Path) -> None:
    result = run("-a", folder, "find", "--as", "csv", "--made", "1700/1800", "--order", "number")
    rows = list(csv.DictReader(io.StringIO(result.stdout, newline="")))
    assert [row["number"] for row in rows] == ["T 1", "T 2"]
    assert rows[1]["title"] == "'=1+1"
    assert (rows[0]["earliest"], rows[0]["latest"], rows[0]["within"]) == (
        *("1736", "1795"),
        "certainly",
    )
    assert rows[0]["height_least_mm"] == "300"
    assert rows[0]["form"] == "vase"


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("--made", "then"), "'then' is not a range of dates."),
        (("--height", "5kg"), "'5kg' is not a range of sizes."),
        (("--for", "nobody"), "There is no audience 'nobody'."),
        (("--object", "T 9"), "There is no record 'T 9'."),
        (("!?",), "'!?' has no letter or digit to look for."),
    ],
)
def test_what_cannot_be_asked_is_told(
    run: Run, folder: Path, asked: tuple[str, ...], told: str
) -> None:
    result = run("-a", folder, "find", *asked)
    assert result.exit_code == 2
    assert told in result.stderr


def found(title: str, date: str = "1736–1795") -> Found:
    return Found(Entry(id="x", number="HW 0401", title=title, date=date, height=(305, 305)), True)


@pytest.mark.parametrize("width", [80, 120, 60])
def test_a_table_is_no_wider_than_the_terminal(width: int) -> None:
    from rich.cells import cell_len

    lines = list(
        table([found("大明成化年製 " * 20, "made, it is thought, " * 9), found("Bowl")], width)
    )
    assert max(map(cell_len, lines)) <= width
    assert all(line.startswith("HW 0401") for line in lines[1:])
    assert "…" in lines[1]
    assert "…" not in lines[2]


def test_a_table_that_is_not_for_a_terminal_is_cut_nowhere() -> None:
    title = "Covered jar with a very long title " * 9
    assert title in list(table([found(title.strip() + " ")], None))[1]


def test_no_title_can_command_the_terminal() -> None:
    line = list(table([found("a\x1b[31mred\nline")], 80))[1]
    assert line.isprintable()
