"""Manifests and fetch.txt (RFC 8493, 2.1.3, 2.2.1 and 2.2.3)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist_plugins.bagit.manifests import read_fetch, read_manifest, write_manifest

segments = st.text(st.characters(exclude_characters="/\0", exclude_categories=["Cs"]), min_size=1)
paths = segments.filter(lambda name: name != ".").map(lambda name: f"data/{name}")


@given(st.dictionaries(paths, st.binary(min_size=32, max_size=32).map(bytes.hex)))
def test_every_file_that_is_written_is_read_again(files: dict[str, str]) -> None:
    manifest = read_manifest("manifest-sha256.txt", write_manifest(files.items()), (1, 0))
    assert manifest.faults == ()
    assert {entry.path: entry.digest for entry in manifest.entries} == files


def test_lines_have_the_form_of_checksum_tools_and_stand_in_order() -> None:
    text = write_manifest([("data/b", "bb"), ("data/a%", "aa")])
    assert text == "aa  data/a%25\nbb  data/b\n"


@pytest.mark.parametrize("line_end", ["\n", "\r", "\r\n"])
def test_every_line_end_and_white_space_between_will_do(line_end: str) -> None:
    text = line_end.join(["0" * 32 + "  data/a", "1" * 32 + "\t data/b c", ""])
    manifest = read_manifest("tagmanifest-md5.txt", text, (1, 0))
    assert manifest.of_tags
    assert [entry.path for entry in manifest.entries] == ["data/a", "data/b c"]


def test_marks_of_checksum_tools_are_taken_off_and_remarked_on() -> None:
    text = f"{'0' * 32} *data/a\n{'0' * 32}  ./data/b\n"
    manifest = read_manifest("manifest-md5.txt", text, (0, 97))
    assert [entry.path for entry in manifest.entries] == ["data/a", "data/b"]
    assert len(manifest.remarks) == 2


@pytest.mark.parametrize("line", ["zz  data/a", "00  data/a", "0" * 32, "data/a"])
def test_a_line_that_lists_no_file_is_named(line: str) -> None:
    manifest = read_manifest("manifest-md5.txt", f"\n{line}\n", (1, 0))
    assert manifest.entries == ()
    assert "line 2" in manifest.faults[0]


def test_fetch_lines_are_read_with_and_without_a_length() -> None:
    text = "https://x.example/a%20b 26 data/a b%25\nhttps://x.example/c - data/c\nno address\n"
    entries, faults = read_fetch(text, (1, 0))
    assert [(entry.url, entry.path) for entry in entries] == [
        ("https://x.example/a%20b", "data/a b%"),
        ("https://x.example/c", "data/c"),
    ]
    assert "line 3" in faults[0]
