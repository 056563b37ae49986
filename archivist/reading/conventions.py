"""What 'circa', 'early' and the like are worth: a table with its source, replaceable by the owner.

No two houses agree on these, and no standard fixes them (see the sources named in
`conventions.toml`). So they are data: the table that ships, and over it whatever `[conventions]`
in `archive.toml` or a file given by `--conventions` sets anew. Only what is set anew changes.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import msgspec

from archivist.errors import SettingsError
from archivist.model.base import Value


class Conventions(Value, frozen=True, kw_only=True):
    """The years that inexact words stand for.

    Pairs are (earlier, later). `parts` give, for 'early' and the rest, first and last year within
    a century counted from 0 to 99; `period_parts` the same within a named period in hundredths of
    its length; `decade_parts` within a decade from 0 to 9.
    """

    name: str = "archivist"
    circa: tuple[int, int] = (5, 5)
    circa_range: tuple[int, int] = (5, 5)
    circa_decade: tuple[int, int] = (0, 0)
    circa_century: tuple[int, int] = (0, 0)
    before: int | None = None
    after: int | None = None
    before_includes: bool = False
    after_includes: bool = False
    century_first: int = 0
    millennium_first: int = 0
    parts: Mapping[str, tuple[int, int]] = {}
    period_parts: Mapping[str, tuple[int, int]] = {}
    decade_parts: Mapping[str, tuple[int, int]] = {}
    turn_of_century: tuple[int, int] = (10, 10)
    uncertain_widens: int = 0


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
