"""A date as the trade knows it: words, an exact notation, and the years it must lie between."""

from __future__ import annotations

from archivist.model.base import Value


class Date(Value, frozen=True, kw_only=True):
    """When something was made or happened; the words themselves are the statement's `as_stated`.

    `edtf` is ISO 8601-2 (Extended Date/Time Format). `earliest` and `latest` are astronomical
    years as in ISO 8601-1 (206 BCE is -205), both inclusive, None where that end is open.
    A making date of `1736/1795` means some time within those years, not throughout them.
    `convention` says what the words were taken to be worth ('circa: 5 years either way').
    """

    edtf: str = ""
    earliest: int | None = None
    latest: int | None = None
    convention: str = ""

    def __post_init__(self) -> None:
        if self.earliest is not None and self.latest is not None and self.earliest > self.latest:
            raise ValueError(
                f"a date cannot end in {self.latest} before it begins in {self.earliest}"
            )


def historical_year(astronomical: int) -> int:
    """The year as historians count it, without a year 0: -205 becomes -206 (206 BCE)."""
    return astronomical if astronomical > 0 else astronomical - 1


def astronomical_year(historical: int) -> int:
    """The year as ISO 8601 counts it: -206 (206 BCE) becomes -205.

    Raises:
        ValueError: for 0, which is no year in historical counting.
    """
    if historical == 0:
        raise ValueError("there is no year 0 in historical counting; use -1 for 1 BCE")
    return historical if historical > 0 else historical + 1


def overlaps(date: Date, earliest: int | None, latest: int | None) -> bool:
    """Whether `date` may fall between the years `earliest` and `latest` (None: open).

    A date without any year overlaps nothing.
    """
    if date.earliest is None and date.latest is None:
        return False
    starts_before_end = latest is None or date.earliest is None or date.earliest <= latest
    ends_after_start = earliest is None or date.latest is None or date.latest >= earliest
    return starts_before_end and ends_after_start
