"""The wheel holds what the checkout holds, and works where there is no checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = {
    "archivist": "archivist",
    "archivist_plugins": "plugins/archivist_plugins",
    "archivist_schemas": "schemas/archivist_schemas",
    "archivist_demo": "demo_collection/archivist_demo",
}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = folder.glob("*.whl")
    return built


def belongs(path: Path) -> bool:
    return path.is_file() and "__pycache__" not in path.parts and path.name != ".DS_Store"


def test_the_wheel_holds_every_file_of_the_four_packages_and_no_other(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        inside = {name for name in archive.namelist() if ".dist-info/" not in name}
    tree = {
        f"{package}/{path.relative_to(ROOT / folder).as_posix()}"
        for package, folder in PACKAGES.items()
        for path in (ROOT / folder).rglob("*")
        if belongs(path)
    }
    assert inside == tree


def test_the_wheel_runs_the_demo_in_an_environment_that_knows_no_checkout(
    wheel: Path, tmp_path: Path
) -> None:
    environment = tmp_path / "environment"
    venv.create(environment, with_pip=True)
    bin_ = environment / ("Scripts" if os.name == "nt" else "bin")
    python = bin_ / ("python.exe" if os.name == "nt" else "python")
    quiet = ["-m", "pip", "install", "--quiet", "--no-index", "--no-deps"]
    subprocess.run([python, *quiet, str(wheel)], check=True, cwd=tmp_path)
    site = subprocess.run(
        [python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout.strip()
    # Dependencies are lent by the environment that runs the tests; a path line in a .pth file adds
    # them after the wheel, and does not run the editable install's own.
    (Path(site) / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    done = subprocess.run(
        [bin_ / "archivist", "demo", "--to", str(tmp_path / "demo é")],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        env={**os.environ, "PYTHONPATH": ""},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    where = subprocess.run(
        [python, "-c", "import archivist; print(archivist.__file__)"],
        cwd=tmp_path,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert str(environment) in where
    assert (tmp_path / "demo é" / "archive" / "catalogue.sqlite").is_file()
