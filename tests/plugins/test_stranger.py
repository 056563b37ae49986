"""An exporter in another distribution is installed, found and used like one of ours."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from archivist.testing import export, sample_selection
from tests.archives import add_photograph, jpeg, new_archive, piece, save

EXAMPLE = Path(__file__).parents[1] / "examples" / "index-card"


def run(command: list[str], **more: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, **more}
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example built and installed into a folder of its own, without any network."""
    source = tmp_path_factory.mktemp("source") / "index-card"
    shutil.copytree(EXAMPLE, source)
    target = tmp_path_factory.mktemp("site")
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-index", "--no-deps"]
    done = run([*pip, "--no-build-isolation", "--target", str(target), str(source)])
    if "No module named pip" in done.stderr:
        pytest.skip("this Python has no pip")
    assert done.returncode == 0, done.stderr
    return target


def archivist(installed: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return run([sys.executable, "-m", "archivist", *words], PYTHONPATH=str(installed))


def test_it_is_listed_with_its_distribution_and_version(installed: Path) -> None:
    listed = archivist(installed, "plugins", "--json")
    assert listed.returncode == 0, listed.stderr
    (ours,) = [p for p in json.loads(listed.stdout)["plugins"] if p["name"] == "index-card"]
    assert ours["from"] == "index-card 1.0"
    assert ours["kind"] == "exporter"
    assert ours["losses"] == ["how sure a statement is"]


def test_it_releases_beside_ours_and_into_a_bag(installed: Path, tmp_path: Path) -> None:
    with new_archive(tmp_path / "archive") as archive:
        bowl = piece("T 1", "Bowl", (1700, 1750))
        save(archive.catalogue, bowl)
        add_photograph(archive, jpeg(tmp_path / "a.jpg"), (bowl,))
    base = ("--archive", str(tmp_path / "archive"), "release", "index-card")
    done = archivist(
        installed, *base, "dublin-core", "--for", "public", "--to", str(tmp_path / "web")
    )
    assert done.returncode == 0, done.stderr
    cards = tmp_path / "web" / "index-card"
    assert (cards / "cards.txt").read_text(encoding="utf-8") == "The Tidewell Papers\nT 1  Bowl\n"
    (card,) = cards.glob("t-1-*.txt")
    assert card.read_text(encoding="utf-8") == ("T 1\nBowl\n1700/1750\noverall: 120 by 90 pixels\n")
    done = archivist(installed, *base, "bagit", "--for", "buyer", "--to", str(tmp_path / "bags"))
    assert done.returncode == 0, done.stderr
    assert len(list((tmp_path / "bags").glob("*/data/index-card/*.txt"))) == 2


def test_a_module_that_cannot_be_imported_is_named_and_the_others_finish(
    installed: Path, tmp_path: Path
) -> None:
    broken = tmp_path / "site"
    shutil.copytree(installed, broken)
    (broken / "index_card.py").write_text("import sys\nsys.exit(7)\n", encoding="utf-8")
    with new_archive(tmp_path / "archive") as archive:
        save(archive.catalogue, piece("T 1", "Bowl"))
    listed = archivist(broken, "plugins")
    assert listed.returncode == 1
    assert "not loaded: index-card (index-card 1.0): SystemExit: 7" in listed.stderr
    base = ("--archive", str(tmp_path / "archive"), "release")
    more = ("--for", "public", "--to", str(tmp_path / "web"))
    done = archivist(broken, *base, "dublin-core", *more)
    assert done.returncode == 1
    assert "index-card (index-card 1.0): not loaded: SystemExit: 7" in done.stderr
    assert (tmp_path / "web" / "dublin-core" / "collection.xml").is_file()
    asked = archivist(broken, *base, "index-card", *more)
    assert asked.returncode == 2
    assert "There is no exporter 'index-card'" in asked.stderr
    assert "SystemExit: 7" in asked.stderr


def test_its_author_can_try_it_with_what_we_give_for_testing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.syspath_prepend(str(EXAMPLE))
    import index_card  # type: ignore[import-not-found]

    (description,) = index_card.archivist_exporters()
    written = export(description, sample_selection(tmp_path / "pictures"), tmp_path / "out")
    assert sorted(written) == [
        "index-card/cards.txt",
        "index-card/t-0417-0b9a4c1e.txt",
    ]
    card = written["index-card/t-0417-0b9a4c1e.txt"].location.read_text(encoding="utf-8")
    assert card.splitlines()[:3] == [
        "T 0417",
        "Bowl with celadon glaze",
        "late 18th or early 19th century",
    ]


def test_it_is_no_longer_than_we_say() -> None:
    lines = (EXAMPLE / "index_card.py").read_text(encoding="utf-8").splitlines()
    assert sum(bool(line.strip()) for line in lines) <= 30
