"""What a terminal could obey is shown by every command, and nothing else is changed."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
import pytest

import archivist.cli
from archivist.cli.saying import shown
from archivist.model import Note, Title
from tests.archives import add_photograph, jpeg, new_archive, piece, run, save

CLEAR = "\x1b[2J"
TITLE = "\x1b]0;owned\x07"
COLOUR = "\x1b[31m"
ORDERS = f"{CLEAR}{TITLE}{COLOUR}\x9b1A\x08\r"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    with new_archive(tmp_path / "archive") as archive:
        record = msgspec.structs.replace(
            piece("T 1", "Bowl", (1700, 1750)),
            titles=(Title(value=f"Bowl{ORDERS}x", as_stated=f"Bowl{ORDERS}x", preferred=True),),
            notes=(Note(as_stated=f"a note{ORDERS}"),),
        )
        save(archive.catalogue, record)
        save(archive.catalogue, msgspec.structs.replace(record, notes=()))
        add_photograph(archive, jpeg(tmp_path / "old" / "1.jpg"), (record,))
    sheet = tmp_path / "in.csv"
    sheet.write_text(f"Number,Title{CLEAR}\nT 2,Jar{ORDERS}\n", encoding="utf-8", newline="")
    assert run(tmp_path / "archive", "survey", sheet).exit_code == 0
    return tmp_path / "archive"


@pytest.mark.parametrize(
    "command",
    [
        ("show",),
        ("show", "T 1"),
        ("show", "T 1", "--statements"),
        ("history",),
        ("history", "T 1"),
        ("review",),
        ("review", "--all"),
        ("disclose", "T 1", "--for", "buyer"),
        ("find", "bowl"),
        ("check",),
        ("show", f"no such {ORDERS}"),
        ("read", f"Bowl{ORDERS}, 18th century"),
    ],
)
def test_no_command_hands_an_order_to_the_terminal(folder: Path, command: tuple[str, ...]) -> None:
    done = run(folder, *command)
    assert "fault of the program" not in done.output
    orders = [c for c in done.output if (ord(c) < 32 and c not in "\n\t") or 127 <= ord(c) < 160]
    assert orders == [], done.output


def test_they_are_shown_by_their_numbers(folder: Path) -> None:
    assert "‹U+001B›[2J" in run(folder, "show", "T 1").output


def test_scripts_are_given_the_words_as_they_are(folder: Path) -> None:
    done = run(folder, "show", "T 1", "--json")
    assert not any(127 <= ord(c) < 160 or ord(c) < 10 for c in done.output)
    assert json.loads(done.output)["record"]["titles"][0]["value"] == f"Bowl{ORDERS}x"


def test_other_words_are_not_changed() -> None:
    words = "Größe 箱 “quoted”\n\tمزهرية"
    assert shown(words) == words


def test_every_command_speaks_by_this_one_way() -> None:
    folder = Path(archivist.cli.__file__).parent
    for path in folder.glob("*.py"):
        words = path.read_text(encoding="utf-8")
        if path.name != "saying.py":
            assert "click.echo" not in words, path.name
            assert "click.secho" not in words, path.name
            assert " Console(" not in words, path.name
            assert "print(" not in words.replace("console.print(", ""), path.name
