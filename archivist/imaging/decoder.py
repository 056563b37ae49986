"""The one door to Pillow: which decoders may run, how large a picture may be, what may go wrong.

Only the decoders of the formats we name are let at a file (others start programs or are seldom
tested), and a file is opened as what its bytes say it is.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from archivist.content import ByteSource, Content
from archivist.imaging import formats
from archivist.imaging.formats import Format
from archivist.imaging.header import Header, exif_of

if TYPE_CHECKING:
    from PIL.Image import Image

LIMIT_PIXELS = 500_000_000
"""Above this a picture is taken for a decompression bomb (a large scan has 200 million)."""


class Undecodable(Exception):  # noqa: N818 - a fact about the file, turned into words by callers
    """Why a picture cannot be decoded, as the end of the sentence 'it cannot be shown: ...'."""


@cache
def prepare() -> frozenset[str]:
    """The names of Pillow's decoders that are there; HEIC comes with the package `pillow-heif`.

    Pillow's own guard is set to our limit (it warns from there on and refuses at twice as much),
    so that plugins that use Pillow by themselves are guarded as well. Its warnings of odd metadata
    are for programmers, and silenced once for all: doing so at each call is not safe in threads.
    """
    import warnings

    from PIL import Image

    warnings.filterwarnings("ignore", category=UserWarning, module=r"PIL\.")
    warnings.filterwarnings("ignore", category=Image.DecompressionBombWarning)

    Image.MAX_IMAGE_PIXELS = LIMIT_PIXELS
    Image.init()
    try:
        import pillow_heif

        pillow_heif.register_heif_opener()
    except ImportError:
        pass
    return frozenset(Image.OPEN)


def can_decode(kind: Format) -> bool:
    """Whether a decoder for the format is installed."""
    return any(name in prepare() for name in kind.pillow)


def open_picture(source: ByteSource, kind: Format, limit_pixels: int = LIMIT_PIXELS) -> Image:
    """The picture, its size and mode known, its pixels not yet decoded; the caller closes it.

    Raises:
        Undecodable: there is no decoder, the header is broken, or it is larger than the limit.
    """
    from PIL import Image

    if not can_decode(kind):
        raise Undecodable("no decoder for it is installed here")
    try:
        opened: Any = source.open("rb") if isinstance(source, Content) else source
        image = Image.open(opened, formats=[name for name in kind.pillow if name in prepare()])
    except Image.DecompressionBombError:
        raise Undecodable(f"it claims more than {2 * LIMIT_PIXELS // 10**6} megapixels") from None
    except Exception as error:
        raise Undecodable("its header is broken") from error
    pixels = image.width * image.height
    if pixels > limit_pixels:
        image.close()
        raise Undecodable(
            f"it claims {pixels // 10**6} megapixels, more than the {limit_pixels // 10**6} allowed"
        )
    return image


def decodes(image: Image) -> bool:
    """Whether all of the picture is there, found out by decoding it.

    For files whose structure is suspicious: a PNG that merely lost its last chunk is whole.
    """
    try:
        image.load()
    except Exception:  # noqa: BLE001 - decoders raise whatever their parsing ran into
        return False
    return True


def orientation_of(image: Image, header: Header) -> int:
    """How the picture must be turned to stand upright, 1 to 8 (Exif 2.3, 4.6.4 A, Orientation).

    HEIF and AVIF turn by their own boxes, which go before EXIF; their decoders put what remains
    to be done into the EXIF block they hand over.
    """
    if header.format in (formats.HEIC, formats.AVIF):
        return exif_of(image.info.get("exif") or b"").orientation
    return header.exif.orientation
