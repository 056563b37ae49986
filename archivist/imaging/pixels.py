"""A picture as anyone expects to see it: upright, 8 bits a channel, sRGB or grey, on white."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from archivist.content import ByteSource
from archivist.errors import SourceError
from archivist.imaging import decoder, formats, icc
from archivist.imaging.decoder import LIMIT_PIXELS, Undecodable
from archivist.imaging.header import Header, read_header
from archivist.model.photographs import Region

if TYPE_CHECKING:
    from PIL.Image import Image

_TURNS = {2: "FLIP_LEFT_RIGHT", 3: "ROTATE_180", 4: "FLIP_TOP_BOTTOM", 5: "TRANSPOSE",
          6: "ROTATE_270", 7: "TRANSVERSE", 8: "ROTATE_90"}  # fmt: skip
"""What makes each Orientation upright (Exif 2.3, 4.6.4 A); Pillow turns anticlockwise."""

_BITS_PER_SAMPLE, _PHOTOMETRIC, _WHITE_IS_ZERO = 258, 262, 0
_USUAL_WHITES: dict[str, tuple[int, ...]] = {"I": (65535,), "F": (1, 255, 65535)}
"""What white may be worth in samples of 32 bits, the least that holds them all counts."""

_SAME = 2
"""Two sRGB values that differ by no more than this, of 255, are taken for the same."""


def open_upright(
    path: ByteSource,
    *,
    page: int = 0,
    reduced_to: int | None = None,
    allow_truncated: bool = False,
    limit_pixels: int = LIMIT_PIXELS,
) -> Image:
    """The decoded picture in mode 'RGB' or 'L', upright, without any metadata.

    `page` counts pages or frames from 0. With `reduced_to` its longest side has at most that many
    pixels; a JPEG is then decoded at a fraction of its size, which is several times faster. With
    `allow_truncated` the part of a damaged picture that can be decoded is given, the rest black.

    Raises:
        SourceError: it cannot be read, is no picture, has no decoder, lacks the page, is damaged,
            or has more than `limit_pixels` pixels.
    """
    header = header_of(path)
    try:
        with decoder.open_picture(path, header.format, limit_pixels) as image:
            return _upright(image, header, page, reduced_to, allow_truncated, limit_pixels)
    except Undecodable as reason:
        raise SourceError(
            f"{path} is {header.format.called} that cannot be shown: {reason}.",
            "The original is kept as it is; look for an undamaged copy of it.",
        ) from reason
    except MemoryError as error:
        raise SourceError(
            f"{path} is too large a picture for the memory of this computer.",
            "The original is kept as it is; close other programs and try again.",
        ) from error


def header_of(path: ByteSource) -> Header:
    """The header of a picture.

    Raises:
        SourceError: the file cannot be read, or is no picture.
    """
    try:
        header = read_header(path)
    except OSError as error:
        raise SourceError(
            f"{path} could not be read ({error.strerror or error}).",
            "Make the file readable and try again.",
        ) from error
    if header is None or not header.format.is_image:
        called = header.format.called if header else "no image format known here"
        raise SourceError(
            f"{path} is {called}, and cannot be shown as a picture.",
            "The original is kept as it is.",
        )
    return header


def crop(image: Image, region: Region) -> Image:
    """The part of an upright picture that `region` bounds, carried over to the picture's size.

    Edges are rounded to the nearest pixel; at least one pixel remains each way.
    """

    def edges(start: int, length: int, reference: int, size: int) -> tuple[int, int]:
        first = min(round(start * size / reference), size - 1)
        last = min(max(round((start + length) * size / reference), first + 1), size)
        return first, last

    left, right = edges(region.x, region.width, region.reference_width, image.width)
    top, bottom = edges(region.y, region.height, region.reference_height, image.height)
    return image.crop((left, top, right, bottom))


def _upright(
    image: Image,
    header: Header,
    page: int,
    reduced_to: int | None,
    allow_truncated: bool,
    limit_pixels: int,
) -> Image:
    from PIL.Image import Transpose

    if page:
        _turn_to(image, page, limit_pixels)
    orientation = decoder.orientation_of(image, header)
    whole = image.size
    if reduced_to:
        share = min(1.0, reduced_to / max(image.size))
        wanted = (round(image.width * share) or 1, round(image.height * share) or 1)
        image.draft(image.mode, wanted)
    drafted = image.size != whole
    profile = image.info.get("icc_profile") or (icc.adobe_rgb() if header.exif.adobe_rgb else b"")
    tags = dict(getattr(image, "tag_v2", {}))
    _load(image, allow_truncated)
    upright = _on_white(_eight_bits(image, tags))
    if reduced_to and max(upright.size) > reduced_to:
        upright = _reduced(upright, whole if drafted else upright.size, reduced_to)
    upright = _in_srgb(upright, profile)
    if orientation in _TURNS and header.format is not formats.TIFF:  # Pillow turns a TIFF itself
        upright = upright.transpose(Transpose[_TURNS[orientation]])
    upright.info = {}
    return upright


def _reduced(image: Image, whole: tuple[int, int], longest: int) -> Image:
    """At most so many pixels long. A JPEG of odd size that was decoded at a fraction of it has a
    last row and column that are only in part of the picture; `whole` is its full size then."""
    from PIL.Image import Resampling

    across, down = (
        side / max(1, round(side / now)) for side, now in zip(whole, image.size, strict=True)
    )
    scale = longest / max(across, down)
    size = (max(1, round(across * scale)), max(1, round(down * scale)))
    return image.resize(size, Resampling.LANCZOS, box=(0, 0, across, down), reducing_gap=3.0)


def _turn_to(image: Image, page: int, limit_pixels: int) -> None:
    try:
        image.seek(page)
    except Exception as error:
        raise Undecodable(f"it has no page {page + 1}") from error
    if image.width * image.height > limit_pixels:
        raise Undecodable(f"its page {page + 1} has more pixels than allowed")


def _load(image: Image, allow_truncated: bool) -> None:
    try:
        image.load()
    except MemoryError:
        raise
    except Exception as error:
        decoded = getattr(image, "_im", None) is not None
        if not (allow_truncated and decoded):
            raise Undecodable("its picture is damaged or cut short") from error
        # What was decoded until then is in place; without tiles Pillow asks for no more.
        image.__dict__["tile"] = []


def _eight_bits(image: Image, tags: dict[int, Any]) -> Image:
    """The picture with 8 bits a channel; more bits are scaled from their full range.

    Pillow itself takes the high byte of 16-bit colour; grey it hands over as it is.
    """
    from PIL import ImageOps

    if image.mode.startswith("I;16"):
        bits = tags.get(_BITS_PER_SAMPLE, (16,))
        white = (1 << (bits[0] if isinstance(bits, tuple) else bits)) - 1
        grey = _scaled(image if image.mode == "I;16" else image.convert("I"), white)
        return ImageOps.invert(grey) if tags.get(_PHOTOMETRIC) == _WHITE_IS_ZERO else grey
    if image.mode in _USUAL_WHITES:
        extrema: Any = image.getextrema()
        usual = (white for white in _USUAL_WHITES[image.mode] if extrema[1] <= white)
        return _scaled(image, next(usual, extrema[1]))
    return image.convert("L") if image.mode == "1" else image


def _scaled(image: Image, white: float) -> Image:
    return image.point(lambda value: value * (255 / white) + 0.5).convert("L")


def _on_white(image: Image) -> Image:
    """Palette and transparency resolved; what shines through is white."""
    from PIL import Image as Images

    if image.mode == "PA" or "transparency" in image.info:
        image = image.convert("RGBA")
    elif image.mode == "P":
        image = image.convert("RGB")
    elif image.mode in ("La", "RGBa"):
        image = image.convert("LA" if image.mode == "La" else "RGBA")
    if image.mode in ("LA", "RGBA"):
        flat = Images.new("RGB" if image.mode == "RGBA" else "L", image.size, "white")
        flat.paste(image.convert(flat.mode), mask=image.getchannel("A"))
        return flat
    return image


def _in_srgb(image: Image, profile: bytes) -> Image:
    """The picture in sRGB or grey. A profile that is damaged or of another space is passed over."""
    from PIL import ImageCms

    space = {"RGB": b"RGB ", "L": b"GRAY", "CMYK": b"CMYK", "LAB": b"Lab "}.get(image.mode, b"")
    mode = "L" if image.mode == "L" else "RGB"
    source: Any = profile
    if image.mode == "LAB":
        source = ImageCms.createProfile("LAB")
    elif not space or icc.space_of(profile) != space:
        return image if image.mode == mode else image.convert(mode)
    try:
        transform = _transform(source, image.mode)
        if image.mode == "RGB" and _changes_nothing(transform):
            return image
        converted = ImageCms.applyTransform(image, transform, inPlace=image.mode == "RGB") or image
    except (ImageCms.PyCMSError, OSError, ValueError):
        converted = image
    return converted if converted.mode == mode else converted.convert(mode)


def _transform(source: Any, mode: str) -> Any:
    """Relative colorimetric with black point compensation: what print and screen have in common
    stays as it is (common practice, no source)."""
    import io

    from PIL import ImageCms

    opened = ImageCms.ImageCmsProfile(io.BytesIO(source)) if isinstance(source, bytes) else source
    return ImageCms.buildTransform(
        opened,
        ImageCms.createProfile("sRGB"),
        mode,
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )


def _changes_nothing(transform: Any) -> bool:
    """Whether the profile is sRGB itself, tried on 729 colours: most are, and time is saved."""
    from PIL import Image as Images
    from PIL import ImageChops, ImageCms

    steps = [*range(0, 256, 32), 255]
    colours = bytes(part for r in steps for g in steps for b in steps for part in (r, g, b))
    before = Images.frombytes("RGB", (len(colours) // 3, 1), colours)
    after = ImageCms.applyTransform(before, transform)
    if after is None:
        return False
    bands: Any = ImageChops.difference(before, after).getextrema()
    return all(high <= _SAME for _, high in bands)
