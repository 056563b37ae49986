"""Names and prices that stand in running words, taken out before the words reach others."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TypeVar

import msgspec

from archivist.catalogue.persons import NameFinder
from archivist.model import Party, Value
from archivist.release.lone_names import LoneNames

NAME_WITHHELD = "[name withheld]"
CONTACT_WITHHELD = "[contact withheld]"
PRICE_WITHHELD = "[price withheld]"

ValueType = TypeVar("ValueType", bound=Value)

# Every repetition has an end, or a page of nothing but digits would take minutes.
_CODE = r"(?:GBP|USD|EUR|JPY|KRW|CHF|AUD|CAD|NZD|HKD|SGD|SEK|NOK|DKK|DM|DEM|FRF|NLG|BEF|ITL|ATS)"
_SIGN = rf"(?:(?:US|AU|NZ|HK|CA?|A|S)?\$|[£€¥₩￡￥ƒ]|\b(?:{_CODE}|[Hh]fl\.?|[Ss]?Fr\.)(?=\s?\d))"
_DIGITS = r"\d(?:[\d.,'’\u2009\u00a0\u202f/]{0,30}\d)?(?: \d{3}\b){0,6}"
_NUMBER = rf"{_DIGITS}(?:\s?(?:k|m|mn|million|thousand)\b)?(?:[.,][-–—])?"
_RANGE = rf"{_NUMBER}(?:\s?(?:[-–—]|to)\s?{_SIGN}?\s?{_NUMBER})?"
_COUNT = (
    r"(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty"
    r"|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand|million)"
)
_COUNTED = rf"(?:a\s+)?{_COUNT}(?:(?:\s+and)?[\s-]+{_COUNT}){{0,12}}"
_COIN = (
    r"(?:pounds?\s+sterling|pence|shillings?|guineas?|gns\.?|dollars?|bucks|quid|euros?|yen|francs?"
    r"|guilders?|gulden|florins?|deutsche?\s?marks?|d-?marks?|lire|pesetas|kron(?:er|or))"
)
_PRICES = re.compile(
    "|".join(
        (
            rf"{_SIGN}\s?{_RANGE}(?:\s?\d+s\.?(?:\s?\d+d\.?)?)?",
            rf"{_RANGE}\s?(?:[£€¥₩￡￥]|\$(?!\s?\d)|{_CODE}\b|円|元|(?i:{_COIN})\b)",
            r"\d{1,3}(?:,\d{3})+\s?(?:won|원)\b",
            rf"\b(?i:{_COUNTED}\s+{_COIN})\b",
        )
    )
)
"""An amount with a currency beside it, in figures or words."""

_TOLD = re.compile(
    r"\b(?P<verb>paid|costs?|price[ds]?|sold\s+for|bought\s+for|asking|asks?|hammer|reserve"
    r"|knocked\s+down|nett?(?!\s+weight)|worth|valued|insured|offered|trade\s+price|our\s+bid|limit)"
    r"(?P<between>\W{0,3}(?:(?:of|was|is|at|for|me|us|him|her|them|price|about|only)\W{1,2}){0,3})"
    rf"(?P<sum>{_RANGE})(?![\w%\"″']|[.,]\d|\s?(?:[mck]m|m|inch(?:es)?|ft|k?g|lbs?|oz|x)\b"
    r"|\s(?:years?|months?|weeks?|days?|hours?|times?|pieces?|items?|bowls?|others?)\b)",
    re.IGNORECASE,
)
"""An amount after a word that can only be of money. Any other number alone is no price."""

_GAVE = re.compile(
    rf"\b(?P<verb>gave|give)\s+(?P<sum>{_NUMBER})(?=\s+(?:for|against)\b)", re.IGNORECASE
)
"""'we gave 300 for it'."""

_COST_CODE = re.compile(
    r"\b(?P<verb>(?:cost|price|stock|our|trade)\s+code)(?P<between>\W{1,3}(?:is\s+|was\s+)?)"
    r"(?P<sum>[A-Z][A-Z./-]*)\b"
)
"""Letters in which dealers write what a piece cost them."""

_POUNDS = re.compile(
    rf"(?:{_RANGE}|\b{_COUNTED})\s?pounds\b(?!\s?(?:\d|in\s+weight|weight|of\s))", re.IGNORECASE
)
_WEIGHING = re.compile(r"\b(?:weigh\w*|weight|heavy)\b[^.;]{0,20}$", re.IGNORECASE)

_ELECTRONIC = re.compile(r"[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63})+")
_TELEPHONE = re.compile(
    r"\+\d{1,3}(?:[\s().-]{0,3}\d){7,12}(?!\d)"
    r"|(?<=\b)(?P<word>(?i:tel(?:ephone)?|phone|mob(?:ile)?|fax)\b[.:]{0,2}\s*)\(?\d(?:[\s().-]{0,2}\d){5,13}(?!\d)"
)
"""A number with the code of its country, or after a word that says what it is."""

_IDENTIFIERS = frozenset(
    {"id", "who", "object", "giver", "receiver", "agent", "party", "written_by", "photographer"}
    | {"sha256", "evidence", "uri", "edtf", "media_type", "extension", "low", "high"}
)


class Scrubber:
    """Takes the names of parties, ways to reach people, and amounts of money, out of words.

    What is taken out is named in its place, so that nobody takes the rest for the whole.
    `hidden` are parties with what of them may not be told; `contacts` and `prices` say whether
    those are taken out too.
    """

    def __init__(
        self, hidden: Iterable[Party], *, contacts: bool = True, prices: bool = True
    ) -> None:
        hidden = tuple(hidden)
        self._names = NameFinder(hidden)
        self._lone = LoneNames(hidden)
        self._contacts = contacts
        self._prices = prices

    def words(self, text: str) -> str:
        """`text` without what is not to be told in it."""
        if not text:
            return text
        if self._contacts:
            text = _ELECTRONIC.sub(CONTACT_WITHHELD, text)
            text = _TELEPHONE.sub(lambda m: f"{m['word'] or ''}{CONTACT_WITHHELD}", text)
        text = self._names.replaced(text, NAME_WITHHELD)
        text = self._lone.replaced(text, NAME_WITHHELD)
        if not self._prices:
            return text
        text = _PRICES.sub(PRICE_WITHHELD, text)
        text = _POUNDS.sub(_unless_weighed, text)
        text = _TOLD.sub(rf"\g<verb>\g<between>{PRICE_WITHHELD}", text)
        text = _GAVE.sub(rf"\g<verb> {PRICE_WITHHELD}", text)
        return _COST_CODE.sub(rf"\g<verb>\g<between>{PRICE_WITHHELD}", text)

    def doubtful(self, text: str) -> tuple[str, ...]:
        """Words that may be the name of a private person, in what `words` leaves of `text`."""
        return self._lone.left(self.words(text))

    def value(self, value: ValueType) -> ValueType:
        """`value` with all its words scrubbed; identifiers, enumerations and numbers are left."""
        changes = {}
        for name in value.__struct_fields__:
            if name in _IDENTIFIERS:
                continue
            before = getattr(value, name)
            after = self._scrubbed(before)
            if after is not before:
                changes[name] = after
        return msgspec.structs.replace(value, **changes) if changes else value

    def _scrubbed(self, value: object) -> object:
        """The value itself where nothing had to go, so that callers can tell."""
        if type(value) is str:
            cleaned = self.words(value)
            return value if cleaned == value else cleaned
        if isinstance(value, Value):
            return self.value(value)
        if isinstance(value, tuple):
            items = tuple(self._scrubbed(item) for item in value)
            return value if all(a is b for a, b in zip(items, value, strict=True)) else items
        return value


def _unless_weighed(match: re.Match[str]) -> str:
    """A pound is also a weight: what the words before say of weight stays."""
    weighed = _WEIGHING.search(match.string[: match.start()])
    return match.group() if weighed else PRICE_WITHHELD
