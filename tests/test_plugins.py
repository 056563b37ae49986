"""Plugins are found one by one; what is wrong with one is named and hurts no other."""

from __future__ import annotations

import dataclasses
import itertools
import random
import sys
import types
from collections.abc import Callable, Iterator, Sequence
from importlib.metadata import EntryPoint
from typing import Any

import pytest

from archivist.errors import PluginError, SelectionError
from archivist.hooks import (
    CheckDescription,
    ExporterDescription,
    ReaderDescription,
    hookimpl,
)
from archivist.plugins import Offer, Origin, Plugins, in_order, load_plugins
from tests.release.conftest import exporter


@pytest.fixture
def module() -> Iterator[Callable[..., EntryPoint]]:
    """Makes a module with the functions given and an entry point to it."""
    made: list[str] = []

    def make(name: str, **functions: Any) -> EntryPoint:
        path = f"strange_{name.replace('-', '_')}_{len(made)}"
        strange = types.ModuleType(path)
        for attribute, function in functions.items():
            setattr(strange, attribute, function)
        sys.modules[path] = strange
        made.append(path)
        return EntryPoint(name, path, "archivist")

    yield make
    for path in made:
        del sys.modules[path]


def exporting(*names: str, **more: Any) -> Callable[[], Sequence[ExporterDescription]]:
    @hookimpl
    def archivist_exporters() -> Sequence[ExporterDescription]:
        return [exporter(name, **more) for name in names]

    return archivist_exporters


def test_ours_are_all_found_by_entry_points() -> None:
    plugins = load_plugins()
    assert plugins.failures == ()
    names = {(offer.kind, offer.description.name) for offer in plugins.offers}
    assert {("exporter", "bagit"), ("exporter", "dublin-core"), ("exporter", "iiif")} <= names
    assert {("reader", "spreadsheet"), ("reader", "photo-folder")} <= names
    assert {offer.origin.distribution for offer in plugins.offers} == {"archivist"}


def test_a_module_that_is_not_there_is_named_and_the_others_are_loaded(
    module: Callable[..., EntryPoint],
) -> None:
    gone = EntryPoint("gone", "no_such_module_anywhere", "archivist")
    good = module("good", archivist_exporters=exporting("good"))
    plugins = load_plugins([gone, good])
    assert [offer.description.name for offer in plugins.offers] == ["good"]
    (failure,) = plugins.failures
    assert failure.origin.plugin == "gone"
    assert "no_such_module_anywhere" in failure.reason


def raising(problem: BaseException) -> Callable[[], Any]:
    @hookimpl
    def archivist_exporters() -> Any:
        raise problem

    return archivist_exporters


def giving(value: Any) -> Callable[[], Any]:
    @hookimpl
    def archivist_exporters() -> Any:
        return value

    return archivist_exporters


@hookimpl
def archivist_importers() -> None:
    """A hook that is none."""


def unmarked() -> Any:
    return [exporter("x")]


def nothing(options: Any) -> Any:
    return None


@pytest.mark.parametrize(
    ("functions", "told"),
    [
        ({"archivist_exporters": raising(ValueError("no glaze"))}, "ValueError: no glaze"),
        ({"archivist_exporters": raising(SystemExit(1))}, "SystemExit: 1"),
        ({"archivist_exporters": giving(None)}, "TypeError"),
        ({"archivist_exporters": giving([3])}, "returned 3, which is no ExporterDescription"),
        (
            {"archivist_exporters": giving([ReaderDescription("r", "R", nothing)])},
            "which is no ExporterDescription",
        ),
        ({"archivist_importers": archivist_importers}, "no hook of this program"),
        ({"archivist_exporters": unmarked}, "is @hookimpl missing?"),
        ({}, "implements none of the hooks"),
        ({"archivist_exporters": exporting("../up")}, "the name '../up'"),
        ({"archivist_exporters": exporting("")}, "the name ''"),
        ({"archivist_exporters": exporting("Two Words")}, "the name 'Two Words'"),
        ({"archivist_exporters": exporting("con")}, "the name 'con'"),
        ({"archivist_exporters": exporting("x" * 41)}, "40 at most"),
        ({"archivist_exporters": exporting(3)}, "the name 3"),  # type: ignore[arg-type]
    ],
)
def test_what_is_wrong_with_a_plugin_is_told_and_it_offers_nothing(
    module: Callable[..., EntryPoint], functions: dict[str, Any], told: str
) -> None:
    good = module("good", archivist_exporters=exporting("good"))
    plugins = load_plugins([module("strange", **functions), good])
    assert [offer.description.name for offer in plugins.offers] == ["good"]
    assert told in plugins.failures[0].reason


