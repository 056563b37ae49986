"""Condition and making: what was seen on which part.

'If you don't know the mechanism, just describe the evidence' (Alaska State Museum): a term whose
cause depends on the piece (crazing, a star crack) is of kind undetermined.
"""

from __future__ import annotations

from archivist.reading.condition.read import condition_in, read_condition

__all__ = ["condition_in", "read_condition"]
