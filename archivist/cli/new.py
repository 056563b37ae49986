"""`archivist new`: begins an archive."""

from __future__ import annotations

from pathlib import Path

import click

from archivist.cli.saying import echo


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--owner", required=True, metavar="NAME", help="Whose archive it is.")
@click.option("--name", default="", metavar="WORDS", help="What it is called.")
@click.option("--language", default="en", show_default=True, help="The language of its words.")
def new(folder: Path, owner: str, name: str, language: str) -> None:
    """Makes a new archive in FOLDER.

    \b
    Example:
      archivist new "Tidewell archive" --owner "Ines Tidewell"
    """
    from archivist.catalogue.archive import Archive

    with Archive.create(folder, owner=owner, name=name, language=language) as archive:
        echo(f"Made the archive '{archive.settings.name}' in {folder}.")
    echo(f'Next: archivist --archive "{folder}" survey FOLDER-OR-SPREADSHEET')
