"""Pieces are found by number, date, words in any script, and view."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.search import Query, select, years_of_interval
from archivist.errors import SelectionError
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Depiction,
    Note,
    ObjectRecord,
    Photograph,
    Term,
    View,
)
from tests.archives import new_id, piece, save


def found(catalogue: Catalogue, words: str) -> list[str]:
    """The stock numbers of what is found."""
    records = (catalogue.get(id_, ObjectRecord) for id_ in select(catalogue, Query(words=words)))
    return [record.stock_number for record in records if record is not None]


def described(number: str, words: str) -> ObjectRecord:
    return msgspec.structs.replace(piece(number), descriptions=(Note(as_stated=words),))


@pytest.mark.parametrize(
    ("written", "asked"),
    [
        ("大明成化年製", "成化"),
        ("大明成化年製", "大明成化年製"),
        ("唐津焼 ぐい呑", "ぐい"),
        ("청자 대접", "대접"),
        ("ｶﾗﾂ", "カラツ"),
        ("Sèvres biscuit", "sevres"),
        ("Sevres", "Sèvres"),
        ("Se\u0300vres", "Sèvres"),
        ("Höchst", "hochst"),
        ("Mason's ironstone", "mason's"),
        ("Mason's ironstone", "Mason"),
        ('the so-called "hare\'s fur" glaze', '"hare\'s fur"'),
        ("famille-rose", "famille-rose"),
        ("a NOT b", "NOT"),
        ("AND OR NEAR", "AND OR NEAR(a"),
        ("H.W. 0417", "H.W."),
        ("blue & white", "blue & white"),
        ("celadon", "cela"),
        ("100% sure", "100%"),
        ("50 cm*", "cm*"),
        ("column:name ^caret", "column:name ^caret"),
    ],
)
def test_words_are_found_as_people_write_them(
    catalogue: Catalogue, written: str, asked: str
) -> None:
    save(catalogue, described("T 1", f"AND OR NEAR a {written}"), described("T 2", "brown jug"))
    assert found(catalogue, asked) == ["T 1"]


def test_every_word_must_stand_in_the_record(catalogue: Catalogue) -> None:
    save(catalogue, described("T 1", "blue bowl"), described("T 2", "blue jar"))
    assert found(catalogue, "bowl blue") == ["T 1"]
    assert found(catalogue, "blue") == ["T 1", "T 2"]
    assert found(catalogue, "blue plate") == []


def test_what_was_written_before_is_not_found_any_more(catalogue: Catalogue) -> None:
    record = described("T 1", "blue bowl")
    save(catalogue, record)
    save(catalogue, msgspec.structs.replace(record, descriptions=(Note(as_stated="grey bowl"),)))
    assert found(catalogue, "blue") == []
    assert found(catalogue, "grey") == ["T 1"]


@pytest.mark.parametrize("words", ["&", '"', "*", "- -", "…"])
def test_words_without_a_letter_or_digit_are_refused(catalogue: Catalogue, words: str) -> None:
    with pytest.raises(SelectionError, match="no letter or digit"):
        select(catalogue, Query(words=words))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(st.text(max_size=20))
def test_no_words_can_break_the_search(catalogue: Catalogue, words: str) -> None:
    try:
        select(catalogue, Query(words=words))
    except SelectionError:
        assert not any(character.isalnum() for character in words)


@pytest.mark.parametrize(
    ("interval", "years"),
    [
        # EDTF (ISO 8601-2:2019), level 0 intervals and open ends of level 1.
        ("1875/1908", (1875, 1908)),
        ("1881", (1881, 1881)),
        ("1881-05/1882-01-30", (1881, 1882)),
        ("../1900", (None, 1900)),
        ("1875/..", (1875, None)),
        ("/1900", (None, 1900)),
        ("-0205/0220", (-205, 220)),
        (" 1881 ", (1881, 1881)),
    ],
)
def test_intervals_are_read(interval: str, years: tuple[int | None, int | None]) -> None:
    assert years_of_interval(interval) == years


@pytest.mark.parametrize(
    "interval", ["", "/", "..", "../..", "c. 1800", "1900/1800", "18", "18810", "１８８１", "a/b/c"]
)
def test_what_is_no_interval_is_refused(interval: str) -> None:
    with pytest.raises(SelectionError):
        years_of_interval(interval)


def test_pieces_are_found_by_the_years_their_date_may_fall_in(catalogue: Catalogue) -> None:
    save(
        catalogue,
        piece("early", years=(1700, 1750)),
        piece("late", years=(1850, 1900)),
        piece("undated"),
    )

    def between(earliest: int | None, latest: int | None) -> list[str]:
        ids = select(catalogue, Query(earliest=earliest, latest=latest))
        return [catalogue.object_named(id_).stock_number for id_ in ids]

    assert between(1750, 1760) == ["early"]
    assert between(1751, 1849) == []
    assert between(None, 1850) == ["early", "late"]
    assert between(1800, None) == ["late"]
    assert between(None, None) == ["early", "late", "undated"]


def test_what_the_owner_rejects_and_what_another_holds_finds_no_piece(
    catalogue: Catalogue,
) -> None:
    def made(first: int, **more: object) -> Attribution:
        years = Date(edtf=f"{first}/{first + 99}", earliest=first, latest=first + 99)
        return Attribution(aspect=Aspect.DATE, date=years, **more)  # type: ignore[arg-type]

    said = (
        made(1500, certainty=Certainty.REJECTED),
        made(1300, who=new_id(7)),
        made(1800, part="cover"),
        made(1700),
        Attribution(
            aspect=Aspect.KILN, term=Term(label="Marrowgate"), certainty=Certainty.REJECTED
        ),
    )
    save(catalogue, msgspec.structs.replace(piece("T 1"), attributions=said))
    found_in = {
        century: bool(select(catalogue, Query(earliest=century, latest=century + 99)))
        for century in (1300, 1500, 1700, 1800)
    }
    assert found_in == {1300: False, 1500: False, 1700: True, 1800: False}
    assert found(catalogue, "Marrowgate") == []


def test_pieces_are_found_by_view_but_not_by_a_picture_that_is_gone_or_rejected(
    catalogue: Catalogue,
) -> None:
    shown, gone, rejected = piece("T 1"), piece("T 2"), piece("T 3")
    base = Depiction(object="", view=View.BASE)

    def photograph(record: ObjectRecord, **changes: object) -> Photograph:
        depiction = msgspec.structs.replace(base, object=record.id, **changes)
        return Photograph(id=new_id(), sha256="0" * 64, depictions=(depiction,))

    save(
        catalogue,
        shown,
        gone,
        rejected,
        photograph(shown),
        msgspec.structs.replace(photograph(gone), withdrawn=True),
        photograph(rejected, certainty=Certainty.REJECTED),
    )
    assert select(catalogue, Query(view="base")) == (shown.id,)
    assert select(catalogue, Query(view=" Base")) == (shown.id,)
    assert select(catalogue, Query(view="mark")) == ()


def test_a_view_that_is_none_is_refused_and_all_are_named(catalogue: Catalogue) -> None:
    with pytest.raises(SelectionError) as refused:
        select(catalogue, Query(view="bottom"))
    assert "There is no view 'bottom'." in str(refused.value)
    assert "foot rim" in str(refused.value)


def test_a_stock_number_is_known_whatever_its_case_and_spaces(catalogue: Catalogue) -> None:
    record = piece("HW  0417")
    save(catalogue, record)
    for name in ("hw 0417", " HW 0417 ", "ＨＷ 0417", record.id, record.id[:8]):
        assert catalogue.object_named(name) == record, name


def test_a_number_that_several_bear_is_refused_and_all_are_listed(catalogue: Catalogue) -> None:
    one, two = piece("T 1", "Bowl"), piece("T 1", "Jar")
    save(catalogue, one, two)
    with pytest.raises(SelectionError) as refused:
        catalogue.object_named("T 1")
    assert all(words in str(refused.value) for words in (one.id, two.id, "Bowl", "Jar"))
    assert catalogue.object_named(one.id) == one


def test_wildcards_in_a_name_mean_themselves(catalogue: Catalogue) -> None:
    save(catalogue, piece("T 1"))
    for name in ("%%%%%%", "______", "!!!!!!"):
        with pytest.raises(SelectionError, match="There is no record"):
            catalogue.object_named(name)
