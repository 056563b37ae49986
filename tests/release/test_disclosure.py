"""Every field of the model has a rule, and what is private reaches nobody through any exporter."""

from __future__ import annotations

import io
import tomllib
import types
import typing
import zipfile
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.catalogue.archive import Archive
from archivist.catalogue.settings import AudienceSettings
from archivist.errors import PluginError, SelectionError, SettingsError
from archivist.hooks import AudienceDescription, ExporterDescription
from archivist.model import (
    Aspect,
    Attribution,
    Basis,
    Caption,
    Certainty,
    Citation,
    Composition,
    Date,
    Depiction,
    Dimension,
    EventKind,
    Feature,
    Mark,
    Measurement,
    Note,
    ObjectRecord,
    Observation,
    Override,
    Part,
    Party,
    PartyKind,
    Photograph,
    Polarity,
    ProvenanceEvent,
    Reading,
    Region,
    Relation,
    Rights,
    SaleFact,
    SaleStage,
    Source,
    Statement,
    TakenAt,
    Term,
    Title,
    Unit,
    Value,
    View,
    canonical_json,
    is_rejected,
)
from archivist.plugins import load_plugins
from archivist.release.disclosure import SECTIONS, disclosure_for, disclosures, table
from archivist.release.pieces import Discloser
from archivist.testing import BOWL
from archivist.wording.note_topics import CONDITION, topic_of
from archivist_schemas import schema_file
from tests.archives import add_photograph, jpeg, new_archive, new_id, piece, save
from tests.release.conftest import released
from tests.strategies import parties, photographs, records

RULES = disclosures()

WHOLE = {
    Attribution: {"aspect", "date", "part", "preferred", "role", "term"},
    Caption: {"where", "words"},
    Citation: {"authors", "date", "kind", "number", "pages", "title", "venue"},
    Composition: {"count", "kind", "of", "parts"},
    Date: {"convention", "earliest", "edtf", "latest"},
    Feature: {"aspect", "term", "part"},
    Mark: {
        *("characters", "claim", "claims", "colour", "columns", "count", "kind", "legibility"),
        *("place", "relation", "romanised", "script", "technique", "translation", "written_by"),
    },
    Measurement: {
        *("approximate", "basis", "dimension", "high", "includes", "low", "part", "unit", "which"),
    },
    Note: {"heading"},
    Observation: {"date", "extent", "kind", "part", "presence", "term"},
    Override: {"audience", "field", "shown", "why"},
    Part: {"count", "name", "state"},
    Reading: {"confidence", "end", "licence", "polarity", "rule", "start"},
    Region: {"height", "page", "reference_height", "reference_width", "width", "x", "y"},
    Relation: {"kind", "object"},
    Rights: {"credit", "holder", "note", "uri"},
    SaleFact: {"amount", "currency", "date", "invoice", "party", "stage"},
    Source: {"column", "original", "place", "row", "source"},
    Term: {"code", "label", "uri", "vocabulary"},
    Title: {"language", "preferred", "value"},
}
"""Values without a section of their own: what they hold goes with the field that holds them.

Whoever adds a field to one of these has to think here of who may see it.
"""


def reachable(type_: type[Value], found: set[type[Value]] | None = None) -> set[type[Value]]:
    """Every type of value that a value of `type_` can hold, itself included."""
    found = set() if found is None else found
    if type_ not in found:
        found.add(type_)
        for field in msgspec.structs.fields(type_):
            for part in parts(field.type):
                if isinstance(part, type) and issubclass(part, Value):
                    reachable(part, found)
    return found


def parts(kind: Any) -> list[Any]:
    if typing.get_origin(kind) in (tuple, types.UnionType, typing.Union):
        return [inner for part in typing.get_args(kind) for inner in parts(part)]
    return [kind]


ALL = reachable(ObjectRecord) | reachable(Photograph) | reachable(Party)


def test_every_kind_of_value_has_a_rule() -> None:
    assert {*SECTIONS, *WHOLE} == ALL


