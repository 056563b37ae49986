"""What the `bagit` library, which others wrote, says of the same bag."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import bagit


def library_verdict(folder: Path) -> str:
    """Why the library holds the bag in `folder` to be invalid; '' where it holds it valid.

    It reads every file once more, with one process, and knows no version after 1.0.
    """
    with _quiet():
        try:
            bagit.Bag(str(folder)).validate(processes=1)
        except (bagit.BagError, OSError, ValueError) as problem:
            return f"{type(problem).__name__}: {problem}"
    return ""


def library_name() -> str:
    """The library's name and version."""
    return f"bagit {bagit.VERSION}"


@contextmanager
def _quiet() -> Iterator[None]:
    """Keeps the library's log, whose words its error repeats, off the owner's screen."""
    log = logging.getLogger("bagit")
    propagate, log.propagate = log.propagate, False
    handler = logging.NullHandler()
    log.addHandler(handler)
    try:
        yield
    finally:
        log.removeHandler(handler)
        log.propagate = propagate
