"""`archivist verify`: what can be said of a package that somebody was handed."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import progress, say_json
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.hooks import DocumentSignature
    from archivist.release.verifying import Verdict


@click.command()
@click.argument("package", type=click.Path(path_type=Path))
@click.option(
    "--signed-by",
    default="",
    metavar="FINGERPRINT|FILE",
    help="The key it should be signed with: its fingerprint, or the file of the public key.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@click.pass_context
def verify(ctx: click.Context, package: Path, signed_by: str, as_json: bool) -> None:
    """Tells in plain words whether PACKAGE is whole, unaltered, and who signed it.

    A folder, a zip, or a PDF out of one; no archive is needed. The file about.txt in the package
    tells how to do the same without this program.

    \b
    Examples:
      archivist verify "Packages/hw-0417-buyer-20260115.zip"
      archivist verify "hw-0417-buyer-20260115" --signed-by "Dealer's key.public.pem"
      archivist verify "The bowl's dossier.pdf"
    """
    from archivist.keys import fingerprints_of_file
    from archivist.plugins import load_plugins
    from archivist.release.verifying import verify as judge

    expected: tuple[str, ...] = (signed_by,) if signed_by else ()
    if signed_by and Path(signed_by).is_file():
        expected = fingerprints_of_file(Path(signed_by))
    with progress(f"Checking {package.resolve().name}", None) as advance:
        verdict = judge(load_plugins(), package, advance, expected)
    if as_json:
        say_json(_plain(verdict))
    else:
        _show(package, verdict)
    ctx.exit(0 if verdict.good else 1)


def _plain(verdict: Verdict) -> dict[str, object]:
    import msgspec

    from archivist.release.verifying import in_words

    plain: dict[str, object] = msgspec.to_builtins(verdict)
    return {**plain, "good": verdict.good, "words": in_words(verdict)}


def _show(package: Path, verdict: Verdict) -> None:
    from archivist.release.verifying import in_words

    colour = "green" if verdict.good else "red"
    secho(f"{package.resolve().name}: {verdict.standing.value}", fg=colour, bold=True)
    for problem in verdict.report.problems:
        secho(f"  {problem.state.value:10} {problem.path}  {problem.detail}", fg="red")
    for words in in_words(verdict):
        echo(click.wrap_text(words, _width()) if sys.stdout.isatty() else words)
    facts = verdict.facts
    if facts.audience or facts.made:
        echo(f"It says of itself: made {facts.made or '?'}, for {facts.audience or '?'}.")
    if verdict.digest and verdict.alone:
        echo(f"Digest of the file (SHA-256):\n  {verdict.digest}")
    elif verdict.digest:
        echo(f"Digest of its seal (SHA-256 of tagmanifest-sha256.txt):\n  {verdict.digest}")
    if verdict.signer and not verdict.alone:
        echo(f"Fingerprint of the signer's key (SHA-256):\n  {verdict.signer}")
    for document in verdict.documents:
        for signature in document.signatures:
            _show_signature("" if verdict.alone else document.path, signature)


def _width() -> int:
    return max(40, shutil.get_terminal_size().columns - 1)


def _show_signature(path: str, signature: DocumentSignature) -> None:
    if not signature.fingerprint:
        return
    where = f" of {path}" if path else ""
    at = f"; signed at {signature.at} by the signer's clock" if signature.at else ""
    echo(f"Fingerprint of the certificate{where} (SHA-256):\n  {signature.fingerprint}")
    echo(f"  in the name of '{signature.signer}'{at}")
