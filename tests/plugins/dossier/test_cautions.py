"""Which cautions a piece calls for, and that they are told in the words of the table."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from archivist.errors import SettingsError
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Composition,
    Date,
    Dimension,
    EventKind,
    Feature,
    FeatureAspect,
    Measurement,
    Note,
    ObjectRecord,
    Part,
    Passage,
    ProvenanceEvent,
    Term,
    Title,
    Unit,
)
from archivist.testing import BOWL, export, sample_piece, sample_selection
from archivist_plugins.dossier import DOSSIER, DossierOptions
from archivist_plugins.dossier.caution_tables import (
    Cautions,
    ProtectedMaterials,
    read_cautions,
    read_protected_materials,
)
from archivist_plugins.dossier.cautions import Said, cautions_for
from archivist_plugins.dossier.materials import is_ceramic, protected
from archivist_plugins.dossier.silent_years import silent_years

BARE = ObjectRecord(id=BOWL.id)
ALWAYS = {"Opinions are not guarantees", "Condition is as it was seen", "Export and import"}


def material(words: str, aspect: FeatureAspect = FeatureAspect.MATERIAL) -> Feature:
    return Feature(aspect=aspect, as_stated=words, term=Term(label=words))


def year(first: int, last: int | None = None) -> Date:
    return Date(earliest=first, latest=first if last is None else last)


def said(record: ObjectRecord) -> dict[str, Said]:
    piece = Piece(record, (), (), "a", "b")
    table = read_cautions()
    return {s.heading: s for s in cautions_for(piece, table, read_protected_materials())}


def flagged(record: ObjectRecord) -> list[str]:
    return [flag.words for flag in protected(record, read_protected_materials())]


# The tables


def test_every_entry_of_the_tables_names_its_source_and_when_it_was_looked_at() -> None:
    materials = read_protected_materials()
    dated = [*read_cautions().caution, materials]
    assert len(dated) > 5
    for entry in dated:
        assert entry.source
        assert re.fullmatch(r"20\d\d-(0[1-9]|1[0-2])", entry.as_at)
    assert all(m.words and m.species and m.appendix and m.source for m in materials.material)


def test_cautions_are_short_and_never_give_advice() -> None:
    for caution in read_cautions().caution:
        assert len(caution.text.split()) <= 65, caution.code
        told = set(re.findall(r"[a-z]+", f"{caution.heading} {caution.text}".casefold()))
        assert not told & {"should", "must", "recommend", "advise", "consult", "ensure"}


def test_what_concerns_the_law_defers_to_local_law_and_licensed_advisers() -> None:
    legal = {c.code: c.text for c in read_cautions().caution}
    for code in ("protected-materials", "borders"):
        assert "Local law decides" in legal[code]
        assert "licensed advisers" in legal[code]
    # The questions give no answer; over all of them stands who comes first.
    pages = files("archivist_plugins.dossier").joinpath("pages.typ").read_text(encoding="utf-8")
    assert "None of this is advice. Local law and licensed advisers come first." in pages


def test_the_older_of_two_dates_stands_beside_what_both_tables_say() -> None:
    record = replace(BARE, features=(material("ivory"),))
    table, materials = read_cautions(), read_protected_materials()
    for ours, theirs in (("2026-11", "2020-01"), ("2020-01", "2026-11")):
        dated = replace(
            table, caution=tuple(replace(caution, as_at=ours) for caution in table.caution)
        )
        piece = Piece(record, (), (), "a", "b")
        found = cautions_for(piece, dated, replace(materials, as_at=theirs))
        (told,) = [said for said in found if said.lines]
        assert told.as_at == "2020-01"


def test_an_owners_own_table_is_read_and_its_words_are_told(tmp_path: Path) -> None:
    own = tmp_path / "cautions.toml"
    own.write_text(
        '[[caution]]\ncode = "x"\nheading = "Mine"\ntext = "My own words."\napplies = "always"\n'
        'source = "me"\nas_at = "2026-01"\n',
        encoding="utf-8",
    )
    found = cautions_for(sample_piece(tmp_path), read_cautions(own), read_protected_materials())
    assert [(s.heading, s.text) for s in found] == [("Mine", "My own words.")]


def test_an_owners_own_table_is_named_as_an_option(tmp_path: Path) -> None:
    """Only a table with its fault shows here that it is read; the words are told above."""
    own = tmp_path / "My own table.toml"
    selection = sample_selection(tmp_path, [sample_piece(tmp_path)])
    for options in (DossierOptions(cautions=str(own)), DossierOptions(materials=str(own))):
        with pytest.raises(SettingsError) as caught:
            export(DOSSIER, selection, tmp_path / "out", options)
        assert "The table My own table.toml cannot be used: No such file" in caught.value.message
        assert "begin again with a copy of" in caught.value.remedy
        assert Path(re.findall(r"a copy of (.*), whose", caught.value.remedy)[0]).is_file()


@pytest.mark.parametrize(
    "content",
    [
        pytest.param("[[caution]]\ncode = 1", id="of another type"),
        pytest.param("[[caution", id="no TOML"),
        pytest.param('[[caution]]\ncode = "x"\nwhen = "always"', id="an unknown entry"),
    ],
)
def test_a_table_that_does_not_fit_is_named_with_its_fault(tmp_path: Path, content: str) -> None:
    own = tmp_path / "my cautions.toml"
    own.write_text(content, encoding="utf-8")
    with pytest.raises(SettingsError, match=r"my cautions\.toml"):
        read_cautions(own)
    with pytest.raises(SettingsError, match=r"not there\.toml"):
        read_protected_materials(tmp_path / "not there.toml")


# When they are said


def test_opinion_condition_and_borders_are_spoken_of_in_any_case() -> None:
    made_now = replace(BARE, attributions=(Attribution(aspect=Aspect.DATE, date=year(2001)),))
    assert set(said(made_now)) == ALWAYS


def test_colour_is_spoken_of_where_there_are_photographs(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path)
    told = cautions_for(piece, read_cautions(), read_protected_materials())
    assert "Colour in photographs" in {s.heading for s in told}
    assert "Colour in photographs" not in said(piece.record)


@pytest.mark.parametrize(
    ("record", "ceramic"),
    [
        (replace(BARE, features=(material("celadon", FeatureAspect.GLAZE),)), True),
        (replace(BARE, features=(material("creamware", FeatureAspect.WARE),)), True),
        (replace(BARE, features=(material("hard-paste porcelain"),)), True),
        (replace(BARE, titles=(Title(value="Stoneware jug"),)), True),
        (replace(BARE, titles=(Title(value="Plate, tortoiseshell glaze"),)), True),
        (replace(BARE, features=(material("bronze"),)), False),
        (replace(BARE, titles=(Title(value="Stonewares catalogue"),)), False),
        (BARE, False),
    ],
)
def test_lead_is_spoken_of_where_the_record_names_a_glaze_a_ware_or_a_ceramic_body(
    record: ObjectRecord, ceramic: bool
) -> None:
    assert is_ceramic(record, read_cautions().ceramic_words) is ceramic
    assert ("Lead and cadmium in glazes" in said(record)) is ceramic


# Materials


@pytest.mark.parametrize(
    ("record", "words"),
    [
        (replace(BARE, features=(material("ivory"),)), ["ivory"]),
        (
            replace(
                BARE,
                features=(material("tortoiseshell"),),
                titles=(Title(value="Box in tortoiseshell, lined, with tortoiseshell glaze"),),
            ),
            ["tortoiseshell"],
        ),
        (replace(BARE, features=(material("carved rhinoceros horn"),)), ["carved rhinoceros horn"]),
        (
            replace(BARE, features=(material("imitation ivory with an ivory knop"),)),
            ["imitation ivory with an ivory knop"],
        ),
        (replace(BARE, features=(material("紫檀"),)), ["紫檀"]),
        (
            replace(BARE, composition=Composition(parts=(Part(name="zitan stand"),))),
            ["zitan stand"],
        ),
        (
            replace(
                BARE,
                measurements=(
                    Measurement(
                        dimension=Dimension.HEIGHT,
                        low="30",
                        high="30",
                        unit=Unit.CENTIMETRE,
                        includes=("rosewood stand",),
                    ),
                ),
            ),
            ["rosewood stand"],
        ),
        (
            replace(
                BARE, descriptions=(Note(as_stated="Vase; later coral finial, Huanghuali stand."),)
            ),
            ["Huanghuali stand", "coral finial"],
        ),
    ],
)
def test_a_protected_material_on_the_record_is_flagged_in_its_words(
    record: ObjectRecord, words: list[str]
) -> None:
    assert sorted(flagged(record)) == words
    caution = said(record)["Materials that may be protected"]
    assert all(f"“{word}”" in caution.text for word in words)
    assert len(caution.lines) == len(words)
    assert all("CITES appendix" in line for line in caution.lines)


@pytest.mark.parametrize(
    "record",
    [
        replace(BARE, features=(material("ivory glaze"),)),
        replace(BARE, features=(material("coral-red enamel"),)),
        replace(BARE, features=(material("tortoiseshell glaze"),)),
        replace(BARE, features=(material("tortoiseshell-glazed stoneware"),)),
        replace(BARE, features=(material("ivory-coloured porcelain"),)),
        replace(BARE, features=(material("ivory satin glaze"),)),
        replace(BARE, features=(material("tortoiseshell ware"),)),
        replace(BARE, features=(material("ivory porcelain, coral-pink ground"),)),
        replace(BARE, features=(material("imitation ivory"), material("faux tortoiseshell"))),
        replace(BARE, features=(material("lacquer painted to imitate tortoiseshell"),)),
        replace(BARE, descriptions=(Note(as_stated="With a simulated ivory handle."),)),
        replace(BARE, features=(material("coral", FeatureAspect.COLOUR),)),
        replace(BARE, titles=(Title(value="Bowl with coral ground"),)),
        replace(BARE, descriptions=(Note(as_stated="An ivory tone, painted with coral."),)),
        replace(BARE, features=(material("thorn"),)),
        replace(
            BARE,
            features=(material("tortoiseshell"),),
            titles=(Title(value="Plate, tortoiseshell glaze"),),
        ),
        replace(
            BARE,
            features=(replace(material("ivory"), certainty=Certainty.REJECTED),),
        ),
        BOWL,
    ],
)
def test_a_colour_or_glaze_that_bears_the_name_of_a_material_is_not_flagged(
    record: ObjectRecord,
) -> None:
    assert flagged(record) == []
    assert "Materials that may be protected" not in said(record)


# Years


def stay(first: int, last: int, passage: Passage = Passage.UNKNOWN) -> ProvenanceEvent:
    return ProvenanceEvent(kind=EventKind.STAY, date=year(first), until=year(last), passage=passage)


@pytest.mark.parametrize(
    ("events", "silent"),
    [
        ((), tuple(range(1933, 1946))),
        ((stay(1900, 1960),), ()),
        ((stay(1900, 1936), stay(1940, 1950)), (1937, 1938, 1939)),
        (
            (ProvenanceEvent(date=year(1925)), ProvenanceEvent(date=year(1950))),
            tuple(range(1933, 1946)),
        ),
        (
            (
                ProvenanceEvent(date=year(1925)),
                ProvenanceEvent(date=year(1950), passage=Passage.DIRECT),
            ),
            (),
        ),
        ((replace(stay(1900, 1960), certainty=Certainty.REJECTED),), tuple(range(1933, 1946))),
        ((ProvenanceEvent(until=year(1939)),), tuple(y for y in range(1933, 1946) if y != 1939)),
    ],
)
def test_years_are_silent_unless_an_event_or_a_direct_passage_speaks_for_them(
    events: tuple[ProvenanceEvent, ...], silent: tuple[int, ...]
) -> None:
    assert silent_years(replace(BARE, provenance=events), 1933, 1945) == silent


def test_nothing_is_asked_of_years_before_a_piece_was_made() -> None:
    made = replace(BARE, attributions=(Attribution(aspect=Aspect.DATE, date=year(1940, 1943)),))
    assert silent_years(made, 1933, 1945) == (1940, 1941, 1942, 1943, 1944, 1945)
    later = replace(BARE, attributions=(Attribution(aspect=Aspect.DATE, date=year(1980)),))
    assert silent_years(later, 1933, 1945) == ()
    assert set(said(later)) == ALWAYS


def test_the_question_of_the_war_years_names_those_that_are_open() -> None:
    record = replace(BARE, provenance=(stay(1900, 1936), stay(1940, 1941), stay(1943, 1975)))
    assert "in 1937–1939 and 1942." in said(record)["A question: 1933 to 1945"].text


def test_1970_and_the_law_of_the_country_of_origin_are_asked_until_provenance_reaches_them() -> (
    None
):
    questions = {
        "A question: before 14 November 1970",
        "A question: the law where it was made or found",
    }
    assert questions <= set(said(BARE))
    assert questions <= set(said(replace(BARE, provenance=(ProvenanceEvent(date=year(1987)),))))
    vague = replace(BARE, provenance=(ProvenanceEvent(date=year(1960, 1990)),))
    assert questions <= set(said(vague))
    assert not questions & set(said(replace(BARE, provenance=(stay(1950, 1955),))))


YEARS = st.integers(1900, 1980)


def test_an_event_within_the_year_of_a_convention_may_be_later_than_its_day() -> None:
    """14 November 1970 and 24 April 1972: a year alone does not reach before them."""
    question = "A question: before 14 November 1970"
    for event, asked in ((1969, False), (1970, True), (1971, True)):
        record = replace(BARE, provenance=(ProvenanceEvent(date=year(event)),))
        assert (question in said(record)) is asked, event
    law = "A question: the law where it was made or found"
    for event, asked in ((1971, False), (1972, True)):
        record = replace(BARE, provenance=(ProvenanceEvent(date=year(event)),))
        assert (law in said(record)) is asked, event


@given(st.lists(st.tuples(YEARS, YEARS, st.sampled_from(Passage)), max_size=5), YEARS, YEARS)
def test_more_events_never_leave_more_years_silent(
    drawn: list[tuple[int, int, Passage]], one: int, other: int
) -> None:
    events = tuple(stay(min(a, b), max(a, b), passage) for a, b, passage in drawn)
    record = replace(BARE, provenance=events)
    more = replace(BARE, provenance=(*events, stay(min(one, other), max(one, other))))
    before, after = silent_years(record, 1933, 1945), silent_years(more, 1933, 1945)
    assert set(after) <= set(before) <= set(range(1933, 1946))
    assert not set(after) & set(range(min(one, other), max(one, other) + 1))


def test_tables_without_entries_say_nothing() -> None:
    nothing = cautions_for(
        Piece(BOWL, (), (), "a", "b"), Cautions(), ProtectedMaterials(source="s", as_at="2026-01")
    )
    assert nothing == ()
