"""The whole archive comes back from its bag; single pieces merge by version, never over others."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import bagit
import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import EventType, Outcome, events, record_event, releases
from archivist.catalogue.holdings import (
    Occurrence,
    add_occurrence,
    add_original,
    originals,
    write_inventory,
)
from archivist.catalogue.merging import merge
from archivist.catalogue.settings import read_settings
from archivist.catalogue.sources import ImportedCell, add_imported, add_source, imported
from archivist.catalogue.undoing import undo
from archivist.digests import digest_file
from archivist.errors import (
    ArchiveError,
    ArchivistError,
    FixityError,
    PackageError,
    SelectionError,
)
from archivist.hooks import FixityReport, PackageFacts, PayloadFile
from archivist.model import Note, ObjectRecord, Party, View
from archivist.plugins import Plugins, load_plugins
from archivist.release.joining import Restored
from archivist.release.preservation import TABLES
from archivist.release.restore import restore
from tests.archives import OWNER, add_photograph, jpeg, new_archive, new_id, piece, save
from tests.release.conftest import exporter, plugins_of, released

PLUGINS = load_plugins()


def noted(record: ObjectRecord, words: str) -> ObjectRecord:
    return msgspec.structs.replace(record, notes=(*record.notes, Note(as_stated=words)))


@pytest.fixture
def full(archive: Archive, tmp_path: Path) -> Archive:
    """An archive in which everything has happened that an archive can go through."""
    catalogue = archive.catalogue
    bowl = catalogue.object_named("T 0")
    save(catalogue, noted(bowl, "chipped"))
    undo(catalogue, catalogue.actions()[0], OWNER)
    merge(
        catalogue, catalogue.object_named("T 0"), catalogue.object_named("T 2"), OWNER, "the same"
    )
    add_photograph(archive, jpeg(tmp_path / "old" / "nobody's.jpg", tone=77), ())
    save(catalogue, Party(id=new_id(), name="Edith Harrow", address="4 Quarry Row"))
    sheet = tmp_path / "stock.csv"
    sheet.write_text("Number,Title\nT 0,Bowl\n", encoding="utf-8")
    digests = archive.store.take_in(sheet, ".csv")
    with catalogue.action("apply", OWNER) as action:
        add_source(action, "sheet", "spreadsheet", str(sheet))
        add_original(action, digests, ".csv", "text/csv")
        add_occurrence(action, Occurrence(digests.sha256, "sheet", sheet.name))
        add_imported(action, "sheet", ImportedCell("T 0", "Title", "Bowl", bowl.id))
    write_inventory(catalogue, archive.store)
    record_event(catalogue, EventType.INGESTION, "proposal one", Outcome.SUCCESS)
    (archive.proposals / "Vorschlag 1.json").write_text('{"a": "ü"}', encoding="utf-8")
    (archive.proposals / "Vorschlag (1).json").write_text('{"a": 2}', encoding="utf-8")
    with (archive.folder / "archive.toml").open("a", encoding="utf-8") as settings:
        settings.write('\n[audiences.restorer]\nlike = "buyer"\nsees = ["record.sales"]\n')
    released(archive, plugins_of(exporter("words")), tmp_path / "website", "words")
    return archive


def bag(
    archive: Archive, to: Path, whole: bool = True, objects: tuple[str, ...] | None = None
) -> Path:
    """The owner's bag."""
    report = released(
        archive, PLUGINS, to, "bagit", audience="owner", objects=objects, whole_archive=whole
    )
    assert report.whole, report.failures
    assert report.place is not None
    return report.place


def tables(archive: Archive) -> dict[str, list[tuple[object, ...]]]:
    """Every fact in the catalogue."""
    execute = archive.catalogue.connection.execute
    return {
        table: [tuple(row) for row in execute(f'SELECT * FROM "{table}" ORDER BY rowid')]
        for table in TABLES
    }


def made_anew(archive: Archive) -> list[tuple[object, ...]]:
    """What is made from the facts, without the numbers of rows."""
    execute = archive.catalogue.connection.execute
    current = execute(
        "SELECT entity, kind, number, key, label, earliest, latest, state, merged_into, text "
        "FROM current LEFT JOIN words ON words.rowid = current.row ORDER BY entity"
    ).fetchall()
    depictions = execute("SELECT * FROM depiction ORDER BY photograph, object, view").fetchall()
    return [tuple(row) for row in (*current, *depictions)]


