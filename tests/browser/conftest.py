"""A library as it is released, opened in the system's Chromium from a disk and from a server."""

from __future__ import annotations

import shutil
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from dataclasses import replace as with_changes
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from PIL import Image, ImageDraw
from playwright.sync_api import (
    Browser,
    ConsoleMessage,
    Page,
    Playwright,
    Request,
    sync_playwright,
)

from archivist.digests import digest_file
from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import (
    Aspect,
    Attribution,
    Date,
    Dimension,
    Feature,
    FeatureAspect,
    Measurement,
    Term,
    Title,
    Unit,
    View,
)
from archivist.release.naming import piece_slug
from archivist.testing import BOWL, export, sample_piece, sample_selection
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.iiif import IIIF, IiifOptions
from archivist_plugins.reference_library import REFERENCE_LIBRARY

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
TILE = 256
PICTURE = (1700, 1300)

VASES = (
    # stock number, title, years, height in cm, height in the picture
    ("V 1", "Vase, Qianlong", (1736, 1795), 30, 1000),
    ("V 2", "Bottle, celadon", (1100, 1200), 15, 1000),
    ("V 3", "Ewer, tin glaze", (1600, 1650), 20, 500),
    ("V 4", "Jar of no known date", None, 25, 800),
)


@dataclass
class Visit:
    """A page, and everything it asked for and complained of."""

    page: Page
    root: str
    requests: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def open(self, path: str) -> Page:
        self.page.goto(f"{self.root}reference-library/{path}", wait_until="load")
        return self.page


Visitor = Callable[..., Visit]


def picture(folder: Path, view: View, tall: int, number: int) -> DisclosedPhotograph:
    """A clay-coloured upright shape of `tall` pixels on even grey, as large as a photograph."""
    name = f"{view.value.replace(' ', '-')}-{number:02d}.jpg"
    path = folder / f"{tall}-{name}"
    image = Image.new("RGB", PICTURE, (150, 152, 155))
    middle, foot = PICTURE[0] // 2, PICTURE[1] - 150
    shape = (middle - 200, foot - tall, middle + 200, foot)
    ImageDraw.Draw(image).ellipse(shape, fill=(120, 60, 40), outline=(60, 30, 20), width=6)
    folder.mkdir(parents=True, exist_ok=True)
    image.save(path, "JPEG", quality=80)
    digests = digest_file(path)
    sample = sample_piece(folder, views=(view,)).photographs[0]
    return with_changes(
        sample,
        path=path,
        name=name,
        width=PICTURE[0],
        height=PICTURE[1],
        sha256=digests.sha256,
        sha512=digests.sha512,
        size=digests.size,
    )


def vases(folder: Path) -> Iterator[Piece]:
    """Pieces of which date, size and picture are known exactly."""
    for number, (stock_number, title, years, high, tall) in enumerate(VASES, start=1):
        date = (
            Attribution(
                aspect=Aspect.DATE,
                date=Date(edtf=f"{years[0]}/{years[1]}", earliest=years[0], latest=years[1]),
            )
            if years
            else None
        )
        record = replace(
            BOWL,
            id=f"{number}b9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a01",
            stock_number=stock_number,
            titles=(Title(value=title, preferred=True),),
            attributions=(date,) if date else (),
            features=(
                Feature(aspect=FeatureAspect.FORM, term=Term(label=title.split(",")[0].lower())),
            ),
            measurements=(
                Measurement(
                    dimension=Dimension.HEIGHT, low=str(high), high=str(high), unit=Unit.CENTIMETRE
                ),
            ),
        )
        shown = (
            picture(folder, View.OVERALL, tall, 1),
            *([picture(folder, View.FOOT_RIM, 600, 2)] if number != 3 else []),
        )
        yield with_changes(
            sample_piece(folder), record=record, photographs=shown, slug=piece_slug(record)
        )


@pytest.fixture(scope="module")
def released(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small library whose every fact is known, with tiles of several levels."""
    folder = tmp_path_factory.mktemp("a library with spaces – ü")
    pieces = [sample_piece(folder / "pictures"), *vases(folder / "pictures")]
    selection = sample_selection(folder / "pictures", pieces)
    everything = (DUBLIN_CORE, IIIF, REFERENCE_LIBRARY)
    export(everything, selection, folder / "out", IiifOptions(tile_size=TILE))
    return folder / "out"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's library, as its owner sees it."""
    folder = tmp_path_factory.mktemp("demo")
    for command in (
        ["demo", "--to", str(folder / "demo")],
        [
            *("--archive", str(folder / "demo" / "archive"), "release", "reference-library"),
            *("--for", "owner", "--to", str(folder / "out")),
        ],
    ):
        done = subprocess.run(
            [sys.executable, "-c", "from archivist.cli.main import main; main()", *command],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode in (0, 1), done.stdout + done.stderr
    return folder / "out"


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    if CHROMIUM is None:
        pytest.skip("no Chromium on this system")
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def browser(playwright: Playwright) -> Iterator[Browser]:
    running = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
    yield running
    running.close()


def not_had(request: Request) -> tuple[str, ...]:
    """The address of a request that failed; none where the page itself let go of it.

    A picture that is still on its way when a link is followed is given up by the browser.
    """
    return () if "ERR_ABORTED" in (request.failure or "") else (request.url,)


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *arguments: object) -> None:
        return


@pytest.fixture
def served() -> Iterator[Callable[[Path], str]]:
    """Gives a folder out as any static host does."""
    servers: list[ThreadingHTTPServer] = []

    def serve(folder: Path) -> str:
        handler = partial(_Quiet, directory=str(folder))
        server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        servers.append(server)
        return f"http://127.0.0.1:{server.server_port}/"

    yield serve
    for server in servers:
        server.shutdown()
        server.server_close()


def complaint(said: ConsoleMessage) -> list[str]:
    """What the browser complains of; not that a viewer was closed while a tile was on its way."""
    expected = said.text.startswith("Ignoring tile %s loaded before reset")
    return [said.text] if said.type == "error" and not expected else []


@pytest.fixture
def visit(browser: Browser, served: Callable[[Path], str]) -> Iterator[Visitor]:
    """Opens a release in a window of its own, from the disk unless `over_http`."""
    contexts = []

    def begin(folder: Path, *, over_http: bool = False, **wanted: Any) -> Visit:
        wanted.setdefault("viewport", {"width": 1280, "height": 900})
        context = browser.new_context(**wanted)
        contexts.append(context)
        root = served(folder) if over_http else f"{folder.as_uri()}/"
        page = context.new_page()
        page.set_default_timeout(15_000)
        made = Visit(page, root)
        page.on("request", lambda request: made.requests.append(request.url))
        page.on("requestfailed", lambda request: made.failed.extend(not_had(request)))
        page.on(
            "response",
            lambda answer: made.failed.append(answer.url) if answer.status >= 400 else None,
        )
        page.on("pageerror", lambda error: made.complaints.append(str(error)))
        page.on("console", lambda said: made.complaints.extend(complaint(said)))
        return made

    yield begin
    for context in contexts:
        context.close()
