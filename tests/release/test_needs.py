"""An exporter may need others; a release with it runs them too."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from archivist.errors import SelectionError
from archivist.hooks import Exporter, ExporterDescription
from archivist.plugins import Offer, Origin, Plugins
from archivist.release.request import Request, choose

ORIGIN = Origin("some", "some-distribution", "1")


def described(name: str, needs: Sequence[str] = (), after: Sequence[str] = ()) -> Offer:
    description = ExporterDescription(
        name=name,
        title=name,
        make=lambda options: Exporter(),
        needs=tuple(needs),
        after=tuple(after),
    )
    return Offer("exporter", description, ORIGIN)


def chosen(plugins: Plugins, *names: str) -> list[str]:
    request = Request(names, "public", Path("nowhere"), ())
    return [choice.description.name for choice in choose(plugins, request)]


def test_what_an_exporter_needs_runs_once_and_before_it_whether_asked_for_or_not() -> None:
    plugins = Plugins(
        (
            described("book", needs=("pictures", "words"), after=("pictures", "words")),
            described("pictures", needs=("words",), after=("words",)),
            described("words"),
            described("other"),
        )
    )
    assert chosen(plugins, "book") == ["words", "pictures", "book"]
    assert chosen(plugins, "words", "book", "pictures") == ["words", "pictures", "book"]
    assert chosen(plugins, "other") == ["other"]


def test_two_exporters_that_need_each_other_both_run() -> None:
    plugins = Plugins((described("a", needs=("b",)), described("b", needs=("a",))))
    assert sorted(chosen(plugins, "a")) == ["a", "b"]


def test_an_exporter_that_needs_one_that_is_not_there_cannot_be_chosen() -> None:
    with pytest.raises(SelectionError, match="no exporter 'missing'"):
        chosen(Plugins((described("a", needs=("missing",)),)), "a")
