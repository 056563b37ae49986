"""What `archivist read` shows to people: words in colours, and what was made of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from archivist.cli.saying import terminal

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from archivist.reading.result import ReadStatement, Understood

COLOURS = {
    "date": "cyan",
    "period": "blue",
    "measurement": "green",
    "mark": "magenta",
    "condition": "red",
    "provenance": "yellow",
    "literature": "bright_yellow",
    "exhibition": "bright_yellow",
    "title": "bold",
}
"""A colour of the terminal for each kind of statement; all others are 'bright_blue'."""


def show(results: Iterable[Understood]) -> None:
    """Print each result: its text in colours, a line for each statement, and what is left."""

    console = terminal(highlight=False, markup=False, emoji=False)
    for number, understood in enumerate(results):
        if number:
            console.print()
        _show_one(console, understood)


def _show_one(console: Console, understood: Understood) -> None:
    """The text in colours, a line for each statement, then what is asked and what is unread."""
    from rich.table import Table
    from rich.text import Text

    from archivist.reading.dates import overall
    from archivist.reading.plain import plain, plain_date

    shown = Text(understood.text)
    for statement in understood.statements:
        if statement.reading is not None:
            style = f"{_colour(statement)} underline"
            shown.stylize(style, statement.reading.start, statement.reading.end)
    for span in understood.unread:
        shown.stylize("dim italic", span.start, span.end)
    console.print(shown)
    table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
    for heading in ("kind", "understood as", "words", "certainty", "standing"):
        table.add_column(heading, overflow="fold")
    told = plain(understood)
    for statement, fields in zip(understood.statements, told["statements"], strict=True):
        sure = fields["certainty"]
        if fields["confidence"] != "1":
            sure += f", {fields['confidence']}"
        table.add_row(
            Text(fields["kind"], style=_colour(statement)),
            value_in_words(fields),
            Text(fields["as_stated"]),
            sure,
            _standing(fields),
            style="strike dim" if fields["certainty"] == "rejected" else "",
        )
    if understood.statements:
        console.print(table)
    if "overall" in told and (whole := overall(understood)) is not None:
        console.print(f"All dates together: {_years(plain_date(whole))}")
    for question in told.get("questions", ()):
        console.print(Text(f"To ask: {question['asks']}", style="yellow"))
    for mention in told.get("mentions", ()):
        if mention["kind"] not in _TOLD_WITH_OTHERS:
            console.print(_mentioned(mention))
    for span in told["unread"]:
        console.print(Text.assemble(("Not understood: ", "dim"), (span["words"], "italic")))
    if not understood.statements and not told["unread"] and not told.get("questions"):
        console.print(Text("Nothing to read.", style="dim"))


_TOLD_WITH_OTHERS = ("period", "title")
"""Kinds that are told by another of the same words: a period by its years, a title by its form."""


def _standing(fields: dict[str, Any]) -> Text:
    """What a statement is, where it is not the writer's plain word on the piece."""
    from rich.text import Text

    parts = [fields.get("standing", "")]
    parts.append(f"of the {fields['of']}" if "of" in fields else "")
    parts.append(str(fields.get("role", "")))
    parts.append(f"says {fields['holder']}" if "holder" in fields else "")
    said = ", ".join(part for part in parts if part)
    return Text(said) if said else Text("asserted", style="dim")


def _mentioned(mention: dict[str, Any]) -> Text:
    """A line for a value that is said of something else."""
    from rich.text import Text

    of = "" if mention["of"] == "this piece" else f"of {mention['of']}"
    role = str(mention.get("role", ""))
    why = ", ".join(part for part in (of, role) if part) or str(mention.get("why", ""))
    return Text.assemble(
        ("Only mentioned: ", "dim"), (mention["as_stated"], "italic"), (f" ({why})", "dim")
    )


def _colour(statement: ReadStatement) -> str:
    from archivist.reading.plain import plain_statement

    return COLOURS.get(plain_statement(statement, {})["kind"], "bright_blue")


def _years(date: dict[str, object]) -> str:
    """'1736 to 1795', '206 BCE to 220', 'up to 1912'."""
    first, last = (_year(date[end]) for end in ("earliest", "latest"))
    if first == last:
        return first
    if not first:
        return f"up to {last}"
    return f"from {first}" if not last else f"{first} to {last}"


def _year(year: object) -> str:
    if not isinstance(year, int):
        return ""
    return f"{-year} BCE" if year < 0 else str(year)


_SHARED = frozenset(
    {"kind", "span", "rule", "confidence", "certainty", "as_stated", "vocabulary", "code", "uri"}
    | {"licence", "standing", "of", "role", "holder"}
)
_SAYS_NOTHING = ("unstated", "unknown", "undetermined", "")


def value_in_words(fields: dict[str, object]) -> str:
    """The statement's own fields in words."""
    kind = fields["kind"]
    if kind == "date":
        parts = [_years(fields), f"[{fields['edtf']}]" if fields["edtf"] else ""]
        worth = str(fields.get("convention", "")).rpartition("conventions:")[0].rstrip("; ")
        parts.append(f"({worth})" if worth else "")
        return " ".join(part for part in parts if part)
    if kind == "measurement":
        return _size(fields)
    if kind == "title":
        return str(fields["value"])
    if kind == "condition":
        absent = "" if fields["presence"] == "present" else f"{fields['presence']}: "
        where = f", {fields['part']}" if fields["part"] else ""
        return f"{absent}{fields['term']} ({fields['class']}){where}"
    if set(fields) - _SHARED == {"term"}:
        return str(fields["term"])
    return "; ".join(
        f"{name.replace('_', ' ')} {_value(value)}"
        for name, value in fields.items()
        if name not in _SHARED and value not in _SAYS_NOTHING and value not in (False, None)
    )


def _size(fields: dict[str, object]) -> str:
    low, high = fields["low"], fields["high"]
    number = low if low == high else f"{low} to {high}"
    words = [
        "" if fields["dimension"] in _SAYS_NOTHING else str(fields["dimension"]),
        f"of {fields['part']}" if fields["part"] else "",
        "about" if fields["approximate"] else "",
        f"{number} {fields['unit']}",
        str(fields.get("which", "")),
        "" if fields["basis"] in _SAYS_NOTHING else f"({fields['basis']})",
    ]
    return " ".join(word for word in words if word)


def _value(value: object) -> str:
    if isinstance(value, dict) and "edtf" in value:
        return _years(value)
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return str(value)
