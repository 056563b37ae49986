"""The one way to the terminal: what stands in cells, names and captions is shown, never obeyed.

A terminal takes some characters for orders: to clear the screen, to set its title, to write
elsewhere (ECMA-48). Words that came from old material may hold them, by accident or on purpose.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rich.console import Console

_ORDERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Control characters but tab and line feed, and those that reverse the direction of writing."""


def shown(words: object) -> str:
    """`words` with every character that a terminal could obey told by its number: '‹U+001B›'."""
    plain = str(words).replace("\r\n", "\n")
    return _ORDERS.sub(lambda match: f"‹U+{ord(match[0]):04X}›", plain)


def echo(words: object = "", *, nl: bool = True, err: bool = False) -> None:
    """Prints words."""
    click.echo(shown(words), nl=nl, err=err)


def secho(words: object = "", *, nl: bool = True, err: bool = False, **style: Any) -> None:
    """Prints words in a style."""
    click.secho(shown(words), nl=nl, err=err, **style)


def echo_json(value: object) -> None:
    """Prints `value` as JSON on one line; what a terminal could obey stands in it by number."""
    import msgspec

    packed = msgspec.json.encode(value, enc_hook=str).decode("utf-8")
    click.echo(_ORDERS.sub(lambda match: f"\\u{ord(match[0]):04x}", packed))


def styled(words: object, **style: Any) -> Styled:
    """Words in a style, to stand beside others in one line."""
    return Styled(click.style(shown(words), **style))


class Styled(str):
    """Words that are made ready for the terminal already."""

    __slots__ = ()


def echo_parts(parts: Iterable[str]) -> None:
    """Prints words beside each other, some of them `styled`."""
    click.echo("".join(part if isinstance(part, Styled) else shown(part) for part in parts))


def terminal(**options: Any) -> Console:
    """A console of rich that shows what others would obey."""
    from rich.console import Console
    from rich.segment import Segment

    class Showing(Console):
        def render(self, renderable: Any, options: Any = None) -> Any:
            for segment in super().render(renderable, options):
                if segment.control or not _ORDERS.search(segment.text):
                    yield segment
                else:
                    yield Segment(shown(segment.text), segment.style)

    return Showing(**options)
