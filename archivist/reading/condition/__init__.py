"""Condition and making: what was seen on which part, and what a 'no' or a 'possibly' governs.

'If you don't know the mechanism, just describe the evidence' (Alaska State Museum): a term whose
cause depends on the piece (crazing, a star crack) is of kind undetermined.
"""

from __future__ import annotations

from archivist.reading.condition.read import ConditionReading, condition_in, read_condition

__all__ = ["ConditionReading", "condition_in", "read_condition"]
