"""One view of many pieces set side by side on sheets, as a file of its own."""

from __future__ import annotations

import shutil
import tempfile
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import ReleaseFacts, record_release
from archivist.digests import digest_file
from archivist.errors import PackageError, SelectionError
from archivist.hooks import Selection
from archivist.model import View
from archivist.plugins import Plugins
from archivist.release.destinations import NewPackage
from archivist.release.disclosure import Disclosure
from archivist.release.pieces import Discloser, archive_facts
from archivist.release.request import Request, choose
from archivist.release.running import Tally, run

EXPORTER = "comparison"
"""Who sets the sheets: an exporter like any other."""

FORMS = {".pdf": "pdf", ".png": "png"}
"""What the ending of a file asks for."""


@dataclass(frozen=True)
class Comparison:
    """What is compared: the view, the UUIDs of the pieces, what they were found by in words.

    `options` are those of the exporter, as typed.
    """

    view: View
    objects: tuple[str, ...]
    title: str
    options: dict[str, str]


@dataclass(frozen=True)
class Compared:
    """The files that were written, in order, and what could not be shown of the pieces."""

    files: tuple[Path, ...]
    problems: tuple[str, ...] = ()


def check_target(archive: Archive, to: Path, *, overwrite: bool) -> str:
    """The form that `to` asks for.

    Raises:
        SelectionError: where it is neither PDF nor PNG, is there already, or would lie where the
            archive keeps its own.
    """
    form = FORMS.get(to.suffix.lower())
    if form is None:
        raise SelectionError(
            f"'{to.name}' says neither that it is a PDF nor that it is a PNG.",
            "Name a file that ends in .pdf or .png with --to.",
        )
    if archive.keeps_for_itself(to):
        raise SelectionError(
            f"{to.parent} is a folder that the archive keeps for itself.",
            "Nothing was written. Name a file outside the archive with --to.",
        )
    if to.is_dir() or (not overwrite and (to.exists() or numbered(to, 1).exists())):
        raise SelectionError(
            f"{to} is there already.",
            "Nothing was written. Name another file, or add --overwrite.",
        )
    return form


def numbered(to: Path, page: int) -> Path:
    """The file of one of several pages: 'sheet-1.png'."""
    return to.with_name(f"{to.stem}-{page}{to.suffix}")


def compare(
    archive: Archive,
    plugins: Plugins,
    rule: Disclosure,
    comparison: Comparison,
    to: Path,
    advance: Callable[[int], None] = lambda pieces: None,
) -> Compared:
    """Writes the sheets to `to`; several pages of a PNG to 'sheet-1.png', 'sheet-2.png' and on.

    What goes to others than the owner is entered in the register of what was handed out.

    Raises:
        SelectionError: where the exporter is not installed, or has no such option.
        PackageError: where the sheets could not be set, naming the piece.
    """
    options = {
        **comparison.options,
        "view": comparison.view.value,
        "form": FORMS[to.suffix.lower()],
    }
    request = Request(
        (EXPORTER,), rule.audience, to, comparison.objects, options={EXPORTER: options}
    )
    chosen = choose(plugins, request)
    discloser = Discloser(archive, rule)
    selection = Selection(
        archive=archive_facts(archive),
        audience=rule.audience,
        made=archive.catalogue.now(),
        title=comparison.title or archive.settings.name,
        count=len(comparison.objects),
        pieces=lambda: discloser.pieces(comparison.objects),
    )
    tally = Tally()
    with tempfile.TemporaryDirectory(prefix="comparison-") as scratch:
        with NewPackage(Path(scratch) / EXPORTER, (EXPORTER,)) as package:
            run(chosen, plugins, selection, package, advance, tally)
            made = package.finish(tally.complete)
        if tally.failures or made is None:
            raise PackageError(
                "The sheets could not be set: "
                + "; ".join(map(str, tally.failures))
                + ("" if tally.failures else "no photograph could be shown."),
                "Nothing was written, and the archive is untouched.",
            )
        pages = sorted(path for path in made.rglob("*") if path.is_file())
        alone = len(pages) == 1
        to.parent.mkdir(parents=True, exist_ok=True)
        files = tuple(
            _placed(page, to if alone else numbered(to, number))
            for number, page in enumerate(pages, start=1)
        )
    if not rule.everything:
        _register(archive, rule.audience, comparison.objects, to, files)
    return Compared(files, tuple(dict.fromkeys(discloser.withheld.problems)))


def _placed(page: Path, target: Path) -> Path:
    """Puts a finished page in its place, whole or not at all."""
    beside = target.with_name(f".unfinished-{uuid.uuid4().hex[:8]}{target.suffix}")
    try:
        shutil.copyfile(page, beside)
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
    return target


def _register(
    archive: Archive, audience: str, objects: tuple[str, ...], to: Path, files: tuple[Path, ...]
) -> None:
    record_release(
        archive.catalogue,
        ReleaseFacts(
            id=str(uuid.uuid4()),
            at=archive.catalogue.now(),
            audience=audience,
            exporters=(EXPORTER,),
            location=str(to.resolve()),
            digests=tuple(digest_file(file).sha256 for file in files),
            objects=objects,
        ),
    )
