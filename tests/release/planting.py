"""An archive with a secret in every field of the model and every corner of its photographs.

Made from the types themselves: a field that is added tomorrow is planted tomorrow. Who may be told
a secret is read from the disclosure table here by a few lines of our own, and not by the code that
is tested.
"""

from __future__ import annotations

import io
import struct
import tomllib
import types
import typing
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Any

import msgspec
import piexif
from PIL import Image, ImageCms

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import Occurrence, add_occurrence, add_original
from archivist.catalogue.sources import add_source
from archivist.model import (
    Aspect,
    Attribution,
    Date,
    Depiction,
    Measurement,
    Note,
    ObjectRecord,
    Party,
    PartyKind,
    Photograph,
    ProvenanceEvent,
    Region,
    Relation,
    RelationKind,
    Rights,
    SaleFact,
    SaleStage,
    Statement,
    TakenAt,
    Title,
    Unit,
    Value,
    View,
)
from archivist_schemas import schema_file
from tests.archives import new_archive, new_id, save

TABLE = tomllib.loads(schema_file("tables", "disclosure.toml").read_text(encoding="utf-8"))

SECTION_OF: dict[type[Value], str] = {
    ObjectRecord: "record",
    ProvenanceEvent: "provenance_event",
    Party: "party",
    Photograph: "photograph",
    Depiction: "depiction",
    TakenAt: "taken_at",
}

PARTY_FIELDS = {"who", "giver", "receiver", "agent", "party", "written_by", "photographer"}

AMOUNT = "7301.55"

FIXED: dict[tuple[str, str], str] = {
    ("Title", "language"): "en",
    ("Rights", "uri"): "http://rightsstatements.org/vocab/InC/1.0/",
    ("Statement", "said"): "1998",
    ("Reading", "confidence"): "0.5",
    ("SaleFact", "amount"): AMOUNT,
}
"""Words that must be of a form. None of them is private but the amount, which is searched for."""

Step = tuple[str, str]
NOBODY: Step = ("", "")
"""The step that leads to the owner alone."""

STAND_IN: Step = ("", "stand-in")
"""The step that leads to those who are not told the name of a private party."""

UNLISTED = "qzx9999q"
"""The folder that the archive lies in; not even the archive knows of it."""

PINK = (255, 0, 255)
"""The colour of whatever others must not see in pixels; nothing that they may see has it."""

GPS_NUMBER = 0x5A7B6C3D
"""A numerator of a position, found in a file in either order of bytes."""


@dataclass
class Secrets:
    """Words that occur nowhere else, each with the steps in the table that lead to it.

    `fields` tells of those that stand in the model in which field ('Mark.place').
    """

    ways: dict[str, tuple[Step, ...]] = field(
        default_factory=lambda: {AMOUNT: (("record", "sales"),)}
    )
    fields: dict[str, str] = field(default_factory=lambda: {AMOUNT: "SaleFact.amount"})

    def word(self, way: Iterable[Step] = (NOBODY,), stands_in: str = "") -> str:
        name = f"qzx{len(self.ways):04d}q"
        self.ways[name] = tuple(way)
        if stands_in:
            self.fields[name] = stands_in
        return name

    def known(
        self, audience: str, *, let: Iterable[Step] = (), kept: Iterable[Step] = ()
    ) -> set[str]:
        """Every secret that the table lets the audience know, with overrides `let` and `kept`."""
        opened, closed = set(let), set(kept)

        def lets(step: Step) -> bool:
            if step == STAND_IN:
                return not lets(("private_party", "name"))
            return step not in closed and (step in opened or _lets(step, audience))

        return {
            name for name, way in self.ways.items() if audience == "owner" or all(map(lets, way))
        }


def _lets(step: Step, audience: str) -> bool:
    if step == NOBODY:
        return False
    who = TABLE[step[0]].get(step[1], [])
    return who == "all" or audience in who


