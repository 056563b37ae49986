"""Literature and exhibitions: what cites this piece, taken apart, and no stay with an owner."""

from __future__ import annotations

from archivist.reading.citations.read import citations_in, read_citations

__all__ = ["citations_in", "read_citations"]
