"""One picture in many files is found however it was changed; alike is not the same."""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFilter

from archivist.intake.pictures.duplicates import Nearly, same_pictures
from archivist.intake.pictures.findings import Relation
from archivist.intake.pictures.keeping import Cluster, Picture, worth
from archivist.intake.pictures.look import REDUCED, Look, frequencies, measured
from archivist.intake.pictures.near import INVERSE, TURNS, near_pairs, turn_picture, turned

Draw = Callable[..., Image.Image]


def found(
    pictures: dict[str, Image.Image], *, stems: dict[str, str] | None = None, **clocks: str
) -> tuple[list[Cluster], list[Nearly], list[str]]:
    """What is found among pictures, by name; `clocks` are when cameras say they were taken, `stems`
    what their files are called."""
    small: dict[str, bytes] = {}
    listed = []
    for name, picture in pictures.items():
        reduced = picture.copy()
        reduced.thumbnail((REDUCED, REDUCED), Image.Resampling.LANCZOS)
        look = measured(reduced, *picture.size, quality=90)
        small[name] = look.small
        listed.append(
            Picture(
                name,
                f"{name}.jpg",
                look,
                clock=clocks.get(name, ""),
                stem=(stems or {}).get(name, ""),
            )
        )
    clusters, nearly = same_pictures(listed, small.__getitem__)
    return clusters, nearly, list(pictures)


def groups(pictures: dict[str, Image.Image], **clocks: str) -> list[set[str]]:
    clusters, _, names = found(pictures, **clocks)
    return [{names[c.keeper], *(names[o.picture] for o in c.others)} for c in clusters]


