"""The commands: each has an example, speaks plainly, and ends with the right status."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import msgspec
import pytest
from click.testing import Result

from archivist import __version__
from archivist.catalogue.archive import Archive
from archivist.cli.main import COMMANDS
from archivist.model import Party, PartyKind, ProvenanceEvent
from tests.archives import new_id, piece, save
from tests.cli.conftest import Run


def there() -> list[str]:
    """The commands whose module is there."""
    names = []
    for name, place in COMMANDS.items():
        module = place.split(":")[0]
        if (Path(__file__).parents[2] / Path(*module.split("."))).with_suffix(".py").is_file():
            names.append(name)
    return names


def told(result: Result) -> list[str]:
    """What was said of an error: one or two lines, no traceback."""
    assert result.exit_code in (1, 2), result.output
    lines = result.stderr.strip().splitlines()
    assert "Traceback" not in result.output
    return lines


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_help_with_an_example(run: Run, name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0, result.output
    assert re.search(rf"^\s+archivist( -\S+ \S+)* {name}\b", result.output, re.MULTILINE)


def test_the_help_of_all_lists_every_command(run: Run) -> None:
    output = run("--help").output
    for name in COMMANDS:
        assert re.search(rf"^  {name}\b", output, re.MULTILINE), name


def test_the_version_is_told(run: Run) -> None:
    assert run("--version").output == f"archivist {__version__}\n"


def test_only_the_command_that_is_asked_for_is_imported() -> None:
    code = (
        "import sys; from archivist.cli.main import group\n"
        "try: group(['new', '--help'])\n"
        "except SystemExit: pass\n"
        "print('|'.join(sorted(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    modules = set(done.stdout.splitlines()[-1].split("|"))
    heavy = {
        "PIL",
        "lxml",
        "rich",
        "numpy",
        "msgspec",
        "sqlite3",
        "pluggy",
        "archivist.cli.release",
    }
    assert not heavy & modules


def seconds(*words: str) -> float:
    """Seconds of processor time: of the clock on the wall others take a part."""
    before = os.times()
    subprocess.run([sys.executable, *words], capture_output=True, check=True)
    after = os.times()
    return sum(after[2:4]) - sum(before[2:4])


def test_the_version_comes_within_150_ms_of_bare_python() -> None:
    # The exact figure is what tests/benchmarks/startup.py measures; here others are at work, and
    # what they take comes on top: the quickest of each is nearest to what the program costs.
    rounds = [(seconds("-c", "pass"), seconds("-m", "archivist", "--version")) for _ in range(9)]
    bare, ours = (min(times) for times in zip(*rounds, strict=True))
    assert ours - bare < 0.150


# Errors and exit status


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("history",), 2, "is not an archive: it has no archive.toml"),
        (("history", "T 9"), 2, "There is no record 'T 9'"),
        (("undo", "99"), 2, "There is no action 99"),
        (("merge", "T 0", "T 0"), 1, "cannot be merged with itself"),
        (("split", "T 0", "--into", "T 0b", "--move", "marks.3"), 1, "number 3 was named"),
        (("erase", "Nobody"), 2, "0 parties are called 'Nobody'"),
        (("fixity", "/no/such/bag"), 2, "is no package that this program can open"),
        (("release", "mosaic", "--for", "public", "--to", "{tmp}/o"), 2, "no exporter 'mosaic'"),
        (("release", "iiif", "--for", "friend", "--to", "{tmp}/o"), 2, "no audience 'friend'"),
        (
            ("release", "iiif", "--for", "public", "--to", "{tmp}/o", "--words", "teapot"),
            2,
            "nothing was released",
        ),
        (
            ("release", "iiif", "--for", "public", "--to", "{tmp}/o", "--made", "long ago"),
            2,
            "is not a range of dates",
        ),
        (
            ("release", "bagit", "--for", "buyer", "--to", "{tmp}/o", "--archive"),
            2,
            "cannot go to 'buyer'",
        ),
        (("restore", "{tmp}/old", "--into", "{tmp}/r"), 2, "is no package"),
        (("new", "{tmp}/old", "--owner", "Ines"), 2, "is not an empty folder"),
        (("new", "{tmp}/n", "--owner", " "), 2, "owner of an archive cannot be empty"),
    ],
)
def test_an_error_is_two_plain_lines_and_a_status(
    run: Run,
    archive: Archive,
    tmp_path: Path,
    words: tuple[str, ...],
    status: int,
    said: str,
) -> None:
    folder = tmp_path if words == ("history",) else archive.folder
    result = run("-a", folder, *(word.replace("{tmp}", str(tmp_path)) for word in words))
    lines = [line for line in told(result) if "copy of the pictures" not in line]
    assert result.exit_code == status
    assert said in lines[0]
    assert len(lines) <= 2
    assert result.stdout == ""


@pytest.mark.parametrize(
    "words",
    [
        ("polish",),
        ("undo", "first"),
        ("release", "iiif"),
        ("release", "iiif", "--for", "public", "--to", "x", "--option", "tile-size"),
        ("split", "T 0", "--into", "x", "--move", "marks"),
        ("new",),
    ],
)
def test_what_cannot_be_understood_is_told_with_the_usage(run: Run, words: tuple[str, ...]) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert "Usage: archivist" in result.stderr


def test_a_fault_of_the_program_is_told_as_that_and_shown_with_debug(
    run: Run, archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> object:
        raise ZeroDivisionError("by zero")

    monkeypatch.setattr("archivist.catalogue.catalogue.Catalogue.actions", broken)
    result = run("-a", archive.folder, "history")
    assert told(result)[0] == "This is a fault of the program: ZeroDivisionError: by zero"
    assert len(told(result)) == 2
    shown = run("--debug", "-a", archive.folder, "history")
    assert isinstance(shown.exception, ZeroDivisionError)


def test_ctrl_c_is_told_without_a_traceback(
    run: Run, archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> object:
        raise KeyboardInterrupt

    monkeypatch.setattr("archivist.catalogue.catalogue.Catalogue.actions", stop)
    result = run("-a", archive.folder, "history")
    assert result.exit_code == 130
    assert "Nothing is half done" in result.stderr


def test_a_place_that_cannot_be_written_is_told(run: Run, archive: Archive, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    result = run(
        *("-a", archive.folder, "release", "dublin-core"),
        *("--for", "public", "--to", tmp_path / "file" / "out"),
    )
    assert result.exit_code == 2
    assert "file" in told(result)[-2]


# What the commands do


def test_new_makes_an_archive_and_says_what_to_do_next(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "my archive"
    result = run("new", folder, "--owner", "Ines Tidewell")
    assert result.exit_code == 0, result.output
    assert "The archive of Ines Tidewell" in result.output
    assert f'archivist --archive "{folder}" survey' in result.output
    with Archive.open(folder) as archive:
        assert archive.settings.owner == "Ines Tidewell"


def test_history_tells_actions_and_versions_also_as_json(run: Run, archive: Archive) -> None:
    bowl = archive.catalogue.object_named("T 0")
    renamed = piece("T 0", "Tea bowl", (1700, 1750), bowl.id)
    save(archive.catalogue, renamed)
    rows = json.loads(run("-a", archive.folder, "history", "--json").output)
    assert [row["kind"] for row in rows] == ["edit", "apply", "edit", "apply", "edit"]
    assert rows[0]["action"] == 5
    versions = json.loads(run("-a", archive.folder, "history", "T 0", "--json").output)
    assert versions[1]["changes"] == [{"field": "titles", "gone": ["Bowl"], "come": ["Tea bowl"]}]
    words = run("-a", archive.folder, "history", "T 0").output
    assert "- titles: Bowl" in words
    assert "+ titles: Tea bowl" in words


def test_history_tells_of_records_that_were_withdrawn_or_merged(run: Run, archive: Archive) -> None:
    run("-a", archive.folder, "undo", "3")
    rows = json.loads(run("-a", archive.folder, "history", "T 1", "--json").output)
    assert [row["version"] for row in rows] == [1, 2]
    run("-a", archive.folder, "undo", "5")
    run("-a", archive.folder, "merge", "T 0", "T 1")
    rows = json.loads(run("-a", archive.folder, "history", "T 1", "--json").output)
    assert [(row["name"], row["version"]) for row in rows] == [
        *(("T 0", number) for number in (1, 2)),
        *(("T 1", number) for number in (1, 2, 3, 4)),
    ]


def test_undo_takes_back_the_latest_or_the_one_that_is_named(run: Run, archive: Archive) -> None:
    result = run("-a", archive.folder, "undo", "--why", "a mistake")
    assert result.exit_code == 0, result.output
    assert "Took back action 4 (apply, 2026-01-15): 0 put back as they were, 1 withdrawn." in (
        result.output
    )
    assert run("-a", archive.folder, "undo", "3").exit_code == 0
    assert archive.catalogue.count("object") == 1
    assert archive.catalogue.actions()[1].why == "a mistake"


def test_who_is_at_work_is_kept(run: Run, archive: Archive) -> None:
    run("-a", archive.folder, "--who", "Tom", "undo")
    assert archive.catalogue.actions()[0].who == "Tom"


def test_merge_and_split(run: Run, archive: Archive) -> None:
    result = run("-a", archive.folder, "merge", "T 0", "T 1", "--why", "a pair")
    assert result.output == "T 1 is now part of T 0.\n"
    photograph = archive.catalogue.photographs_of(archive.catalogue.object_named("T 0").id)[1]
    result = run(
        *("-a", archive.folder, "split", "T 0", "--into", "T 0b", "--title", "Cover"),
        *("--move", "titles.2", "--photograph", photograph.sha256[:10]),
    )
    assert result.exit_code == 0, result.output
    made = archive.catalogue.object_named("T 0b")
    assert [title.value for title in made.titles] == ["Cover", "Jar"]
    assert [p.id for p in archive.catalogue.photographs_of(made.id)] == [photograph.id]


def test_erase_shows_first_and_does_it_when_told(run: Run, archive: Archive) -> None:
    party = Party(id=new_id(), name="Edith Harrow", kind=PartyKind.PERSON)
    bowl = archive.catalogue.object_named("T 0")
    event = ProvenanceEvent(receiver=party.id, as_stated="to Mrs Harrow")
    save(archive.catalogue, party, msgspec.structs.replace(bowl, provenance=(event,)))
    shown = run("-a", archive.folder, "erase", "Edith Harrow")
    assert "Would erase: Edith Harrow" in shown.output
    assert "in 2 versions, 0 cells as taken in, and 0 proposals" in shown.output
    assert archive.catalogue.get(party.id, Party) == party
    done = run("-a", archive.folder, "erase", "edith harrow", "--yes")
    assert "Erased: Edith Harrow" in done.output
    assert b"Harrow" not in (archive.folder / "catalogue.sqlite").read_bytes()


def test_release_fixity_and_restore(run: Run, archive: Archive, tmp_path: Path) -> None:
    base = ("-a", archive.folder)
    made = run(*base, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "bags")
    assert made.exit_code == 0, made.output
    (bag,) = (tmp_path / "bags").iterdir()
    assert str(bag) in made.stdout
    assert "2 pieces with 2 photographs" in made.stderr
    checked = run("-a", tmp_path, "fixity", bag)
    assert checked.exit_code == 0, checked.output
    assert "undamaged" in checked.output
    both = run("-a", tmp_path, "fixity", tmp_path / "no bag", bag)
    assert both.exit_code == 1
    assert "undamaged" in both.stdout
    assert "no bag is no package" in both.stderr
    result = run("restore", bag, "--into", tmp_path / "again")
    assert result.exit_code == 0, result.output
    assert "Restored into" in result.output
    report, _ = json.loads(run("-a", tmp_path / "again", "fixity", "--json").output)
    assert (report["what"], report["files"], report["problems"]) == ("the originals", 2, [])
    victim = next((tmp_path / "again" / "originals").glob("??/*.jpg"))
    victim.chmod(0o644)
    victim.write_bytes(b"rot")
    damaged = run("-a", tmp_path / "again", "fixity")
    assert damaged.exit_code == 1
    assert victim.name in damaged.output


def test_a_release_can_be_read_by_a_script(run: Run, archive: Archive, tmp_path: Path) -> None:
    result = run(
        *("-a", archive.folder, "release", "dublin-core", "iiif", "--object", "T 1"),
        *("--for", "public", "--to", tmp_path / "web", "--option", "iiif.tile-size=256", "--json"),
    )
    assert result.exit_code == 0, result.output
    report = json.loads(result.stdout)
    assert (report["pieces"], report["failures"]) == (1, [])
    assert report["written"] == sum(p.is_file() for p in (tmp_path / "web").rglob("*")) - 1


def test_plugins_are_listed_with_what_they_follow(run: Run) -> None:
    listed = run("plugins").output
    assert re.search(r"^exporter$", listed, re.MULTILINE)
    assert "BagIt (RFC 8493) 1.0" in listed
    assert "--option iiif.tile-size=1024" in listed
    rows = json.loads(run("plugins", "--json").output)
    assert rows["failures"] == []
    assert {"bagit", "dublin-core", "iiif"} <= {row["name"] for row in rows["plugins"]}


def test_every_command_that_is_named_is_there() -> None:
    missing = set(COMMANDS) - set(there())
    for name in there():
        module, attribute = COMMANDS[name].split(":")
        assert getattr(import_module(module), attribute).name == name
    assert not missing