def test_the_whole_archive_comes_back_as_it_was(full: Archive, tmp_path: Path) -> None:
    before = tables(full)
    place = bag(full, tmp_path / "bags")
    bagit.Bag(str(place)).validate()  # the Library of Congress's own, RFC 8493
    done = restore(PLUGINS, [place], tmp_path / "new" / "again")
    assert done.questions == []
    with Archive.open(tmp_path / "new" / "again") as again:
        after = tables(again)
        added = after["event"].pop()
        assert "recovery" in added
        assert after == before, "every fact, every version's JSON byte for byte"
        assert made_anew(again) == made_anew(full)
        assert again.settings == read_settings(full.folder / "archive.toml")
        for item in originals(full.catalogue):
            path = again.original_path(item.sha256)
            assert digest_file(path).sha512 == item.sha512
            assert not path.stat().st_mode & 0o222
        assert imported(again.catalogue, "sheet") == imported(full.catalogue, "sheet")
        assert len(list(again.catalogue.unassigned_photographs())) == 1
        assert releases(again.catalogue) == releases(full.catalogue)[:1]
        proposals = sorted(p.read_text(encoding="utf-8") for p in again.proposals.iterdir())
        assert proposals == ['{"a": "ü"}', '{"a": 2}']
    for name in ("archive.toml", "README.txt", "originals/manifest-sha256.txt"):
        assert (tmp_path / "new" / "again" / name).read_bytes() == (full.folder / name).read_bytes()
    assert not [p for p in (tmp_path / "new").iterdir() if p.name.startswith(".")]


def test_an_archive_that_came_back_goes_on_and_makes_the_same_bag(
    full: Archive, tmp_path: Path
) -> None:
    place = bag(full, tmp_path / "bags")
    restore(PLUGINS, [place], tmp_path / "again")
    with Archive.open(tmp_path / "again") as again:
        save(again.catalogue, piece("T 9", "New"))
        assert again.catalogue.actions()[0].number == full.catalogue.actions()[0].number + 1
        second = bag(again, tmp_path / "bags2")
    restore(PLUGINS, [second], tmp_path / "third")
    with Archive.open(tmp_path / "third") as third:
        assert third.catalogue.object_named("T 9").title == "New"


def test_a_bag_in_a_zip_comes_back_too(full: Archive, tmp_path: Path) -> None:
    place = bag(full, tmp_path / "bags")
    packed = Path(shutil.make_archive(str(tmp_path / "packed"), "zip", place.parent, place.name))
    done = restore(PLUGINS, [packed], tmp_path / "again")
    assert done.questions == []
    with Archive.open(tmp_path / "again") as again:
        assert len(list(originals(again.catalogue))) == len(list(originals(full.catalogue)))


@pytest.fixture
def copy(archive: Archive, tmp_path: Path) -> Iterator[Archive]:
    """The same archive at another place, where work goes on as well."""
    restore(PLUGINS, [bag(archive, tmp_path / "bags")], tmp_path / "copy")
    with Archive.open(tmp_path / "copy") as opened:
        yield opened


def joined(archive: Archive, copy: Archive, to: Path, *numbers: str) -> Restored:
    """Brings pieces of `archive` to `copy` in bags of single pieces."""
    objects = tuple(archive.catalogue.object_named(number).id for number in numbers)
    place = bag(archive, to, whole=False, objects=objects)
    return restore(PLUGINS, [place], copy.folder)


def test_later_versions_and_new_pieces_are_added(
    archive: Archive, copy: Archive, tmp_path: Path
) -> None:
    save(archive.catalogue, noted(archive.catalogue.object_named("T 1"), "seen again"))
    new = piece("T 8", "Ewer")
    save(archive.catalogue, new)
    add_photograph(archive, jpeg(tmp_path / "old" / "8.jpg", tone=99), (new,), View.BASE)
    done = joined(archive, copy, tmp_path / "b", "T 1", "T 8")
    assert done.questions == []
    assert copy.catalogue.object_named("T 1").notes[0].as_stated == "seen again"
    (shown,) = copy.catalogue.photographs_of(new.id)
    assert copy.original_path(shown.sha256).is_file()
    facts = {item.sha256: item for item in originals(copy.catalogue)}[shown.sha256]
    assert (facts.media_type, facts.extension) == ("image/jpeg", ".jpg")
    wrote = copy.catalogue.versions(new.id)[0].action
    assert wrote.id == archive.catalogue.versions(new.id)[0].action.id
    again = joined(archive, copy, tmp_path / "b2", "T 1", "T 8")
    assert (again.versions, again.questions) == (0, [])


