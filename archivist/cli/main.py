"""The `archivist` command: finds the subcommand, and turns errors into plain words."""

from __future__ import annotations

import errno
import sys
from importlib import import_module
from typing import Any

import click

from archivist import __version__
from archivist.cli.saying import echo, secho
from archivist.errors import ArchivistError

COMMANDS = {
    "add": "archivist.cli.add:add",
    "apply": "archivist.cli.apply:apply",
    "check": "archivist.cli.check:check",
    "compare": "archivist.cli.compare:compare",
    "copies": "archivist.cli.copies:copies",
    "demo": "archivist.cli.demo:demo",
    "disclose": "archivist.cli.disclose:disclose",
    "edit": "archivist.cli.edit:edit",
    "erase": "archivist.cli.erase:erase",
    "find": "archivist.cli.find:find",
    "fixity": "archivist.cli.fixity:fixity",
    "history": "archivist.cli.history:history",
    "key": "archivist.cli.key:key",
    "merge": "archivist.cli.merge:merge",
    "new": "archivist.cli.new:new",
    "plugins": "archivist.cli.plugins:plugins",
    "read": "archivist.cli.read:read",
    "register": "archivist.cli.register:register",
    "release": "archivist.cli.release:release",
    "restore": "archivist.cli.restore:restore",
    "review": "archivist.cli.review:review",
    "show": "archivist.cli.show:show",
    "split": "archivist.cli.split:split",
    "survey": "archivist.cli.survey:survey",
    "undo": "archivist.cli.undo:undo",
    "verify": "archivist.cli.verify:verify",
}
"""Each command and where it is defined. Only the one that is asked for is imported."""


class LazyGroup(click.Group):
    """A group whose commands are imported when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        place = COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, attribute = place.split(":")
        command: click.Command = getattr(import_module(module), attribute)
        return command

    def invoke(self, ctx: click.Context) -> Any:
        """Runs the command; an `ArchivistError` becomes its message and its exit code."""
        try:
            return super().invoke(ctx)
        except ArchivistError as problem:
            if ctx.params.get("debug"):
                raise
            secho(problem.message, fg="red", err=True)
            if problem.remedy:
                echo(problem.remedy, err=True)
            ctx.exit(problem.exit_code)
        except KeyboardInterrupt:
            echo("\nStopped. Nothing is half done: run the same command again to go on.", err=True)
            ctx.exit(130)
        except BrokenPipeError:  # whoever was reading has seen enough
            sys.stdout = None
            ctx.exit(0)
        except OSError as problem:
            if ctx.params.get("debug"):
                raise
            ctx.exit(_tell_of_disk(problem))
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception as problem:
            if ctx.params.get("debug"):
                raise
            ctx.exit(_tell_of_fault(problem))


_OF_THE_CATALOGUE = {
    "SQLITE_FULL": ("The disk is full", "Make room, and run the same command again."),
    "SQLITE_BUSY": (
        "Another program is at work on the catalogue",
        "Wait until it is done, and run the same command again.",
    ),
    "SQLITE_READONLY": (
        "The catalogue cannot be written",
        "Make its folder writable, or copy the archive to a disk that can be written.",
    ),
    "SQLITE_IOERR": (
        "The disk of the catalogue cannot be read or written",
        "See whether it is still there and sound. 'archivist fixity' tells what is damaged.",
    ),
}
_OF_THE_FILE = ("OperationalError", "DatabaseError")
_DAMAGED = (
    "The catalogue is damaged",
    "The originals are safe. 'archivist fixity' tells what is damaged; put back a copy of the "
    "catalogue, or rebuild the archive with 'archivist restore' from an owner's bag.",
)
"""What the errors of SQLite mean to the owner, by the beginning of their names."""


def _tell_of_disk(problem: OSError) -> int:
    """Says what the system says of a file; the exit code."""
    secho(f"{problem.filename or 'A file'}: {problem.strerror}.", fg="red", err=True)
    echo("The archive is as it was before this command, or further on.", err=True)
    remedy = _OF_THE_DISK.get(problem.errno or 0, "")
    if remedy:
        echo(remedy, err=True)
    return 2


_OF_THE_DISK = {
    errno.ENOSPC: "Make room on the disk, and run the same command again.",
    errno.EROFS: "The disk cannot be written to: name a place on another, or copy the archive.",
    errno.EACCES: "Ask for the right to it, or name another place.",
    errno.ENOENT: "See whether it was moved, or its disk was taken away.",
    errno.EIO: "The disk fails: see whether it is still there and sound.",
}


def _os_error_in(problem: BaseException) -> OSError | None:
    """What the system said of a file, where a library tells it in its own words."""
    for inner in (*problem.args, problem.__cause__):
        if isinstance(inner, OSError):
            return inner
    return None


def _tell_of_fault(problem: Exception) -> int:
    """Says what went wrong that no error of ours tells of; the exit code."""
    if (of_the_disk := _os_error_in(problem)) is not None:
        return _tell_of_disk(of_the_disk)
    code = getattr(problem, "sqlite_errorname", "")
    if type(problem).__module__ == "sqlite3" and type(problem).__name__ in _OF_THE_FILE:
        told = (words for name, words in _OF_THE_CATALOGUE.items() if code.startswith(name))
        message, remedy = next(told, _DAMAGED)
        secho(f"{message}: {problem}.", fg="red", err=True)
        echo(remedy, err=True)
        return 2
    name = type(problem).__name__
    secho(f"This is a fault of the program: {name}: {problem}", fg="red", err=True)
    echo(
        "Your archive is safe. Run the same with 'archivist --debug' and report what it prints.",
        err=True,
    )
    return 1


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="%(prog)s %(version)s")
@click.option(
    "--archive",
    "-a",
    "folder",
    metavar="FOLDER",
    envvar="ARCHIVIST_ARCHIVE",
    default=".",
    help="The archive to work on (default: the folder you are in).",
)
@click.option("--who", metavar="NAME", envvar="ARCHIVIST_WHO", help="Who makes the change.")
@click.option("--debug", is_flag=True, help="Show where in the program an error came from.")
@click.pass_context
def group(ctx: click.Context, folder: str, who: str | None, debug: bool) -> None:
    """Turns a dealer's records and photographs into a preserved archive in open standards.

    \b
    archivist new "My archive" --owner "Ines Tidewell"     begin
    archivist -a "My archive" survey "Old photographs"     look at old material
    archivist -a "My archive" review                       see what was made of it
    archivist -a "My archive" apply                        take it in
    archivist -a "My archive" release dublin-core iiif --for public --to Website
    """
    from archivist.cli.context import Invocation

    ctx.obj = Invocation(folder=folder, who=who or "", debug=debug)


def main() -> None:
    """The console script."""
    if hasattr(sys.stdout, "reconfigure"):  # a Windows console may not be UTF-8 by itself
        sys.stdout.reconfigure(encoding="utf-8", errors="replace")
        sys.stderr.reconfigure(encoding="utf-8", errors="replace")  # type: ignore[union-attr]
    group(prog_name="archivist")