def test_two_plugins_of_one_name_are_an_error_that_names_both(
    module: Callable[..., EntryPoint],
) -> None:
    entries = [module(name, archivist_exporters=exporting("card")) for name in ("one", "two")]
    with pytest.raises(PluginError) as told:
        load_plugins(entries)
    assert "exporter 'card': one (" in told.value.message
    assert "and two (" in told.value.message


def test_one_name_may_stand_for_things_of_two_kinds() -> None:
    origin = Origin("a", "a", "1")
    check = CheckDescription("card", "Card", lambda piece: ())
    plugins = Plugins((Offer("exporter", exporter("card"), origin), Offer("check", check, origin)))
    assert plugins.named("check", "card", CheckDescription) is check


def test_a_name_that_is_not_there_is_told_with_those_that_are() -> None:
    plugins = Plugins((Offer("exporter", exporter("card"), Origin("a", "a", "1")),))
    with pytest.raises(SelectionError) as told:
        plugins.named("exporter", "crad", ExporterDescription)
    assert "no exporter 'crad'. There are: card." in told.value.message


CHOSEN = (
    exporter("bag", after=("*",)),
    exporter("tree", after=("pictures",)),
    exporter("pictures"),
    exporter("words", after=("not-installed", "tree")),
)


def test_the_order_is_that_of_who_comes_after_whom_and_never_of_installation() -> None:
    orders = {tuple(d.name for d in in_order(order)) for order in itertools.permutations(CHOSEN)}
    assert orders == {("pictures", "tree", "words", "bag")}


def test_two_that_come_after_all_others_do_not_wait_for_each_other() -> None:
    names = [d.name for d in in_order((exporter("z", after=("*",)), *CHOSEN))]
    assert set(names[:3]) == {"pictures", "tree", "words"}
    assert names[3:] == ["bag", "z"]


def test_of_those_that_come_after_all_others_one_that_takes_them_in_is_last() -> None:
    taker = dataclasses.replace(exporter("aaa", after=("*",)), takes_in=True)
    names = [d.name for d in in_order((taker, exporter("z", after=("*",)), *CHOSEN))]
    assert names[3:] == ["bag", "z", "aaa"]


def test_a_circle_is_an_error_that_names_all_in_it() -> None:
    circle = [exporter("a", after=("b",)), exporter("b", after=("c",)), exporter("c", after=("a",))]
    with pytest.raises(PluginError) as told:
        in_order([*circle, exporter("d")])
    assert all(name in told.value.message for name in ("a", "b", "c"))
    assert "d" not in told.value.message.split(": ")[1].split(" -> ")


def test_an_exporter_that_comes_after_itself_is_no_circle() -> None:
    assert [d.name for d in in_order([exporter("a", after=("a", "*"))])] == ["a"]


def test_entry_points_in_any_order_give_the_same_plugins(
    module: Callable[..., EntryPoint],
) -> None:
    entries = [module(n, archivist_exporters=exporting(n)) for n in ("one", "two", "three", "four")]
    expected = load_plugins(entries)
    for seed in range(5):
        shuffled = random.Random(seed).sample(entries, len(entries))
        assert [o.description.name for o in load_plugins(shuffled).offers] == [
            o.description.name for o in expected.offers
        ]
