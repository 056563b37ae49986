"""`archivist demo`: the whole job on an invented dealer's papers and photographs."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import progress
from archivist.cli.saying import echo, secho
from archivist.cli.told import counted

if TYPE_CHECKING:
    from archivist.catalogue.archive import Archive
    from archivist.plugins import Plugins
    from archivist.release.report import Report
    from archivist.release.request import Request

OWNER = "H. Wenderholt"
SHOWN = "HW 0417"
"""The piece whose package is made for a buyer."""


@click.command()
@click.option(
    "--to",
    default="archivist-demo",
    show_default=True,
    type=click.Path(path_type=Path),
    help="A new folder for everything the demo makes.",
)
@click.pass_context
def demo(ctx: click.Context, to: Path) -> None:
    """Takes in an invented dealer's papers and photographs, and gives them out again.

    \b
    Example:
      archivist demo --to "Trying it out"
    """
    from archivist.catalogue.archive import Archive
    from archivist.errors import ArchiveError
    from archivist.plugins import load_plugins

    if to.exists() and any(to.iterdir()):
        raise ArchiveError(
            f"{to} is there already.",
            "Name another folder with --to, or remove that one, and run the demo again.",
        )
    began = time.monotonic()
    plugins = load_plugins()
    with Archive.create(to / "archive", owner=OWNER, name="The Wenderholt papers") as archive:
        whole = _take_in(archive, plugins)
        reports = _release(archive, plugins, to)
        whole = _check(archive, plugins, reports) and whole
    whole = all(report.whole for report in reports) and whole
    echo(f"\nDone in {time.monotonic() - began:.0f} seconds. Where to look:\n")
    _where(to, reports)
    ctx.exit(0 if whole else 1)


def _take_in(archive: Archive, plugins: Plugins) -> bool:
    """Surveys and applies the papers, then the photographs; whether every file was read."""
    from archivist.intake.apply import apply, size_of
    from archivist.intake.survey import survey
    from archivist_demo import folder

    papers = sorted(path for path in folder().iterdir() if path.is_file())
    pictures = sorted(path for path in folder().iterdir() if path.is_dir())
    for what, sources in (("papers", papers), ("photographs", pictures)):
        with progress(f"Looking at the {what}", None) as advance:
            told = survey(archive, sources, plugins, progress=advance)
        proposal = told.proposal
        echo(
            f"Surveyed the {what}: {len(proposal.items)} things proposed, "
            f"{len(proposal.questions)} questions left open."
        )
        if told.path is None:
            continue
        with progress(f"Taking in the {what}", size_of(archive, proposal)) as advance:
            done = apply(archive, proposal, told.path.name, OWNER, advance)
        echo(
            f"Taken in: {done.records} records, {done.photographs} photographs, "
            f"{done.files} files, {done.parties} persons and firms."
        )
        if done.failures:
            secho("\n".join(done.failures), fg="red", err=True)
            return False
    return True


def _release(archive: Archive, plugins: Plugins, to: Path) -> list[Report]:
    """For everybody, for a buyer, and the whole archive for the owner."""
    from archivist.catalogue.search import Query, select
    from archivist.release.request import Request

    catalogue = archive.catalogue
    everything = select(catalogue, Query())
    one = select(catalogue, Query(names=(SHOWN,)))
    standards = ("dublin-core", "iiif")
    library = (*standards, "reference-library")
    website, packages = to / "website", to / "packages"
    requests = (
        Request(library, "public", website, everything),
        Request(("bagit", "dossier", *standards), "buyer", packages, one, title=SHOWN, zips=True),
        Request(("bagit",), "owner", packages, everything, whole_archive=True),
    )
    return [_released(archive, plugins, request) for request in requests]


def _released(archive: Archive, plugins: Plugins, request: Request) -> Report:
    from archivist.release.release import release

    total = len(request.objects) * len(request.exporters)
    with progress(f"Releasing for {request.audience}", total, "pieces") as advance:
        report = release(archive, plugins, request, advance)
    names = " + ".join(request.exporters)
    stayed = counted(report.withheld_photographs, "photograph")
    echo(
        f"Released for {request.audience} as {names}: {counted(report.pieces, 'piece')}, "
        f"{counted(report.written, 'file')}"
        + (f"; {stayed} stayed with the owner." if stayed else ".")
    )
    for problem in (*report.problems, *report.failures):
        secho(f"  {problem}", fg="red", err=True)
    return report


def _check(archive: Archive, plugins: Plugins, reports: list[Report]) -> bool:
    """Fixity of the originals and of both packages, the packages with a second opinion."""
    from archivist.release.fixity import check_originals, check_package

    checked = [("the originals", check_originals(archive, lambda size: None))]
    for report in reports[1:]:
        if report.place is not None:
            found = check_package(
                plugins, report.place, lambda size: None, second_opinion=True, archive=archive
            )
            checked.append((report.place.name, found))
    for what, found in checked:
        state = f"{len(found.problems)} problems" if found.problems else "undamaged"
        echo(f"Fixity of {what}: {state} ({found.files} files).")
    return not any(found.problems for _, found in checked)


def _where(to: Path, reports: list[Report]) -> None:
    """What lies where, in plain words."""
    website, buyers, owners = (report.place for report in reports)
    rows = (
        (to / "archive", "the archive: originals, catalogue, proposals; README.txt tells the rest"),
        (website, "for everybody: open reference-library/index.html in a web browser;"),
        ("", "Dublin Core is in dublin-core/, pictures and manifests in iiif/"),
        (buyers, f"the package that goes with {SHOWN}, also as a zip: a PDF in data/dossier/;"),
        ("", "about.txt tells how to check it"),
        (owners, "the whole archive as one package, to keep elsewhere"),
    )
    for place, what in rows:
        if place:
            echo(f"  {place}")
        echo(f"      {what}")
    echo(
        f'\nNow try:  archivist --archive "{to / "archive"}" show\n'
        f'          archivist --archive "{to / "archive"}" show "{SHOWN}"'
    )
