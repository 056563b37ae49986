"""Derivatives of real photographs of ceramics are found, and no two pieces are taken for one.

The photographs are of thirty pieces in open museum collections, one of each; skipped where they
are missing.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, ImageFilter, ImageOps

from archivist.intake.pictures.duplicates import same_pictures
from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.look import look_at

CERAMICS = Path(__file__).parents[4] / "shared/photos/ceramics"
PHOTOGRAPHS = sorted(CERAMICS.glob("*.jpg"))

pytestmark = pytest.mark.skipif(
    len(PHOTOGRAPHS) < 10, reason=f"no photographs of ceramics in {CERAMICS}"
)

Change = Callable[[Image.Image], Image.Image]


def _small(picture: Image.Image, longest: int) -> Image.Image:
    small = picture.copy()
    small.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    return small


def _cut(picture: Image.Image, left: float, top: float, right: float, bottom: float) -> Image.Image:
    wide, high = picture.size
    box = (left * wide, top * high, (1 - right) * wide, (1 - bottom) * high)
    left_, top_, right_, bottom_ = map(round, box)
    return picture.crop((left_, top_, right_, bottom_))


def _stamped(picture: Image.Image) -> Image.Image:
    stamped = picture.copy()
    pen = ImageDraw.Draw(stamped, "RGBA")
    place = (0.6 * picture.width, 0.93 * picture.height)
    pen.text(place, "Tidewell & Oke", fill=(255, 255, 255, 150), font_size=picture.width / 18)
    return stamped


CHANGES: dict[str, tuple[Change, int]] = {
    "half the size": (lambda p: p.resize((p.width // 2, p.height // 2)), 85),
    "a thumbnail": (lambda p: _small(p, 160), 80),
    "a quarter turn": (lambda p: p.transpose(Image.Transpose.ROTATE_90), 85),
    "upside down": (lambda p: p.transpose(Image.Transpose.ROTATE_180), 85),
    "a quarter turn back": (lambda p: p.transpose(Image.Transpose.ROTATE_270), 85),
    "cut by 8 % left and top": (lambda p: _cut(p, 0.08, 0.08, 0, 0), 85),
    "cut all round": (lambda p: _cut(p, 0.03, 0.05, 0.06, 0.04), 85),
    "cut and small": (lambda p: _small(_cut(p, 0.05, 0.02, 0.03, 0.07), 400), 80),
    "sharpened": (lambda p: p.filter(ImageFilter.UnsharpMask(2, 150, 2)), 85),
    "grey": (lambda p: p.convert("L").convert("RGB"), 85),
    "compressed hard": (lambda p: p, 40),
    "stamped": (_stamped, 85),
}
EACH = 4
"""Changes of each photograph; all are made of as many photographs."""


def _looked(path: Path, name: str, picture: Image.Image, quality: int) -> tuple[Picture, bytes]:
    picture.save(path, "JPEG", quality=quality)
    look = look_at(path, *picture.size)
    return Picture(str(path), path.name, look, stem=name), look.small


def test_all_derivatives_are_found_and_no_two_pieces_are_merged(tmp_path: Path) -> None:
    pictures: list[Picture] = []
    small: dict[str, bytes] = {}
    piece: dict[str, int] = {}
    changes = list(CHANGES.items())
    for number, photograph in enumerate(PHOTOGRAPHS):
        with Image.open(photograph) as opened:
            original = opened.convert("RGB")
        made = [("original", original, 95)]
        for step in range(EACH):
            title, (change, quality) = changes[(EACH * number + step) % len(changes)]
            made.append((title, change(original), quality))
        for title, picture, quality in made:
            path = tmp_path / f"{number} {title}.jpg"
            looked, bytes_ = _looked(path, f"piece {number}", picture, quality)
            pictures.append(looked)
            small[looked.sha256] = bytes_
            piece[looked.sha256] = number
    clusters, _ = same_pictures(pictures, small.__getitem__)
    groups = [
        {pictures[m].sha256 for m in (c.keeper, *(o.picture for o in c.others))} for c in clusters
    ]
    assert [g for g in groups if len({piece[m] for m in g}) > 1] == []
    missed = {p.sha256 for p in pictures} - {member for group in groups for member in group}
    assert sorted(Path(path).name for path in missed) == []
    assert len(groups) == len(PHOTOGRAPHS)


def test_without_names_to_help_no_two_pieces_are_merged_and_a_mirror_image_is_not_a_copy(
    tmp_path: Path,
) -> None:
    pictures: list[Picture] = []
    small: dict[str, bytes] = {}
    for number, photograph in enumerate(PHOTOGRAPHS):
        with Image.open(photograph) as opened:
            original = opened.convert("RGB")
        for title, picture in (("plain", original), ("mirror", ImageOps.mirror(original))):
            looked, bytes_ = _looked(tmp_path / f"{number} {title}.jpg", "", picture, 90)
            pictures.append(looked)
            small[looked.sha256] = bytes_
    clusters, nearly = same_pictures(pictures, small.__getitem__)
    assert clusters == []
    pairs = {(n.one, n.other) for n in nearly if "mirror" in n.because}
    expected = {(2 * n, 2 * n + 1) for n in range(len(PHOTOGRAPHS))}
    assert pairs <= expected
    assert len(pairs) >= 0.9 * len(expected)
