"""Wherever a record goes, its schema goes with it, and the record is what the schema says."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pikepdf
import pytest

from archivist.catalogue.archive import Archive
from archivist.hooks import ExporterDescription
from archivist.plugins import load_plugins
from archivist.release.release import release
from archivist.release.request import Request
from tests.release.conftest import everything

SCHEMA = "record.schema.json"


@pytest.mark.parametrize("audience", ["owner", "public"])
def test_every_record_has_its_schema_beside_it(
    audience: str, archive: Archive, tmp_path: Path
) -> None:
    plugins = load_plugins()
    names = tuple(d.name for d in plugins.of("exporter", ExporterDescription))
    request = Request(names, audience, tmp_path, everything(archive))
    assert release(archive, plugins, request).whole
    records = list(tmp_path.rglob("record.json"))
    assert {path.parent.parent.name for path in records} >= {"objects", "ro-crate", "pieces"}
    for path in records:
        held = [p for above in path.parents[:3] for p in above.glob(f"**/{SCHEMA}")]
        assert held, f"{path} has no schema"
        value = json.loads(path.read_bytes())
        whole = path.parent.parent.name == "pieces"  # the library's, with parties and photographs
        judge(json.loads(held[0].read_bytes()), value["record"] if whole else value)
        for photograph in value["photographs"] if whole else ():
            judge(
                json.loads(held[0].with_name("photograph.schema.json").read_bytes()),
                photograph["photograph"],
            )


def test_the_record_within_a_dossier_has_its_schema_beside_it(
    archive: Archive, tmp_path: Path
) -> None:
    request = Request(("dossier",), "buyer", tmp_path, everything(archive)[:1])
    assert release(archive, load_plugins(), request).whole
    [path] = tmp_path.rglob("*.pdf")
    with pikepdf.open(path) as pdf:
        files = {name: file.get_file().read_bytes() for name, file in pdf.attachments.items()}
    judge(json.loads(files[SCHEMA]), json.loads(files["record.json"]))
    for party in json.loads(files["parties.json"]):
        judge(json.loads(files["party.schema.json"]), party)


def judge(schema: dict[str, object], value: object) -> None:
    """By an independent validator; a schema that allows anything is none."""
    validator = jsonschema.Draft202012Validator(schema)
    validator.validate(value)
    assert not validator.is_valid({"id": 3, "no such field": 1})
