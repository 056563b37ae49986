"""The tree of errors that is drawn is the one that is there; each error speaks in two lines."""

from __future__ import annotations

import inspect
import re

import pytest

from archivist import errors
from archivist.errors import ArchivistError

CLASSES = {
    name: value
    for name, value in vars(errors).items()
    if inspect.isclass(value) and issubclass(value, ArchivistError)
}


def drawn() -> dict[str, str]:
    """Each class of the drawing with the class it hangs on."""
    parents: dict[str, str] = {}
    above: list[tuple[int, str]] = []
    for line in (errors.__doc__ or "").splitlines():
        match = re.match(r"^(    [│ ├└─]*)([A-Z]\w+)", line)
        if match is None:
            continue
        depth, name = len(match.group(1)), match.group(2)
        above = [(d, n) for d, n in above if d < depth]
        parents[name] = above[-1][1] if above else ""
        above.append((depth, name))
    return parents


def test_the_drawing_is_of_the_classes() -> None:
    real = {
        name: "" if class_ is ArchivistError else class_.__bases__[0].__name__
        for name, class_ in CLASSES.items()
    }
    assert drawn() == real


@pytest.mark.parametrize("name", CLASSES)
def test_an_error_holds_what_happened_and_what_to_do(name: str) -> None:
    problem = CLASSES[name]("The bowl is gone.", "Look under the table.")
    assert (problem.message, problem.remedy) == ("The bowl is gone.", "Look under the table.")
    assert str(problem) == "The bowl is gone.\nLook under the table."
    assert str(CLASSES[name]("The bowl is gone.")) == "The bowl is gone."
    assert problem.exit_code == (2 if issubclass(CLASSES[name], errors.CannotStart) else 1)
    assert CLASSES[name].__doc__