def test_what_both_changed_is_a_question_and_the_archive_stands(
    archive: Archive, copy: Archive, tmp_path: Path
) -> None:
    jar = archive.catalogue.object_named("T 1")
    save(archive.catalogue, noted(jar, "here"))
    save(copy.catalogue, noted(jar, "there"))
    save(archive.catalogue, noted(archive.catalogue.object_named("T 2"), "added"))
    done = joined(archive, copy, tmp_path / "b", "T 1", "T 2")
    (question,) = done.questions
    assert question.startswith("T 1 was changed in the archive and, otherwise, in ")
    assert copy.catalogue.object_named("T 1").notes[0].as_stated == "there"
    assert copy.catalogue.object_named("T 2").notes[0].as_stated == "added"
    event = events(copy.catalogue)[-1]
    assert (event.outcome, event.report) == (Outcome.WARNING, question)


def test_an_older_bag_takes_nothing_back(archive: Archive, copy: Archive, tmp_path: Path) -> None:
    save(copy.catalogue, noted(copy.catalogue.object_named("T 1"), "later"))
    done = joined(archive, copy, tmp_path / "b", "T 1")
    assert (done.versions, done.questions) == (0, [])
    assert copy.catalogue.object_named("T 1").notes[0].as_stated == "later"


def test_pieces_that_share_a_party_and_a_photograph_come_in_one_bag(
    archive: Archive, copy: Archive, tmp_path: Path
) -> None:
    from archivist.model import ProvenanceEvent

    party = Party(id=new_id(), name="Edith Harrow")
    both = [
        msgspec.structs.replace(
            archive.catalogue.object_named(number), provenance=(ProvenanceEvent(giver=party.id),)
        )
        for number in ("T 1", "T 2")
    ]
    save(archive.catalogue, party, *both)
    add_photograph(archive, jpeg(tmp_path / "old" / "g.jpg", tone=55), both, View.GROUP)
    done = joined(archive, copy, tmp_path / "b", "T 1", "T 2")
    assert done.questions == []
    assert copy.catalogue.get(party.id, Party) == party
    assert len(copy.catalogue.photographs_of(both[0].id)) == 2


def test_a_merged_piece_brings_what_it_took_over_and_pictures_that_cannot_be_decoded(
    archive: Archive, copy: Archive, tmp_path: Path
) -> None:
    catalogue = archive.catalogue
    scrap = tmp_path / "old" / "scrap.jpg"
    scrap.write_bytes(b"no picture")
    broken = add_photograph(archive, scrap, (catalogue.object_named("T 2"),))
    save(catalogue, msgspec.structs.replace(broken, undecodable="no picture"))
    merge(catalogue, catalogue.object_named("T 1"), catalogue.object_named("T 2"), OWNER, "")
    done = joined(archive, copy, tmp_path / "b", "T 1")
    assert done.questions == []
    kept = copy.catalogue.object_named("T 2")
    assert kept.stock_number == "T 1"
    assert len(copy.catalogue.photographs_of(kept.id)) == 3
    assert copy.original_path(broken.sha256).read_bytes() == b"no picture"


# What is refused


def refused(packages: list[Path], into: Path, plugins: Plugins = PLUGINS) -> ArchivistError:
    """What restoring raises; nothing may be there afterwards."""
    with pytest.raises(ArchivistError) as told:
        restore(plugins, packages, into)
    assert not into.exists()
    assert not [p for p in into.parent.iterdir() if p.name.startswith(".unfinished")]
    return told.value


@pytest.mark.parametrize("audience", ["public", "buyer"])
def test_a_bag_made_for_others_is_refused(archive: Archive, tmp_path: Path, audience: str) -> None:
    place = released(archive, PLUGINS, tmp_path / "b", "bagit", audience=audience).place
    assert place is not None
    problem = refused([place], tmp_path / "again")
    assert isinstance(problem, SelectionError)
    assert f"was made for '{audience}'" in problem.message


def test_a_damaged_bag_is_refused_before_anything_of_any_is_taken(
    archive: Archive, tmp_path: Path
) -> None:
    good, bad = bag(archive, tmp_path / "b"), bag(archive, tmp_path / "b")
    victim = next(path for path in (bad / "data" / "originals").rglob("*.jpg"))
    victim.write_bytes(victim.read_bytes()[:-1] + b"!")
    problem = refused([good, bad], tmp_path / "again")
    assert isinstance(problem, FixityError)
    assert victim.name in problem.message


