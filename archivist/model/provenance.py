"""Changes of hands and stays, in order, with their gaps; and the facts of a sale."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement
from archivist.model.dates import Date


class EventKind(StrEnum):
    """What happened; some of it is no change of ownership (`OWNERSHIP_UNCHANGED`)."""

    COMMISSION = "commission"
    SALE = "sale"
    AUCTION = "auction"
    GIFT = "gift"
    DESCENT = "descent"
    EXCHANGE = "exchange"
    LOAN = "loan"
    CONSIGNMENT = "consignment"
    FIND = "find"
    RETURN = "return"
    STAY = "stay"
    EXHIBITION = "exhibition"
    TRANSFER = "transfer"
    SEIZURE = "seizure"
    RESTITUTION = "restitution"
    OFFER = "offer"
    WITHDRAWAL = "withdrawal"


OWNERSHIP_UNCHANGED = frozenset(
    {
        EventKind.LOAN,
        EventKind.CONSIGNMENT,
        EventKind.EXHIBITION,
        EventKind.SEIZURE,
        EventKind.OFFER,
        EventKind.WITHDRAWAL,
    }
)
"""Events that give nobody title: lent, handed to an agent, exhibited, seized, offered and unsold,
withdrawn from a sale. Common practice, no source; whether a seizure gave title is a question of
law."""


class Passage(StrEnum):
    """How this event follows from the one before it."""

    DIRECT = "direct"
    GAP = "gap"
    UNKNOWN = "unknown"


class ProvenanceEvent(Statement, frozen=True, kw_only=True):
    """A change of hands or a stay.

    `giver`, `receiver` and `agent` are party UUIDs (an agent is a dealer, auctioneer or other who
    acted for somebody); `until` is when the stay ended; `lot` and `number` are the lot, stock or
    label numbers that go with it.
    """

    kind: EventKind = EventKind.TRANSFER
    giver: str = ""
    receiver: str = ""
    agent: str = ""
    place: str = ""
    date: Date | None = None
    until: Date | None = None
    passage: Passage = Passage.UNKNOWN
    lot: str = ""
    number: str = ""


class SaleStage(StrEnum):
    BOUGHT = "bought"
    ASKED = "asked"
    OFFERED = "offered"
    SOLD = "sold"
    RETURNED = "returned"
    INSURED = "insured"


class SaleFact(Statement, frozen=True, kw_only=True):
    """One fact of the dealer's own trade in the piece; the owner's alone.

    `amount` is an exact decimal string in `currency` (ISO 4217, or as stated where unknown);
    `party` is the UUID of the other side; `invoice` the number of the paper.
    """

    stage: SaleStage
    amount: str = ""
    currency: str = ""
    party: str = ""
    date: Date | None = None
    invoice: str = ""