CHANGES: dict[str, Callable[[Image.Image], Image.Image]] = {
    "a third of the size": lambda p: p.resize((p.width // 3, p.height // 3)),
    "upside down": lambda p: p.transpose(Image.Transpose.ROTATE_180),
    "a quarter turn": lambda p: p.transpose(Image.Transpose.ROTATE_90),
    "a quarter turn back": lambda p: p.transpose(Image.Transpose.ROTATE_270),
    "grey": lambda p: p.convert("L").convert("RGB"),
    "sharpened": lambda p: p.filter(ImageFilter.UnsharpMask(2, 90, 2)),
    "cut by 8 % left and top": lambda p: p.crop((38, 28, p.width, p.height)),
    "cut all round": lambda p: p.crop((15, 20, p.width - 25, p.height - 10)),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_changed_picture_is_the_same_picture(pot: Draw, change: str) -> None:
    others = {f"other {n}": pot(n, at=(0.4 + n / 50, 0.5)) for n in range(2, 8)}
    pictures = {"one": pot(1), "changed": CHANGES[change](pot(1)), **others}
    assert groups(pictures) == [{"one", "changed"}]


@pytest.mark.parametrize("quality", [40, 60, 95])
def test_compression_does_not_hide_a_picture(
    pot: Draw, recompressed: Callable[[Image.Image, int], Image.Image], quality: int
) -> None:
    pictures = {"one": pot(1), "changed": recompressed(pot(1), quality), "other": pot(2)}
    assert groups(pictures) == [{"one", "changed"}]


def test_a_name_stamped_across_leaves_a_picture_the_same(pot: Draw) -> None:
    stamped = pot(1)
    ImageDraw.Draw(stamped).text((60, 150), "Tidewell & Oke", fill=(250, 250, 250), font_size=34)
    assert groups({"one": pot(1), "stamped": stamped, "other": pot(2)}) == [{"one", "stamped"}]


def test_two_pots_of_a_pair_in_one_place_are_two_pictures(pot: Draw) -> None:
    assert groups({f"pot {n}": pot(n) for n in range(8)}) == []


def test_the_same_pot_moved_a_little_is_another_exposure(pot: Draw) -> None:
    pictures = {"one": pot(1), "moved": pot(1, at=(0.515, 0.56)), "other": pot(2)}
    assert groups(pictures) == []


def test_cameras_that_name_two_moments_took_two_pictures(pot: Draw) -> None:
    pictures = {"one": pot(1), "two": pot(1)}
    assert groups(pictures) == [{"one", "two"}]
    assert groups(pictures, one="2009-03-01T10:00:00", two="2009-03-01T10:00:02") == []


def test_pictures_with_nothing_in_them_are_not_taken_for_each_other() -> None:
    plain = {f"plain {n}": Image.new("RGB", (300, 200), (90 + n, 90, 90)) for n in range(4)}
    assert groups(plain) == []


def test_the_largest_file_is_kept_and_the_others_say_what_they_are(pot: Draw) -> None:
    pictures = {
        "small": pot(1).resize((240, 180)),
        "whole": pot(1),
        "grey": pot(1).convert("L").convert("RGB"),
        "turned": pot(1).transpose(Image.Transpose.ROTATE_90),
        "cut": pot(1).crop((30, 20, 480, 345)),
    }
    clusters, _, names = found(pictures)
    assert len(clusters) == 1
    told = {names[other.picture]: other.relations for other in clusters[0].others}
    assert names[clusters[0].keeper] == "whole"
    assert Relation.RESIZED in told["small"]
    assert Relation.GREY in told["grey"]
    assert told["turned"][0] is Relation.ROTATED
    assert told["cut"][0] is Relation.CROPPED


@given(st.integers(0, 10_000), st.sampled_from(TURNS))
@settings(max_examples=40, deadline=None)
def test_turned_frequencies_are_those_of_the_turned_picture(seed: int, turn: int) -> None:
    values = np.random.default_rng(seed).uniform(0, 255, (24, 24)).astype(np.float32)
    directly = frequencies(np.ascontiguousarray(turn_picture(values, turn)))
    assert np.allclose(turned(frequencies(values), turn), directly, atol=1e-4)
    back = turn_picture(turn_picture(values, turn), INVERSE[turn])
    assert np.array_equal(back, values)


def test_near_pairs_find_what_comparing_all_with_all_finds() -> None:
    random = np.random.default_rng(3)
    fall = np.linspace(3, 0.2, 64)
    rows = random.normal(size=(600, 64)) * fall
    twins = rows[:200] + random.normal(size=(200, 64)) * fall * 0.08
    table = np.concatenate([rows, twins]).astype(np.float32)
    table /= np.linalg.norm(table, axis=1, keepdims=True)
    pairs = {(a, b) for a, b, turn in near_pairs(table).tolist() if turn == 0}
    assert sum((n, 600 + n) in pairs for n in range(200)) >= 198


def test_search_grows_hardly_faster_than_the_number_of_pictures() -> None:
    """Counted in comparisons, as seconds depend on the machine: leaves are of one size, so that
    each picture meets as many others in a large collection as in a small one."""
    random = np.random.default_rng(5)
    counts = []
    for many in (1000, 4000):
        table = random.normal(size=(many, 64)).astype(np.float32) * 0.02
        table[:, 1] = 1.0  # all alike: the worst case for tables keyed by parts of a fingerprint
        counts.append(len(near_pairs(table / np.linalg.norm(table, axis=1, keepdims=True))) / many)
    assert counts[1] < 1.3 * counts[0]


@pytest.mark.parametrize("size", [34, 60])
def test_a_bold_name_across_the_middle_hides_no_picture_and_joins_no_others(
    pot: Draw, size: int
) -> None:
    def stamped(picture: Image.Image) -> Image.Image:
        copy = picture.copy()
        ImageDraw.Draw(copy, "RGBA").text(
            (48, 150), "Tidewell & Oke", fill=(255, 255, 255, 150), font_size=size
        )
        return copy

    pictures = {f"pot {n}": pot(n) for n in range(5)}
    pictures |= {f"stamped {n}": stamped(pot(n)) for n in range(5)}
    assert groups(pictures) == [{f"pot {n}", f"stamped {n}"} for n in range(5)]


def test_a_mirror_image_is_named_and_not_joined(pot: Draw) -> None:
    pictures = {"one": pot(1), "mirrored": pot(1).transpose(Image.Transpose.FLIP_LEFT_RIGHT)}
    clusters, nearly, _ = found(pictures)
    assert clusters == []
    assert ["mirror" in n.because for n in nearly] == [True]


def test_other_white_balance_leaves_a_picture_the_same(pot: Draw) -> None:
    bands = zip(pot(1).split(), (1.08, 1.0, 0.9), strict=True)
    tinted = Image.merge(
        "RGB", [band.point([min(255, round(v * by)) for v in range(256)]) for band, by in bands]
    )
    assert groups({"one": pot(1), "tinted": tinted, "other": pot(2)}) == [{"one", "tinted"}]


def test_a_copy_cut_from_the_second_of_two_exposures_does_not_make_both_one(pot: Draw) -> None:
    first, second = pot(1), pot(1, at=(0.51, 0.556), size=0.303)
    pictures = {"first": first, "second": second, "cut": second.crop((20, 18, 462, 344))}
    for group in groups(pictures):
        assert not {"first", "second"} <= group


@pytest.mark.parametrize("angle", [-3, -1, 1.5, 3])
def test_a_copy_put_straight_is_found_where_names_speak_for_it(pot: Draw, angle: float) -> None:
    whole = pot(1)
    lost = math.sin(math.radians(abs(angle)))
    across, down = round(whole.height * lost / 2) + 1, round(whole.width * lost / 2) + 1
    turned_ = whole.rotate(angle, Image.Resampling.BICUBIC)
    straight = turned_.crop((across, down, whole.width - across, whole.height - down))
    pictures = {"one": whole, "straight": straight, "other": pot(2)}
    stems = {"one": "blue vase 1", "straight": "blue vase 1", "other": "blue vase 1"}
    clusters, _, names = found(pictures, stems=stems)
    members = [{names[c.keeper], *(names[o.picture] for o in c.others)} for c in clusters]
    assert members == [{"one", "straight"}]


def test_of_equals_in_a_general_folder_the_one_called_edited_is_not_the_best() -> None:
    """A sharpened copy has the same pixels and is the sharper of the two."""
    flat = Look(
        width=4, height=3, frequencies=b"", small=b"", colour=(0, 0, 0), background=(0, 0, 0),
        background_spread=0, palette=b"", sharpness=1,
    )  # fmt: skip
    plain = Picture("a", "new/foot.jpg", flat, worked=True)
    sharper = msgspec.structs.replace(flat, sharpness=9)
    edited = Picture("b", "new/foot_edited.jpg", sharper, worked=True, called_copy=True)
    assert min(edited, plain, key=worth) is plain