def test_a_folder_that_is_no_bag_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x").mkdir()
    assert isinstance(refused([tmp_path / "x"], tmp_path / "again"), SelectionError)


def test_a_bag_of_single_pieces_does_not_make_an_archive(archive: Archive, tmp_path: Path) -> None:
    place = bag(archive, tmp_path / "b", whole=False)
    assert isinstance(refused([place], tmp_path / "again"), ArchiveError)


def test_a_folder_that_holds_anything_is_left(archive: Archive, tmp_path: Path) -> None:
    place = bag(archive, tmp_path / "b")
    (tmp_path / "again").mkdir()
    (tmp_path / "again" / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ArchiveError, match="is not an archive"):
        restore(PLUGINS, [place], tmp_path / "again")
    assert [p.name for p in (tmp_path / "again").iterdir()] == ["letter.txt"]
    assert restore(PLUGINS, [place], tmp_path / "b" / "empty").packages == 1


def test_a_whole_archive_is_not_poured_into_another(archive: Archive, tmp_path: Path) -> None:
    place = bag(archive, tmp_path / "b")
    with new_archive(tmp_path / "other"):
        pass
    with pytest.raises(ArchiveError, match="is another"):
        restore(PLUGINS, [place], tmp_path / "other")


def rewritten(place: Path, path: str, content: bytes) -> Path:
    """The bag with another file in it, its manifests as true as before, as a forger would."""
    (place / path).write_bytes(content)
    made = bagit.Bag(str(place))
    for name in [n for n in made.info if n.startswith("Payload")]:
        del made.info[name]
    made.save(manifests=True)
    return place


def versions_of(place: Path) -> list[dict[str, object]]:
    text = (place / "data/archive/tables/version.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"json": '{"id":"x"}'}, "not what its digest says"),
        ({"json": "no json"}, "does not understand"),
        ({"json": '{"id":"x","colour_of_the_box":1}'}, "newer version"),
        ({"kind": "teapot"}, "other fields than it should"),
        ({"number": 7}, "do not fit together"),
        ({"action": "nobody"}, "do not fit together"),
        ({"shelf": "top"}, "other fields than it should"),
    ],
)
def test_an_undamaged_bag_that_lies_is_refused(
    archive: Archive, tmp_path: Path, change: dict[str, object], told: str
) -> None:
    place = bag(archive, tmp_path / "b")
    rows = versions_of(place)
    rows[0] |= change
    if "number" in change:
        rows.append(rows[0])
    lines = "".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows)
    rewritten(place, "data/archive/tables/version.jsonl", lines.encode("utf-8"))
    problem = refused([place], tmp_path / "again")
    assert isinstance(problem, PackageError)
    assert told in str(problem)


def test_an_original_that_is_recorded_and_not_there_is_a_question(
    archive: Archive, tmp_path: Path
) -> None:
    place = bag(archive, tmp_path / "b")
    victim = next(path for path in (place / "data" / "originals").rglob("*.jpg"))
    victim.unlink()
    bagit.Bag(str(place)).save(manifests=True)
    done = restore(PLUGINS, [place], tmp_path / "again")
    (question,) = done.questions
    assert victim.name in question


class Lying:
    """A stranger's package format that gives whatever paths it likes."""

    def __init__(self, real: object, path: str) -> None:
        self.real = real
        self.path = path

    def recognises(self, path: Path) -> bool:
        return True

    def facts(self, path: Path) -> PackageFacts:
        return PackageFacts(audience="owner", scope="archive")

    def verify(self, path: Path, **_: object) -> FixityReport:
        return FixityReport("lie", 0, 0)

    def payload(self, path: Path) -> Iterator[PayloadFile]:
        yield from self.real.payload(path)  # type: ignore[attr-defined]
        yield PayloadFile(self.path, content=b"planted")


@pytest.mark.parametrize(
    "path",
    [
        "archive/proposals/..",
        "archive/proposals/../../planted",
        "archive/../planted",
        "archive/proposals/C:planted",
        "archive/proposals/..\\..\\planted",
        "/archive/proposals/planted",
        "../originals/ab/" + "a" * 64,
    ],
)
def test_a_package_with_paths_that_lead_out_plants_nothing(
    archive: Archive, tmp_path: Path, path: str
) -> None:
    from archivist.hooks import ExporterDescription

    place = bag(archive, tmp_path / "b")
    real = PLUGINS.named("exporter", "bagit", ExporterDescription).opens
    (tmp_path / "deep" / "er").mkdir(parents=True)
    plugins = plugins_of(exporter("lying", opens=Lying(real, path)))
    into = tmp_path / "deep" / "er" / "again"
    try:
        restore(plugins, [place], into)
    except ArchivistError:
        assert not into.exists()
    planted = [
        p for p in tmp_path.rglob("*") if p.is_file() and p.read_bytes().startswith(b"planted")
    ]
    assert planted == []


