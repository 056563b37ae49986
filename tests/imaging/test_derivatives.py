from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from archivist.imaging.derivatives import fit, save_jpeg, save_png


@given(st.integers(1, 300), st.integers(1, 300), st.integers(1, 300))
def test_a_fitted_picture_keeps_its_shape_and_is_never_enlarged(
    width: int, height: int, longest: int
) -> None:
    fitted = fit(Image.new("L", (width, height)), longest)
    assert max(fitted.size) == min(longest, max(width, height))
    assert min(fitted.size) >= 1
    assert abs(fitted.width * height - fitted.height * width) <= max(width, height)


def test_a_picture_that_fits_is_given_back_as_it_is(photograph: Image.Image) -> None:
    assert fit(photograph, 240) is photograph


@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_the_same_picture_gives_the_same_bytes(
    tmp_path: Path, photograph: Image.Image, mode: str
) -> None:
    picture = photograph.convert(mode)
    save_jpeg(picture, tmp_path / "a.jpg")
    stream = io.BytesIO()
    save_jpeg(picture.copy(), stream)
    assert stream.getvalue() == (tmp_path / "a.jpg").read_bytes()


def test_nothing_that_clings_to_a_picture_is_written(photograph: Image.Image) -> None:
    picture = photograph.copy()
    picture.info |= {"comment": b"secret", "exif": b"Exif\0\0secret", "icc_profile": b"secret" * 30,
                     "xmp": b"secret", "dpi": (300, 300), "transparency": b"secret"}  # fmt: skip
    for save in (save_jpeg, save_png):
        stream = io.BytesIO()
        save(picture, stream)
        assert b"secret" not in stream.getvalue(), save
        stream.seek(0)
        with Image.open(stream) as written:
            assert not set(written.info) & {"comment", "exif", "icc_profile", "xmp", "dpi"}, save
            assert not written.getexif(), save


def test_a_png_says_that_it_is_srgb_and_loses_nothing(photograph: Image.Image) -> None:
    stream = io.BytesIO()
    save_png(photograph, stream)
    with Image.open(stream) as written:
        assert "srgb" in written.info
        assert written.tobytes() == photograph.tobytes()
