"""The colours of a piece come from the photographs that show its glaze, and are measured once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from archivist.finding.colours import piece_colours
from archivist.hooks import DisclosedPhotograph, Piece
from archivist.imaging.colour import kept, measure
from archivist.imaging.colour.difference import ciede2000
from archivist.imaging.colour.lab import lab_of
from archivist.imaging.colour.values import Reading
from archivist.model import Region, View
from archivist.release.disclosure import disclosures
from archivist.release.pieces import Discloser
from archivist.testing import sample_photograph, sample_piece, with_picture
from tests.archives import add_photograph, new_archive, piece, save
from tests.imaging.colour import drawn

PAPER = drawn.plain((150, 152, 155))


def photograph(folder: Path, view: View, picture: Image.Image, name: str) -> DisclosedPhotograph:
    path = folder / f"{name}.png"
    picture.save(path)
    made = with_picture(sample_photograph(folder, view), path)
    return replace(made, original_sha256=made.sha256)


def of(folder: Path, *photographs: DisclosedPhotograph) -> Piece:
    return replace(sample_piece(folder), photographs=photographs)


def main_colour(found: Reading | object) -> tuple[float, float, float]:
    glaze = getattr(found, "glaze", None) or getattr(found, "colours", None)
    assert glaze is not None
    lab: tuple[float, float, float] = glaze.colours[0].lab
    return lab


def is_of(lab: tuple[float, float, float], pixel: tuple[int, int, int]) -> bool:
    return float(ciede2000(lab, lab_of(np.array(pixel, np.uint8)))) < 3


def test_marks_and_labels_are_not_measured_and_views_of_the_whole_come_before_details(
    tmp_path: Path,
) -> None:
    whole = photograph(tmp_path, View.OVERALL, drawn.pot(PAPER, drawn.CELADON), "whole")
    mark = photograph(tmp_path, View.MARK, drawn.pot(PAPER, drawn.TENMOKU), "mark")
    label = photograph(tmp_path, View.LABEL, drawn.pot(PAPER, drawn.COBALT), "label")
    detail = photograph(tmp_path, View.DETAIL, drawn.plain(drawn.COBALT), "detail")
    found = piece_colours(of(tmp_path, mark, label, detail, whole))
    assert found.views == ("overall",)
    assert is_of(main_colour(found), drawn.CELADON)
    only = piece_colours(of(tmp_path, mark, label, detail))
    assert only.views == ("detail",)
    assert is_of(main_colour(only), drawn.COBALT)
    assert piece_colours(of(tmp_path, mark, label)).glaze is None


def test_two_sides_count_alike_and_a_picture_that_tells_nothing_is_named(tmp_path: Path) -> None:
    front = photograph(tmp_path, View.OVERALL, drawn.pot(PAPER, drawn.CELADON), "front")
    other = photograph(tmp_path, View.SIDE, drawn.pot(PAPER, drawn.COBALT), "other")
    back = photograph(tmp_path, View.BACK, drawn.pot(PAPER, drawn.TENMOKU), "back")
    blank = photograph(tmp_path, View.SIDE, PAPER, "blank")
    found = piece_colours(of(tmp_path, front, other, back, blank))
    assert found.glaze is not None
    assert found.views == ("overall", "side")
    assert [round(colour.share, 2) for colour in found.glaze.colours] == [0.5, 0.5]
    assert len(found.reasons) == 1
    assert found.reasons[0].startswith("side: ")


def test_where_a_card_lies_in_one_photograph_only_that_one_counts(tmp_path: Path) -> None:
    wrong = (1.25, 1.0, 0.72)
    bare = drawn.tinted(drawn.pot(PAPER, drawn.CELADON), wrong)
    carded = drawn.tinted(drawn.pot(PAPER, drawn.CELADON, paint=drawn.card), wrong)
    found = piece_colours(
        of(
            tmp_path,
            photograph(tmp_path, View.OVERALL, bare, "bare"),
            photograph(tmp_path, View.SIDE, carded, "carded"),
        )
    )
    assert found.glaze is not None
    assert found.views == ("side",)
    assert found.glaze.card
    assert is_of(main_colour(found), drawn.CELADON)


def test_of_a_group_only_the_region_of_the_piece_is_measured(tmp_path: Path) -> None:
    both = Image.new("RGB", (1280, 480))
    both.paste(drawn.pot(PAPER, drawn.COBALT), (0, 0))
    both.paste(drawn.pot(PAPER, drawn.CELADON), (640, 0))
    group = photograph(tmp_path, View.GROUP, both, "group")
    assert piece_colours(of(tmp_path, group)).glaze is None
    region = Region(x=640, y=0, width=640, height=480, reference_width=1280, reference_height=480)
    found = piece_colours(of(tmp_path, replace(group, region=region)))
    assert is_of(main_colour(found), drawn.CELADON)


def test_the_small_picture_is_measured_where_there_is_one(tmp_path: Path) -> None:
    whole = photograph(tmp_path, View.OVERALL, drawn.pot(PAPER, drawn.CELADON), "whole")
    small = tmp_path / "small.jpg"
    drawn.pot(PAPER, drawn.CELADON).resize((400, 300)).save(small, quality=85)
    gone = replace(whole, path=tmp_path / "nowhere.png")
    assert is_of(main_colour(piece_colours(of(tmp_path, gone), lambda p: small)), drawn.CELADON)
    found = piece_colours(of(tmp_path, gone))
    assert found.glaze is None
    assert found.reasons == ("overall: the photograph cannot be decoded",)


def test_what_was_measured_is_kept_and_the_picture_not_looked_at_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "kept" / "ab" / "colours.json"
    whole = replace(
        photograph(tmp_path, View.OVERALL, drawn.pot(PAPER, drawn.CELADON), "whole"),
        colours_kept=file,
    )
    first = whole.colours()
    looked: list[object] = []
    monkeypatch.setattr(measure, "read", lambda *a, **k: looked.append(a) or Reading())
    assert whole.colours() == first
    assert looked == []
    file.write_bytes(b"{ not json")
    whole.colours()
    assert len(looked) == 1


def test_a_place_that_cannot_be_written_to_costs_only_the_keeping(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    picture = tmp_path / "p.png"
    drawn.pot(PAPER, drawn.CELADON).save(picture)
    found = kept.reading(lambda: picture, kept=tmp_path / "file" / "colours.json")
    assert is_of(main_colour(found), drawn.CELADON)


def test_an_archive_keeps_them_among_its_derivatives_for_all_audiences(tmp_path: Path) -> None:
    picture = tmp_path / "old" / "pot.jpg"
    picture.parent.mkdir()
    drawn.pot(PAPER, drawn.CELADON).save(picture, quality=92)
    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl")
        save(archive.catalogue, record)
        add_photograph(archive, picture, (record,))
        seen = {
            name: Discloser(archive, disclosures()[name]).piece(record)
            for name in ("owner", "public")
        }
        told = {name: piece_colours(one) for name, one in seen.items()}
        files = [path for path in archive.derivatives.rglob("*.json") if "colours" in f"{path}"]
        assert len(files) == 1
        assert told["public"] == told["owner"]
        assert is_of(main_colour(told["public"]), drawn.CELADON)