@pytest.mark.parametrize("type_", sorted(ALL, key=str), ids=str)
def test_every_field_of_the_model_has_a_rule(type_: type[Value]) -> None:
    carried = set(Statement.__struct_fields__) if issubclass(type_, Statement) else set()
    assert set(table()["statement"]) == set(Statement.__struct_fields__)
    if type_ in SECTIONS:
        assert set(type_.__struct_fields__) - carried <= set(table()[SECTIONS[type_]])
    else:
        assert set(type_.__struct_fields__) - carried == WHOLE[type_]


def test_the_table_names_no_field_or_view_that_is_not_there() -> None:
    for type_, section in SECTIONS.items():
        assert set(table()[section]) <= set(type_.__struct_fields__), section
    assert set(table()["views"]) <= set(View)
    assert set(table()["stand_ins"]) == set(PartyKind)


def test_the_table_names_no_audience_that_is_not_there() -> None:
    for section in ("statement", *SECTIONS.values(), "views"):
        for field, who in table()[section].items():
            assert who == "all" or set(who) <= set(table()["audiences"]), (section, field)
    assert schema_file("tables", "disclosure.toml").is_file()


@given(records() | photographs() | parties(), st.sampled_from(("public", "buyer")))
def test_disclosure_takes_away_and_never_adds(value: Any, audience: str) -> None:
    disclosed = RULES[audience].filtered(value)
    assert RULES[audience].filtered(disclosed) == disclosed
    assert RULES["owner"].filtered(value) is value
    # what is left can be written and read again
    assert msgspec.json.decode(canonical_json(disclosed), type=type(value)) == disclosed


@given(records())
def test_no_sale_note_or_private_statement_is_left_for_others(record: ObjectRecord) -> None:
    for audience in ("public", "buyer"):
        disclosed = RULES[audience].filtered(record)
        assert disclosed.sales == ()
        assert all(topic_of(note) == CONDITION for note in disclosed.notes)
        assert b'"private":' not in canonical_json(disclosed)
        assert b'"source"' not in canonical_json(disclosed)
        shown = [s for s in record.attributions if not s.private]
        assert set(disclosed.attributions) <= set(map(RULES[audience].filtered, shown))


def test_what_was_written_of_condition_is_told_to_whoever_buys_or_keeps_the_piece() -> None:
    notes = (
        Note(as_stated="Tip of spout ground", heading="Condition"),
        Note(as_stated="Henkel geklebt", heading=" ZUSTAND: "),
        Note(as_stated="strong room", heading="Shelf"),
        Note(as_stated="told by a neighbour", heading="Condition", private=True),
        Note(as_stated="no heading"),
    )
    record = ObjectRecord(id=new_id(1), notes=notes)
    for audience in ("buyer", "museum", "authority"):
        assert RULES[audience].filtered(record).notes == notes[:2], audience
    assert RULES["public"].filtered(record).notes == ()
    assert RULES["heir"].filtered(record).notes == (*notes[:3], notes[4])
    kept = RULES["buyer"].overridden((Override(audience="buyer", field="notes.condition"),))
    assert kept.filtered(record).notes == ()


def test_topics_of_notes_are_those_of_which_the_table_says_who_sees_them() -> None:
    text = schema_file("tables", "note_headings.toml").read_text(encoding="utf-8")
    assert set(tomllib.loads(text)) == set(table()["notes"]) == {CONDITION}


def test_the_public_sees_less_than_the_buyer_and_he_less_than_the_owner() -> None:
    for section in ("record", "statement", *SECTIONS.values()):
        public = set(RULES["public"].sees.get(section, ()))
        buyer = set(RULES["buyer"].sees.get(section, ()))
        assert public <= buyer <= set(table()[section])
    assert RULES["buyer"].withheld_views <= RULES["public"].withheld_views


# A secret in every private field, and every exporter

SECRET = "qzx"
"""Begins every secret, so that one search finds them all; no word of any language has it."""


class Secrets:
    """Words that must not come out, each another one."""

    def __init__(self) -> None:
        self.count = 0

    def __call__(self) -> str:
        self.count += 1
        return f"{SECRET}{self.count:03d}"