def test_the_bag_library_finds_a_path_out_of_a_bag(archive: Archive, tmp_path: Path) -> None:
    place = bag(archive, tmp_path / "b")
    outside = place.parent / "outside.txt"
    outside.write_bytes(b"x")
    digest = digest_file(outside)
    for name, value in (("sha256", digest.sha256), ("sha512", digest.sha512)):
        with (place / f"manifest-{name}.txt").open("a", encoding="utf-8", newline="\n") as lines:
            lines.write(f"{value}  data/../../outside.txt\n")
    problem = refused([place], tmp_path / "again")
    assert "outside.txt" in str(problem)


def test_ctrl_c_leaves_nothing(archive: Archive, tmp_path: Path) -> None:
    place = bag(archive, tmp_path / "b")

    def stop(_: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        restore(PLUGINS, [place], tmp_path / "again", stop)
    assert not (tmp_path / "again").exists()


def test_column_decisions_and_applied_proposals_are_known_again_after_a_restore(
    tmp_path: Path,
) -> None:
    from click.testing import CliRunner

    from archivist.cli.main import group

    def run(folder: Path, *arguments: object) -> str:
        done = CliRunner().invoke(group, ["-a", str(folder), *map(str, arguments)])
        assert done.exit_code == 0, done.output
        return done.output

    new_archive(tmp_path / "one").catalogue.close()
    sheet = tmp_path / "Großes Lagerbuch, alle Stücke seit 1987.csv"
    sheet.write_text("Number,Title,Aside\nT 1,Bowl,sold under the counter\n", encoding="utf-8")
    run(tmp_path / "one", "survey", sheet)
    (columns,) = (tmp_path / "one" / "proposals").glob("*.toml")
    words = columns.read_text(encoding="utf-8")
    place = words.index('heading = "Aside"')
    kept = words[place:].replace("because =", 'role = "private note"\nbecause =', 1)
    assert "private note" in kept
    columns.write_text(words[:place] + kept, encoding="utf-8")
    run(tmp_path / "one", "survey", sheet)
    run(tmp_path / "one", "apply")
    run(tmp_path / "one", "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "o")
    (bag,) = (tmp_path / "o").iterdir()
    run(tmp_path / "one", "restore", bag, "--into", tmp_path / "two")
    before, after = (
        {p.name: p.read_bytes() for p in (tmp_path / n / "proposals").iterdir()}
        for n in ("one", "two")
    )
    assert before == after
    assert len(after) >= 3
    assert "Nothing to do" in run(tmp_path / "two", "apply") or "nothing to do" in run(
        tmp_path / "two", "apply"
    )
    sheet.write_text(
        "Number,Title,Aside\nT 1,Bowl,sold under the counter\nT 2,Jar,never told\n",
        encoding="utf-8",
    )
    run(tmp_path / "two", "survey", sheet)
    run(tmp_path / "two", "apply")
    run(tmp_path / "two", "release", "ro-crate", "--for", "public", "--to", tmp_path / "public")
    published = b"".join(p.read_bytes() for p in (tmp_path / "public").rglob("*") if p.is_file())
    assert b"Jar" in published
    assert b"never told" not in published
    assert b"counter" not in published


@pytest.mark.parametrize("name", ["../evil.json", "/evil.json", "a/../../evil.json", "C:evil"])
def test_names_of_proposals_in_a_package_stay_inside(tmp_path: Path, name: str) -> None:
    from archivist.hooks import PayloadFile
    from archivist.release.rebuilding import put_back_proposals

    told = json.dumps({"file": "a.json", "name": name}).encode()
    payload = {
        "archive/proposal-names.jsonl": PayloadFile("archive/proposal-names.jsonl", None, told),
        "archive/proposals/a.json": PayloadFile("archive/proposals/a.json", None, b"{}"),
    }
    (tmp_path / "in").mkdir()
    with pytest.raises(PackageError, match="leads elsewhere"):
        put_back_proposals(payload, tmp_path / "in")
    assert list(tmp_path.rglob("*.json")) == []
