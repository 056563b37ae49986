"""What the program imports when it runs is what it asks to have installed."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SHIPPED = ("archivist", "plugins/archivist_plugins", "schemas/archivist_schemas")
OURS = {"archivist", "archivist_plugins", "archivist_schemas", "archivist_demo"}


def imported() -> dict[str, str]:
    """Every module of others that shipped code imports, and a file that does."""
    found: dict[str, str] = {}
    for folder in SHIPPED:
        for path in (ROOT / folder).rglob("*.py"):
            for node in running(ast.parse(path.read_text(encoding="utf-8"))):
                names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
                if isinstance(node, ast.Import):
                    names = [alias.name for alias in node.names]
                for name in names:
                    found.setdefault(name.split(".")[0], str(path.relative_to(ROOT)))
    return {n: f for n, f in found.items() if n and n not in OURS | set(sys.stdlib_module_names)}


def running(node: ast.AST) -> Iterator[ast.AST]:
    """Everything in `node` but what only a type checker reads."""
    yield node
    only_types = isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
    children = node.orelse if only_types else ast.iter_child_nodes(node)  # type: ignore[attr-defined]
    for child in children:
        yield from running(child)


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", re.split(r"[<>=\[;! ]", name)[0]).lower()


def test_every_module_that_is_imported_comes_with_a_declared_dependency() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    asked = [*project["dependencies"], *(d for n, e in extras.items() if n != "tests" for d in e)]
    declared = {plain(name) for name in asked}
    brought = packages_distributions()
    for module, file in imported().items():
        distributions = {plain(name) for name in brought.get(module, [module])}
        assert distributions & declared, f"{file} imports {module}, which is not declared"
