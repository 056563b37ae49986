"""Dates as EDTF writes them; the model's own, since it writes dates as well."""

from archivist.model.edtf import expressible, interval, one_of, qualifier, year

__all__ = ["expressible", "interval", "one_of", "qualifier", "year"]
