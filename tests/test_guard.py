"""Words that look like a formula are written as words, and come back as they were."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.guard import guarded, unguarded
from archivist_plugins.encodings import decode


@given(st.text() | st.from_regex(r"'*[=+\-@\t\r].*", fullmatch=True))
def test_guarding_can_always_be_taken_back(text: str) -> None:
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", ["=1+1", "+44 20", "-5", "@SUM(A1)", "\tx", "\rx", "'=x"])
def test_what_a_spreadsheet_would_run_gets_an_apostrophe(text: str) -> None:
    """The characters are those of OWASP, 'CSV Injection'."""
    assert guarded(text) == f"'{text}"


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_utf_8_is_read_as_it_was_written(text: str) -> None:
    if not text.startswith("\ufeff"):
        decoded = decode(text.encode("utf-8"))
        if decoded.encoding == "utf-8":
            assert decoded.text == text


@given(st.binary(max_size=300))
def test_any_bytes_are_read_as_some_text(data: bytes) -> None:
    assert isinstance(decode(data).text, str)
