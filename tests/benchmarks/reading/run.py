"""Prints the scores of every reader: `python -m tests.benchmarks.reading`."""

from __future__ import annotations

import importlib
import importlib.util

PARTS = ("dates", "periods", "dimensions", "provenance", "captions", "standing")


def main() -> None:
    """Print the report of each part that is there."""
    for part in PARTS:
        name = f"tests.benchmarks.reading.{part}"
        if importlib.util.find_spec(name) is None:
            print(f"{part}: no scoring module")
            continue
        print(importlib.import_module(name).report())
        print()


if __name__ == "__main__":
    main()
