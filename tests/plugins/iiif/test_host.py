"""The two exporters come in by the same door as anyone's, and use what anyone may use."""

from __future__ import annotations

import ast
from importlib.metadata import EntryPoint
from pathlib import Path

import archivist_plugins
import pytest

from archivist.hooks import ExporterDescription
from archivist.plugins import GROUP, in_order, load_plugins

PLUGINS = Path(archivist_plugins.__file__).parent
PUBLIC = {
    "archivist.errors",
    "archivist.hooks",
    "archivist.imaging.pixels",
    "archivist.model",
    "archivist.names",
}


def test_the_host_loads_both_and_runs_dublin_core_first() -> None:
    entries = [
        EntryPoint("iiif", "archivist_plugins.iiif", GROUP),
        EntryPoint("dublin-core", "archivist_plugins.dublin_core", GROUP),
    ]
    plugins = load_plugins(entries)
    assert plugins.failures == ()
    exporters = plugins.of("exporter", ExporterDescription)
    assert [e.name for e in in_order(exporters)] == ["dublin-core", "iiif"]


@pytest.mark.parametrize("name", ["iiif", "dublin_core", "wording.py", "facts.py"])
def test_only_public_modules_of_the_core_are_used(name: str) -> None:
    place = PLUGINS / name
    files = list(place.rglob("*.py")) if place.is_dir() else [place]
    assert files
    for file in files:
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            modules = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            used = {m for m in modules if m.split(".")[0] == "archivist"}
            assert used <= PUBLIC, f"{file.name} uses {used - PUBLIC}"
