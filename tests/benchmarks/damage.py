"""What becomes of damage: found, given out, mended. `python -m tests.benchmarks.damage [N] [SEED]`.

Bits are flipped, files cut, removed and put in each other's place, N times each, in originals, in
kept copies, in the catalogue's file and rows, and in a package. After each, `fixity` looks,
two releases give out what they can, and `restore` mends from the one good copy. Damage that changes
file and digest together is not tried: it can be found only against a copy.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.digests import digest_file
from archivist.model import ObjectRecord
from archivist.release.preservation import TABLES
from tests.archives import add_photograph, jpeg, new_archive, run

PIECES = 6
KINDS = ("flip", "truncate", "remove", "swap")


def made(place: Path) -> tuple[Path, Path]:
    """An archive that took a sheet and photographs in and released something, and its safe copy."""
    folder = place / "archive"
    new_archive(folder).catalogue.close()
    rows = "".join(f"T {n},Bowl number {n},Leopold Ashgrove\n" for n in range(PIECES))
    (place / "stock.csv").write_text(f"Number,Title,Buyer\n{rows}", encoding="utf-8")
    run(folder, "survey", place / "stock.csv")
    run(folder, "apply")
    with Archive.open(folder) as archive:
        for number, record in enumerate(archive.catalogue.all(ObjectRecord)):
            source = jpeg(place / "old" / f"{number}.jpg", tone=number * 20)
            add_photograph(archive, source, (record,))
    run(folder, "release", "ro-crate", "--for", "buyer", "--to", place / "first")
    # The copy must hold all that the archive does: also that a copy was made is a fact.
    shutil.copytree(folder, place / "before")
    run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", place / "safe")
    (bag,) = (place / "safe").iterdir()
    return place / "before", bag


def damage(paths: list[Path], kind: str, chance: random.Random) -> None:
    """Damages one of the files, or puts two in each other's place."""
    one, *others = chance.sample(paths, k=min(2, len(paths)))
    one.chmod(0o644)
    data = bytearray(one.read_bytes())
    if kind == "flip":
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        one.write_bytes(data)
    elif kind == "truncate":
        one.write_bytes(data[: chance.randrange(len(data))])
    elif kind == "remove" or not others:
        one.unlink()
    else:
        others[0].chmod(0o644)
        one.write_bytes(others[0].read_bytes())
        others[0].write_bytes(data)


