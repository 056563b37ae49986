from __future__ import annotations

import io
import struct
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from archivist.imaging import icc

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def converted(image: Image.Image, profile: bytes) -> bytes:
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    result = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
    assert result is not None
    return result.tobytes()


@pytest.mark.parametrize("profile", [SRGB, icc.adobe_rgb()], ids=["v4", "v2"])
def test_a_cleaned_profile_shows_the_same_colours(profile: bytes, photograph: Image.Image) -> None:
    clean = icc.cleaned(profile)
    assert converted(photograph, clean) == converted(photograph, profile)


def test_a_cleaned_profile_says_nothing_of_its_own(photograph: Image.Image) -> None:
    clean = ImageCms.ImageCmsProfile(io.BytesIO(icc.cleaned(SRGB)))
    assert ImageCms.getProfileDescription(clean).strip() == icc.DESCRIPTION
    assert ImageCms.getProfileCopyright(clean).strip() == icc.COPYRIGHT
    assert ImageCms.getProfileManufacturer(clean).strip() == ""
    assert ImageCms.getProfileModel(clean).strip() == ""


@pytest.mark.parametrize("profile", [SRGB, icc.adobe_rgb()], ids=["v4", "v2"])
def test_cleaning_twice_is_cleaning_once(profile: bytes) -> None:
    assert icc.cleaned(icc.cleaned(profile)) == icc.cleaned(profile)


def test_the_header_is_written_anew() -> None:
    # ICC.1:2022, table 17: preferred CMM, date, platform, maker, model, creator, profile ID.
    marked = bytearray(SRGB)
    for start, size in ((4, 4), (24, 12), (40, 4), (48, 8), (56, 8), (80, 4), (84, 16), (100, 28)):
        marked[start : start + size] = (b"SecretSecretSecretSecretSecret")[:size]
    assert b"Secr" not in icc.cleaned(bytes(marked))
    assert icc.cleaned(bytes(marked)) == icc.cleaned(SRGB)


def test_the_optional_colour_space_of_cameras_has_its_published_numbers() -> None:
    # Whatever the primaries, together they must make the white of the connection space; that
    # colours come out right is held by the tests of pictures.
    profile = ImageCms.ImageCmsProfile(io.BytesIO(icc.adobe_rgb())).profile
    assert profile.xcolor_space.strip() == "RGB"
    primaries: Any = (profile.red_colorant, profile.green_colorant, profile.blue_colorant)
    sums = [sum(primary[0][n] for primary in primaries) for n in range(3)]
    assert sums == pytest.approx([0.9642, 1.0, 0.8249], abs=0.0002)  # D50, ICC.1:2022, 7.2.16


@pytest.mark.parametrize(
    "profile",
    [
        b"",
        b"nonsense",
        SRGB[:100],
        SRGB[:200],
        SRGB.replace(b"para", b"text"),
        SRGB[:8] + b"\5" + SRGB[9:],
        SRGB[:12] + b"link" + SRGB[16:],
        SRGB[:128] + struct.pack(">I", 1) + SRGB[132:],
    ],
    # A profile holds the second in which it was made, so its bytes are no name for a test.
    ids=["empty", "nonsense", "cut", "cut later", "other tags", "version 5", "link", "one tag"],
)
def test_a_profile_that_is_damaged_or_rare_is_given_up(profile: bytes) -> None:
    assert icc.cleaned(profile) == b""


@given(place=st.integers(0, len(SRGB) - 1), byte=st.integers(0, 255), end=st.integers(0, len(SRGB)))
def test_no_damage_makes_it_fail(place: int, byte: int, end: int) -> None:
    damaged = SRGB[:place] + bytes((byte,)) + SRGB[place + 1 :]
    for profile in (damaged, damaged[:end]):
        clean = icc.cleaned(profile)
        assert icc.cleaned(clean) == clean
