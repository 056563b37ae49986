"""For plugin authors: a sample piece and archive, and a runner that works as a release does.

from archivist.testing import export, sample_selection

files = export(my_exporter_description, sample_selection(tmp_path), tmp_path / "out")
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import msgspec

from archivist.digests import digest_file
from archivist.hooks import (
    ArchiveFacts,
    DisclosedPhotograph,
    ExporterDescription,
    Piece,
    Selection,
    WrittenFile,
)
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    CitationKind,
    Composition,
    CompositionKind,
    Date,
    Depiction,
    Dimension,
    EventKind,
    Feature,
    FeatureAspect,
    Mark,
    MarkKind,
    MarkRelation,
    Measurement,
    Note,
    ObjectRecord,
    Observation,
    ObservationKind,
    Part,
    Party,
    PartyKind,
    Photograph,
    ProvenanceEvent,
    Relation,
    RelationKind,
    Script,
    Term,
    Title,
    Unit,
    View,
)
from archivist.names import web_base
from archivist.plugins import in_order
from archivist.release.naming import piece_slug, piece_uri
from archivist.release.package import FolderPackage

ARCHIVE = ArchiveFacts(
    id="7f1d3c52-0b7e-4f0e-9a51-2f6f1f0c9a10",
    name="The Tidewell Papers",
    owner="Ines Tidewell",
    language="en",
    rights_uri="http://rightsstatements.org/vocab/InC/1.0/",
    rights_holder="Ines Tidewell",
    credit="Ines Tidewell, Marrowgate",
    base_uri="",
    program="archivist",
)
"""An invented archive."""

FARMHOUSE = Party(
    id="3c0f7c39-8c60-4b79-a0bf-4f1b7a6d2c11",
    name="private collection, Wales",
    kind=PartyKind.HOUSEHOLD,
    private=False,
)

BOWL = ObjectRecord(
    id="0b9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a01",
    stock_number="T 0417",
    titles=(Title(value="Bowl with celadon glaze", as_stated="celadon bowl", preferred=True),),
    composition=Composition(kind=CompositionKind.SINGLE, count=1),
    attributions=(
        Attribution(
            aspect=Aspect.DATE,
            as_stated="late 18th or early 19th century",
            certainty=Certainty.PROBABLE,
            date=Date(edtf="1775/1825?", earliest=1775, latest=1825),
            preferred=True,
        ),
        Attribution(
            aspect=Aspect.DATE,
            as_stated="c. 1900",
            certainty=Certainty.POSSIBLE,
            date=Date(edtf="1900?~", earliest=1895, latest=1905),
        ),
        Attribution(aspect=Aspect.CULTURE, as_stated="Korean", term=Term(label="Korean")),
    ),
    features=(
        Feature(aspect=FeatureAspect.FORM, as_stated="bowl", term=Term(label="bowl")),
        Feature(aspect=FeatureAspect.MATERIAL, as_stated="stoneware", term=Term(label="stoneware")),
        Feature(aspect=FeatureAspect.GLAZE, as_stated="celadon", term=Term(label="celadon")),
    ),
    measurements=(
        Measurement(
            dimension=Dimension.DIAMETER,
            low="18.4",
            high="18.4",
            unit=Unit.CENTIMETRE,
            as_stated="18.4 cm across",
        ),
    ),
    marks=(
        Mark(
            kind=MarkKind.REIGN,
            characters="大明\n成化\n年製",
            script=Script.REGULAR,
            place="base",
            count=6,
            columns=2,
            claim="Chenghua",
            relation=MarkRelation.LATER_THAN_IT_CLAIMS,
            as_stated="six-character mark, later",
        ),
    ),
    observations=(
        Observation(
            term=Term(label="firing gap"),
            kind=ObservationKind.MAKING,
            part="foot rim",
            as_stated="firing gap at the foot, not a crack",
        ),
        Observation(
            term=Term(label="hairline"),
            kind=ObservationKind.DAMAGE,
            part="rim",
            as_stated="hairline from rim",
        ),
    ),
    provenance=(
        ProvenanceEvent(
            kind=EventKind.SALE,
            giver=FARMHOUSE.id,
            as_stated="from a farmhouse sale",
            date=Date(edtf="1987", earliest=1987, latest=1987),
        ),
    ),
    descriptions=(Note(as_stated="Glaze pools & thins; <blue-green> towards the foot."),),
)
"""An invented bowl that has something in most fields, and characters that XML must escape."""


DISPUTED = ObjectRecord(
    id="6a0f7d3e-52c1-4e0b-8d39-0c1c2f7a9b02",
    stock_number="T 0418",
    titles=(Title(value="Vase and cover", as_stated="vase and cover", preferred=True),),
    composition=Composition(
        kind=CompositionKind.SINGLE, count=1, of=2, parts=(Part(name="cover"),)
    ),
    attributions=(
        Attribution(aspect=Aspect.PERIOD, as_stated="Edo period", term=Term(label="Edo period")),
        Attribution(
            aspect=Aspect.DATE,
            as_stated="Edo period",
            date=Date(edtf="1603/1868", earliest=1603, latest=1868),
        ),
        Attribution(
            aspect=Aspect.DATE,
            as_stated="18th century",
            date=Date(edtf="17XX", earliest=1700, latest=1799),
        ),
        Attribution(
            aspect=Aspect.DATE,
            as_stated="c. 1900",
            date=Date(edtf="1900~", earliest=1895, latest=1905),
            who=FARMHOUSE.id,
            said="1998",
            ground="the foot",
        ),
        Attribution(
            aspect=Aspect.KILN,
            as_stated="Seaholme",
            term=Term(label="Seaholme"),
            certainty=Certainty.REJECTED,
            ground="the clay",
        ),
        Attribution(
            aspect=Aspect.DATE,
            as_stated="19th century",
            date=Date(edtf="18XX", earliest=1800, latest=1899),
            part="cover",
        ),
        Attribution(
            aspect=Aspect.PLACE,
            as_stated="mounted in Marrowgate",
            term=Term(label="Marrowgate"),
            part="mounts",
            role=AttributionRole.MOUNTED,
        ),
    ),
    features=(
        Feature(aspect=FeatureAspect.FORM, as_stated="vase", term=Term(label="vase")),
        Feature(
            aspect=FeatureAspect.GLAZE,
            as_stated="salt glaze",
            term=Term(label="salt glaze"),
            certainty=Certainty.REJECTED,
        ),
    ),
    observations=(
        Observation(
            term=Term(label="restoration"),
            kind=ObservationKind.REPAIR,
            part="rim",
            as_stated="rim restored in 1985",
            date=Date(edtf="1985", earliest=1985, latest=1985),
        ),
    ),
    provenance=(
        ProvenanceEvent(
            kind=EventKind.LOAN,
            giver=FARMHOUSE.id,
            as_stated="lent in 1991",
            date=Date(edtf="1991", earliest=1991, latest=1991),
        ),
    ),
    relations=(
        Relation(kind=RelationKind.PAIR_WITH, as_stated="the other of the pair at Tolling Hall"),
    ),
    citations=(
        Citation(
            kind=CitationKind.LITERATURE,
            as_stated="Voss, Plain vases, 1985, p. 14",
            authors="Ada Voss",
            title="Plain vases",
            date=Date(edtf="1985", earliest=1985, latest=1985),
            pages="p. 14",
        ),
        Citation(
            kind=CitationKind.EXHIBITION,
            as_stated="Vases, Marrowgate, 1990, no. 27",
            title="Vases",
            venue="Marrowgate",
            date=Date(edtf="1990", earliest=1990, latest=1990),
            number="no. 27",
        ),
    ),
)
"""An invented vase of which not all that was said is held: a rejected kiln and glaze, another's
date, a later cover, mounts, the other of the pair, a book and an exhibition."""


def sample_photograph(
    folder: Path, view: View = View.OVERALL, size: int = 96
) -> DisclosedPhotograph:
    """A small picture, made in `folder`, as a release hands it to an exporter."""
    from PIL import Image

    folder.mkdir(parents=True, exist_ok=True)
    name = f"{view.value.replace(' ', '-')}.jpg"
    path = folder / name
    Image.linear_gradient("L").resize((size, size * 3 // 4)).convert("RGB").save(path, "JPEG")
    digests = digest_file(path)
    photograph = Photograph(
        id=str(uuid.uuid5(uuid.UUID(BOWL.id), view)),
        sha256=digests.sha256,
        extension=".jpg",
        media_type="image/jpeg",
        width=size,
        height=size * 3 // 4,
    )
    return DisclosedPhotograph(
        photograph=photograph,
        depiction=Depiction(object=BOWL.id, view=view),
        path=path,
        name=name,
        media_type="image/jpeg",
        width=photograph.width,
        height=photograph.height,
        sha256=digests.sha256,
        sha512=digests.sha512,
        size=digests.size,
        original_sha256=digests.sha256,
        label=view.value,
    )


def with_picture(
    photograph: DisclosedPhotograph, path: Path, **changes: object
) -> DisclosedPhotograph:
    """The photograph with the file at `path` in the place of its own, and other `changes`."""
    found = digest_file(path)
    digests = {"sha256": found.sha256, "sha512": found.sha512, "size": found.size}
    return replace(photograph, path=path, **{**digests, **changes})  # type: ignore[arg-type]


def sample_piece(
    folder: Path, record: ObjectRecord = BOWL, views: Sequence[View] = (View.OVERALL, View.MARK)
) -> Piece:
    """The sample record with a picture of each of `views`, made in `folder`."""
    return Piece(
        record=record,
        photographs=tuple(sample_photograph(folder, view) for view in views),
        parties=(FARMHOUSE,),
        slug=piece_slug(record),
        uri=piece_uri(web_base(ARCHIVE.base_uri, ARCHIVE.id), record),
    )


def sample_selection(
    folder: Path, pieces: Sequence[Piece] | None = None, *, audience: str = "public"
) -> Selection:
    """A selection of `pieces` (default: the sample piece, its pictures made in `folder`)."""
    chosen = tuple(pieces) if pieces is not None else (sample_piece(folder),)
    return Selection(
        archive=ARCHIVE,
        audience=audience,
        made="2026-01-15T09:30:00Z",
        title=ARCHIVE.name,
        count=len(chosen),
        pieces=lambda: iter(chosen),
    )


def export(
    exporters: ExporterDescription | Iterable[ExporterDescription],
    selection: Selection,
    folder: Path,
    options: msgspec.Struct | None = None,
) -> dict[str, WrittenFile]:
    """Runs exporters over `selection` into `folder`, in the order a release would.

    `options` are given to every exporter whose options model they are an instance of. Nothing is
    caught: what an exporter raises reaches the test. The files written are returned by path, each
    path beginning with its exporter's name.
    """
    chosen = (exporters,) if isinstance(exporters, ExporterDescription) else tuple(exporters)
    written: dict[str, WrittenFile] = {}
    by_piece: dict[str, list[WrittenFile]] = {}
    for description in in_order(chosen):
        fits = isinstance(options, description.options)
        exporter = description.make(options if fits else description.options())  # type: ignore[arg-type]
        root = folder / description.name
        made: list[WrittenFile] = []
        notes: list[str] = []
        for piece in selection.pieces():
            known = {photo.path: photo.sha256 for photo in piece.photographs}
            package = FolderPackage(root, tuple(by_piece.get(piece.slug, ())), known=known)
            exporter.export_piece(piece, selection, package)
            mine = [_under(description.name, file) for file in package.written]
            by_piece.setdefault(piece.slug, []).extend(mine)
            made.extend(mine)
            notes += [package.noted] if package.noted else []
        package = FolderPackage(root, [*written.values(), *made], notes)
        exporter.export_selection(selection, package)
        made.extend(_under(description.name, file) for file in package.written)
        written.update((file.path, file) for file in made)
    return written


def _under(exporter: str, file: WrittenFile) -> WrittenFile:
    """The same file with its exporter's name before its path."""
    return WrittenFile(
        f"{exporter}/{file.path}", file.location, file.size, file.sha256, file.sha512
    )
