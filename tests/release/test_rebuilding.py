"""A release after a few changes looks at those alone, and gives what a new one would give."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.erasure import erase
from archivist.catalogue.merging import merge
from archivist.catalogue.settings import AudienceSettings
from archivist.catalogue.undoing import undo
from archivist.errors import ArchivistError
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist.model import (
    Note,
    ObjectRecord,
    Override,
    Party,
    PartyKind,
    ProvenanceEvent,
    Title,
)
from archivist.plugins import load_plugins
from archivist.release import pieces, remembering, running
from archivist.release.journal import JOURNAL, SOUND
from tests.archives import OWNER, add_photograph, jpeg, new_archive, new_id, piece, save
from tests.release.conftest import exporter, plugins_of, released, tree

LIBRARY = ("dublin-core", "iiif", "reference-library")
Again = Callable[..., tuple[list[str], list[str]]]
"""Releases once more; the stock numbers of what was disclosed, and of what was exported."""

MOMENT = "2026-02-01T12:00:00Z"


class Noted(Exporter):
    """A file a piece, and one of all of them by what was noted of each."""

    def __init__(self) -> None:
        self.exported: list[str] = []
        LOOKS.append(self)

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        self.exported.append(piece.record.stock_number)
        package.write(f"{piece.slug}.txt", piece.record.title)
        if piece.record.title:
            package.note(f"{piece.record.stock_number}\u2028{piece.record.title}")

    def export_selection(self, selection: Selection, package: Package) -> None:
        package.write("all.txt", "\n".join(package.notes()))


LOOKS: list[Noted] = []
PLUGINS = plugins_of(exporter("noted", Noted))


@pytest.fixture
def disclosed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The stock numbers of all records that were disclosed."""
    found: list[str] = []
    whole = pieces.Discloser.piece

    def watched(self: pieces.Discloser, record: ObjectRecord, *more: object) -> Piece:
        found.append(record.stock_number)
        return whole(self, record, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(pieces.Discloser, "piece", watched)
    return found


@pytest.fixture
def again(archive: Archive, tmp_path: Path, disclosed: list[str]) -> Again:
    """Releases to the same place; gives what was disclosed and what was exported."""

    def release(audience: str = "public", **more: object) -> tuple[list[str], list[str]]:
        disclosed.clear()
        LOOKS.clear()
        report = released(
            archive, PLUGINS, tmp_path / f"out-{audience}", "noted", audience=audience, **more
        )
        assert report.whole, (report.failures, report.problems)
        return sorted(set(disclosed)), sorted(LOOKS[0].exported)

    release()
    return release


def change(archive: Archive, number: str, **fields: object) -> None:
    record = archive.catalogue.object_named(number)
    save(archive.catalogue, msgspec.structs.replace(record, **fields))


def test_only_what_changed_is_disclosed_and_exported(archive: Archive, again: Again) -> None:
    assert again() == ([], [])
    change(archive, "T 1", titles=(Title(value="Ewer"),))
    assert again() == (["T 1"], ["T 1"])
    assert again() == ([], [])


def test_what_changed_unseen_is_disclosed_and_not_exported(archive: Archive, again: Again) -> None:
    change(archive, "T 1", notes=(Note(as_stated="private", private=True),))
    assert again() == (["T 1"], [])


def test_the_notes_are_those_of_all_pieces_in_order(
    archive: Archive, again: Again, tmp_path: Path
) -> None:
    change(archive, "T 1", titles=(Title(value="Ewer"),))
    again()
    whole = (tmp_path / "out-public/noted/all.txt").read_text(encoding="utf-8")
    assert whole.split("\n") == ["T 0\u2028Bowl", "T 1\u2028Ewer", "T 2\u2028Vase"]


def test_a_new_place_and_another_audience_are_given_everything(
    archive: Archive, again: Again
) -> None:
    assert again("buyer") == (["T 0", "T 1", "T 2"],) * 2
    assert again("buyer") == ([], [])


def test_the_owners_pieces_hold_their_history_and_are_always_looked_at(
    archive: Archive, again: Again
) -> None:
    assert again("owner")[0] == ["T 0", "T 1", "T 2"]
    assert again("owner")[0] == ["T 0", "T 1", "T 2"]


def test_a_photograph_that_changes_concerns_the_pieces_that_it_showed_and_shows(
    archive: Archive, again: Again
) -> None:
    one, other = (archive.catalogue.object_named(number) for number in ("T 0", "T 2"))
    (shown,) = archive.catalogue.photographs_of(one.id)
    moved = msgspec.structs.replace(shown.depictions[0], object=other.id)
    save(archive.catalogue, msgspec.structs.replace(shown, depictions=(moved,)))
    assert again() == (["T 0", "T 2"],) * 2


def test_an_override_concerns_its_piece(archive: Archive, again: Again) -> None:
    hidden = Override(audience="public", field="record.titles", shown=False)
    change(archive, "T 1", overrides=(hidden,))
    assert again() == (["T 1"], ["T 1"])


ALL = ["T 0", "T 1", "T 2"]


def test_a_party_that_comes_makes_all_words_be_looked_through(
    archive: Archive, again: Again
) -> None:
    save(archive.catalogue, Party(id=new_id(), name="Edith Harrow", kind=PartyKind.PERSON))
    assert again() == (ALL, [])


def test_an_erasure_makes_everything_be_looked_at(archive: Archive, again: Again) -> None:
    party = Party(id=new_id(), name="Edith Harrow", kind=PartyKind.PERSON)
    save(archive.catalogue, party)
    change(archive, "T 0", descriptions=(Note(as_stated="bought from Edith Harrow"),))
    again()
    erase(archive, party, OWNER)
    assert again()[0] == ALL


def test_another_rule_makes_everything_be_looked_at(archive: Archive, again: Again) -> None:
    narrower = AudienceSettings(like="public", never_sees=("record.stock_number",))
    settings = archive.settings
    archive.settings = msgspec.structs.replace(settings, audiences={"student": narrower})
    again("student")
    assert again("student") == ([], [])
    wider = AudienceSettings(like="public")
    archive.settings = msgspec.structs.replace(settings, audiences={"student": wider})
    assert again("student") == (ALL, ALL)


def test_other_settings_of_the_archive_make_everything_again(
    archive: Archive, again: Again
) -> None:
    archive.settings = msgspec.structs.replace(archive.settings, owner="Ines T. Tidewell")
    assert again() == (ALL, ALL)
    assert again(base_uri="https://bowls.example/") == (ALL, ALL)


def test_another_program_makes_everything_again(
    archive: Archive, again: Again, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (running, remembering):
        monkeypatch.setattr(module, "core_digest", lambda: "another")
    assert again() == (ALL, ALL)
    assert again() == ([], [])


def test_other_templates_of_an_exporter_make_its_files_again(
    archive: Archive, again: Again, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(running, "code_digest", lambda module: "another")
    assert again() == (ALL, ALL)


def test_a_damaged_memory_costs_time_and_nothing_else(archive: Archive, again: Again) -> None:
    for file in archive.of_records.iterdir():
        file.write_bytes(b"{")
    assert again() == (ALL, [])
    assert again() == ([], [])


def test_a_file_that_somebody_removed_is_written_again_once_nothing_else_changed(
    archive: Archive, again: Again, tmp_path: Path
) -> None:
    (gone,) = (tmp_path / "out-public/noted").glob("t-2-*")
    gone.unlink()
    change(archive, "T 1", titles=(Title(value="Ewer"),))
    assert again() == (["T 1"], ["T 1"]), "what did not change is trusted to be there"
    assert again() == (["T 2"], ["T 2"])
    assert gone.read_text(encoding="utf-8") == "Vase"


def test_nothing_is_trusted_after_a_release_in_which_something_failed(
    archive: Archive, again: Again, tmp_path: Path
) -> None:
    journal = tmp_path / "out-public" / JOURNAL
    lines = journal.read_bytes().splitlines(keepends=True)
    journal.write_bytes(b"".join(lines[:-1]))
    (gone,) = (tmp_path / "out-public/noted").glob("t-2-*")
    gone.unlink()
    change(archive, "T 1", titles=(Title(value="Ewer"),))
    assert again() == (["T 1", "T 2"],) * 2
    assert gone.read_text(encoding="utf-8") == "Vase"


def test_a_release_that_failed_does_not_claim_that_all_is_well(
    archive: Archive, tmp_path: Path
) -> None:
    class Fails(Noted):
        def export_selection(self, selection: Selection, package: Package) -> None:
            raise ValueError("no such glaze")

    def last() -> object:
        journal = tmp_path / "out" / JOURNAL
        return msgspec.json.decode(journal.read_bytes().splitlines()[-1])["unit"]

    released(archive, plugins_of(exporter("noted", Fails)), tmp_path / "out", "noted")
    assert last() != SOUND
    released(archive, PLUGINS, tmp_path / "out", "noted")
    assert last() == SOUND


def test_a_path_that_moves_from_one_piece_to_another_is_told_as_before(
    archive: Archive, tmp_path: Path
) -> None:
    class Swapped(Exporter):
        def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
            package.write(f"{piece.record.title.lower()}.txt", piece.record.stock_number)

    plugins = plugins_of(exporter("swapped", Swapped))
    released(archive, plugins, tmp_path / "out", "swapped")
    change(archive, "T 0", titles=(Title(value="Jar"),))
    change(archive, "T 1", titles=(Title(value="Jar"), Title(value="again")))
    report = released(archive, plugins, tmp_path / "out", "swapped")
    assert [failure.subject for failure in report.failures] == ["T 1"]
    assert (tmp_path / "out/swapped/jar.txt").read_text(encoding="utf-8") == "T 0"


def test_what_could_not_be_read_is_tried_again_each_time(
    archive: Archive, tmp_path: Path, disclosed: list[str]
) -> None:
    record = archive.catalogue.object_named("T 1")
    (shown,) = archive.catalogue.photographs_of(record.id)
    original = archive.original_path(shown.sha256)
    moved = original.rename(tmp_path / "moved.jpg")
    for _ in range(2):
        disclosed.clear()
        report = released(archive, PLUGINS, tmp_path / "out", "noted")
        assert "T 1" in disclosed
        assert len(report.problems) == 1
    moved.rename(original)
    assert released(archive, PLUGINS, tmp_path / "out", "noted").whole


def test_photographs_that_stayed_are_counted_also_when_nothing_is_looked_at(
    archive: Archive, tmp_path: Path
) -> None:
    record = archive.catalogue.object_named("T 1")
    add_photograph(archive, jpeg(tmp_path / "x.jpg", tone=77), (record,), reviewed=False)
    counts = [
        released(archive, PLUGINS, tmp_path / "out", "noted").withheld_photographs for _ in range(2)
    ]
    assert counts == [1, 1]


def test_two_records_of_one_name_are_told_also_when_one_of_them_did_not_change(
    archive: Archive, again: Again, tmp_path: Path
) -> None:
    record = archive.catalogue.object_named("T 1")
    twin = msgspec.structs.replace(
        record, id=f"{record.id[:-1]}{'0' if record.id[-1] != '0' else '1'}"
    )
    save(archive.catalogue, twin)
    report = released(archive, PLUGINS, tmp_path / "out-public", "noted")
    assert ["would both be called" in f.reason for f in report.failures] == [True]


# What must always hold


@pytest.mark.parametrize("seed", range(3))
def test_a_release_over_an_earlier_one_gives_the_same_bytes_as_a_new_one(
    tmp_path: Path, seed: int
) -> None:
    chance = random.Random(seed)
    plugins = load_plugins()
    with new_archive(tmp_path / "archive") as archive:
        archive.catalogue.now = lambda: MOMENT
        for number in range(5):
            record = piece(f"T {number}", f"Bowl {number}", (1700 + number, 1800))
            save(archive.catalogue, record)
            add_photograph(archive, jpeg(tmp_path / f"{number}.jpg", tone=number), (record,))
        released(archive, plugins, tmp_path / "kept", *LIBRARY)
        for step in range(5):
            for _ in range(chance.randrange(1, 4)):
                edit(archive, chance, tmp_path / f"{step}.jpg")
            released(archive, plugins, tmp_path / "kept", *LIBRARY)
            forget(archive)
            released(archive, plugins, tmp_path / f"new-{step}", *LIBRARY)
            assert tree(tmp_path / "kept") == tree(tmp_path / f"new-{step}"), f"step {step}"


def forget(archive: Archive) -> None:
    """What is remembered is hidden from the next release, and there again for the one after it."""
    for file in archive.of_records.glob("seen-*"):
        file.write_bytes(file.read_bytes().replace(b'"key":"', b'"key":"not '))


def edit(archive: Archive, chance: random.Random, picture: Path) -> None:
    """One change of any kind that a person makes."""
    records = list(archive.catalogue.all(ObjectRecord))
    one, other = chance.sample(records, 2)
    match chance.randrange(9) if len(records) > 3 else 8:
        case 0:
            title = Title(value=f"Jar {chance.random()}", preferred=True)
            save(archive.catalogue, msgspec.structs.replace(one, titles=(title,)))
        case 1:
            add_photograph(archive, jpeg(picture, tone=chance.randrange(250)), (one,))
        case 2:
            merge(archive.catalogue, one, other, OWNER, "the same")
        case 3:
            save(archive.catalogue, msgspec.structs.replace(one, withdrawn=True))
        case 4:
            hidden = Override(audience="public", field="record.titles", shown=False)
            save(archive.catalogue, msgspec.structs.replace(one, overrides=(hidden,)))
        case 5:
            save(archive.catalogue, msgspec.structs.replace(one, stock_number=other.stock_number))
        case 6:
            name = f"Edith {chance.choice(('Harrow', 'Bowl', 'Jar'))}"
            party = Party(id=new_id(), name=name, kind=PartyKind.PERSON)
            event = ProvenanceEvent(giver=party.id, as_stated=f"from {name}")
            save(archive.catalogue, party, msgspec.structs.replace(one, provenance=(event,)))
        case 7:
            actions = [a for a in archive.catalogue.actions() if a.kind in ("edit", "merge")]
            try:
                undo(archive.catalogue, chance.choice(actions[:4]), OWNER)
            except ArchivistError:
                return  # something later stands upon it
        case _:
            save(archive.catalogue, piece(f"N {chance.random()}", "Ewer", (1850, 1860)))
