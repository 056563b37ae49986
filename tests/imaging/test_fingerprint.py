from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image, ImageEnhance

from archivist.imaging.fingerprint import Fingerprint, distance, fingerprint
from archivist.imaging.pixels import open_upright


def test_both_fingerprints_are_those_of_an_independent_library(shared_photos: Path) -> None:
    imagehash = pytest.importorskip("imagehash", reason="the library imagehash is not installed")
    for path in sorted((shared_photos / "ceramics").glob("*.jpg")):
        picture = open_upright(path, reduced_to=400)
        ours = fingerprint(picture)
        assert ours.gradient == str(imagehash.dhash(picture)), path
        assert ours.cosine == str(imagehash.phash(picture)), path


def test_a_picture_is_known_again_after_resizing_compression_and_brightening(
    shared_photos: Path,
) -> None:
    for path in sorted((shared_photos / "ceramics").glob("*.jpg")):
        picture = open_upright(path, reduced_to=400)
        stream = io.BytesIO()
        picture.resize((200, 200 * picture.height // picture.width)).save(
            stream, "JPEG", quality=40
        )
        small = ImageEnhance.Brightness(Image.open(stream)).enhance(1.1)
        gradient, cosine = distance(fingerprint(picture), fingerprint(small))
        assert gradient <= 12, path  # of 64; brightening clips white grounds
        assert cosine <= 8, path


def test_different_pieces_are_told_apart(shared_photos: Path) -> None:
    prints = [
        fingerprint(open_upright(path, reduced_to=400))
        for path in sorted((shared_photos / "ceramics").glob("*.jpg"))
    ]
    pairs = [distance(one, other) for n, one in enumerate(prints) for other in prints[n + 1 :]]
    alike = sum(gradient <= 8 and cosine <= 8 for gradient, cosine in pairs)
    assert len(pairs) == 435
    assert alike == 0


def test_distance_counts_the_bits_that_differ() -> None:
    one = Fingerprint(gradient="0" * 16, cosine="f" * 16)
    other = Fingerprint(gradient="8" + "0" * 14 + "1", cosine="0" * 16)
    assert distance(one, other) == (2, 64)
    assert distance(one, one) == (0, 0)


def test_a_picture_of_one_colour_has_a_fingerprint() -> None:
    flat = fingerprint(Image.new("RGB", (50, 50), "grey"))
    assert flat.gradient == "0" * 16
    assert len(flat.cosine) == 16
