"""Our BagIt profile: sound by the BagIt Profiles specification, and kept by every bag we write."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from archivist.testing import export, sample_selection
from archivist_plugins.bagit import BagOptions, archivist_exporters
from archivist_plugins.bagit.profile import IDENTIFIER, profile_bytes
from archivist_plugins.bagit.tags import read_tags

PROFILE: dict[str, Any] = json.loads(profile_bytes())

# BagIt Profiles specification 1.4.0, 'Implementation details': section -> type; from memory, as are
# the four keys of 'BagIt-Profile-Info' that it requires.
SECTIONS = {
    "BagIt-Profile-Info": dict,
    "Bag-Info": dict,
    "Manifests-Required": list,
    "Manifests-Allowed": list,
    "Tag-Manifests-Required": list,
    "Tag-Manifests-Allowed": list,
    "Tag-Files-Required": list,
    "Tag-Files-Allowed": list,
    "Payload-Files-Required": list,
    "Payload-Files-Allowed": list,
    "Allow-Fetch.txt": bool,
    "Fetch.txt-Required": bool,
    "Data-Empty": bool,
    "Serialization": str,
    "Accept-Serialization": list,
    "Accept-BagIt-Version": list,
}
REQUIRED_INFO = (
    "BagIt-Profile-Identifier",
    "Source-Organization",
    "External-Description",
    "Version",
)


@pytest.fixture(params=[("owner", False), ("owner", True), ("public", False), ("buyer", True)])
def bag(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    audience, one_each = request.param
    selection = sample_selection(tmp_path / "p", audience=audience)
    export(archivist_exporters(), selection, tmp_path, BagOptions(one_each=one_each))
    return tmp_path / "bagit" / (next(selection.pieces()).slug if one_each else "")


def test_the_profile_has_only_sections_that_the_specification_knows() -> None:
    for section, content in PROFILE.items():
        assert isinstance(content, SECTIONS[section]), section
    for key in REQUIRED_INFO:
        assert PROFILE["BagIt-Profile-Info"][key]
    assert PROFILE["Serialization"] in ("forbidden", "required", "optional")
    for rule in PROFILE["Bag-Info"].values():
        assert set(rule) <= {"required", "recommended", "values", "repeatable", "description"}


def test_bag_info_holds_what_the_profile_asks_for_and_nothing_it_does_not_know(bag: Path) -> None:
    tags, _ = read_tags((bag / "bag-info.txt").read_text(encoding="utf-8"))
    labels = [label for label, _ in tags]
    assert len(set(labels)) == len(labels)
    assert set(labels) <= set(PROFILE["Bag-Info"])
    for label, rule in PROFILE["Bag-Info"].items():
        assert label in labels or not rule["required"]
        if label in labels and "values" in rule:
            assert dict(tags)[label] in rule["values"]


def test_every_bag_carries_the_profile_it_names(bag: Path) -> None:
    assert (bag / "bagit-profile.json").read_bytes() == profile_bytes()
    assert PROFILE["BagIt-Profile-Info"]["BagIt-Profile-Identifier"] == IDENTIFIER


def test_the_library_of_the_specification_finds_every_bag_to_keep_the_profile(bag: Path) -> None:
    bagit = pytest.importorskip("bagit")
    bagit_profile = pytest.importorskip("bagit_profile")
    profile = bagit_profile.Profile(IDENTIFIER, profile=json.loads(profile_bytes()))
    assert profile.validate(bagit.Bag(str(bag))), str(profile.report)
    assert profile.validate_serialization(str(bag))


@pytest.mark.parametrize("change", ["drop tag", "other scope", "drop manifest", "drop tag file"])
def test_the_library_finds_bags_that_break_the_profile(bag: Path, change: str) -> None:
    bagit = pytest.importorskip("bagit")
    bagit_profile = pytest.importorskip("bagit_profile")
    text = (bag / "bag-info.txt").read_text(encoding="utf-8")
    if change == "drop tag":
        text = text.replace("Archivist-Audience", "Audience")
    elif change == "other scope":
        text = text.replace("Archivist-Scope: ", "Archivist-Scope: half a ")
    elif change == "drop manifest":
        (bag / "manifest-sha512.txt").unlink()
    else:
        (bag / "about.txt").unlink()
    (bag / "bag-info.txt").write_text(text, encoding="utf-8", newline="\n")
    profile = bagit_profile.Profile(IDENTIFIER, profile=json.loads(profile_bytes()))
    assert not profile.validate(bagit.Bag(str(bag)))