def secretive(folder: Path) -> Archive:
    """An archive with a secret in every field that no other audience sees."""
    secret = Secrets()
    archive = new_archive(folder / "archive")
    seller = Party(
        id=new_id(31),
        name=f"Zacharias {SECRET.title()}berg",
        kind=PartyKind.PERSON,
        also_known_as=(secret(),),
        life=secret(),
        place=secret(),
        address=f"{secret()}, 5 {secret()} Street",
        contact=secret(),
        note=secret(),
        as_published="private collection, Wales",
    )
    dealer = Party(
        id=new_id(32),
        name="Marrowgate Antiques",
        kind=PartyKind.FIRM,
        also_known_as=(secret(),),
        address=secret(),
        contact=secret(),
        note=secret(),
        private=False,
        as_published=secret(),
    )
    source = Source(
        source=secret(), row=secret(), column=secret(), original=secret(), place=secret()
    )
    reading = Reading(rule=secret(), confidence="0.5")
    hidden: dict[str, Any] = {"source": source, "reading": reading, "evidence": (secret(),)}
    named = "of Mr Z. Qzxberg for £450, or four hundred guineas; zacharias qzxberg@qzx.example"
    record = ObjectRecord(
        id=new_id(33),
        stock_number="T 33",
        other_numbers=(),
        titles=(
            Title(value="Bowl", as_stated=f"Bowl {named}", preferred=True, **hidden),
            Title(value=secret(), private=True),
        ),
        composition=Composition(
            count=2, parts=(Part(name="cover", **hidden), Part(name=secret(), private=True))
        ),
        attributions=(
            *BOWL.attributions,
            Attribution(
                aspect=BOWL.attributions[2].aspect, term=Term(label=secret()), private=True
            ),
        ),
        features=tuple(msgspec.structs.replace(f, **hidden) for f in BOWL.features),
        measurements=(
            Measurement(
                low="9",
                high="9",
                unit=Unit.CENTIMETRE,
                dimension=Dimension.HEIGHT,
                basis=Basis.RECALLED,
                as_stated=f"9 cm {named}",
                **hidden,
            ),
        ),
        marks=(
            Mark(characters="x", as_stated=named, **hidden),
            Mark(characters=secret(), private=True),
        ),
        observations=tuple(msgspec.structs.replace(o, **hidden) for o in BOWL.observations),
        provenance=(
            ProvenanceEvent(
                kind=EventKind.SALE,
                giver=seller.id,
                agent=dealer.id,
                as_stated=secret(),
                date=Date(edtf="1987", earliest=1987, latest=1987),
                **hidden,
            ),
        ),
        sales=(
            SaleFact(
                stage=SaleStage.SOLD,
                amount="450",
                currency=secret(),
                party=seller.id,
                invoice=secret(),
                as_stated=secret(),
            ),
        ),
        descriptions=(
            Note(as_stated=f"Ground and words {named}", heading="description", **hidden),
            Note(as_stated=secret(), private=True),
        ),
        notes=(Note(as_stated=secret(), heading=secret()),),
        rights=Rights(uri="http://rightsstatements.org/vocab/InC/1.0/"),
    )
    save(archive.catalogue, seller, dealer, record)
    shown = add_photograph(archive, jpeg(folder / "old" / f"{secret()}.jpg"), (record,))
    depiction = msgspec.structs.replace(shown.depictions[0], as_stated=secret(), **hidden)
    taken = TakenAt(date=Date(edtf="1998"), as_stated=secret(), witness=secret(), **hidden)
    save(
        archive.catalogue,
        msgspec.structs.replace(
            shown,
            depictions=(depiction,),
            taken=(taken,),
            captions=(Caption(words=secret(), where=secret()),),
            photographer=seller.id,
            derived_from=secret(),
        ),
    )
    withheld: tuple[tuple[View, dict[str, Any]], ...] = (
        (View.LABEL, {}),
        (View.DOCUMENT, {}),
        (View.BASE, {"reviewed": False}),
        (View.MARK, {"private": True, "released": ("public", "buyer")}),
        (View.GROUP, {}),
    )
    for number, (view, changes) in enumerate(withheld, start=1):
        photograph = add_photograph(
            archive, jpeg(folder / "old" / f"w{number}.jpg", tone=number * 9), (record,), view
        )
        depictions = tuple(
            msgspec.structs.replace(d, caption=secret(), **changes) for d in photograph.depictions
        )
        save(archive.catalogue, msgspec.structs.replace(photograph, depictions=depictions))
    return archive


