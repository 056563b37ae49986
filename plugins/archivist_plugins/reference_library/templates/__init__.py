"""The pages' templates, and the one function that fills them. Everything is escaped."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from archivist.hooks import Selection

if TYPE_CHECKING:
    from jinja2 import Environment

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'none'"
)
"""Content Security Policy Level 3: nothing from outside, no script or style in a page."""


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("archivist_plugins.reference_library"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def render(name: str, selection: Selection, **values: Any) -> str:
    """The template `name` filled; `root` leads from the page to the library's root."""
    return (
        _environment()
        .get_template(name)
        .render(
            archive=selection.archive,
            title=selection.title or selection.archive.name,
            made=selection.made,
            audience=selection.audience,
            policy=POLICY,
            **values,
        )
    )
