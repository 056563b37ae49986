"""Whatever is done in whatever order: no version is lost, and what is current agrees with them."""

from __future__ import annotations

import tempfile
from pathlib import Path

import msgspec
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    invariant,
    rule,
    run_state_machine_as_test,
)

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.entities import lookup
from archivist.catalogue.merging import merge
from archivist.catalogue.undoing import undo
from archivist.errors import ArchivistError
from archivist.model import Note, ObjectRecord, digest
from tests.archives import OWNER, clock, piece

WORDS = st.sampled_from(("chipped", "a pair", "ex sale", "later lid"))


class Sequences(RuleBasedStateMachine):
    """Saves, edits, merges and undoings, and after each a look at everything."""

    ids = Bundle("ids")

    def __init__(self) -> None:
        super().__init__()
        self._folder = tempfile.TemporaryDirectory()
        self.catalogue = Catalogue(Path(self._folder.name) / "c.sqlite", clock())
        self.catalogue.connection.execute("PRAGMA synchronous = OFF")
        self.seen: dict[tuple[str, int], str] = {}

    def teardown(self) -> None:
        self.catalogue.close()
        self._folder.cleanup()

    def _save(self, *records: ObjectRecord) -> None:
        with self.catalogue.action("edit", OWNER) as action:
            for record in records:
                action.save(record)

    @rule(target=ids, number=st.sampled_from(("T 1", "T 2", "")))
    def add(self, number: str) -> str:
        record = piece(number)
        self._save(record)
        return record.id

    @rule(id_=ids, words=st.lists(WORDS, max_size=3))
    def edit(self, id_: str, words: list[str]) -> None:
        record = self.catalogue.get(id_, ObjectRecord)
        if record is not None:
            notes = tuple(Note(as_stated=w) for w in words)
            self._save(msgspec.structs.replace(record, notes=notes))

    @rule(one=ids, other=ids)
    def merge_two(self, one: str, other: str) -> None:
        kept, taken = (self.catalogue.get(id_, ObjectRecord) for id_ in (one, other))
        if kept is not None and taken is not None and kept.id != taken.id:
            merge(self.catalogue, kept, taken, OWNER, "")

    @rule(choice=st.integers(0, 50))
    def undo_any(self, choice: int) -> None:
        actions = self.catalogue.actions()
        if actions:
            before = self._everything()
            try:
                undo(self.catalogue, actions[choice % len(actions)], OWNER)
            except ArchivistError:
                assert self._everything() == before, "a refusal changes nothing"

    def _everything(self) -> list[tuple[object, ...]]:
        rows = self.catalogue.connection.execute(
            "SELECT entity, number, sha256 FROM version ORDER BY entity, number"
        )
        return [tuple(row) for row in rows]

    @invariant()
    def no_version_is_lost_or_changed(self) -> None:
        now = {(str(e), int(str(n))): str(s) for e, n, s in self._everything()}
        assert self.seen.items() <= now.items()
        self.seen = now

    @invariant()
    def current_is_the_latest_version_of_each(self) -> None:
        connection = self.catalogue.connection
        for row in connection.execute("SELECT * FROM current").fetchall():
            versions = self.catalogue.versions(row["entity"])
            latest = versions[-1].value()
            assert isinstance(latest, ObjectRecord)
            facts = lookup(latest)
            assert [v.number for v in versions] == list(range(1, len(versions) + 1))
            assert row["number"] == versions[-1].number
            assert (row["key"], row["state"], row["merged_into"]) == (
                facts.key,
                facts.state,
                facts.merged_into,
            )
            assert all(digest(v.value()) == v.sha256 for v in versions)

    @invariant()
    def every_identifier_leads_to_a_record(self) -> None:
        for entity, _ in self.seen:
            record = self.catalogue.get(entity, ObjectRecord)
            assert record is not None
            assert not record.merged_into

    @invariant()
    def words_are_indexed_of_what_is_present_and_of_nothing_else(self) -> None:
        connection = self.catalogue.connection
        indexed = {row[0] for row in connection.execute("SELECT rowid FROM words")}
        present = {
            r[0] for r in connection.execute("SELECT row FROM current WHERE state='present'")
        }
        assert indexed == present


def test_any_sequence_of_changes_keeps_every_version_and_a_true_index() -> None:
    run_state_machine_as_test(
        Sequences, settings=settings(max_examples=100, stateful_step_count=20, deadline=None)
    )
