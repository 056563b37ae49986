"""Percent-encoding of paths (RFC 8493, 2.1.3) and paths that lead out of a bag."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist_plugins.bagit.paths import decode_path, encode_path, unsafe, without_dots


@given(st.text())
def test_any_path_is_the_same_after_encoding_and_decoding(path: str) -> None:
    assert decode_path(encode_path(path)) == path


@given(st.text())
def test_an_encoded_path_never_breaks_a_line(path: str) -> None:
    assert not set("\r\n") & set(encode_path(path))


@given(st.text(alphabet=st.characters(exclude_characters="%\r\n")))
def test_only_line_breaks_and_percent_signs_are_encoded(path: str) -> None:
    assert encode_path(path) == path


@pytest.mark.parametrize(
    ("path", "encoded"),
    [
        ("data/100%.jpg", "data/100%25.jpg"),
        ("data/50%0Aoff.jpg", "data/50%250Aoff.jpg"),
        ("data/a\nb\r\nc.jpg", "data/a%0Ab%0D%0Ac.jpg"),
        ("data/Grün é 大.jpg", "data/Grün é 大.jpg"),
        ("data/with space & plus+.jpg", "data/with space & plus+.jpg"),
    ],
)
def test_paths_are_encoded_as_the_standard_says(path: str, encoded: str) -> None:
    assert encode_path(path) == encoded


@pytest.mark.parametrize(
    ("listed", "path"),
    [("a%0ab", "a\nb"), ("a%0d%0Ab", "a\r\nb"), ("100%25", "100%"), ("%7Edir", "%7Edir")],
)
def test_decoding_takes_either_case_and_leaves_other_percent_signs(listed: str, path: str) -> None:
    assert decode_path(listed) == path


def test_before_version_1_0_a_percent_sign_stood_for_itself() -> None:
    assert decode_path("100%25.jpg", (0, 97)) == "100%25.jpg"
    assert decode_path("a%0Ab", (0, 97)) == "a\nb"


def test_single_dots_are_taken_off_and_double_dots_are_left_to_see() -> None:
    assert without_dots("./data/./a.jpg") == "data/a.jpg"
    assert without_dots("data/../a.jpg") == "data/../a.jpg"


@pytest.mark.parametrize(
    "path",
    [
        "",
        "/etc/passwd",
        "../a",
        "data/../../a",
        "data/..",
        "~/a",
        "~root/a",
        "C:\\a",
        "c:/a",
        "\\\\server\\share\\a",
        "\\\\?\\UNC\\server\\a",
        "data//a",
        "data/a\0b",
    ],
)
@pytest.mark.parametrize("windows", [False, True])
def test_paths_that_lead_out_are_unsafe_on_every_system(path: str, windows: bool) -> None:
    assert unsafe(path, windows=windows)


@pytest.mark.parametrize("path", ["data\\..\\..\\a", "data/a:stream", "data/C:"])
def test_backslashes_and_colons_are_unsafe_on_windows_only(path: str) -> None:
    assert unsafe(path, windows=True)
    assert not unsafe(path, windows=False)


@pytest.mark.parametrize("path", ["data/a.jpg", "data/~a", "data/a..b", "data/...", "bag-info.txt"])
@pytest.mark.parametrize("windows", [False, True])
def test_ordinary_paths_are_safe(path: str, windows: bool) -> None:
    assert unsafe(path, windows=windows) == ""
