"""What of a provenance is an acquisition, and when an event happened and a stay went on.

Common practice, no source: a purchase is an event of its day, and what follows it is the stay; a
loan, a consignment and an exhibition last.
"""

from __future__ import annotations

from archivist.model import Date, EventKind, ProvenanceEvent

PASSES_OWNERSHIP = frozenset(
    {EventKind.SALE, EventKind.AUCTION, EventKind.GIFT, EventKind.DESCENT, EventKind.EXCHANGE}
)
"""Kinds of event by which the ownership of a piece passes. A transfer of no known kind, a return, a
restitution and a seizure may or may not give title: no format is told that they did."""

LASTING = frozenset(
    {EventKind.STAY, EventKind.LOAN, EventKind.CONSIGNMENT, EventKind.EXHIBITION, EventKind.OFFER}
)
"""Kinds whose `until` is their own end; that of any other is the end of the stay that followed."""


def happened(event: ProvenanceEvent) -> tuple[Date | None, Date | None]:
    """When the event was or began, and when it ended; None for what is not known or no end of it.

    'Bought in 1921, until 1950' happened in 1921.
    """
    return event.date, event.until if event.kind in LASTING else None


def stayed_until(event: ProvenanceEvent) -> Date | None:
    """When the stay ended that followed the event; None where the event itself lasted."""
    return None if event.kind in LASTING else event.until
