"""`archivist key`: makes the key that packages are signed with, and tells its fingerprint."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.saying import echo

if TYPE_CHECKING:
    from archivist.signing import Signer


@click.group()
def key() -> None:
    """Makes and shows the key that 'release --sign' signs packages with.

    \b
    Examples:
      archivist key new "My signing key.pem" --name "Ines Tidewell"
      archivist key show "My signing key.public.pem"
    """


@key.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--name", default="", metavar="NAME", help="Whose key it is; PDFs are signed so too.")
@click.option("--passphrase", is_flag=True, help="Ask for a passphrase that locks the key.")
def new(file: Path, name: str, passphrase: bool) -> None:
    """Makes a new private key in FILE, and its public key beside it.

    \b
    Example:
      archivist key new "My signing key.pem" --name "Ines Tidewell" --passphrase
    """
    from archivist.keys import new_key

    words = (
        click.prompt("Passphrase", hide_input=True, confirmation_prompt=True) if passphrase else ""
    )
    public, signer = new_key(file, words, name)
    echo(
        f"The private key is {file}. Keep it where nobody else can read it, with a copy elsewhere: "
        "whoever has it can sign in your name.\n"
        f"The public key is {public}. Give it, or its fingerprint, to anybody:\n\n"
        f"  {signer.fingerprint}\n"
    )
    if signer.document is not None:
        echo(
            f"PDFs are signed as '{name}', with a certificate of this fingerprint (SHA-256):\n\n"
            f"  {signer.document.fingerprint}\n"
        )
    echo(
        "Tell a fingerprint by another way than the package (on paper, on your website, by "
        "telephone), so that it can be compared."
    )


@key.command()
@click.argument("file", type=click.Path(path_type=Path))
def show(file: Path) -> None:
    """Tells the fingerprint of the private or public key in FILE, and of its certificate.

    \b
    Example:
      archivist key show "My signing key.public.pem"
    """
    from archivist.errors import SigningError
    from archivist.keys import fingerprints_of_file

    try:
        found = fingerprints_of_file(file)
    except SigningError:
        if not file.is_file():
            raise
        signer = opened(file)
        found = (signer.fingerprint, *([signer.document.fingerprint] if signer.document else []))
    echo(found[0])
    for certificate in found[1:]:
        echo(f"certificate, by which PDFs are signed: {certificate}")


def opened(file: Path) -> Signer:
    """The signer with the private key in `file`; asks for its passphrase where it has one."""
    from archivist.keys import NeedsPassphraseError, read_signer

    try:
        return read_signer(file)
    except NeedsPassphraseError:
        return read_signer(
            file, click.prompt(f"Passphrase of {file.name}", hide_input=True, err=True)
        )
