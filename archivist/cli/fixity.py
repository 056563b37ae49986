"""`archivist fixity`: compares files with their recorded digests."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, counted, pass_invocation, progress, say_json
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.hooks import FixityReport


@click.command()
@click.argument("package", nargs=-1, type=click.Path(path_type=Path))
@click.option("--second-opinion", is_flag=True, help="Also ask an independent library.")
@click.option(
    "--share",
    "percent",
    type=click.IntRange(1, 100),
    default=100,
    metavar="PERCENT",
    help="Only this share of the originals: those that were compared longest ago.",
)
@click.option("--sha512", is_flag=True, help="Compare the originals' SHA-512 too.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@pass_invocation
@click.pass_context
def fixity(
    ctx: click.Context,
    invocation: Invocation,
    package: tuple[Path, ...],
    second_opinion: bool,
    percent: int,
    sha512: bool,
    as_json: bool,
) -> None:
    """Checks the archive, or each PACKAGE that is named, byte for byte.

    Of the archive: the originals, every version of every record, and every other fact in its
    catalogue, each with its digest; then what is made of them, which is made anew where it is
    damaged. Names everything that is missing, changed or extra, and records the check. A package
    can be checked without an archive.

    \b
    Examples:
      archivist fixity                              this archive
      archivist fixity --share 10                   a tenth of its originals, and all records
      archivist fixity "Packages/hw-0417-buyer"     one package
    """
    from archivist.catalogue.settings import FILE_NAME
    from archivist.errors import ArchivistError
    from archivist.plugins import load_plugins
    from archivist.release.fixity import (
        check_originals,
        check_package,
        check_records,
        packages_in,
        sweep_unless_at_work,
    )

    reports = []
    failed = False
    in_archive = (Path(invocation.folder) / FILE_NAME).is_file()
    if package:
        plugins = load_plugins()
        archive = invocation.open() if in_archive else None
        try:
            for named in package:
                try:
                    for path in packages_in(plugins, named):
                        with progress(f"Checking {path.name}", _size(path)) as advance:
                            report = check_package(
                                plugins,
                                path,
                                advance,
                                second_opinion=second_opinion,
                                archive=archive,
                            )
                        reports.append((str(path), report))
                except ArchivistError as problem:
                    if len(package) == 1:
                        raise
                    failed = True
                    secho(f"{problem}", fg="red", err=True)
        finally:
            if archive is not None:
                archive.catalogue.close()
    else:
        with (
            invocation.open() as opened,
            progress("Checking the originals", _size(opened.store.folder)) as advance,
        ):
            sweep_unless_at_work(opened)
            done = check_originals(opened, advance, percent=percent, sha512=sha512)
            reports.append(("the originals", done))
            reports.append(("the records", check_records(opened)))
    if as_json:
        say_json([{"what": what, **_plain(report)} for what, report in reports])
    else:
        for what, report in reports:
            _show(what, report)
    ctx.exit(1 if failed or any(r.problems or r.left_out for _, r in reports) else 0)


def _size(folder: Path) -> int:
    if folder.is_file():
        return folder.stat().st_size
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


def _plain(report: object) -> dict[str, object]:
    import msgspec

    plain: dict[str, object] = msgspec.to_builtins(report)
    return plain


def _show(what: str, report: FixityReport) -> None:
    for problem in report.problems:
        secho(f"{problem.state.value:10} {problem.path}  {problem.detail}", fg="red")
    for remark in report.remarks:
        echo(f"remark     {remark}")
    for missing in report.left_out:
        secho(f"left out   {missing}", fg="red")
    size = f"{counted(report.files, 'file')}, {report.size:,} bytes"
    if report.problems:
        problems = counted(len(report.problems), "problem")
        secho(f"{what}: {problems} in {size}.", fg="red", bold=True)
    elif report.left_out:
        lacking = f"{len(report.left_out):,} left out when it was made"
        secho(f"{what}: undamaged ({size}), and not whole: {lacking}.", fg="red", bold=True)
    else:
        secho(f"{what}: undamaged ({size}).", fg="green")
