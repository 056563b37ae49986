"""`fixity` finds a change in any fact of the catalogue, and makes anew what is made of others."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import EventType, ReleaseFacts, events, record_release
from archivist.model import Party
from archivist.release.preservation import TABLES
from tests.archives import OWNER, add_photograph, jpeg, new_archive, new_id, piece, run, save


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive with a row in every table of facts."""
    from archivist.catalogue.erased import remember_erased
    from archivist.catalogue.sources import ImportedCell, add_imported

    with new_archive(tmp_path / "archive") as made:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(made.catalogue, record)
        save(made.catalogue, piece("T 1", "Large bowl", id_=record.id), piece("T 2", "Jar"))
        photograph = add_photograph(made, jpeg(tmp_path / "old" / "1.jpg"), (record,))
        (source,) = made.catalogue.connection.execute("SELECT id FROM source").fetchone()
        with made.catalogue.action("apply", OWNER, "a sheet") as action:
            add_imported(action, source, ImportedCell("row 1", "Title", "a bowl", record.id))
            remember_erased(made.catalogue.connection, Party(id=new_id(9), name="N N"), "2026")
            action.fact("erased", new_id(9))
        record_release(
            made.catalogue,
            ReleaseFacts("r1", "2026-01-15", "buyer", ("bagit",), "here", ("d",), (record.id,)),
        )
        assert photograph
    assert run(tmp_path / "archive", "fixity").exit_code == 0
    return tmp_path / "archive"


def columns() -> Iterator[tuple[str, str]]:
    """Every column of every table of facts, as the migrations make them."""
    from archivist.catalogue.database import migrations

    with sqlite3.connect(":memory:") as fresh:
        for script in migrations():
            fresh.executescript(script)
        for table in TABLES:
            for row in fresh.execute(f'PRAGMA table_info("{table}")'):
                yield table, row[1]


def raw(folder: Path) -> sqlite3.Connection:
    """The database as another program opens it, minding no rule."""
    return sqlite3.connect(folder / "catalogue.sqlite", isolation_level=None)


@pytest.mark.parametrize(("table", "column"), [*columns()])
def test_a_change_of_any_column_of_any_fact_is_found(folder: Path, table: str, column: str) -> None:
    connection = raw(folder)
    (kind,) = connection.execute(
        f'SELECT typeof("{column}") FROM "{table}" ORDER BY rowid DESC LIMIT 1'
    ).fetchone()
    changed = f'"{column}" + 1' if kind == "integer" else f"coalesce(\"{column}\", '') || 'x'"
    if (table, column) == ("version", "kind"):
        changed = "CASE kind WHEN 'object' THEN 'party' ELSE 'object' END"
    connection.execute(
        f'UPDATE "{table}" SET "{column}" = {changed} '
        f'WHERE rowid = (SELECT max(rowid) FROM "{table}")'
    )
    connection.close()
    checked = run(folder, "fixity")
    assert checked.exit_code == 1, (table, column, checked.output)
    assert "catalogue.sqlite" in checked.output


@pytest.mark.parametrize("table", TABLES)
def test_a_row_of_any_table_of_facts_that_is_gone_is_found(folder: Path, table: str) -> None:
    connection = raw(folder)
    connection.execute(f'DELETE FROM "{table}" WHERE rowid = (SELECT max(rowid) FROM "{table}")')
    connection.close()
    checked = run(folder, "fixity")
    assert checked.exit_code == 1, checked.output
    assert "gone" in checked.output or "not as it was written" in checked.output


def test_two_versions_in_each_others_place_are_found(folder: Path) -> None:
    connection = raw(folder)
    rows = connection.execute(
        "SELECT entity, json, sha256 FROM version WHERE entity = "
        "(SELECT entity FROM version WHERE number = 2) ORDER BY number"
    ).fetchall()
    (entity, *first), (_, *second) = rows
    for number, content in ((1, second), (2, first)):
        connection.execute(
            "UPDATE version SET json = ?, sha256 = ? WHERE entity = ? AND number = ?",
            (*content, entity, number),
        )
    connection.close()
    checked = run(folder, "fixity")
    assert checked.exit_code == 1
    assert "not as it was written" in checked.output


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE current SET number = 1 WHERE number = 2",
        "UPDATE current SET key = key || 'x'",
        "UPDATE current SET state = 'withdrawn' WHERE kind = 'object'",
        "UPDATE depiction SET view = 'mark'",
        "DELETE FROM depiction",
        "UPDATE words SET text = 'other'",
        "DELETE FROM words",
        "UPDATE words_data SET block = X'00' WHERE id > 10",
    ],
)
def test_what_is_made_of_the_records_is_made_anew(folder: Path, damage: str) -> None:
    before = run(folder, "show", "--words", "bowl").output
    connection = raw(folder)
    connection.execute(damage)
    connection.close()
    checked = run(folder, "fixity")
    assert checked.exit_code == 1, checked.output
    assert "made anew" in checked.output
    again = run(folder, "fixity")
    assert again.exit_code == 0, again.output
    assert run(folder, "show", "--words", "bowl").output == before


