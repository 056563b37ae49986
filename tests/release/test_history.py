"""What befell an original reaches the owner's formats, and nobody else's."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree

from archivist.catalogue.archive import Archive
from archivist.plugins import load_plugins
from archivist.release.fixity import check_originals
from archivist.release.history import History
from archivist.release.release import release
from archivist.release.request import Request
from tests.release.conftest import everything

PREMIS = "{http://www.loc.gov/premis/v3}"


def told(archive: Archive, audience: str, to: Path) -> list[etree._Element]:
    """The events of every document of PREMIS that a release writes."""
    request = Request(("premis",), audience, to, everything(archive))
    assert release(archive, load_plugins(), request).whole
    documents = [etree.parse(path) for path in to.rglob("*.xml")]
    return [event for one in documents for event in one.iter(f"{PREMIS}event")]


def types(events: list[etree._Element]) -> list[str]:
    return [event.findtext(f"{PREMIS}eventType") or "" for event in events]


def test_the_owner_is_told_of_ingestion_digests_and_the_newest_fixity_check(
    archive: Archive, tmp_path: Path
) -> None:
    before = types(told(archive, "owner", tmp_path / "before"))
    assert before.count("ingestion") == before.count("message digest calculation") == 3
    assert "fixity check" not in before
    for _ in range(2):
        check_originals(archive, lambda done: None)
    events = told(archive, "owner", tmp_path / "after")
    checks = [e for e in events if e.findtext(f"{PREMIS}eventType") == "fixity check"]
    assert len(checks) == 3
    outcomes = {e.findtext(f".//{PREMIS}eventOutcome") for e in checks}
    assert outcomes == {"success"}
    digests = {e.findtext(f".//{PREMIS}linkingObjectIdentifierValue") for e in checks}
    assert len(digests) == 3


@pytest.mark.parametrize("audience", ["buyer", "public"])
def test_others_are_told_of_the_copies_alone(
    audience: str, archive: Archive, tmp_path: Path
) -> None:
    check_originals(archive, lambda done: None)
    found = types(told(archive, audience, tmp_path / "out"))
    assert "ingestion" not in found
    assert "fixity check" not in found
    assert found.count("message digest calculation") == found.count("redaction") == 3


def test_a_check_that_found_damage_says_so_of_the_original_that_is_damaged(
    archive: Archive,
) -> None:
    hurt, *whole = archive.store.files()
    hurt.chmod(0o600)
    hurt.write_bytes(b"x" + hurt.read_bytes()[1:])
    check_originals(archive, lambda done: None)
    history = History(archive)
    last = history.of(hurt.stem)[-1]
    assert (last.type, last.outcome) == ("fixity check", "fail")
    assert hurt.stem in last.detail
    for path in whole:
        assert history.of(path.stem)[-1].outcome == "success"
