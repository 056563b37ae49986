"""How long a piece of work takes by itself, whatever the tests before it left in memory."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable


def seconds_of(work: Callable[[], object]) -> float:
    """Seconds of processor time that `work` takes.

    A collection of garbage looks at everything in the process, which after thousands of tests
    takes half a second by itself. What was there before is set apart from it; what `work` makes
    is collected within its time as ever.
    """
    gc.freeze()
    try:
        start = time.process_time()
        work()
        return time.process_time() - start
    finally:
        gc.unfreeze()
