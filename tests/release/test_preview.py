"""What `disclose` tells is what a release would do; overrides are kept on the record."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import events, releases
from archivist.catalogue.merging import merge, split
from archivist.errors import SelectionError, SettingsError
from archivist.model import Note, ObjectRecord, Override, Party, Title, canonical_json
from archivist.release.disclosure import OWNERS_ALONE, disclosures, table
from archivist.release.overriding import with_overrides, without_overrides
from archivist.release.pieces import Discloser
from archivist.release.preview import preview
from tests.archives import OWNER, new_archive, new_id, piece, save
from tests.release.planting import Planted, planted

RULES = disclosures()
SECRET = re.compile(r"qzx\d{4}q", re.IGNORECASE)

# Pillow notes what is odd about the odd files made here.
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:PIL")


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Planted]:
    made = planted(tmp_path_factory.mktemp("in"))
    yield made
    made.archive.catalogue.close()


def secrets_in(words: str) -> set[str]:
    return {found.lower() for found in SECRET.findall(words)}


@pytest.mark.parametrize("audience", [*RULES])
def test_what_is_told_to_be_seen_is_what_a_release_holds(source: Planted, audience: str) -> None:
    discloser = Discloser(source.archive, RULES[audience])
    record = source.archive.catalogue.get(source.object, ObjectRecord)
    assert record is not None
    told = preview(discloser, record)
    made = discloser.piece(record)
    lines = (*told.record, *told.parties)
    held = canonical_json(made.record) + b"".join(map(canonical_json, made.parties))
    seen = secrets_in(" ".join(line.seen or "" for line in lines))
    stand_ins = {
        party.as_published for party in source.archive.catalogue.all(type(made.parties[0]))
    }
    assert seen - stand_ins == secrets_in(held.decode()) - stand_ins
    assert seen <= source.secrets.known(audience)
    everything = " ".join(line.words for line in lines)
    if audience != "owner":
        assert secrets_in(everything) - seen, "what is not seen is told too"
        assert {name.partition(".")[0] for name in told.never} == OWNERS_ALONE
    shown = sum(line.seen is not None for line in told.photographs)
    assert shown == len(made.photographs)
    assert len(told.photographs) == 14


@pytest.mark.parametrize("audience", [*RULES])
def test_each_thing_that_is_not_seen_names_the_field_that_rules_over_it(
    source: Planted, audience: str
) -> None:
    record = source.archive.catalogue.get(source.object, ObjectRecord)
    assert record is not None
    told = preview(Discloser(source.archive, RULES[audience]), record)
    for line in (*told.record, *told.parties):
        if line.seen is None and line.field != "private" and line.words:
            section, _, field = line.field.partition(".")
            who = table()[section][field]
            told_of = "Zelda" in line.where  # a party that nothing seen names is not seen either
            assert audience not in who or told_of, line


def test_a_look_makes_nothing(source: Planted) -> None:
    before = sorted(p for p in source.archive.folder.rglob("*") if "derivatives" in p.parts)
    record = source.archive.catalogue.get(source.object, ObjectRecord)
    assert record is not None
    counts = (len(events(source.archive.catalogue)), len(releases(source.archive.catalogue)))
    preview(Discloser(source.archive, RULES["museum"]), record)
    assert sorted(p for p in source.archive.folder.rglob("*") if "derivatives" in p.parts) == before
    assert (
        len(events(source.archive.catalogue)),
        len(releases(source.archive.catalogue)),
    ) == counts


def test_a_surname_that_may_be_a_word_is_shown_to_the_owner_and_to_nobody_who_may_know_it(
    tmp_path: Path,
) -> None:
    party = Party(id=new_id(5), name="Edith Harrow", private=True)
    record = ObjectRecord(
        id=new_id(1),
        stock_number="T 1",
        titles=(Title(value="The Harrow bowl"),),
        descriptions=(Note(as_stated="From the Harrow collection."),),
    )
    with new_archive(tmp_path / "archive") as archive:
        save(archive.catalogue, party, record)
        found = {
            audience: preview(Discloser(archive, RULES[audience], copies=False), record).doubtful
            for audience in ("public", "heir", "owner")
        }
    assert [(line.where, line.words, line.seen) for line in found["public"]] == [
        ("titles 1 value", "Harrow", "The Harrow bowl")
    ]
    assert found["heir"] == found["owner"] == ()


def test_an_override_takes_the_place_of_one_for_the_same_field() -> None:
    let = Override(audience="buyer", field="record.sales", shown=True, why="asked for")
    keep = Override(audience="buyer", field="record.sales")
    other = Override(audience="museum", field="record.sales", shown=True)
    record = with_overrides(piece("T 1"), (let, other), RULES)
    assert record.overrides == (let, other)
    assert with_overrides(record, (keep,), RULES).overrides == (keep, other)
    assert without_overrides(record, (("buyer", "record.sales"),)).overrides == (other,)
    with pytest.raises(SelectionError, match="has no override 'public="):
        without_overrides(record, (("public", "record.sales"),))


@pytest.mark.parametrize(
    ("audience", "field", "problem"),
    [
        ("owner", "record.sales", "kept from the owner"),
        ("nobody", "record.sales", "no audience 'nobody'"),
        ("buyer", "record.prices", "'record.prices', which is none"),
        ("buyer", "sales", "'sales', which is none"),
        ("buyer", "views.bottom", "the view 'bottom', which is none"),
        ("heir", "original_file.position", "is the owner's alone"),
        ("heir", "history.actions", "is the owner's alone"),
        ("heir", "stand_ins.firm", "which is none"),
    ],
)
def test_an_override_that_cannot_be_is_refused(audience: str, field: str, problem: str) -> None:
    override = Override(audience=audience, field=field, shown=True)
    with pytest.raises((SelectionError, SettingsError), match=problem):
        with_overrides(piece("T 1"), (override,), RULES)


def test_an_override_that_no_longer_fits_lets_nothing_of_the_piece_out(tmp_path: Path) -> None:
    old = Override(audience="buyer", field="record.provenience")
    with new_archive(tmp_path / "a") as archive:
        record = msgspec.structs.replace(piece("T 1"), overrides=(old,))
        save(archive.catalogue, record)
        with pytest.raises(SettingsError, match="which is none"):
            Discloser(archive, RULES["buyer"]).piece(record)
        assert Discloser(archive, RULES["public"]).piece(record).record.overrides == ()
        assert Discloser(archive, RULES["owner"]).piece(record).record.overrides == (old,)


KEEP = Override(audience="public", field="record.marks", why="under study")
LET = Override(audience="public", field="record.sales", shown=True)


def test_what_one_of_two_merged_records_keeps_back_the_other_keeps_back_too(
    tmp_path: Path,
) -> None:
    with new_archive(tmp_path / "a") as archive:
        kept = piece("T 1", id_=new_id(1))
        taken = msgspec.structs.replace(piece("T 2", id_=new_id(2)), overrides=(KEEP, LET))
        save(archive.catalogue, kept, taken)
        merge(archive.catalogue, kept, taken, OWNER, "")
        assert current(archive, kept).overrides == (KEEP,), "it lets nobody see more"


def test_a_record_that_is_split_off_keeps_back_what_it_came_from_does(tmp_path: Path) -> None:
    with new_archive(tmp_path / "a") as archive:
        whole = msgspec.structs.replace(piece("T 1"), overrides=(KEEP, LET))
        save(archive.catalogue, whole)
        made = split(archive.catalogue, whole, piece("T 2"), (), (), OWNER, "")
        assert made.overrides == (KEEP,)
        assert current(archive, whole).overrides == (KEEP, LET)


def current(archive: Archive, record: ObjectRecord) -> ObjectRecord:
    found = archive.catalogue.get(record.id, ObjectRecord)
    assert found is not None
    return found