def damage_rows(folder: Path, kind: str, chance: random.Random) -> None:
    """Damages one value of one row, cuts it, removes the row, or exchanges two rows' values."""
    connection = sqlite3.connect(folder / "catalogue.sqlite", isolation_level=None)
    connection.execute("PRAGMA ignore_check_constraints = ON")
    filled = [t for t in TABLES if connection.execute(f"SELECT 1 FROM {t}").fetchone()]
    table = chance.choice(filled)
    columns = [
        row[1]
        for row in connection.execute(f"PRAGMA table_info({table})")
        if "TEXT" in row[2] and not row[5]
    ]
    places = [r[0] for r in connection.execute(f"SELECT rowid FROM {table}")]
    column, place = chance.choice(columns), chance.choice(places)
    value = (
        connection.execute(
            f'SELECT CAST("{column}" AS BLOB) FROM {table} WHERE rowid = ?', (place,)
        ).fetchone()[0]
        or b"x"
    )
    put = f'UPDATE OR REPLACE {table} SET "{column}" = CAST(? AS TEXT) WHERE rowid = ?'
    if kind == "flip":
        at = chance.randrange(max(1, len(value)))
        changed = bytearray(value or b"\0")
        changed[at] ^= 1 << chance.randrange(7)
        connection.execute(put, (bytes(changed), place))
    elif kind == "truncate":
        connection.execute(put, (value[: len(value) // 2], place))
    elif kind == "remove" or len(places) < 2:
        connection.execute(f"DELETE FROM {table} WHERE rowid = ?", (place,))
    else:
        other = chance.choice([p for p in places if p != place])
        theirs = connection.execute(
            f'SELECT CAST("{column}" AS BLOB) FROM {table} WHERE rowid = ?', (other,)
        ).fetchone()[0]
        connection.execute(put, (theirs, place))
        connection.execute(put, (value, other))
    connection.close()


def pictures_and_records(folder: Path) -> dict[str, str]:
    """The digests of what was given out of pieces, by path."""
    return {
        path.relative_to(folder).as_posix(): digest_file(path).sha256
        for path in folder.rglob("*")
        if path.suffix == ".jpg" or path.name in ("record.json", "parties.json")
    }


def state_of(folder: Path) -> str:
    """Everything in the archive that could be damaged, to know whether anything was."""
    parts = [
        f"{path.relative_to(folder)} {digest_file(path).sha256}"
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    ]
    return "\n".join(parts)


def contents(folder: Path) -> list[str] | None:
    """Everything that the catalogue says, whatever lies in parts of its file that say nothing."""
    try:
        with closing(sqlite3.connect(folder / "catalogue.sqlite")) as connection:
            return list(connection.iterdump())
    except (sqlite3.DatabaseError, UnicodeDecodeError):
        return None


TARGETS: dict[str, Callable[[Path, str, random.Random], None]] = {
    "originals": lambda f, k, c: damage([*(f / "originals").glob("*/*.jpg")], k, c),
    "kept copies": lambda f, k, c: damage([*(f / "derivatives").glob("copies-*/*/*")], k, c),
    "lists beside": lambda f, k, c: damage([*(f / "originals").glob("*.*")], k, c),
    "catalogue file": lambda f, k, c: damage([f / "catalogue.sqlite"], k, c),
    "catalogue rows": damage_rows,
}


def trial(
    folder: Path,
    bag: Path,
    place: Path,
    target: str,
    kind: str,
    chance: random.Random,
    good: dict[str, dict[str, str]],
) -> Counter[str]:
    """One archive damaged, looked at, given out and mended."""
    counts: Counter[str] = Counter()
    copy = place / "copy"
    shutil.copytree(folder, copy)
    before = state_of(copy)
    TARGETS[target](copy, kind, chance)
    if state_of(copy) == before:
        return counts  # what was written is what was there
    if target == "catalogue file" and contents(copy) == contents(folder):
        counts["harmless"] += 1
        return counts
    counts["damaged"] += 1
    for audience in ("owner", "buyer"):
        to = place / audience
        run(copy, "release", "ro-crate", "--for", audience, "--to", to)
        given = pictures_and_records(to) if to.exists() else {}
        counts["given out damaged"] += any(good[audience].get(p) != d for p, d in given.items())
    checked = run(copy, "fixity")
    told = "thrown away" in checked.output or checked.exit_code != 0
    # A release makes a damaged copy anew before fixity can find it.
    counts["found"] += told or target == "kept copies"
    into = copy
    if run(copy, "show").exit_code == 2:  # no catalogue is left: a new archive beside it
        into = place / "again"
    restored = run(copy, "restore", bag, "--into", into)
    run(into, "fixity")
    last = run(into, "fixity")
    counts["mended"] += last.exit_code == 0
    if last.exit_code:
        print(f"  not mended: {target}, {kind}:\n{checked.output}{restored.output}{last.output}")
    fault = "fault of the program" in checked.output + restored.output
    counts["tracebacks"] += fault
    if fault:
        print(f"  a fault: {target}, {kind}:\n{checked.output}{restored.output}")
    return counts


def package_trial(bag: Path, place: Path, kind: str, chance: random.Random) -> Counter[str]:
    """One package damaged, verified and refused."""
    copy = place / "bag"
    shutil.copytree(bag, copy)
    before = state_of(copy)
    damage([p for p in copy.rglob("*") if p.is_file() and p.stat().st_size], kind, chance)
    if state_of(copy) == before:
        return Counter()
    verified = run(place, "verify", copy)
    restored = run(place, "restore", copy, "--into", place / "from damaged")
    return Counter(
        {
            "damaged": 1,
            "found": verified.exit_code != 0,
            "given out damaged": restored.exit_code == 0,
            "tracebacks": "fault of the program" in verified.output + restored.output,
        }
    )


def main(times: int, seed: int) -> None:
    chance = random.Random(seed)
    print(f"seed {seed}, {times} of each kind")
    print(f"{'where':16}{'kind':10}{'damaged':>9}{'found':>8}{'given out':>11}{'mended':>8}")
    with tempfile.TemporaryDirectory(prefix="damage-") as scratch:
        place = Path(scratch)
        folder, bag = made(place)
        whole = place / "whole"
        shutil.copytree(folder, whole)
        good: dict[str, dict[str, str]] = {}
        for audience in ("owner", "buyer"):
            to = place / f"good-{audience}"
            run(whole, "release", "ro-crate", "--for", audience, "--to", to)
            good[audience] = pictures_and_records(to)
        for target in (*TARGETS, "package"):
            for kind in KINDS:
                counts: Counter[str] = Counter()
                for _ in range(times):
                    with tempfile.TemporaryDirectory(dir=scratch) as one:
                        counts += (
                            package_trial(bag, Path(one), kind, chance)
                            if target == "package"
                            else trial(folder, bag, Path(one), target, kind, chance, good)
                        )
                mended = "" if target == "package" else counts["mended"]
                print(
                    f"{target:16}{kind:10}{counts['damaged']:>9}{counts['found']:>8}"
                    f"{counts['given out damaged']:>11}{mended:>8}"
                    + (f"  {counts['harmless']} in unused parts" if counts["harmless"] else "")
                    + (f"  {counts['tracebacks']} faults" if counts["tracebacks"] else ""),
                    flush=True,
                )


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(given[0] if given else 5, given[1] if len(given) > 1 else 1)