@pytest.mark.parametrize("name", ["inventory.csv", "manifest-sha256.txt"])
@pytest.mark.parametrize("how", ["changed", "gone"])
def test_the_plain_lists_beside_the_originals_are_written_anew(
    folder: Path, name: str, how: str
) -> None:
    path = folder / "originals" / name
    before = path.read_bytes()
    if how == "gone":
        path.unlink()
    else:
        path.write_bytes(before[:-2] + b"x\n")
    checked = run(folder, "fixity")
    assert checked.exit_code == 1
    assert name in checked.output
    assert path.read_bytes() == before
    assert run(folder, "fixity").exit_code == 0


def test_changed_settings_are_told_once_and_are_no_damage(folder: Path) -> None:
    path = folder / "archive.toml"
    path.write_text(path.read_text("utf-8") + "# a word\n", "utf-8")
    checked = run(folder, "fixity")
    assert checked.exit_code == 0
    assert "archive.toml is not as it was" in checked.output
    assert "archive.toml" not in run(folder, "fixity").output


def test_a_catalogue_of_another_archive_is_refused_by_every_command(
    folder: Path, tmp_path: Path
) -> None:
    with new_archive(tmp_path / "other") as other:
        save(other.catalogue, piece("X 1", "Vase"))
    (folder / "catalogue.sqlite").write_bytes((tmp_path / "other/catalogue.sqlite").read_bytes())
    for command in (("show",), ("fixity",)):
        told = run(folder, *command)
        assert told.exit_code == 2
        assert "is of the archive" in told.output


def test_a_share_of_the_originals_takes_those_that_were_compared_longest_ago(
    folder: Path, tmp_path: Path
) -> None:
    with Archive.open(folder) as archive:
        for number in range(2, 9):
            add_photograph(archive, jpeg(tmp_path / "old" / f"{number}.jpg", tone=number))
    seen: list[str] = []
    for _ in range(4):
        assert run(folder, "fixity", "--share", "25").exit_code == 0
    with Archive.open(folder) as archive:
        rows = archive.catalogue.connection.execute("SELECT sha256, run FROM compared").fetchall()
        assert len(rows) == 8, "four times a quarter is all of them"
        assert len({row["run"] for row in rows}) >= 4
        checks = [e for e in events(archive.catalogue) if e.type == EventType.FIXITY_CHECK]
        seen = [e.detail for e in checks if "2 of 8" in e.detail]
    assert len(seen) == 4


def test_a_wrong_sha512_is_found_when_it_is_asked_for(folder: Path) -> None:
    connection = raw(folder)
    connection.execute("UPDATE original SET sha512 = replace(sha512, '0', '1')")
    connection.close()
    assert "whole by its SHA-256" not in run(folder, "fixity").output
    assert "whole by its SHA-256" in run(folder, "fixity", "--sha512").output


def test_an_empty_catalogue_never_becomes_a_new_archive(folder: Path) -> None:
    (folder / "catalogue.sqlite").write_bytes(b"")
    for command in (("show",), ("fixity",), ("add", "T 9")):
        told = run(folder, *command)
        assert told.exit_code == 2, told.output
        assert "holds nothing" in told.output
        assert (folder / "catalogue.sqlite").read_bytes() == b""


def test_facts_of_an_older_catalogue_are_given_their_digests_once(
    folder: Path,
) -> None:
    connection = raw(folder)
    for table in ("digest", "compared", "erased", "copy"):
        connection.execute(f"DROP TABLE {table}")
    connection.execute("PRAGMA user_version = 1")
    connection.close()
    assert run(folder, "fixity").exit_code == 0
    connection = raw(folder)
    (count,) = connection.execute("SELECT count(*) FROM digest").fetchone()
    assert count > 5
    connection.execute("DELETE FROM digest WHERE facts = 'action'")
    connection.close()
    assert run(folder, "fixity").exit_code == 1, "they are never made up again in silence"


def test_a_database_file_that_is_damaged_within_is_told_as_that(folder: Path) -> None:
    path = folder / "catalogue.sqlite"
    data = bytearray(path.read_bytes())
    for place in range(4096, len(data), 4096):
        data[place : place + 64] = b"\xff" * 64
    path.write_bytes(data)
    told = run(folder, "fixity")
    assert told.exit_code in (1, 2)
    assert "fault of the program" not in told.output
    assert "restore" in told.output


def test_a_damaged_description_of_a_table_is_found_and_written_anew(folder: Path) -> None:
    connection = raw(folder)
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute(
        "UPDATE sqlite_master SET sql = replace(sql, 'who ', 'whp ') WHERE name = 'action'"
    )
    connection.close()
    first = run(folder, "fixity")
    assert first.exit_code == 1
    assert "'action'" in first.output
    assert "written anew" in first.output
    assert run(folder, "fixity").exit_code == 0
    assert run(folder, "history").exit_code == 0


def test_a_digest_that_is_no_text_any_more_stops_nothing(folder: Path, tmp_path: Path) -> None:
    connection = raw(folder)
    connection.execute("UPDATE original SET sha512 = CAST(X'FF' || X'41' AS TEXT)")
    connection.close()
    checked = run(folder, "fixity")
    assert checked.exit_code == 1
    assert "fault of the program" not in checked.output
    done = run(folder, "release", "premis", "--for", "owner", "--to", tmp_path / "out")
    assert done.exit_code == 1
    assert "What the catalogue records of the original" in done.stderr
