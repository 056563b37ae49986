"""Measurements: how large a piece is, as exact decimals, to the precision it was stated to.

Sources: 1 in = 25.4 mm exactly (NIST SP 811, B.6); 'about 9 in.' is a range and never 22.86 cm
(NPS Museum Handbook II, App. K), so that nothing is converted: a second unit stands as its own
statement, and the two are only compared.
"""

from __future__ import annotations

from archivist.model.measurements import Dimension, Unit
from archivist.reading.measurements.read import MeasurementReading, read_measurements

__all__ = ["Dimension", "MeasurementReading", "Unit", "read_measurements"]