class Planter:
    """Fills values with secrets, and collects the parties that they name."""

    def __init__(self, secrets: Secrets) -> None:
        self.secrets = secrets
        self.parties: list[Party] = []

    def filled(self, type_: type[Value], way: tuple[Step, ...], **given: Any) -> Any:
        """A value of a type with every field filled that is not given."""
        values = dict(given)
        for info in msgspec.structs.fields(type_):
            if info.name not in values:
                step = self._step(type_, info.name)
                values[info.name] = self._held(type_, info.name, info.type, (*way, *step))
        return type_(**values)

    def _step(self, type_: type[Value], name: str) -> tuple[Step, ...]:
        section = SECTION_OF.get(type_, "")
        if section and name in TABLE[section]:
            return ((section, name),)
        if issubclass(type_, Statement) and name in Statement.__struct_fields__:
            return (("statement", name),)
        return (NOBODY,) if section else ()

    def _held(self, type_: type[Value], name: str, kind: Any, way: tuple[Step, ...]) -> Any:
        if typing.get_origin(kind) in (types.UnionType, typing.Union):
            kind = next(k for k in typing.get_args(kind) if k is not type(None))
        if typing.get_origin(kind) is tuple:
            if typing.get_args(kind)[0] is str:
                return (self.secrets.word(way, f"{type_.__name__}.{name}"),)
            return self._several(typing.get_args(kind)[0], way)
        if kind is str:
            return self._words(type_, name, way)
        if kind is bool:
            return name in ("preferred", "approximate", "reviewed")
        if kind is int:
            return 1
        if issubclass(kind, StrEnum):
            return next(iter(kind))
        return self._one(kind, way)

    def _words(self, type_: type[Value], name: str, way: tuple[Step, ...]) -> str:
        if name in PARTY_FIELDS:
            return self.party(way).id
        carried = issubclass(type_, Statement) and name in Statement.__struct_fields__
        fixed = FIXED.get(("Statement" if carried else type_.__name__, name))
        return fixed or self.secrets.word(way, f"{type_.__name__}.{name}")

    def _several(self, kind: Any, way: tuple[Step, ...]) -> tuple[Any, ...]:
        if kind is Relation:
            return tuple(self._relation(kind_, way) for kind_ in RelationKind)
        if kind is Attribution:
            return tuple(self._attribution(aspect, way) for aspect in Aspect)
        items = [self._one(kind, way)]
        if issubclass(kind, Statement):
            items.append(self._one(kind, (*way, NOBODY), private=True))
        return tuple(items)

    def _one(self, kind: type[Value], way: tuple[Step, ...], **given: Any) -> Any:
        if kind is Date:
            convention = self.secrets.word(way, "Date.convention")
            return Date(edtf="1750", earliest=1750, latest=1750, convention=convention)
        if kind is Measurement:
            given |= {"low": "73", "high": "73", "unit": Unit.MILLIMETRE}
        if kind is Region:
            given |= {"x": 0, "y": 0, "width": 9, "height": 9}
            given |= {"reference_width": 9, "reference_height": 9}
        return self.filled(kind, way, **given)

    def _attribution(self, aspect: Aspect, way: tuple[Step, ...]) -> Attribution:
        empty = {"term": None} if aspect is Aspect.DATE else {"date": None}
        made: Attribution = self.filled(Attribution, way, aspect=aspect, **empty)
        return made

    def _relation(self, kind: RelationKind, way: tuple[Step, ...]) -> Relation:
        led = (*way, ("relations", kind.value))
        made: Relation = self.filled(Relation, led, kind=kind)
        return made

    def party(self, way: tuple[Step, ...], *, private: bool = True) -> Party:
        """A party that stands at the end of a way, with something in every field."""
        section = "private_party" if private else "party"

        def word(name: str) -> str:
            return self.secrets.word((*way, (section, name)), f"Party.{name}")

        told: dict[str, Any] = {
            info.name: word(info.name)
            for info in msgspec.structs.fields(Party)
            if info.type is str and info.name not in ("id", "name", "as_published", "address")
        }
        number = len(self.parties) + 1000
        party = Party(
            id=new_id(number),
            name=f"Zelda {word('name').capitalize()}",
            kind=PartyKind.PERSON,
            also_known_as=(f"Yolande {word('also_known_as').capitalize()}",),
            address=f"{word('address').capitalize()}, 5 {word('address').capitalize()} Street",
            private=private,
            # What it is to be published as is there to be told, wherever the name is not.
            as_published=self.secrets.word(
                (*way, STAND_IN) if private else (("party", "as_published"),)
            ),
            **told,
        )
        self.parties.append(party)
        if private:  # which pieces one person had is known by this
            self.secrets.ways[party.id] = (NOBODY,)
        return party


