"""Bags that we write, judged by programs of others: checksum tools and the `bagit` library."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from archivist.testing import export, sample_selection
from archivist_plugins.bagit import BagOptions, archivist_exporters

bagit = pytest.importorskip("bagit")

# RFC 8493, 2.1.1 (bagit.txt), 2.1.3 (manifests), 2.2.2 (bag-info.txt), as patterns of whole files.
DECLARATION = rb"BagIt-Version: 1\.0\nTag-File-Character-Encoding: UTF-8\n"
MANIFEST = rb"([0-9a-f]{%d}  data/[^\r\n]+\n)+"
TAG_MANIFEST = rb"([0-9a-f]{%d}  (?!data/|tagmanifest-)[^\r\n]+\n)+"
BAG_INFO = rb"([^:\s][^:\r\n]*: [^\r\n]+\n([ \t]+[^\r\n]+\n)*)+"


@pytest.fixture(params=[("owner", False), ("owner", True), ("public", False), ("public", True)])
def bag(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    audience, one_each = request.param
    selection = sample_selection(tmp_path / "p", audience=audience)
    export(archivist_exporters(), selection, tmp_path, BagOptions(one_each=one_each))
    return tmp_path / "bagit" / (next(selection.pieces()).slug if one_each else "")


def test_the_bagit_library_finds_every_bag_valid(bag: Path) -> None:
    theirs = bagit.Bag(str(bag))
    theirs.validate()
    assert theirs.version_info == (1, 0)
    assert set(theirs.algorithms) == {"sha256", "sha512"}
    assert theirs.info["Archivist-Audience"] in ("owner", "public")


def test_the_bagit_library_finds_a_damaged_one_invalid(bag: Path) -> None:
    record = next(bag.rglob("record.json"))
    content = record.read_bytes()
    record.write_bytes(content.replace(b"celadon", b"Celadon"))
    with pytest.raises(bagit.BagValidationError, match=r"record\.json"):
        bagit.Bag(str(bag)).validate()


@pytest.mark.parametrize(
    ("command", "algorithm"),
    [
        (["sha256sum", "-c"], "sha256"),
        (["sha512sum", "-c"], "sha512"),
        (["shasum", "-a", "256", "-c"], "sha256"),
        (["shasum", "-a", "512", "-c"], "sha512"),
    ],
)
def test_checksum_tools_check_a_bag_and_name_what_is_damaged(
    bag: Path, command: list[str], algorithm: str
) -> None:
    if shutil.which(command[0]) is None:
        pytest.skip(f"{command[0]} is not on this machine")
    names = (f"manifest-{algorithm}.txt", f"tagmanifest-{algorithm}.txt")
    for name in names:
        done = subprocess.run([*command, name], cwd=bag, capture_output=True, text=True, check=True)
        listed = (bag / name).read_text(encoding="utf-8").splitlines()
        assert done.stdout.count(": OK") == len(listed)
    next(bag.rglob("record.json")).write_bytes(b"{}")
    done = subprocess.run(
        [*command, names[0]], cwd=bag, capture_output=True, text=True, check=False
    )
    assert done.returncode != 0
    assert re.search(r"record\.json: FAILED", done.stdout)


def test_tag_files_have_the_form_that_the_standard_gives(bag: Path) -> None:
    assert re.fullmatch(DECLARATION, (bag / "bagit.txt").read_bytes())
    assert re.fullmatch(BAG_INFO, (bag / "bag-info.txt").read_bytes())
    for algorithm, length in ((b"sha256", 64), (b"sha512", 128)):
        name = algorithm.decode()
        assert re.fullmatch(MANIFEST % length, (bag / f"manifest-{name}.txt").read_bytes())
        assert re.fullmatch(TAG_MANIFEST % length, (bag / f"tagmanifest-{name}.txt").read_bytes())


def test_manifests_list_every_file_there_is_once(bag: Path) -> None:
    there = {p.relative_to(bag).as_posix() for p in bag.rglob("*") if p.is_file()}
    for algorithm in ("sha256", "sha512"):
        listed: list[str] = []
        for name in (f"manifest-{algorithm}.txt", f"tagmanifest-{algorithm}.txt"):
            for line in (bag / name).read_text(encoding="utf-8").splitlines():
                listed.append(line.split("  ", 1)[1])
        assert len(listed) == len(set(listed))
        assert there - set(listed) == {"tagmanifest-sha256.txt", "tagmanifest-sha512.txt"}
        assert set(listed) <= there
