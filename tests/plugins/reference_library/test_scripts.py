"""The page's scripts: typed, joined into one classic script, and answering as they should."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.finding.folding import tokens
from archivist.finding.names import names_of_the_trade
from archivist_plugins.reference_library.entry import LibraryEntry
from archivist_plugins.reference_library.index import rows
from archivist_plugins.reference_library.scripts import joined, modules
from tests.browser.tools import node, tool
from tests.plugins.reference_library.asking import SCRIPTS, ask


def test_no_two_modules_have_a_top_level_name_in_common() -> None:
    names: dict[str, str] = {}
    pattern = r"^(?:export )?(?:async )?(?:function|const|let|class) (\w+)"
    for module, text in modules().items():
        for name in re.findall(pattern, text, re.MULTILINE):
            assert name not in names, f"{name} is in {names.get(name)}.js and in {module}.js"
            names[name] = module


def test_the_joined_script_is_a_classic_one_without_modules_or_comments() -> None:
    script = joined(modules())
    assert not re.search(r"^\s*(import|export)\b", script, re.MULTILINE)
    assert "@param" not in script
    assert "fetch(" not in script
    assert "innerHTML" not in script


def test_a_module_in_another_form_cannot_be_joined() -> None:
    with pytest.raises(ValueError, match="export default"):
        joined({"one": "export default 1;\n"})


def test_a_comment_that_ends_in_code_is_no_comment() -> None:
    code = "const a = /** @type {any} */ (b);\n/** @type {any} */ (c).d = 1;\n/** gone */\n"
    assert "gone" not in joined({"one": code})
    assert "(c).d = 1;" in joined({"one": code})


def test_a_text_of_several_lines_cannot_be_joined_as_its_indents_would_be_lost() -> None:
    with pytest.raises(ValueError, match="several lines"):
        joined({"one": "const a = `first\n  second`;\n"})


def test_types_hold_in_every_module(tmp_path: Path) -> None:
    settings_ = {
        "compilerOptions": {
            "allowJs": True,
            "checkJs": True,
            "noEmit": True,
            "strict": True,
            "noUnusedLocals": True,
            "noUnusedParameters": True,
            "target": "es2022",
            "module": "es2022",
            "moduleResolution": "bundler",
            "lib": ["es2022", "dom", "dom.iterable"],
            "types": [],
        },
        "include": [f"{SCRIPTS.as_posix()}/*.js"],
    }
    config = tmp_path / "tsconfig.json"
    config.write_text(json.dumps(settings_), encoding="utf-8")
    done = node(tool("typescript", "bin", "tsc"), "-p", config)
    assert done.returncode == 0, done.stdout + done.stderr


def entry(number: int, words: str, **facts: Any) -> LibraryEntry:
    found = list(tokens(words))
    signs = names_of_the_trade().in_words(found)
    return LibraryEntry(
        id=f"{number:x}0000000-0000-4000-8000-00000000000{number:x}",
        title=words,
        number=f"N {number}",
        words=tuple(sorted({*found, *signs})),
        **facts,
    )


ENTRIES = (
    entry(1, "Bowl, celadon, Qianlong", earliest=1736, latest=1795, height=(70, 70)),
    entry(2, "Dish, tenmoku, crackle", earliest=1700, latest=1800, facets={"form": ("dish",)}),
    entry(3, "Vase, 大明成化年製", earliest=None, latest=None, facets={"form": ("vase",)}),
    entry(4, "Jar, celadon", earliest=1600, latest=1650, facets={"form": ("jar",)}),
    entry(5, "Bowl, celadon glaze", earliest=None, latest=1500, facets={"form": ("bowl",)}),
)


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("", ["N 5", "N 4", "N 2", "N 1", "N 3"]),
        ("words=cel", ["N 5", "N 4", "N 1"]),
        ("words=celadon+bowl", ["N 5", "N 1"]),
        ("words=CÉLADON", ["N 5", "N 4", "N 1"]),
        ("words=ch%27ien-lung", ["N 1"]),
        ("words=chien+lu", ["N 1"]),
        ("words=乾隆", ["N 1"]),
        ("words=成化", ["N 3"]),
        ("words=nothing", []),
        ("is-form=bowl&is-form=jar", ["N 5", "N 4"]),
        ("is-form=bowl&words=jar", []),
        ("made=1700/1800", ["N 2", "N 1"]),
        ("made=1736/1800", ["N 2", "N 1"]),
        ("made=1736/1800&certainly=1", ["N 1"]),
        ("made=../1500", ["N 5"]),
        ("made=../1500&certainly=1", ["N 5"]),
        ("made=1400/1500", ["N 5"]),
        ("made=1400/1500&certainly=1", []),
        ("height=60/80", ["N 1"]),
        ("height=71/..", []),
        ("order=latest", ["N 1", "N 2", "N 4", "N 5", "N 3"]),
        ("order=number", ["N 1", "N 2", "N 3", "N 4", "N 5"]),
        ("words=%E0%A4&is-=&made=x/y&height=-1/..&pieces=zz", None),
    ],
)
def test_the_search_finds_what_is_asked_for(
    asked: str, found: list[str] | None, tmp_path: Path
) -> None:
    (answer,) = ask([asked], tmp_path, ENTRIES)
    if found is not None:
        assert answer["numbers"] == found


def test_what_lies_certainly_within_the_years_is_counted_apart_and_the_undated_told(
    tmp_path: Path,
) -> None:
    (answer,) = ask(["made=1736/1800"], tmp_path, ENTRIES)
    assert (answer["certain"], answer["dateless"]) == (1, 1)


def test_each_facet_counts_what_the_others_leave(tmp_path: Path) -> None:
    (answer,) = ask(["is-form=bowl&words=celadon"], tmp_path, ENTRIES)
    assert answer["numbers"] == ["N 5"]
    assert answer["counts"]["form"] == {"bowl": 1, "jar": 1, "dish": 0, "vase": 0}


@pytest.mark.parametrize(
    "address",
    [
        "words=celadon+bowl&made=1700/..&certainly=1&is-form=bowl&is-form=jar&order=latest",
        "view=foot+rim&pieces=10000000,20000000&height=../120",
        "made=-206/220",
        "is-mark=%E6%88%90%E5%8C%96",
    ],
)
def test_an_address_says_again_what_was_read_from_it(address: str, tmp_path: Path) -> None:
    assert ask([address], tmp_path, ENTRIES)[0]["again"] == address


@settings(max_examples=5, deadline=None)
@given(st.lists(st.sets(st.integers(0, 40_000), max_size=60), min_size=20, max_size=40))
def test_rows_are_read_as_they_were_written(
    tmp_path_factory: pytest.TempPathFactory, some: list[set[int]]
) -> None:
    told = ask([[rows(sorted(numbers))] for numbers in some], tmp_path_factory.mktemp("rows"), ())
    assert told == [sorted(numbers) for numbers in some]


def test_rows_in_a_known_case() -> None:
    assert rows([]) == ""
    assert rows([0, 1, 2]) == "AAA"
    assert rows([31, 64]) == "fhA"
