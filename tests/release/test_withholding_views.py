"""Which photographs an audience may see, as a law of its own, and no way to break it unnoticed.

The law is written down here a second time, case by case. Then every small change of the code that
decides (a condition turned round or left out, an 'and' for an 'or', another answer) is tried
against it: one that the law does not notice fails the test.
"""

from __future__ import annotations

import ast
import inspect
import itertools
import textwrap
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import FunctionType
from typing import Any

import pytest

from archivist.model import Depiction, Photograph, Region, View
from archivist.release.disclosure import Disclosure, disclosures
from archivist.release.pieces import Sight, Stays

RULES = disclosures()
WITHHELD = {"label", "document"}
"""The views with private things in their pixels (the disclosure table says for whom)."""

REGION = Region(x=0, y=0, width=10, height=10, reference_width=40, reference_height=40)


@dataclass(frozen=True)
class Case:
    """One photograph of a piece, and who asks."""

    audience: str
    view: View
    reviewed: bool
    private: bool
    released: str
    several: bool
    cut: bool
    undecodable: str

    def photograph(self) -> tuple[Photograph, Depiction]:
        named = {"me": (self.audience,), "another": ("nobody",), "": ()}[self.released]
        mine = Depiction(
            object="a",
            view=self.view,
            reviewed=self.reviewed,
            private=self.private,
            released=named,
            region=REGION if self.cut else None,
        )
        others = (Depiction(object="b", view=self.view),) if self.several else ()
        raw = self.undecodable == "raw"
        photograph = Photograph(
            id="p",
            sha256="0" * 64,
            media_type="image/x-adobe-dng" if raw else "image/jpeg",
            depictions=(mine, *others),
            undecodable="it is damaged" if self.undecodable else "",
        )
        return photograph, mine


def cases() -> Iterator[Case]:
    """Every photograph there can be, before every audience."""
    yield from itertools.starmap(
        Case,
        itertools.product(
            RULES,
            View,
            (False, True),
            (False, True),
            ("", "me", "another"),
            (False, True),
            (False, True),
            ("", "damaged", "raw"),
        ),
    )


CASES = tuple(cases())


def law(case: Case) -> Stays | None:
    """Why a photograph stays with its owner, None where it may be seen."""
    if case.audience == "owner":
        return Stays.UNDECODABLE if case.undecodable else None
    if case.undecodable == "damaged":
        return Stays.UNDECODABLE
    if case.private:
        return Stays.PRIVATE
    withheld = case.view.value in RULES[case.audience].withheld_views
    if case.released != "me":
        if withheld and case.view is not View.UNKNOWN:
            return Stays.VIEW
        if not case.reviewed:
            return Stays.NOT_REVIEWED
        if withheld:
            return Stays.UNKNOWN_VIEW
    alone = not case.several and case.view is not View.GROUP
    return None if case.cut or alone else Stays.NO_REGION


def broken() -> Case | None:
    """The first case in which the code says otherwise than the law."""
    sights = {name: Sight(rule, None) for name, rule in RULES.items()}
    for case in CASES:
        photograph, depiction = case.photograph()
        try:
            found = sights[case.audience].why_not_shown(photograph, depiction)
        except Exception:  # noqa: BLE001 - a change that raises is noticed too
            return case
        if found is not law(case):
            return case
    return None


def test_every_photograph_stays_or_goes_as_the_law_has_it() -> None:
    assert broken() is None
    assert len(CASES) > 5000
    for name in ("public", "buyer"):
        assert RULES[name].withheld_views >= WITHHELD


# Every small change of what decides


class _Changed(ast.NodeTransformer):
    """Makes the change of that number, and counts the changes that there are."""

    def __init__(self, wanted: int) -> None:
        self.wanted = wanted
        self.count = 0

    def _change(self, node: Any, *changes: Callable[[], Any]) -> Any:
        self.generic_visit(node)
        for change in changes:
            if self.count == self.wanted:
                node = ast.copy_location(change(), node)
            self.count += 1
        return node

    def visit_If(self, node: ast.If) -> Any:
        negated = ast.UnaryOp(ast.Not(), node.test)
        return self._change(
            node,
            lambda: ast.If(negated, node.body, node.orelse),
            lambda: ast.If(ast.Constant(False), node.body, node.orelse),
        )

    def visit_BoolOp(self, node: ast.BoolOp) -> Any:
        other = ast.And() if isinstance(node.op, ast.Or) else ast.Or()
        fewer = [
            lambda n=n: (
                ast.BoolOp(node.op, [*node.values[:n], *node.values[n + 1 :]])
                if len(node.values) > 2
                else node.values[1 - n]
            )
            for n in range(len(node.values))
        ]
        return self._change(node, lambda: ast.BoolOp(other, node.values), *fewer)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> Any:
        return self._change(node, lambda: node.operand)

    def visit_Compare(self, node: ast.Compare) -> Any:
        opposite = {
            ast.In: ast.NotIn,
            ast.NotIn: ast.In,
            ast.Is: ast.IsNot,
            ast.IsNot: ast.Is,
            ast.Gt: ast.LtE,
        }
        kind = opposite[type(node.ops[0])]
        return self._change(node, lambda: ast.Compare(node.left, [kind()], node.comparators))

    def visit_Constant(self, node: ast.Constant) -> Any:
        if node.value is True or node.value is False:
            return self._change(node, lambda: ast.Constant(not node.value))
        if isinstance(node.value, int):
            return self._change(node, lambda: ast.Constant(node.value + 1))
        return node

    def visit_Return(self, node: ast.Return) -> Any:
        if isinstance(node.value, ast.Constant) and not node.value.value:
            return node  # False and None are told apart by nobody
        return self._change(node, lambda: ast.Return(ast.Constant(None)))


def changed(function: FunctionType, wanted: int) -> tuple[FunctionType | None, str]:
    """The function with the change of that number, and its words; None after the last."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    body = tree.body[0]
    assert isinstance(body, ast.FunctionDef)
    body.returns = None
    change = _Changed(wanted)
    tree = ast.fix_missing_locations(change.visit(tree))
    if wanted >= change.count:
        return None, ""
    space = dict(function.__globals__)
    exec(compile(tree, "changed", "exec"), space)
    made = space[function.__name__]
    assert isinstance(made, FunctionType)
    return made, ast.unparse(tree)


@pytest.mark.parametrize(
    ("owner", "name"), [(Disclosure, "depiction_shown"), (Sight, "why_not_shown")]
)
def test_no_small_change_of_what_decides_goes_unnoticed(
    owner: type, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    function = getattr(owner, name)
    unnoticed: list[str] = []
    for number in itertools.count():
        made, words = changed(function, number)
        if made is None:
            break
        monkeypatch.setattr(owner, name, made)
        if broken() is None:
            unnoticed.append(words)
        monkeypatch.undo()
    assert number > 10
    assert unnoticed == []
