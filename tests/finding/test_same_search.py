"""The command line and the pages of the library find the same pieces, in the same order.

Only titles in several scripts may be in another order than the browser's, which knows the customs
of each.
"""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from urllib.parse import urlencode

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.search import Query as Selecting
from archivist.catalogue.search import select
from archivist.cli.demo import _take_in
from archivist.finding.facets import FACETS
from archivist.finding.kept import kept_index
from archivist.finding.query import Order, Query
from archivist.finding.search import search
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Dimension,
    Feature,
    FeatureAspect,
    Mark,
    MarkRelation,
    Measurement,
    Note,
    ObjectRecord,
    Observation,
    ObservationKind,
    Presence,
    Term,
    Title,
    Unit,
)
from archivist.plugins import load_plugins
from archivist.release.disclosure import disclosures
from archivist.release.pieces import Discloser
from archivist_plugins.reference_library.entry import LibraryEntry, library_entry
from tests.archives import new_archive, save
from tests.plugins.reference_library.asking import ask

FORMS = ("bowl", "Bowl", "vase", "moon jar", "瓶", "bouteille à l’œillet")
WORDS = (
    "Ch'ien-lung", "Qianlong", "乾隆", "K’ang-hsi", "康熙", "大明成化年製", "Chenghua", "celadon",
    "céladon", "Yuan", "yuan-style", "Straße", "染付", "がま", "청자", "ﬁring", "K.", "½", "𠮷野",
)  # fmt: skip
TYPED = (
    "c", "cel", "CÉLADON", "chien", "ch'ien lu", "qian", "乾", "乾隆", "成化", "明成", "vase", "瓶",
    "bowl ce", "染", "ga", "がま", "청자", "firing", "strass", "𠮷", "N 1", "1", "oeill", "zzz",
    "kangxi celadon", "celadon kangxi", "k'ang", "chenghua qianlong",
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """One query, as `find` is asked and as an address asks."""

    query: Query
    address: str


def record(number: int, chance: random.Random) -> ObjectRecord:
    """A record that may have anything that is searched, or nothing."""
    first = chance.randrange(-300, 1900)
    ends = (first, first + chance.choice((0, 1, 20, 300)))
    earliest, latest = (end if chance.random() < 0.85 else None for end in ends)
    low = chance.randrange(10, 900)
    high = low + chance.choice((0, 0, 25))
    sure = chance.choice((Certainty.CERTAIN, Certainty.PROBABLE, Certainty.REJECTED))
    return ObjectRecord(
        id=str(uuid.UUID(int=chance.getrandbits(128), version=4)),
        stock_number=chance.choice((f"N {number}", f"n{number}", f"{number:04d}", "N 1/a", "")),
        titles=(Title(value=" ".join(chance.sample(WORDS, 2)), preferred=True),),
        attributions=(
            Attribution(
                aspect=Aspect.DATE,
                date=Date(edtf="x", earliest=earliest, latest=latest),
                certainty=sure,
            ),
        )
        if chance.random() < 0.9
        else (),
        features=tuple(
            Feature(aspect=aspect, term=Term(label=chance.choice(FORMS)))
            for aspect in (FeatureAspect.FORM, FeatureAspect.GLAZE)
            if chance.random() < 0.8
        ),
        measurements=(
            Measurement(
                dimension=chance.choice((Dimension.HEIGHT, Dimension.DIAMETER, Dimension.WIDTH)),
                low=f"{low / 10}",
                high=f"{high / 10}",
                unit=chance.choice((Unit.CENTIMETRE, Unit.INCH)),
            ),
        ),
        marks=(Mark(claim=chance.choice(WORDS), relation=chance.choice(list(MarkRelation))),)
        if chance.random() < 0.4
        else (),
        observations=(
            Observation(
                term=Term(label=chance.choice(("hairline", "chip"))),
                kind=chance.choice(list(ObservationKind)),
                part=chance.choice(("rim", "foot rim", "")),
                presence=chance.choice((Presence.PRESENT, Presence.ABSENT)),
            ),
        ),
        notes=(Note(as_stated=chance.choice(WORDS)),),
    )


@pytest.fixture(scope="module")
def invented(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    chance = random.Random(25)
    with new_archive(tmp_path_factory.mktemp("invented") / "archive") as archive:
        save(archive.catalogue, *(record(number, chance) for number in range(400)))
        yield archive


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    with new_archive(tmp_path_factory.mktemp("demo") / "archive") as archive:
        assert _take_in(archive, load_plugins())
        yield archive


def entries(archive: Archive) -> list[LibraryEntry]:
    """What the public's library would hold of all pieces."""
    discloser = Discloser(archive, disclosures()["public"], copies=False)
    pieces = discloser.pieces(select(archive.catalogue, Selecting()))
    return [library_entry(piece, (), "") for piece in pieces]


def cases(known: Sequence[LibraryEntry], chance: random.Random) -> Iterator[Case]:
    """Queries by one thing and by several, for what is there and for what is not."""
    values = {
        facet.name: sorted({v for entry in known for v in entry.facets.get(facet.name, ())})
        for facet in FACETS
    }
    words = sorted({word for entry in known for word in entry.words if word[0] != "="})
    yield Case(Query(), "")
    for _ in range(250):
        told: list[tuple[str, str]] = []
        query = Query(order=chance.choice(list(Order)))
        if chance.random() < 0.5:
            some = chance.choice((chance.choice(TYPED), chance.choice(words)[:4]))
            query = replace(query, words=some)
            told.append(("words", some))
        for name in chance.sample(sorted(values), 2):
            if values[name] and chance.random() < 0.3:
                some_values = tuple(chance.sample(values[name], min(len(values[name]), 2)))
                query = replace(query, facets={**query.facets, name: some_values})
                told += [(f"is-{name}", value) for value in some_values]
        if chance.random() < 0.3:
            years = _range(chance, -100, 1900, 150)
            query = replace(query, made=years, certainly=chance.random() < 0.5)
            told += [("made", _told(years)), ("certainly", "1" if query.certainly else "0")]
        if chance.random() < 0.2:
            side = chance.choice(("height", "across"))
            sizes = _range(chance, 10, 900, 300)
            query = replace(query, **{side: tuple(e if e is None else Decimal(e) for e in sizes)})
            told.append((side, _told(sizes)))
        yield Case(query, urlencode([*told, ("order", query.order.value)]))


def _range(chance: random.Random, low: int, high: int, wide: int) -> tuple[int | None, int | None]:
    first = chance.randrange(low, high)
    return chance.choice(((first, first + wide), (first, None), (None, first)))


def _told(ends: tuple[int | None, int | None]) -> str:
    return "/".join(".." if end is None else str(end) for end in ends)


@pytest.mark.parametrize("which", ["demo", "invented"])
def test_the_same_query_finds_the_same_pieces_in_the_same_order(
    which: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    archive: Archive = request.getfixturevalue(which)
    known = entries(archive)
    asked = list(cases(known, random.Random(7)))
    theirs = ask([case.address for case in asked], tmp_path, known)
    found_any = 0
    with kept_index(archive, disclosures()["public"]) as index:
        for case, theirs_of_it in zip(asked, theirs, strict=True):
            answer = search(index, case.query)
            mine = [found.entry.id for found in answer.found]
            assert set(mine) == set(theirs_of_it["ids"]), case
            if case.query.order is not Order.TITLE or which == "demo":
                assert mine == theirs_of_it["ids"], case
            if case.query.made != (None, None):
                sure = sum(bool(found.certainly) for found in answer.found)
                assert sure == theirs_of_it["certain"], case
                assert answer.dateless == theirs_of_it["dateless"], case
            found_any += 0 < len(mine) < len(known)
    assert found_any > 60, "hardly any query would tell one search from another"
