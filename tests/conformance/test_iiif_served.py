"""The tree as any static web server gives it out: every address in a manifest answers."""

from __future__ import annotations

import functools
import http.server
import io
import json
import threading
import urllib.request
from collections.abc import Iterator
from dataclasses import replace as with_changes
from pathlib import Path

import pytest
from lxml import etree
from PIL import Image

from archivist.model import View
from archivist.testing import export, sample_photograph, sample_piece, sample_selection
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF, IiifOptions
from tests.conformance import iiif_rules

MOST = 400
"""Addresses that are fetched at most."""


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Says nothing."""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """A folder and the address at which it is served, on this computer only."""
    handler = functools.partial(_Quiet, directory=str(tmp_path / "public"))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield tmp_path / "public", f"http://127.0.0.1:{server.server_address[1]}/library"
    server.shutdown()
    server.server_close()
    thread.join()


def _fetch(address: str) -> bytes:
    with urllib.request.urlopen(address, timeout=10) as answer:
        assert answer.status == 200
        content: bytes = answer.read()
        return content


def test_a_client_that_begins_at_the_collection_reaches_everything(
    served: tuple[Path, str], tmp_path: Path
) -> None:
    folder, base = served
    pictures = tuple(
        sample_photograph(tmp_path / "pictures", view, size)
        for view, size in [(View.OVERALL, 1500), (View.BASE, 300)]
    )
    piece = with_changes(sample_piece(tmp_path / "sample"), photographs=pictures)
    export(
        [DUBLIN_CORE, IIIF],
        sample_selection(tmp_path, [piece]),
        folder / "library",
        IiifOptions(base_uri=base),
    )
    fetched = 0
    collection = json.loads(_fetch(f"{base}/iiif/collection.json"))
    for item in collection["items"]:
        manifest = json.loads(_fetch(item["id"]))
        assert manifest["id"] == item["id"]
        for link in manifest["seeAlso"]:
            etree.fromstring(_fetch(link["id"]))
        services = set()
        for _, node in iiif_rules.walk(manifest):
            if node.get("type") == "Image":
                with Image.open(io.BytesIO(_fetch(node["id"]))) as image:
                    assert image.size == (node["width"], node["height"])
            if node.get("type") == "ImageService3":
                services.add(node["id"])
        assert len(services) == 2
        for service in services:
            info = json.loads(_fetch(f"{service}/info.json"))
            assert info["id"] == service
            for path, size in iiif_rules.declared(info).items():
                with Image.open(io.BytesIO(_fetch(f"{service}/{path}"))) as image:
                    assert image.size == size
                fetched += 1
                assert fetched < MOST
    assert fetched > 8
