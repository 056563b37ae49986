"""An archive of invented pieces, as large as a benchmark asks for."""

from __future__ import annotations

import random
import uuid
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import add_original
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Depiction,
    Dimension,
    Feature,
    FeatureAspect,
    Mark,
    MarkKind,
    MarkRelation,
    Measurement,
    ObjectRecord,
    Observation,
    ObservationKind,
    Photograph,
    Term,
    Title,
    Unit,
    View,
)
from archivist.testing import BOWL
from tests.archives import OWNER, jpeg, new_archive

SIZE = (96, 72)
"""Width and height of every picture: small, so that what is measured is not the pictures."""

VIEWS = (View.OVERALL, View.BASE, View.DETAIL)
FORMS = ("bowl", "dish", "vase", "bottle", "jar", "ewer", "cup", "moon jar", "charger", "brush pot")
GLAZES = ("celadon", "tenmoku", "ash", "tin", "salt", "lead", "clair de lune", "copper red")
SUBJECTS = ("lotus", "pine", "cranes", "peony", "bamboo", "landscape", "dragons", "plum", "waves")
REIGNS = (("Kangxi", 1662, 1722), ("Qianlong", 1736, 1795), ("Chenghua", 1465, 1487))
CULTURES = ("Chinese", "Korean", "Japanese", "Dutch", "English", "French")
SEEN = (
    ("hairline", ObservationKind.DAMAGE),
    ("chip", ObservationKind.DAMAGE),
    ("firing gap", ObservationKind.MAKING),
    ("kiln grit", ObservationKind.MAKING),
    ("staple repair", ObservationKind.REPAIR),
)
PARTS = ("rim", "foot rim", "base", "shoulder", "handle")


def record(number: int, chance: random.Random) -> ObjectRecord:
    """An invented record."""
    form, glaze, subject = chance.choice(FORMS), chance.choice(GLAZES), chance.choice(SUBJECTS)
    earliest = chance.randrange(900, 1900)
    latest = earliest + chance.choice((0, 10, 25, 50, 99))
    reign, first, last = chance.choice(REIGNS)
    seen = chance.sample(SEEN, 2)
    size = f"{chance.randrange(40, 600) / 10}"
    marks = (
        Mark(
            kind=MarkKind.REIGN,
            claim=reign,
            claims=Date(edtf=f"{first}/{last}", earliest=first, latest=last),
            relation=chance.choice(list(MarkRelation)),
            as_stated=f"{reign} six-character mark",
        ),
    )
    return ObjectRecord(
        id=str(uuid.UUID(int=chance.getrandbits(128), version=4)),
        stock_number=f"{number:05d}",
        titles=(Title(value=f"{form.capitalize()}, {glaze} glaze, {subject}", preferred=True),),
        attributions=(
            Attribution(
                aspect=Aspect.DATE,
                as_stated=f"{earliest}-{latest}",
                certainty=chance.choice((Certainty.CERTAIN, Certainty.PROBABLE)),
                date=Date(edtf=f"{earliest}/{latest}", earliest=earliest, latest=latest),
                preferred=True,
            ),
            Attribution(
                aspect=Aspect.CULTURE, term=Term(label=chance.choice(CULTURES)), preferred=True
            ),
        ),
        features=(
            Feature(aspect=FeatureAspect.FORM, term=Term(label=form)),
            Feature(aspect=FeatureAspect.GLAZE, term=Term(label=glaze)),
            Feature(aspect=FeatureAspect.SUBJECT, term=Term(label=subject)),
        ),
        measurements=(
            Measurement(dimension=Dimension.HEIGHT, low=size, high=size, unit=Unit.CENTIMETRE),
        ),
        marks=marks if chance.random() < 0.3 else (),
        observations=tuple(
            Observation(term=Term(label=label), kind=kind, part=chance.choice(PARTS))
            for label, kind in seen
        ),
        descriptions=BOWL.descriptions,
    )


def archive_of(count: int, folder: Path) -> Archive:
    """An archive of `count` invented pieces with three photographs each.

    Every photograph is of its own piece; but the pictures in them are the same three.
    """
    archive = new_archive(folder)
    chance = random.Random(1)
    with archive.catalogue.action("apply", OWNER) as action:
        pictures = {}
        for tone, view in enumerate(VIEWS):
            file = jpeg(folder.parent / "pictures" / f"{tone}.jpg", SIZE, tone * 40)
            digests = archive.store.take_in(file, ".jpg")
            add_original(action, digests, ".jpg", "image/jpeg")
            pictures[view] = digests.sha256
        for number in range(count):
            known = record(number, chance)
            action.save(known)
            for view, sha256 in pictures.items():
                action.save(
                    Photograph(
                        id=str(uuid.UUID(int=chance.getrandbits(128), version=4)),
                        sha256=sha256,
                        extension=".jpg",
                        media_type="image/jpeg",
                        width=SIZE[0],
                        height=SIZE[1],
                        depictions=(Depiction(object=known.id, view=view, reviewed=True),),
                    )
                )
    return archive
