from __future__ import annotations

import io
import struct
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from archivist.imaging import icc
from archivist.imaging.icc_tables import NoTable, canonical_table

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


# Tables of the fourth version

HIDDEN = b"Ines Tidewell, 5 Harbour Lane"


def curve(*numbers: int) -> bytes:
    data = b"curv\0\0\0\0" + struct.pack(f">I{len(numbers)}H", len(numbers), *numbers)
    return data + bytes(-len(data) % 4)


def parametric(gamma: float) -> bytes:
    return b"para\0\0\0\0\0\0" + HIDDEN[:2] + struct.pack(">i", round(gamma * 65536))


def table(kind: bytes, *, gap: bytes = b"") -> bytes:
    """A table of three channels each way, its parts in an order of their own with `gap` between."""
    bend = (0, 9000, 30000, 65535)
    matrix = struct.pack(">12i", *(round(v * 65536) for v in (.9, .05, 0, 0, 1, 0, 0, .1, .8, 0, 0, 0)))  # noqa: E501  # fmt: skip
    points = [v * 65535 // 2 for r in range(3) for g in range(3) for b in range(3) for v in (r, b, g)]  # noqa: E501  # fmt: skip
    grid = bytes((3, 3, 3)) + HIDDEN[:13] + b"\2" + HIDDEN[:3] + struct.pack(">81H", *points)
    parts = {
        "a": curve(*bend) * 3, "grid": grid + b"\0\0", "m": parametric(1.4) * 3,
        "matrix": matrix, "b": curve() * 3,
    }  # fmt: skip
    body, places = b"", {}
    for name, part in parts.items():
        body += gap + bytes(-len(gap) % 4)
        places[name] = 32 + len(body)
        body += part
    offsets = (places[name] for name in ("b", "matrix", "m", "grid", "a"))
    head = kind + HIDDEN[:4] + bytes((3, 3)) + HIDDEN[:2] + struct.pack(">5I", *offsets)
    return head + body + gap


def with_tables(gap: bytes = b"") -> bytes:
    """A profile of the fourth version that has tables both ways and no matrix of its own."""
    tags = {
        b"desc": SRGB[SRGB.index(b"mluc") :][:40],
        b"wtpt": b"XYZ \0\0\0\0" + struct.pack(">3i", 63190, 65536, 54061),
        b"A2B0": table(b"mAB ", gap=gap),
        b"B2A0": table(b"mBA ", gap=gap),
    }
    position, entries, body = 132 + 12 * len(tags), b"", b""
    for name, value in tags.items():
        entries += struct.pack(">4sII", name, position + len(body), len(value))
        body += value + bytes(-len(value) % 4)
    head = struct.pack(">I", position + len(body)) + SRGB[4:128]
    return head + struct.pack(">I", len(tags)) + entries + body


def test_a_table_keeps_its_colours_and_nothing_between_its_parts(photograph: Image.Image) -> None:
    clean = icc.cleaned(with_tables(gap=HIDDEN))
    assert HIDDEN in with_tables(gap=HIDDEN)
    for part in range(len(HIDDEN) - 3):
        assert HIDDEN[part : part + 4] not in clean
    plain = photograph.convert("RGB")
    assert converted(plain, clean) == converted(plain, with_tables()) != plain.tobytes()
    assert icc.cleaned(clean) == clean == icc.cleaned(with_tables())


@given(end=st.integers(0, 900))
def test_a_table_that_is_cut_short_is_given_up(end: int) -> None:
    whole = table(b"mAB ")
    try:
        assert canonical_table(whole[:end]) == canonical_table(whole)
    except NoTable:
        return
    assert end >= len(canonical_table(whole))
