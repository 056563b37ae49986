"""What a column of a spreadsheet may hold."""

from __future__ import annotations

from enum import StrEnum

from archivist.model import Aspect, FeatureAspect, SaleStage


class Role(StrEnum):
    """The home of a column's words. `KEEP` has none: they are kept word for word as a note."""

    STOCK_NUMBER = "stock number"
    OTHER_NUMBER = "other number"
    TITLE = "title"
    DESCRIPTION = "description"
    FORM = "form"
    WARE = "ware"
    MATERIAL = "material"
    TECHNIQUE = "technique"
    GLAZE = "glaze"
    COLOUR = "colour"
    DECORATION = "decoration"
    SUBJECT = "subject"
    DATE = "date made"
    PERIOD = "period"
    PLACE = "place made"
    CULTURE = "culture"
    KILN = "kiln"
    MAKER = "maker"
    SIZE = "size"
    HEIGHT = "height"
    WIDTH = "width"
    DEPTH = "depth"
    LENGTH = "length"
    DIAMETER = "diameter"
    WEIGHT = "weight"
    CAPACITY = "capacity"
    MARK = "mark"
    CONDITION = "condition"
    OPINION = "opinion"
    PROVENANCE = "provenance"
    BOUGHT_FROM = "bought from"
    BOUGHT_ON = "bought on"
    PRICE_PAID = "price paid"
    PRICE_ASKED = "price asked"
    PRICE_SOLD = "price sold"
    VALUE = "value"
    SOLD_ON = "sold on"
    BUYER = "buyer"
    BUYER_ADDRESS = "buyer's address"
    BUYER_CONTACT = "buyer's contact"
    SELLER_ADDRESS = "seller's address"
    INVOICE = "invoice number"
    SHELF = "shelf"
    PRIVATE_NOTE = "private note"
    NOTE = "note"
    PHOTOGRAPHS = "photographs"
    CREDIT = "credit"
    KEEP = "keep"
    LEAVE_OUT = "leave out"


ONE_ONLY = frozenset({Role.STOCK_NUMBER})
"""What a record has one of, so that no two columns can be it."""

PRIVATE = frozenset(
    {
        Role.SHELF,
        Role.PRIVATE_NOTE,
        Role.BUYER_ADDRESS,
        Role.BUYER_CONTACT,
        Role.SELLER_ADDRESS,
        Role.KEEP,
        Role.PHOTOGRAPHS,
    }
)
"""What stays with the owner unless said otherwise; a column nobody named might hold anything."""

FEATURES = {
    role: FeatureAspect(role.value)
    for role in (
        Role.FORM,
        Role.WARE,
        Role.MATERIAL,
        Role.TECHNIQUE,
        Role.GLAZE,
        Role.COLOUR,
        Role.DECORATION,
        Role.SUBJECT,
    )
}
ATTRIBUTIONS = {
    Role.PLACE: Aspect.PLACE,
    Role.CULTURE: Aspect.CULTURE,
    Role.KILN: Aspect.KILN,
    Role.MAKER: Aspect.MAKER,
}
ATTRIBUTED = frozenset({Role.DATE, Role.PERIOD, *ATTRIBUTIONS})
"""Roles of columns that are there to say when, where and by whom a piece was made."""

PRICES = {
    Role.PRICE_PAID: SaleStage.BOUGHT,
    Role.PRICE_ASKED: SaleStage.ASKED,
    Role.PRICE_SOLD: SaleStage.SOLD,
    Role.VALUE: SaleStage.INSURED,
}
DAYS = {Role.BOUGHT_ON: SaleStage.BOUGHT, Role.SOLD_ON: SaleStage.SOLD}
DEALINGS = {Role.BOUGHT_FROM: SaleStage.BOUGHT, Role.BUYER: SaleStage.SOLD}
TELLINGS = {
    Role.BUYER_ADDRESS: (SaleStage.SOLD, "address"),
    Role.BUYER_CONTACT: (SaleStage.SOLD, "contact"),
    Role.SELLER_ADDRESS: (SaleStage.BOUGHT, "address"),
}
TRADE = frozenset({*PRICES, *DAYS, *DEALINGS, *TELLINGS, Role.INVOICE})
"""Roles of columns that tell of the owner's own buying and selling."""
