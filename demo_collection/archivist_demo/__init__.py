"""An invented dealer's papers and photographs, to try the archive on."""

from pathlib import Path


def folder() -> Path:
    """Return the folder that holds the stock book and the photographs, as their owner left them."""
    return Path(__file__).resolve().parent / "collection"
