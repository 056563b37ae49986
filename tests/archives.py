"""Small archives to test with: invented pieces, parties and pictures."""

from __future__ import annotations

import itertools
import uuid
from collections.abc import Callable, Iterable
from pathlib import Path

from click.testing import CliRunner, Result

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import (
    Occurrence,
    add_occurrence,
    add_original,
    write_inventory,
)
from archivist.catalogue.sources import add_source
from archivist.cli.main import group
from archivist.model import (
    Aspect,
    Attribution,
    Date,
    Depiction,
    ObjectRecord,
    Photograph,
    Region,
    Title,
    View,
)

OWNER = "Ines Tidewell"


def clock() -> Callable[[], str]:
    """A clock that goes on by a second each time it is asked."""
    seconds = itertools.count()
    return lambda: f"2026-01-15T09:{(n := next(seconds)) // 60 % 60:02d}:{n % 60:02d}Z"


def new_archive(folder: Path) -> Archive:
    """An archive that does not wait for the disk, which a test has no need of."""
    archive = Archive.create(folder, owner=OWNER, name="The Tidewell Papers", now=clock())
    archive.catalogue.connection.execute("PRAGMA synchronous = OFF")
    return archive


def run(folder: Path, *arguments: object) -> Result:
    """Runs a command on the archive in `folder`, in this process."""
    return CliRunner().invoke(group, ["-a", str(folder), *map(str, arguments)])


def sold_to(buyer: str, place: Path) -> Path:
    """The folder of an archive in `place` that took in a sheet of one piece with its buyer."""
    folder, sheet = place / "archive", place / "stock.csv"
    new_archive(folder).catalogue.close()
    sheet.write_text(f"Number,Title,Buyer\nT 0,Bowl,{buyer}\n", encoding="utf-8")
    run(folder, "survey", sheet)
    run(folder, "apply")
    return folder


def new_id(number: int = 0) -> str:
    """A UUID; the same for the same number, a new one for 0."""
    return str(uuid.uuid5(uuid.NAMESPACE_OID, f"{number}") if number else uuid.uuid4())


def piece(
    number: str, title: str = "", years: tuple[int, int] | None = None, id_: str = ""
) -> ObjectRecord:
    """A record with a title and a date."""
    attributions: tuple[Attribution, ...] = ()
    if years is not None:
        edtf = f"{years[0]}/{years[1]}"
        date = Date(edtf=edtf, earliest=years[0], latest=years[1])
        attributions = (Attribution(aspect=Aspect.DATE, as_stated=edtf, date=date),)
    titles = (Title(value=title, as_stated=title, preferred=True),) if title else ()
    return ObjectRecord(
        id=id_ or new_id(), stock_number=number, titles=titles, attributions=attributions
    )


def save(catalogue: Catalogue, *entities: object, kind: str = "edit") -> int:
    """Saves things in one action; its number."""
    with catalogue.action(kind, OWNER) as action:
        for entity in entities:
            action.save(entity)  # type: ignore[arg-type]
    return catalogue.actions()[0].number


def jpeg(path: Path, size: tuple[int, int] = (120, 90), tone: int = 0) -> Path:
    """A picture that differs by `tone`, with words in its header."""
    from PIL import Image

    path.parent.mkdir(parents=True, exist_ok=True)
    ramp = Image.linear_gradient("L").resize(size).point(lambda v: (v + tone) % 256)
    ramp.convert("RGB").save(path, "JPEG", comment=b"taken at Quarry Row")
    return path


def add_photograph(
    archive: Archive,
    source: Path,
    objects: Iterable[ObjectRecord] = (),
    view: View = View.OVERALL,
    *,
    region: Region | None = None,
    reviewed: bool = True,
) -> Photograph:
    """Takes a picture in, with its source and occurrence, as showing the objects."""
    digests = archive.store.take_in(source, ".jpg")
    photograph = Photograph(
        id=new_id(),
        sha256=digests.sha256,
        extension=".jpg",
        media_type="image/jpeg",
        width=120,
        height=90,
        depictions=tuple(
            Depiction(object=record.id, view=view, reviewed=reviewed, region=region)
            for record in objects
        ),
    )
    with archive.catalogue.action("apply", OWNER) as action:
        add_source(action, new_id(1), "photo-folder", str(source.parent))
        add_original(action, digests, ".jpg", "image/jpeg")
        add_occurrence(action, Occurrence(digests.sha256, new_id(1), source.name))
        action.save(photograph)
    write_inventory(archive.catalogue, archive.store)
    return photograph