# Photographs


def landscape(size: tuple[int, int] = (240, 160)) -> Image.Image:
    """What everybody may see: greens."""
    ramp = Image.linear_gradient("L").resize(size)
    return Image.merge("RGB", (ramp.point(lambda v: v // 4), ramp, ramp.point(lambda v: v // 3)))


def pink(size: tuple[int, int] = (64, 48)) -> Image.Image:
    return Image.new("RGB", size, PINK)


def encoded(picture: Image.Image, format_: str, **options: Any) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, format_, **options)
    return stream.getvalue()


def profile(word: Callable[[], str]) -> bytes:
    """An sRGB profile with secrets in its words and behind its numbers."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    count = int.from_bytes(plain[128:132], "big")
    records = [struct.unpack_from(">4sII", plain, 132 + 12 * n) for n in range(count)]
    values = {name: plain[at : at + size] for name, at, size in records}
    for name in (b"desc", b"cprt", b"dmnd", b"dmdd", b"vued", b"prvt"):
        values[name] = b"text\0\0\0\0" + word().encode() + b"\0"
    position, entries, body = 132 + 12 * len(values), b"", b""
    for name, value in values.items():
        padded = value + b"\0" * (-len(value) % 4)
        entries += struct.pack(">4sII", name, position + len(body), len(value))
        body += padded
    head = struct.pack(">I", position + len(body)) + plain[4:128]
    return head + struct.pack(">I", len(values)) + entries + body


def xmp(word: Callable[[], str]) -> bytes:
    """An XMP packet with a person's face, its place and a history of files."""
    return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF
 xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:exif="http://ns.adobe.com/exif/1.0/"
 xmlns:aux="http://ns.adobe.com/exif/1.0/aux/" xmlns:mwg-rs="http://www.metadataworkinggroup.com/schemas/regions/"
 exif:GPSLatitude="{word()}" aux:SerialNumber="{word()}"><dc:creator><rdf:Seq>
 <rdf:li>{word()}</rdf:li></rdf:Seq></dc:creator>
 <mwg-rs:Regions rdf:parseType="Resource"><mwg-rs:RegionList><rdf:Bag>
 <rdf:li rdf:parseType="Resource"><mwg-rs:Name>{word()}</mwg-rs:Name></rdf:li></rdf:Bag>
 </mwg-rs:RegionList></mwg-rs:Regions></rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>""".encode()


def iptc(word: Callable[[], str]) -> bytes:
    """An IPTC-IIM block: by-line, caption, city."""
    fields = ((80, word()), (120, word()), (90, word()))
    return b"".join(
        b"\x1c\x02" + bytes((number,)) + struct.pack(">H", len(w)) + w.encode()
        for number, w in fields
    )


def exif(word: Callable[[], str]) -> bytes:
    """EXIF with secrets in every directory, a position, and a preview of its own."""
    zeroth, camera, gps = piexif.ImageIFD, piexif.ExifIFD, piexif.GPSIFD
    preview = encoded(pink(), "JPEG", comment=word().encode())
    words = (zeroth.ImageDescription, zeroth.Make, zeroth.Model, zeroth.Artist, zeroth.Copyright,
             zeroth.HostComputer, zeroth.Software, zeroth.CameraSerialNumber)  # fmt: skip
    cameras = (camera.BodySerialNumber, camera.LensSerialNumber, camera.CameraOwnerName,
               camera.LensModel, camera.ImageUniqueID)  # fmt: skip
    wide = (zeroth.XPTitle, zeroth.XPComment, zeroth.XPAuthor, zeroth.XPKeywords)
    return bytes(
        piexif.dump(
            {
                "0th": {
                    **{tag: word().encode() for tag in words},
                    **{tag: word().encode("utf-16-le") for tag in wide},
                },
                "Exif": {
                    **{tag: word().encode() for tag in cameras},
                    camera.MakerNote: b"Invented\0\1\2" + word().encode(),
                    camera.UserComment: b"UNICODE\0" + word().encode("utf-16-be"),
                },
                "GPS": {
                    gps.GPSLatitudeRef: b"N",
                    gps.GPSLatitude: ((GPS_NUMBER, 10**9), (1, 1), (1, 1)),
                    gps.GPSMapDatum: word().encode(),
                    gps.GPSProcessingMethod: b"ASCII\0\0\0" + word().encode(),
                    gps.GPSAreaInformation: b"ASCII\0\0\0" + word().encode(),
                },
                "Interop": {piexif.InteropIFD.InteroperabilityIndex: word().encode()},
                "1st": {zeroth.Software: word().encode()},
                "thumbnail": preview,
            }
        )
    )


def secret_jpeg(picture: Image.Image, word: Callable[[], str]) -> bytes:
    """A JPEG with something in every segment that is not its picture, and after its end."""
    plain = encoded(picture, "JPEG", quality=90)
    resource = iptc(word)
    photoshop = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(resource)) + resource
    photoshop += b"\0" * (len(resource) % 2)
    colours = profile(word)
    # In two parts, as long profiles are.
    half = 128
    segments = [
        (0xE0, b"JFXX\0\x10" + encoded(pink(), "JPEG")),
        (0xE1, exif(word)),
        (0xE1, b"http://ns.adobe.com/xap/1.0/\0" + xmp(word)),
        (0xE1, b"http://ns.adobe.com/xmp/extension/\0" + word().encode()),
        (0xE2, b"ICC_PROFILE\0\1\2" + colours[:half]),
        (0xE2, b"ICC_PROFILE\0\2\2" + colours[half:]),
        (0xE2, b"MPF\0" + word().encode()),
        (0xE2, b"FPXR\0" + word().encode()),
        (0xED, b"Photoshop 3.0\0" + photoshop),
        (0xFE, word().encode()),
        *((0xE0 + n, word().encode()) for n in (3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 15)),
    ]
    head = b"".join(
        bytes((0xFF, marker)) + struct.pack(">H", len(data) + 2) + data for marker, data in segments
    )
    # The second picture of a multi-picture file, and a film as telephones append it.
    return plain[:2] + head + plain[2:] + encoded(pink(), "JPEG") + b"ftypmp42" + word().encode()


def secret_png(picture: Image.Image, word: Callable[[], str]) -> bytes:
    """A PNG with words in every kind of chunk, a second frame, and something after its end."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = zlib.crc32(name + data)
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", check)

    plain = encoded(picture, "PNG")
    after_header = 8 + 25
    frame = encoded(pink(picture.size), "PNG")
    pixels = frame[frame.index(b"IDAT") + 4 : frame.rindex(b"IEND") - 8]
    control = struct.pack(">IIIIIHHBB", 1, *picture.size, 0, 0, 1, 10, 0, 0)
    head = b"".join(
        (
            chunk(b"iCCP", b"name\0\0" + zlib.compress(profile(word))),
            chunk(b"tEXt", b"Author\0" + word().encode()),
            chunk(b"zTXt", b"Comment\0\0" + zlib.compress(word().encode() * 9)),
            chunk(b"iTXt", b"Title\0\1\0\0\0" + zlib.compress(word().encode() * 9)),
            chunk(b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + xmp(word)),
            chunk(b"eXIf", exif(word)[6:]),
            chunk(b"prVt", word().encode()),
        )
    )
    second = chunk(b"fcTL", control) + chunk(b"fdAT", struct.pack(">I", 2) + pixels)
    end = plain.rindex(b"IEND") - 4
    body = plain[after_header:end]
    animated = chunk(b"acTL", struct.pack(">II", 2, 0))
    return plain[:after_header] + head + animated + body + second + plain[end:] + word().encode()


def secret_tiff(picture: Image.Image, word: Callable[[], str]) -> bytes:
    """A TIFF with words in tags and a second page that is not for others."""
    tags: dict[int, Any] = {number: word() for number in (270, 271, 272, 305, 315, 316, 33432)}
    tags |= {285: word(), 269: word(), 65000: word()}
    tags |= {700: xmp(word), 33723: iptc(word), 37724: word().encode(), 34377: word().encode()}
    return encoded(
        picture, "TIFF", tiffinfo=tags, save_all=True, append_images=[pink(picture.size)],
        icc_profile=profile(word),
    )  # fmt: skip


def secret_webp(picture: Image.Image, word: Callable[[], str]) -> bytes:
    return encoded(
        picture, "WEBP", quality=90, exif=exif(word)[6:], xmp=xmp(word),
        icc_profile=profile(word), save_all=True, append_images=[pink(picture.size)],
    )  # fmt: skip


def secret_gif(picture: Image.Image, word: Callable[[], str]) -> bytes:
    return encoded(
        picture.quantize(64), "GIF", comment=word().encode(), save_all=True,
        append_images=[pink(picture.size).quantize(4)],
    )  # fmt: skip


def secret_heic(picture: Image.Image, word: Callable[[], str]) -> bytes:
    import pillow_heif

    pillow_heif.register_heif_opener()
    return encoded(
        picture, "HEIF", quality=90, exif=exif(word)[6:], xmp=xmp(word),
        icc_profile=profile(word), save_all=True, append_images=[pink(picture.size)],
    )  # fmt: skip


MAKERS: dict[str, tuple[str, Callable[[Image.Image, Callable[[], str]], bytes]]] = {
    ".jpg": ("image/jpeg", secret_jpeg),
    ".png": ("image/png", secret_png),
    ".tif": ("image/tiff", secret_tiff),
    ".webp": ("image/webp", secret_webp),
    ".gif": ("image/gif", secret_gif),
    ".heic": ("image/heic", secret_heic),
}


# The archive


@dataclass
class Planted:
    """The archive, its secrets, and the one piece of it that is given out."""

    archive: Archive
    secrets: Secrets
    object: str


def planted(folder: Path) -> Planted:
    """An archive with secrets everywhere; use `archive` of it in a `with` block."""
    secrets = Secrets()
    planter = Planter(secrets)
    archive = new_archive(folder / UNLISTED / "archive")
    with (archive.folder / "archive.toml").open("a", encoding="utf-8", newline="\n") as settings:
        settings.write(f"# {secrets.word()}\n")
    (archive.proposals / "old.json").write_text(f'{{"{secrets.word()}": 1}}', encoding="utf-8")
    record = _record(planter)
    # What it said before, and another piece of which nothing is asked for.
    before = msgspec.structs.replace(record, titles=(Title(value=secrets.word()),))
    other = ObjectRecord(
        id=new_id(2), stock_number=secrets.word(), titles=(Title(value=secrets.word()),)
    )
    save(archive.catalogue, *planter.parties, before, other)
    with archive.catalogue.action("edit", secrets.word(), secrets.word()) as action:
        action.save(record)
    _photographs(archive, folder / secrets.word(), planter, record, other)
    save(archive.catalogue, *planter.parties)
    return Planted(archive, secrets, record.id)


def _record(planter: Planter) -> ObjectRecord:
    word = planter.secrets.word
    record: ObjectRecord = planter.filled(
        ObjectRecord, (), id=new_id(1), merged_into="", withdrawn=False, stock_number="T 1"
    )
    seller = planter.party((("record", "provenance"),))
    museum = planter.party((("record", "sales"),), private=False)
    named = (("record", "descriptions"),)
    mention = (
        f"{word(named)} bought of {seller.name} at {seller.address}; {seller.also_known_as[0]}"
    )
    return msgspec.structs.replace(
        record,
        titles=(
            Title(value="Celadon bowl", as_stated="Celadon bowl", preferred=True),
            *(msgspec.structs.replace(t, preferred=False) for t in record.titles),
        ),
        rights=msgspec.structs.replace(record.rights or Rights(), uri=FIXED["Rights", "uri"]),
        notes=(
            *record.notes,
            Note(as_stated=word((("notes", "condition"),)), heading="Condition"),
        ),
        provenance=(*record.provenance, ProvenanceEvent(giver=seller.id)),
        sales=(*record.sales, SaleFact(stage=SaleStage.SOLD, party=museum.id)),
        descriptions=(*record.descriptions, Note(as_stated=mention, heading="description")),
    )


def _photographs(
    archive: Archive, folder: Path, planter: Planter, record: ObjectRecord, other: ObjectRecord
) -> None:
    """A photograph in each format, a group, and views that nobody else may see."""
    word = planter.secrets.word
    for number, (extension, (media_type, make)) in enumerate(MAKERS.items()):
        view = (View.OVERALL, View.BASE, View.MARK, View.SIDE, View.BACK, View.DETAIL)[number]
        _take_in(archive, folder, planter, make(landscape(), word), extension, media_type,
                 ((record, view, {}),))  # fmt: skip
    group = landscape()
    group.paste(pink((120, 160)), (120, 0))
    mine = Region(x=0, y=0, width=96, height=160, reference_width=240, reference_height=160)
    for extension in (".jpg", ".tif"):
        media_type, make = MAKERS[extension]
        both = ((record, View.GROUP, {"region": mine}), (other, View.GROUP, {"caption": word()}))
        _take_in(archive, folder, planter, make(group, word), extension, media_type, both)
    withheld: tuple[tuple[View, dict[str, Any]], ...] = (
        (View.LABEL, {}),
        (View.DOCUMENT, {}),
        (View.UNKNOWN, {}),
        (View.BASE, {"reviewed": False}),
        (View.MARK, {"private": True}),
        (View.GROUP, {}),
    )
    for view, changes in withheld:
        hidden = {"caption": word(), **changes}
        _take_in(archive, folder, planter, secret_jpeg(pink((80, 60)), word), ".jpg", "image/jpeg",
                 ((record, view, hidden),))  # fmt: skip


def _take_in(
    archive: Archive,
    folder: Path,
    planter: Planter,
    data: bytes,
    extension: str,
    media_type: str,
    shows: tuple[tuple[ObjectRecord, View, dict[str, Any]], ...],
) -> None:
    source = folder / planter.secrets.word() / f"{planter.secrets.word()}{extension}"
    source.parent.mkdir(parents=True)
    source.write_bytes(data)
    digests = archive.store.take_in(source, extension)
    # What is told of a picture that stays with the owner stays there too.
    way = (NOBODY,) if all("caption" in changes for _, _, changes in shows) else ()
    depictions = tuple(
        planter.filled(
            Depiction,
            (NOBODY,) if "caption" in changes else (*way, ("photograph", "depictions")),
            object=record.id,
            view=view,
            sequence=0,
            released=(planter.secrets.word(),),
            **{"reviewed": True, "region": None, "private": False, **changes},
        )
        for record, view, changes in shows
    )
    with Image.open(source) as picture:
        width, height = picture.size
    photograph = planter.filled(
        Photograph, way, id=new_id(), sha256=digests.sha256, extension=extension,
        media_type=media_type, width=width, height=height, orientation=1, pages=1, undecodable="",
        withdrawn=False, depictions=depictions,
    )  # fmt: skip
    with archive.catalogue.action("apply", "Ines Tidewell") as action:
        add_source(action, new_id(7), "photo-folder", str(folder))
        add_original(action, digests, extension, media_type)
        add_occurrence(action, Occurrence(digests.sha256, new_id(7), str(source)))
        action.save(photograph)
