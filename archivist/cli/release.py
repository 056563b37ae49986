"""`archivist release`: gives out pieces in open standards."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, counted, pass_invocation, progress, say_json
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.release.report import Report


def _options(
    _: click.Context, __: click.Parameter, given: tuple[str, ...]
) -> dict[str, dict[str, str]]:
    """'iiif.tile-size=512' as the option of an exporter."""
    options: dict[str, dict[str, str]] = {}
    for words in given:
        name, equals, value = words.partition("=")
        exporter, dot, option = name.partition(".")
        if not (equals and dot and option):
            raise click.BadParameter(f"'{words}' is not of the form iiif.tile-size=512")
        options.setdefault(exporter, {})[option] = value
    return options


@click.command()
@click.argument("exporter", nargs=-1, required=True)
@click.option(
    "--for",
    "audience",
    required=True,
    metavar="AUDIENCE",
    help="public, buyer, museum, heir, authority, owner …",
)
@click.option("--to", required=True, type=click.Path(path_type=Path), help="The folder to fill.")
@click.option("--object", "names", multiple=True, metavar="STOCKNUMBER", help="Only this piece.")
@click.option(
    "--made", metavar="INTERVAL", help="Only pieces made then: 1875/1908, ../1900 (EDTF)."
)
@click.option("--words", default="", help="Only pieces whose record has these words.")
@click.option("--view", default="", help="Only pieces photographed in this view: base, mark …")
@click.option("--archive", "whole", is_flag=True, help="The whole archive; for the owner alone.")
@click.option("--title", default="", metavar="WORDS", help="What this release is called.")
@click.option(
    "--base-uri", default="", metavar="URI", help="The web address that --to is served at."
)
@click.option(
    "--option",
    "options",
    multiple=True,
    callback=_options,
    metavar="EXPORTER.NAME=VALUE",
    help="An option of an exporter, as 'archivist plugins' lists them.",
)
@click.option(
    "--zip/--no-zip",
    "zips",
    default=None,
    help="Make of every bag a zip too; with --object that is done unasked.",
)
@click.option(
    "--sign",
    "key",
    type=click.Path(path_type=Path),
    metavar="KEYFILE",
    help="Sign every bag with this key, which 'archivist key new' made.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@pass_invocation
@click.pass_context
def release(
    ctx: click.Context,
    invocation: Invocation,
    exporter: tuple[str, ...],
    audience: str,
    to: Path,
    names: tuple[str, ...],
    made: str | None,
    words: str,
    view: str,
    whole: bool,
    title: str,
    base_uri: str,
    options: dict[str, dict[str, str]],
    zips: bool | None,
    key: Path | None,
    as_json: bool,
) -> None:
    """Gives out pieces with each EXPORTER, holding only what the audience may see.

    Packages (bagit) are made new each time. Anything else updates the folder it was released to
    before, and touches only what changed. Where records changed, only their files are looked at;
    released once more, every file is, and what somebody removed is written again.

    \b
    Examples:
      archivist release dublin-core iiif --for public --to Website
      archivist release bagit dublin-core iiif --for buyer --object "HW 0417" --to Packages
      archivist release bagit dossier --for museum --object "HW 0417" --to Packages --sign Key.pem
      archivist release bagit --archive --for owner --to "E:/Safe copy"
    """
    from archivist.catalogue.search import Query, select, years_of_interval
    from archivist.cli.key import opened
    from archivist.plugins import load_plugins
    from archivist.release.estimate import estimate
    from archivist.release.release import release as give_out
    from archivist.release.request import Request, choose

    with invocation.open() as archive:
        earliest, latest = years_of_interval(made) if made else (None, None)
        objects = select(archive.catalogue, Query(names, earliest, latest, words, view))
        request = Request(
            exporter,
            audience,
            to,
            objects,
            title,
            options,
            whole,
            base_uri,
            zips=bool(names) if zips is None else zips,
            signer=opened(key) if key is not None else None,
            named_after_piece=len(names) == 1,
        )
        needs = estimate(archive, request)
        if not as_json:
            photographs = counted(needs.photographs, "photograph")
            echo(
                f"{counted(needs.pieces, 'piece')} with {photographs}; a copy of the pictures "
                f"takes {_size(needs.size)}, and {_size(needs.free)} are free.",
                err=True,
            )
        plugins = load_plugins()
        chosen = choose(plugins, request)
        with progress("Releasing", len(objects) * len(chosen), "pieces") as advance:
            report = give_out(archive, plugins, request, advance)
    if as_json:
        say_json(report)
    else:
        _show(report)
        for description in (choice.description for choice in chosen):
            start = (report.place or to) / description.name / description.start
            if description.start and start.is_file():
                echo(f"Open {start}")
    ctx.exit(0 if report.whole else 1)


def _show(report: Report) -> None:
    if report.place is not None:
        echo(
            f"{counted(report.pieces, 'piece')}: {counted(report.written, 'file')} written "
            f"({_size(report.bytes_written)}), {report.unchanged} unchanged, in {report.place}"
        )
    for made in report.zips:
        echo(f"The same as one file: {made}")
    if report.signed:
        echo(f"{counted(report.signed, 'package')} signed.")
    if report.withheld_photographs:
        _show_withheld(report)
    if report.unpublished:
        echo(
            "Unpublished: addresses in it end in '.invalid'. Set base_uri in archive.toml, or give "
            "--base-uri, once you know where it will be served."
        )
    for problem in report.problems:
        secho(f"left out   {problem}", fg="yellow", err=True)
    for failure in report.failures:
        secho(f"failed     {failure}", fg="red", err=True)


_STAYED = {
    "not reviewed": (
        "whose view nobody has reviewed",
        "archivist review --sheet",
    ),
    "unknown view": (
        "whose view is not known",
        "archivist edit NUMBER --view SHA256=VIEW",
    ),
    "no region": (
        "of several pieces, without a region for each",
        "archivist edit NUMBER --region SHA256=X,Y,W,H",
    ),
    "view": (
        "of labels, documents and other views kept from this audience",
        "archivist edit NUMBER --let-see SHA256=AUDIENCE",
    ),
    "private": ("that you keep back", ""),
    "undecodable": ("that cannot be decoded", ""),
    "raw": ("raw, whose pictures beside them are given", ""),
}
"""Why photographs stay with the owner, and what to do where they should not."""


def _show_withheld(report: Report) -> None:
    """How many photographs stayed for which reason, and the next step."""
    echo(f"{counted(report.withheld_photographs, 'photograph')} stayed with you:")
    width = len(f"{max(report.withheld_because.values()):,}")
    for why, number in report.withheld_because.items():
        words, step = _STAYED[why]
        echo(f"  {number:>{width},} {words}")
        if step:
            echo(f"  {'':>{width}}   to let them go: {step}")


def _size(number: int) -> str:
    """Bytes in the largest unit that leaves a whole part."""
    size = float(number)
    for unit in ("bytes", "kB", "MB", "GB"):
        if size < 1000:
            return f"{size:.0f} {unit}" if unit == "bytes" else f"{size:.1f} {unit}"
        size /= 1000
    return f"{size:.1f} TB"
