"""Image services against IIIF Image API 3.0, level 0: everything declared is there, and no more."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace as with_changes
from pathlib import Path

import jsonschema  # type: ignore[import-untyped]
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image

from archivist.model import View
from archivist.release.package import FolderPackage
from archivist.testing import export, sample_photograph, sample_piece, sample_selection
from archivist_plugins.iiif import IIIF, IiifOptions
from archivist_plugins.iiif.images import write_service
from archivist_plugins.iiif.pyramid import Pyramid
from tests.conformance import iiif_rules

SCHEMA = Path(__file__).resolve().parents[3] / "shared/standards/iiif/image-3-info.schema.json"


@pytest.fixture(scope="module")
def services(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Image services of pictures with and without tiles."""
    folder = tmp_path_factory.mktemp("services")
    views = zip(View, [96, 640, 1024, 1025, 2047, 2600], strict=False)
    pictures = tuple(sample_photograph(folder / "pictures", v, size) for v, size in views)
    piece = with_changes(sample_piece(folder / "sample"), photographs=pictures)
    export(IIIF, sample_selection(folder, [piece]), folder)
    found = sorted(path.parent for path in folder.rglob("info.json"))
    assert len(found) == 6
    return found


def _count(service: Path) -> int:
    return sum(1 for _ in service.rglob("*.jpg"))


def test_every_picture_that_info_json_declares_is_there_of_its_size_and_nothing_else(
    services: list[Path],
) -> None:
    for service in services:
        assert iiif_rules.level0_problems(service) == []


def test_every_info_json_is_valid_by_the_tables_of_the_standard(services: list[Path]) -> None:
    if not SCHEMA.exists():
        pytest.skip("image-3-info.schema.json does not lie beside the project (../shared)")
    schema = jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8")))
    for service in services:
        info = json.loads((service / "info.json").read_text(encoding="utf-8"))
        assert [error.message for error in schema.iter_errors(info)] == []


@settings(max_examples=30, deadline=None)
@example(129, 257, 64)
@example(1, 129, 64)
@given(st.integers(1, 700), st.integers(1, 700), st.integers(64, 300))
def test_a_picture_of_any_size_makes_a_service_without_fault(
    tmp_path_factory: pytest.TempPathFactory, width: int, height: int, tile: int
) -> None:
    folder = tmp_path_factory.mktemp("any")
    package = FolderPackage(folder)
    pyramid = Pyramid(width, height, tile)
    write_service(package, "picture", Image.new("L", (width, height)), pyramid, 60)
    info = pyramid.info("https://example.org/iiif/picture")
    package.write("picture/info.json", json.dumps(info))
    assert iiif_rules.level0_problems(folder / "picture") == []
    shutil.rmtree(folder)


@settings(deadline=None)
@example(2049, 2049, 1024)
@example(1, 129, 64)
@given(st.integers(1, 40000), st.integers(1, 40000), st.integers(64, 2048))
def test_what_is_made_is_what_the_implementation_notes_would_ask_for(
    width: int, height: int, tile: int
) -> None:
    pyramid = Pyramid(width, height, max(tile, max(width, height) // 40))
    made = {
        path: (request.box[2] - request.box[0], request.box[3] - request.box[1])
        for request in pyramid.requests()
        for path in request.paths
    }
    assert made == iiif_rules.declared(pyramid.info("https://example.org/iiif/picture"))


def test_the_rules_find_a_missing_tile_one_too_many_and_one_of_another_size(
    services: list[Path], tmp_path: Path
) -> None:
    service = tmp_path / "service"
    shutil.copytree(max(services, key=_count), service)
    (service / "full/max/0/default.jpg").unlink()
    extra = service / "full/1,1/0/default.jpg"
    extra.parent.mkdir(parents=True)
    Image.new("RGB", (1, 1)).save(extra)
    other = next(service.glob("0,0,*/*/0/default.jpg"))
    Image.new("RGB", (7, 7)).save(other)
    problems = "\n".join(iiif_rules.level0_problems(service))
    assert "declared and not there: full/max/0/default.jpg" in problems
    assert "there and not declared: full/1,1/0/default.jpg" in problems
    assert "(7, 7)" in problems


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"profile": "level1"}, "profile must be level0"),
        ({"id": "https://example.org/a/"}, "without a slash"),
        ({"protocol": "IIIF"}, "protocol must be"),
        ({"sizes": [{"width": 90, "height": 9000}]}, "larger than the picture"),
    ],
)
def test_the_rules_find_what_is_wrong_with_an_info_json(
    change: dict[str, object], problem: str
) -> None:
    info = Pyramid(96, 72, 1024).info("https://example.org/a")
    assert iiif_rules.info_problems(info) == []
    assert any(problem in found for found in iiif_rules.info_problems({**info, **change}))


def test_the_worked_example_of_the_implementation_notes_comes_out_the_same() -> None:
    # Image API 3.0, 5.4: a picture of 6000 x 4000 in tiles of 512 with scale factors up to 16
    # is asked for tile by tile; at factor 16 the picture is 375 x 250 and one tile holds it.
    info = {
        "width": 6000,
        "height": 4000,
        "tiles": [{"width": 512, "scaleFactors": [1, 2, 4, 8, 16]}],
    }
    declared = iiif_rules.declared(info)
    assert declared["full/375,250/0/default.jpg"] == (375, 250)
    assert declared["0,0,512,512/512,512/0/default.jpg"] == (512, 512)
    assert declared["4096,0,1904,4000/238,500/0/default.jpg"] == (238, 500)
    assert Pyramid(6000, 4000, 512).factors == (1, 2, 4, 8, 16)


def test_another_tile_size_is_declared_and_made(tmp_path: Path) -> None:
    piece = with_changes(
        sample_piece(tmp_path / "sample"),
        photographs=(sample_photograph(tmp_path / "p", size=900),),
    )
    export(IIIF, sample_selection(tmp_path, [piece]), tmp_path, IiifOptions(tile_size=256))
    (info,) = tmp_path.rglob("info.json")
    assert json.loads(info.read_text(encoding="utf-8"))["tiles"] == [
        {"width": 256, "height": 256, "scaleFactors": [1, 2, 4]}
    ]
    assert iiif_rules.level0_problems(info.parent) == []
