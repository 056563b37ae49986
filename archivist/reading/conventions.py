"""What 'circa', 'early' and the like are worth: a table with its source, replaceable by the owner.

No two houses agree on these, and no standard fixes them (see the sources named in
`conventions.toml`). So they are data: the table that ships, and over it whatever `[conventions]`
in `archive.toml` or a file given by `--conventions` sets anew. Only what is set anew changes.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any, Literal

import msgspec

from archivist.errors import SettingsError
from archivist.model.base import Value


class CircaRule(Value, frozen=True, kw_only=True):
    """How many years 'circa' reaches `earlier` and `later` for years the rule fits.

    It fits years from `first` to `last` (astronomical) that are multiples of `multiple_of`.
    """

    earlier: int
    later: int
    first: int | None = None
    last: int | None = None
    multiple_of: int = 1

    def fits(self, year: int) -> bool:
        """Whether the rule holds for this (astronomical) year."""
        return (
            (self.first is None or year >= self.first)
            and (self.last is None or year <= self.last)
            and (year if year > 0 else year - 1) % self.multiple_of == 0
        )


class Conventions(Value, frozen=True, kw_only=True):
    """The years that inexact words stand for; `conventions.toml` says what each entry means.

    Pairs are (earlier, later). `parts` give, for 'early' and the rest, first and last year within
    a century counted from 0 to 99; `decade_parts` within a decade from 0 to 9; `period_parts`
    within a named period in hundredths of its length.
    """

    name: str = ""
    circa: tuple[CircaRule, ...] = ()
    circa_range: tuple[CircaRule, ...] = ()
    circa_decade: tuple[int, int] = (0, 0)
    circa_century: tuple[int, int] = (0, 0)
    circa_part: tuple[int, int] = (0, 0)
    before: int | None = None
    after: int | None = None
    by: tuple[int, int] | None = None
    or_later: int | None = None
    or_earlier: int | None = None
    century_first: Literal[0, 1] = 0
    hundreds: Literal["century", "decade"] = "century"
    numeric_dates: Literal["ask", "day first", "month first"] = "ask"
    turn_of_century: tuple[int, int] = (10, 10)
    parts: Mapping[str, tuple[int, int]] = {}
    decade_parts: Mapping[str, tuple[int, int]] = {}
    period_parts: Mapping[str, tuple[int, int]] = {}

    def circa_of(self, year: int, *, in_range: bool = False) -> tuple[int, int]:
        """How far 'circa' reaches (earlier, later) at this astronomical year."""
        for rule in self.circa_range if in_range else self.circa:
            if rule.fits(year):
                return rule.earlier, rule.later
        return 0, 0


def read_conventions(text: str, base: Conventions | None, where: str) -> Conventions:
    """The conventions that the TOML `text` sets, over those of `base`.

    Raises:
        SettingsError: naming `where` and the entry that does not fit.
    """
    try:
        data: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(
            f"The conventions in {where} are not valid TOML: {error}.",
            "Nothing was read with them. Correct that line and try again.",
        ) from None
    return with_changes(base, data.get("conventions", data), where)


def with_changes(base: Conventions | None, changes: Mapping[str, Any], where: str) -> Conventions:
    """`base` with `changes` laid over it; tables of parts are changed entry by entry.

    Raises:
        SettingsError: naming `where` and the entry that does not fit.
    """
    merged: dict[str, Any] = msgspec.structs.asdict(base) if base is not None else {}
    for key, value in changes.items():
        old = merged.get(key)
        merged[key] = (
            {**old, **value} if isinstance(old, dict) and isinstance(value, dict) else value
        )
    try:
        return msgspec.convert(merged, Conventions)
    except msgspec.ValidationError as error:
        raise SettingsError(
            f"The conventions in {where} do not fit: {error}.",
            "Nothing was read with them. The table that ships with the program, "
            "tables/conventions.toml, shows every entry and its form.",
        ) from None
