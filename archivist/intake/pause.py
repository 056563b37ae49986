"""Keeps the search for circular garbage from running again and again over values that have none."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_garbage_search() -> Iterator[None]:
    """Within the block Python does not look for circles among objects.

    Records and proposals are trees of immutable values, kept by the hundred thousand; going through
    them again and again in search of circles took more than half the time of a second survey.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
