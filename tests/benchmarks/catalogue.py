"""How fast the catalogue, a release and a fixity check are on a large archive.

    python tests/benchmarks/catalogue.py [--objects 20000] [--released 2000] [--megabytes 400]
                                         [--folder DIR]

Records are the sample record with other numbers, titles and dates, two photographs each in the
catalogue (without files); queries are run five times and the median given.
"""

from __future__ import annotations

import argparse
import random
import statistics
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import add_original
from archivist.catalogue.search import Query, select
from archivist.model import (
    Aspect,
    Attribution,
    Date,
    Depiction,
    ObjectRecord,
    Party,
    Photograph,
    Title,
    View,
)
from archivist.plugins import load_plugins
from archivist.release.fixity import check_originals
from archivist.release.release import release
from archivist.release.request import Request
from archivist.testing import BOWL, FARMHOUSE

FORMS = ("bowl", "jar", "vase", "dish", "ewer", "大皿", "Teekanne")


def seconds(work: Callable[[], object], rounds: int = 1) -> float:
    """The median time of some rounds."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def things(count: int) -> Iterator[ObjectRecord | Photograph]:
    chance = random.Random(417)
    for number in range(count):
        first = chance.randint(1300, 1900)
        date = Date(edtf=f"{first}/{first + 50}", earliest=first, latest=first + 50)
        title = f"{chance.choice(FORMS).capitalize()} number {number}"
        record = msgspec.structs.replace(
            BOWL,
            id=str(uuid.UUID(int=chance.getrandbits(128), version=4)),
            stock_number=f"T {number:05d}",
            titles=(Title(value=title, as_stated=title, preferred=True),),
            attributions=(Attribution(aspect=Aspect.DATE, as_stated=date.edtf, date=date),),
        )
        yield record
        for view in (View.OVERALL, chance.choice((View.BASE, View.MARK, View.MOUTH))):
            yield Photograph(
                id=str(uuid.UUID(int=chance.getrandbits(128), version=4)),
                sha256=f"{chance.getrandbits(256):064x}",
                depictions=(Depiction(object=record.id, view=view, reviewed=True),),
            )


def fill(archive: Archive, count: int) -> None:
    with archive.catalogue.action("apply", "benchmark") as action:
        action.save(FARMHOUSE)
        for number in range(200):
            action.save(Party(id=str(uuid.UUID(int=number)), name=f"Edith Harrow{number}"))
        for thing in things(count):
            action.save(thing)


def queries(archive: Archive, count: int) -> None:
    catalogue = archive.catalogue
    some = f"T {count // 2:05d}"
    ids = select(catalogue, Query())
    asked: dict[str, Callable[[], object]] = {
        "one by stock number": lambda: catalogue.object_named(some),
        "photographs of one": lambda: catalogue.photographs_of(ids[count // 2]),
        "identifiers of all": lambda: select(catalogue, Query()),
        "made 1750/1760": lambda: select(catalogue, Query(earliest=1750, latest=1760)),
        "one rare word": lambda: select(catalogue, Query(words=f"number {count // 3}")),
        "one word in a seventh": lambda: select(catalogue, Query(words="ewer")),
        "two characters of CJK": lambda: select(catalogue, Query(words="大皿")),
        "photographed in one view": lambda: select(catalogue, Query(view="base")),
        "all records, read": lambda: list(catalogue.all(ObjectRecord)),
        "all actions": lambda: catalogue.actions(),
    }
    for name, work in asked.items():
        print(f"  {name:28s} {1000 * seconds(work, 5):9.2f} ms")


def releases(archive: Archive, count: int, to: Path) -> None:
    plugins = load_plugins()
    ids = select(archive.catalogue, Query())[:count]
    # These photographs have no files, so pieces are released without them.
    with archive.catalogue.action("edit", "benchmark") as action:
        for photograph in list(archive.catalogue.all(Photograph)):
            if photograph.depictions[0].object in set(ids):
                action.save(msgspec.structs.replace(photograph, withdrawn=True))
    request = Request(("dublin-core",), "public", to / "web", ids)
    first = seconds(lambda: release(archive, plugins, request))
    again = seconds(lambda: release(archive, plugins, request))
    print(f"  Dublin Core, {count} pieces      {first:7.2f} s  {count / first:7.0f} records/s")
    print(f"  the same again, unchanged    {again:7.2f} s  {count / again:7.0f} records/s")


def fixity(archive: Archive, size: int, to: Path) -> None:
    chance = random.Random(4)
    source = to / "file"
    each = 8_000_000
    with archive.catalogue.action("apply", "benchmark") as action:
        for _ in range(max(1, size // each)):
            source.write_bytes(chance.randbytes(each))
            add_original(action, archive.store.take_in(source, ".jpg"), ".jpg", "image/jpeg")
    taken = seconds(lambda: check_originals(archive, lambda passed: None), 3)
    print(f"  fixity, SHA-256 and SHA-512  {size / 1e6 / taken:7.0f} MB/s")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--objects", type=int, default=20_000)
    parser.add_argument("--released", type=int, default=2_000)
    parser.add_argument("--megabytes", type=int, default=400)
    parser.add_argument("--folder", type=Path, default=None)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=asked.folder) as scratch:
        root = Path(scratch)
        with Archive.create(root / "archive", owner="benchmark") as archive:
            taken = seconds(lambda: fill(archive, asked.objects))
            rate, size = 3 * asked.objects / taken, archive.catalogue.path.stat().st_size
            print(f"{asked.objects} objects and {2 * asked.objects} photographs")
            print(f"  saved in {taken:.1f} s: {rate:.0f} things/s; {size / 1e6:.0f} MB")
            queries(archive, asked.objects)
            releases(archive, asked.released, root)
            fixity(archive, asked.megabytes * 1_000_000, root)


if __name__ == "__main__":
    main()
