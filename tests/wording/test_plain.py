"""Words put together."""

from __future__ import annotations

import pytest

from archivist import wording


@pytest.mark.parametrize("tag", ["en", "ja", "zh-Hant", "es-419"])
def test_a_language_tag_is_passed_on(tag: str) -> None:
    assert wording.language_tag(tag) == tag


@pytest.mark.parametrize("tag", ["", "English language", "e", "en_GB", "<b>"])
def test_what_is_no_language_tag_is_left_out(tag: str) -> None:
    assert wording.language_tag(tag) == ""
