"""Fills bags: the pieces' records and photographs, and what other exporters wrote."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from archivist.errors import PackageError, SelectionError
from archivist.hooks import (
    DisclosedPhotograph,
    Exporter,
    Package,
    PayloadFile,
    Piece,
    Selection,
    WrittenFile,
)
from archivist.model import Region, Value, canonical_json
from archivist.names import check_path
from archivist_plugins.bagit.about import OWNER, about
from archivist_plugins.bagit.builder import BagBuilder, CopyJob
from archivist_plugins.bagit.profile import IDENTIFIER, profile_bytes
from archivist_plugins.record_schemas import WHAT_THEY_ARE, schema

NAME = "bagit"
"""What the exporter is called, and the folder of what it wrote itself."""

COLLECTION = "collection"
"""The scope, and the folder, of a bag that holds no piece but what was written of all."""


class Picture(Value, frozen=True, kw_only=True):
    """One picture of a piece as the bag holds it: which file shows what.

    `file` is its path in the bag, `photograph` the UUID of the record in photographs.json, `how`
    what was done to a copy (empty: the original itself), `region` the part that shows the piece.
    """

    file: str
    photograph: str
    view: str
    label: str = ""
    media_type: str = ""
    width: int = 0
    height: int = 0
    size: int = 0
    sha256: str = ""
    how: str = ""
    region: Region | None = None


class BagExporter(Exporter):
    """Writes one bag for the selection, or with `one_each` a bag for every piece."""

    def __init__(self, *, one_each: bool = False) -> None:
        self._one_each = one_each
        self._taken: set[str] = set()

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """With `one_each`: the bag of one piece, in a folder named after it.

        Raises:
            SelectionError: where the whole archive was asked for, which is one bag.
            PackageError: where two files would stand at one path.
        """
        if not self._one_each:
            return
        if selection.whole_archive:
            raise SelectionError(
                "The whole archive goes into one bag, and a bag for each piece was asked for.",
                "Leave out one of the two.",
            )
        bag = BagBuilder(package, f"{piece.slug}/")
        companions = tuple(package.companions())
        self._taken.update(file.path for file in companions)
        _add_companions(bag, companions)
        _add_piece(bag, piece, selection.audience)
        title = _title(piece)
        tags = (
            *_common_tags(selection, f"{title}. One piece with its photographs."),
            ("External-Identifier", piece.uri),
            ("Internal-Sender-Identifier", piece.record.stock_number),
            ("Bag-Group-Identifier", f"urn:uuid:{selection.archive.id}"),
            ("Archivist-Scope", "object"),
            ("Archivist-Identifier", piece.record.id),
        )
        _seal(bag, tags, about(bag, selection, title))

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Without `one_each`: the bag of everything that was selected.

        With it, what other exporters wrote of the selection as a whole goes into a bag beside
        those of the pieces, so that it is not left out.

        Raises:
            PackageError: where two files would stand at one path.
        """
        if self._one_each:
            of_all = [
                file
                for file in package.companions()
                if file.path not in self._taken and not file.path.startswith(f"{NAME}/")
            ]
            if of_all:
                _seal_collection(BagBuilder(package, f"{COLLECTION}/"), of_all, selection)
            return
        bag = BagBuilder(package)
        _add_companions(bag, package.companions())
        if selection.whole_archive:
            _add_preserved(bag, selection.preserved())
            _add_schemas(bag)
        else:
            for piece in selection.pieces():
                _add_piece(bag, piece, selection.audience)
        scope = "archive" if selection.whole_archive else "selection"
        pieces = "One piece" if selection.count == 1 else f"{selection.count} pieces"
        tags = (
            *_common_tags(selection, f"{selection.title}. {pieces} with photographs."),
            ("External-Identifier", f"urn:uuid:{selection.archive.id}"),
            ("Archivist-Scope", scope),
            ("Archivist-Identifier", selection.archive.id),
        )
        _seal(bag, tags, about(bag, selection, selection.title))


def _seal_collection(bag: BagBuilder, files: Sequence[WrittenFile], selection: Selection) -> None:
    """The bag of what was written once for all pieces, such as a list of them."""
    _add_companions(bag, files)
    tags = (
        *_common_tags(selection, f"{selection.title}. What was written of all pieces together."),
        ("Bag-Group-Identifier", f"urn:uuid:{selection.archive.id}"),
        ("Archivist-Scope", COLLECTION),
        ("Archivist-Identifier", selection.archive.id),
    )
    _seal(bag, tags, about(bag, selection, selection.title))


