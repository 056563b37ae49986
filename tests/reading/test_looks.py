"""What only looks like a ware or a material is not read as it.

The phrases are of the trade's manner (common practice, no source); the phrases about materials
that trade in is restricted for matter most, as a flag is raised by them.
"""

from __future__ import annotations

import pytest

from archivist.model import Feature, FeatureAspect
from archivist.reading.features import read_features
from archivist.reading.tables import load_tables
from archivist.reading.titles import read_title

TABLES = load_tables()


def features(text: str) -> set[tuple[str, str]]:
    return {
        (s.aspect.value, s.term.label)
        for s in read_features(text, TABLES).statements
        if isinstance(s, Feature)
    }


def materials(text: str) -> list[str]:
    return [
        s.term.label
        for s in read_title(text, TABLES).statements
        if isinstance(s, Feature) and s.aspect is FeatureAspect.MATERIAL
    ]


@pytest.mark.parametrize(
    ("text", "ware"),
    [
        ("Guan type vase", "Guan-type ware"),
        ("Ru-type brush washer", "Ru-type ware"),
        ("Jun-type bowl", "Jun-type ware"),
        ("Chun style bowl", "Jun-type ware"),
        ("Kakiemon-style dish", "Kakiemon-type ware"),
        ("Ch'ien type tea bowl", "Jian-type ware"),
        ("a dish in the style of Longquan celadon", "Longquan celadon-type ware"),
        ("vase in imitation of Ge ware", "Ge-type ware"),
        ("bowl imitating Guan", "Guan-type ware"),
    ],
)
def test_the_look_of_a_ware_is_not_that_ware(text: str, ware: str) -> None:
    assert {label for aspect, label in features(text) if aspect == "ware"} == {ware}


def test_a_glaze_of_a_type_is_a_glaze() -> None:
    assert features("Jun-type glaze") == {("glaze", "Jun-type glaze")}
    assert features("Guan type crackle") == {("glaze", "Guan-type glaze")}


def test_a_ware_that_is_no_type_stays_itself() -> None:
    assert ("ware", "Guan ware") in features("Guan ware vase")
    assert ("ware", "Imari ware") in features("Imari plate")


@pytest.mark.parametrize(
    "text",
    [
        "Jar with tortoiseshell glaze",
        "Tortoiseshell-glazed plate",
        "Bowl with ivory ground",
        "Ivory-coloured glaze, crackled",
        "Dish, coral red enamel",
        "Vase with coral-red ground",
        "Coral ground bowl",
        "Vase with jade-green glaze",
        "Jade green celadon",
        "Bronze-coloured glaze",
        "Vase simulating bronze",
        "Brush pot in imitation of bamboo",
        "Bowl painted to resemble wood grain, faux wood",
        "Copper red decoration on gold ground",
    ],
)
def test_the_look_of_a_material_is_not_that_material(text: str) -> None:
    assert materials(text) in ([], ["porcelain"])


@pytest.mark.parametrize(
    ("text", "material"),
    [
        ("Vase with ivory mounts", "ivory"),
        ("A tortoiseshell comb", "tortoiseshell"),
        ("Carved white jade bowl", "jade"),
        ("Coral beads", "coral"),
        ("Bronze censer", "bronze"),
        ("Porcelain, glazed white", "porcelain"),
        ("Stoneware glazed black", "stoneware"),
        ("Jade carved with dragons", "jade"),
    ],
)
def test_a_material_that_is_there_is_read(text: str, material: str) -> None:
    assert material in materials(text)
