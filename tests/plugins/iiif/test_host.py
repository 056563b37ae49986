"""The two exporters come in by the same door as anyone's."""

from __future__ import annotations

from importlib.metadata import EntryPoint

from archivist.hooks import ExporterDescription
from archivist.plugins import GROUP, in_order, load_plugins


def test_the_host_loads_both_and_runs_dublin_core_first() -> None:
    entries = [
        EntryPoint("iiif", "archivist_plugins.iiif", GROUP),
        EntryPoint("dublin-core", "archivist_plugins.dublin_core", GROUP),
    ]
    plugins = load_plugins(entries)
    assert plugins.failures == ()
    exporters = plugins.of("exporter", ExporterDescription)
    assert [e.name for e in in_order(exporters)] == ["dublin-core", "iiif"]