def _common_tags(selection: Selection, description: str) -> tuple[tuple[str, str], ...]:
    return (
        ("Source-Organization", selection.archive.owner),
        ("External-Description", description),
        ("Bagging-Date", selection.made[:10]),
        ("Bag-Software-Agent", selection.archive.program),
        ("BagIt-Profile-Identifier", IDENTIFIER),
        ("Archivist-Audience", selection.audience),
        ("Archivist-Made", selection.made),
    )


def _add_schemas(bag: BagBuilder) -> None:
    """The schemas of all records in the bag, once."""
    for name in WHAT_THEY_ARE:
        if not bag.holds(f"schemas/{name}"):
            bag.write(f"schemas/{name}", schema(name))


def _seal(bag: BagBuilder, tags: Iterable[tuple[str, str]], words: str) -> None:
    bag.seal(tags, (("about.txt", words.encode()), ("bagit-profile.json", profile_bytes())))


def _title(piece: Piece) -> str:
    titles = sorted(piece.record.titles, key=lambda title: not title.preferred)
    title = (titles[0].value or titles[0].as_stated) if titles else "Piece"
    number = piece.record.stock_number
    return f"{title} ({number})" if number else title


def _add_companions(bag: BagBuilder, companions: Iterable[WrittenFile]) -> None:
    """What other exporters wrote, as they wrote it, under their names."""
    bag.copy_all(CopyJob(file.path, file.location, file.sha256, file.sha512) for file in companions)


def _add_preserved(bag: BagBuilder, files: Iterable[PayloadFile], folder: str = "") -> None:
    """Files of the archive at their own paths; what is damaged or missing there is listed."""
    for on_disk, alike in groupby(files, key=lambda file: file.source is not None):
        if on_disk:
            bag.copy_all(
                CopyJob(folder + file.path, file.source, file.sha256, file.sha512)
                for file in alike
                if file.source is not None
            )
            continue
        for file in alike:
            if file.missing:
                bag.leave_out(folder + file.path, file.missing)
            else:
                bag.write(folder + file.path, file.content, file.sha256)


def _add_piece(bag: BagBuilder, piece: Piece, audience: str) -> None:
    """The record, its parties and photographs as canonical JSON, and the pictures themselves."""
    folder = f"objects/{piece.slug}"
    pictures = [(photo, picture_path(photo, piece, audience)) for photo in piece.photographs]
    bag.copy_all(_picture_jobs(bag, pictures))
    photographs = {photo.photograph.id: photo.photograph for photo in piece.photographs}
    _add_schemas(bag)
    bag.write(f"{folder}/record.json", canonical_json(piece.record))
    bag.write(f"{folder}/parties.json", canonical_array(piece.parties))
    bag.write(f"{folder}/photographs.json", canonical_array(tuple(photographs.values())))
    bag.write(f"{folder}/pictures.json", canonical_array([_picture(p, at) for p, at in pictures]))
    _add_preserved(bag, piece.preserved, f"{folder}/")


def _picture_jobs(
    bag: BagBuilder, pictures: Sequence[tuple[DisclosedPhotograph, str]]
) -> Iterator[CopyJob]:
    """One job a file: pieces on one photograph, and views of it, share the original."""
    wanted = {(path, photo.sha256): photo for photo, path in pictures if not bag.holds(path)}
    for (path, _), photo in wanted.items():
        yield CopyJob(path, photo.path, photo.sha256, photo.sha512)


def picture_path(photo: DisclosedPhotograph, piece: Piece, audience: str) -> str:
    """Where a picture stands below data/: originals are the owner's alone."""
    if audience == OWNER and photo.sha256 == photo.original_sha256:
        digest = photo.original_sha256
        named = f"originals/{digest[:2]}/{digest}{photo.photograph.extension.lower()}"
        return named if _is_legal(named) else f"originals/{digest[:2]}/{digest}"
    return f"photographs/{piece.slug}/{photo.name}"


def _is_legal(path: str) -> bool:
    try:
        check_path(path)
    except PackageError:
        return False
    return True


def _picture(photo: DisclosedPhotograph, path: str) -> Picture:
    return Picture(
        file=f"data/{path}",
        photograph=photo.photograph.id,
        view=photo.depiction.view.value,
        label=photo.label,
        media_type=photo.media_type,
        width=photo.width,
        height=photo.height,
        size=photo.size,
        sha256=photo.sha256,
        how=photo.how,
        region=photo.region,
    )


def canonical_array(values: Sequence[Value]) -> bytes:
    """The canonical JSON (RFC 8785) of an array of values."""
    return b"[" + b",".join(canonical_json(value) for value in values) + b"]"