def contents(path: Path) -> list[tuple[str, bytes]]:
    """The bytes of a file, and of the files in it where it is a zip (as an xlsx is)."""
    found = [(path.name, path.read_bytes())]
    waiting = [found[0]]
    while waiting:
        name, data = waiting.pop()
        if zipfile.is_zipfile(io.BytesIO(data)):
            with zipfile.ZipFile(io.BytesIO(data)) as inside:
                inner = [(f"{name}/{n}", inside.read(n)) for n in inside.namelist()]
            found += inner
            waiting += inner
    return found


@pytest.fixture(scope="module", params=["public", "buyer"])
def given_out(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("secretive")
    plugins = load_plugins()
    names = [d.name for d in plugins.of("exporter", ExporterDescription)]
    with secretive(folder) as archive:
        for name in names:
            report = released(archive, plugins, folder / "out" / name, name, audience=request.param)
            assert report.whole, (name, report.failures, report.problems)
        report = released(
            archive, plugins, folder / "out" / "together", *names, audience=request.param
        )
        assert report.whole, report.failures
    return folder / "out"


def test_no_exporter_lets_a_secret_out(given_out: Path) -> None:
    files = [path for path in given_out.rglob("*") if path.is_file()]
    assert len(files) > 10
    for path in files:
        for name, data in contents(path):
            for encoding in ("utf-8", "utf-16-le", "utf-16-be"):
                assert SECRET.encode(encoding) not in data.lower(), (path, name)
        assert SECRET not in path.as_posix().removeprefix(given_out.as_posix()).lower()


def test_no_exporter_lets_a_price_or_a_header_of_a_photograph_out(given_out: Path) -> None:
    for path in given_out.rglob("*"):
        if path.is_file():
            for name, data in contents(path):
                for words in ("£450", "hundred guineas", "taken at Quarry Row"):
                    assert words.encode("utf-8") not in data, (path, name, words)


def test_what_may_be_seen_is_there(given_out: Path) -> None:
    everything = b"".join(path.read_bytes() for path in given_out.rglob("*.json"))
    assert b"private collection, Wales" in everything
    assert b"name withheld" in everything
    assert b"price withheld" in everything


def test_the_secrets_are_where_the_owner_can_see_them(tmp_path: Path) -> None:
    with secretive(tmp_path) as archive:
        released(archive, load_plugins(), tmp_path / "o", "bagit", audience="owner")
    data = b"".join(p.read_bytes() for p in (tmp_path / "o").rglob("*.json"))
    assert data.count(SECRET.encode()) > 30, "else the test above proves nothing"


def test_pictures_that_stay_are_counted(tmp_path: Path) -> None:
    with secretive(tmp_path) as archive:
        discloser = Discloser(archive, RULES["public"])
        (made,) = discloser.pieces([new_id(33)])
        assert [p.depiction.view for p in made.photographs] == [View.OVERALL]
        assert len(discloser.withheld.photographs) == 5


def test_two_pieces_do_not_tell_that_one_private_person_owned_both(tmp_path: Path) -> None:
    private = Party(id=new_id(), name="Edith Harrow", as_published="private collection, Wales")
    public = Party(id=new_id(), name="Marrowgate Museum", private=False)
    event = ProvenanceEvent(kind=EventKind.SALE, giver=private.id, receiver=public.id)
    both = [msgspec.structs.replace(piece(f"T {n}"), provenance=(event,)) for n in (1, 2)]
    with new_archive(tmp_path / "a") as archive:
        save(archive.catalogue, private, public, *both)
        ids = [record.id for record in both]
        one, two = Discloser(archive, RULES["public"]).pieces(ids)
        again, _ = Discloser(archive, RULES["public"]).pieces(ids)
        (owners, _) = Discloser(archive, RULES["owner"]).pieces(ids)
    givers = [p.record.provenance[0].giver for p in (one, two)]
    assert len({*givers, private.id}) == 3
    assert again == one, "each time the same, so that nothing is written anew for it"
    for made, giver in zip((one, two), givers, strict=True):
        party = made.party(giver)
        assert party is not None
        assert party.name == "private collection, Wales"
        assert made.record.provenance[0].receiver == public.id
        assert made.party(public.id) is not None
        assert private.id.encode() not in canonical_json(made.record)
    assert owners.record.provenance[0] == event


# Audiences


def test_an_audience_of_the_owner_sees_more_and_less_than_what_it_is_like() -> None:
    own = AudienceSettings(
        like="buyer", sees=("record.sales", "views.label"), never_sees=("record.marks",)
    )
    rule = disclosures((), {"restorer": own})["restorer"]
    record = msgspec.structs.replace(BOWL, sales=(SaleFact(stage=SaleStage.SOLD, amount="450"),))
    disclosed = rule.filtered(record)
    assert disclosed.sales == record.sales
    assert disclosed.marks == ()
    assert rule.depiction_shown(Depiction(object="x", view=View.LABEL, reviewed=True))


def test_a_field_that_must_be_there_is_empty_where_it_may_not_be_seen() -> None:
    own = AudienceSettings(never_sees=("party.name", "taken_at.date", "photograph.sha256"))
    rule = disclosures((), {"nobody": own})["nobody"]
    party = rule.filtered(Party(id="p", name="Marrowgate Antiques", private=False))
    assert party == Party(id="p", name="", private=True)
    photograph = Photograph(id="p", sha256="0" * 64, taken=(TakenAt(date=Date(edtf="1998")),))
    assert rule.filtered(photograph) == Photograph(id="p", sha256="", taken=(TakenAt(date=Date()),))


@pytest.mark.parametrize(
    ("own", "told"),
    [
        (AudienceSettings(like="owner"), "cannot be like 'owner'"),
        (AudienceSettings(like="nobody"), "cannot be like 'nobody'"),
        (AudienceSettings(sees=("record.prices",)), "'record.prices', which is none"),
        (AudienceSettings(sees=("audiences.owner",)), "'audiences.owner', which is none"),
        (AudienceSettings(sees=("views.bottom",)), "the view 'bottom', which is none"),
        (AudienceSettings(sees=("sales",)), "'sales', which is none"),
    ],
)
def test_an_audience_that_cannot_be_is_refused(own: AudienceSettings, told: str) -> None:
    with pytest.raises(SettingsError) as refused:
        disclosures((), {"restorer": own})
    assert told in refused.value.message


def test_an_audience_of_a_plugin_cannot_be_like_the_owner() -> None:
    with pytest.raises(PluginError, match="which is no audience that it may be like"):
        disclosures((AudienceDescription("spy", "Spy", like="owner"),))


@pytest.mark.parametrize("name", ["public", "buyer", "owner"])
def test_nobody_can_put_another_rule_in_place_of_one_that_is_there(name: str) -> None:
    with pytest.raises(PluginError, match=f"an audience '{name}', which there is already"):
        disclosures((AudienceDescription(name, "Another", sees=("record.sales",)),))
    with pytest.raises(SettingsError, match="has a name that is taken"):
        disclosures((), {name: AudienceSettings(sees=("record.sales",))})


def test_an_audience_that_is_not_there_is_refused_and_all_are_named() -> None:
    with pytest.raises(SelectionError) as refused:
        disclosure_for("neighbour", RULES)
    assert "authority, buyer, heir, museum, owner, public" in str(refused.value)


def test_a_group_photograph_reaches_others_as_the_crop_of_the_piece(tmp_path: Path) -> None:
    with new_archive(tmp_path / "a") as archive:
        one, two = piece("T 1", "Bowl"), piece("T 2", "Jar")
        save(archive.catalogue, one, two)
        photograph = add_photograph(archive, jpeg(tmp_path / "g.jpg"), (one, two), View.GROUP)
        region = Region(x=0, y=0, width=60, height=90, reference_width=120, reference_height=90)
        first, second = photograph.depictions
        cut = msgspec.structs.replace(first, region=region)
        save(archive.catalogue, msgspec.structs.replace(photograph, depictions=(cut, second)))
        pieces = {
            p.record.id: p for p in Discloser(archive, RULES["public"]).pieces([one.id, two.id])
        }
        (shown,) = pieces[one.id].photographs
        assert (shown.width, shown.height) == (60, 90)
        assert shown.how
        assert pieces[two.id].photographs == ()
        owner = Discloser(archive, RULES["owner"]).piece(one)
        assert owner.photographs[0].region == region
        assert owner.photographs[0].sha256 == photograph.sha256


REJECTED_MING = Attribution(
    aspect=Aspect.PERIOD,
    term=Term(label="Ming"),
    as_stated="it is not Ming",
    certainty=Certainty.REJECTED,
)
THEIR_MING = Attribution(
    aspect=Aspect.PERIOD, term=Term(label="Ming"), as_stated="Ming", who=new_id(7), preferred=True
)
QING = Attribution(aspect=Aspect.PERIOD, term=Term(label="Qing"), as_stated="Qing")


def test_what_was_rejected_is_told_as_such_and_to_the_public_never() -> None:
    record = ObjectRecord(id=new_id(1), attributions=(THEIR_MING, REJECTED_MING, QING))
    for audience in ("authority", "heir", "museum", "buyer"):
        seen = RULES[audience].filtered(record)
        assert len(seen.attributions) == 3, audience
        assert seen.preferred(Aspect.PERIOD) == RULES[audience].filtered(QING)
    assert RULES["public"].filtered(record).attributions == (QING,)


def test_a_rejection_that_stays_private_lets_nobody_hold_what_it_rejects() -> None:
    hidden = msgspec.structs.replace(REJECTED_MING, private=True)
    record = ObjectRecord(id=new_id(1), attributions=(THEIR_MING, hidden, QING))
    for audience in ("buyer", "public"):
        assert RULES[audience].filtered(record).attributions == (QING,)


def test_the_public_cannot_be_let_see_what_was_rejected() -> None:
    letting = Override(audience="public", field="opinions.rejected", shown=True)
    with pytest.raises(SettingsError, match="never told to the public"):
        RULES["public"].overridden((letting,))
    kept = RULES["buyer"].overridden((Override(audience="buyer", field="opinions.rejected"),))
    record = ObjectRecord(id=new_id(1), attributions=(REJECTED_MING,))
    assert kept.filtered(record).attributions == ()


@given(records())
def test_no_audience_holds_what_the_owner_rejects_or_what_nobody_holds(
    record: ObjectRecord,
) -> None:
    for audience in ("public", "buyer", "museum"):
        disclosed = RULES[audience].filtered(record)
        for aspect in Aspect:
            held = disclosed.preferred(aspect)
            if held is not None:
                assert held.of_the_piece
                assert held.preferred or not held.who
                assert not is_rejected(held, record.attributions)


@given(records())
def test_others_hold_what_the_owner_holds_where_nothing_is_private(record: ObjectRecord) -> None:
    open_ = msgspec.structs.replace(
        record,
        attributions=tuple(msgspec.structs.replace(a, private=False) for a in record.attributions),
    )
    for audience in ("public", "buyer"):
        assert RULES[audience].filtered(open_).date == open_.date


@pytest.mark.parametrize("polarity", [Polarity.FORMER, Polarity.ASKED, Polarity.CLAIMED])
def test_who_is_not_told_how_words_were_read_is_told_that_they_assert_nothing(
    polarity: Polarity,
) -> None:
    read = Reading(rule="a rule of ours", start=3, end=9, licence="caption", polarity=polarity)
    said = Attribution(aspect=Aspect.PERIOD, term=Term(label="Ming"), reading=read)
    record = ObjectRecord(id="0b9a4c1e", attributions=(said,))
    seen = disclosures()["public"].filtered(record)
    [told] = seen.attributions
    assert told.reading == Reading(rule="", polarity=polarity)
    assert seen.preferred(Aspect.PERIOD) is None
    asserted = msgspec.structs.replace(read, polarity=Polarity.ASSERTED)
    plain = msgspec.structs.replace(said, reading=asserted)
    record = ObjectRecord(id=record.id, attributions=(plain,))
    [told] = disclosures()["public"].filtered(record).attributions
    assert told.reading is None
