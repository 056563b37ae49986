"""The modules of `js/` as one classic script: browsers refuse modules on pages opened from a disk.

The modules import only each other, by name and from the file's top, and no two of them have a
top-level name in common; so it is enough to put them in order inside one function.
"""

from __future__ import annotations

import graphlib
import re
from collections.abc import Mapping
from importlib.resources import files

FOLDER = "js"
_IMPORT = re.compile(r'^import \{([^}]*)\} from "\./([a-z-]+)\.js";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|const|class)\b)", re.MULTILINE)
_COMMENT = re.compile(r"^ *(?:/\*\*(?:(?!\*/).)*\*/|//[^\n]*)\n", re.MULTILINE | re.DOTALL)
_INDENT = re.compile(r"^ +", re.MULTILINE)
_LEFT = re.compile(r"^\s*(?:import|export)\b.*$", re.MULTILINE)


def modules() -> dict[str, str]:
    """The modules that come with the program, by name."""
    folder = files(__package__).joinpath(FOLDER)
    return {
        file.name.removesuffix(".js"): file.read_text(encoding="utf-8")
        for file in sorted(folder.iterdir(), key=lambda f: f.name)
        if file.name.endswith(".js")
    }


def joined(sources: Mapping[str, str]) -> str:
    """One script that does what the modules do, without indents, nor comments on their own lines.

    Raises:
        ValueError: where a module imports or exports in another form than the one used here, or
            has a text of several lines, in which indents mean something.
        graphlib.CycleError: where modules import each other in a circle.
    """
    needs = {name: [m[1] for m in _IMPORT.findall(text)] for name, text in sources.items()}
    body: list[str] = []
    for name in graphlib.TopologicalSorter(needs).static_order():
        text = _COMMENT.sub("", _EXPORT.sub("", _IMPORT.sub("", sources[name])))
        left = _LEFT.search(text)
        if left:
            raise ValueError(f"{name}.js cannot be joined: {left.group().strip()}")
        for line in text.splitlines():
            if line.count("`") % 2:
                raise ValueError(f"{name}.js has a text of several lines: {line.strip()}")
        body.append(_INDENT.sub("", text))
    return '"use strict";\n(function () {\n' + "\n".join(body) + "})();\n"
