"""Words as IIIF wants them: language maps of plain text, and rights that are one of three kinds."""

from __future__ import annotations

import re
from collections.abc import Iterable

from archivist import wording

LanguageMap = dict[str, list[str]]

NONE = "none"
"""The language of values in no language (Presentation API 3.0, 4.1 Language of Property Values)."""

PROGRAM_LANGUAGE = "en"
"""The language of the headings that this program writes."""

_RIGHTS = re.compile(
    r"https?://(?:www\.)?"
    r"(?P<kind>creativecommons\.org/(?:licenses|publicdomain)|rightsstatements\.org/(?:vocab|page))"
    r"/(?P<rest>[A-Za-z0-9+-]+(?:/[0-9.]+(?:/[a-z]{2})?)?)/?(?:[?#].*)?"
)


def language_map(values: Iterable[str], language: str = "") -> LanguageMap:
    """`values` in `language` ('none' where it is empty or no language tag), as plain text."""
    return {wording.language_tag(language) or NONE: [plain(value) for value in values]}


def headed(label: str, values: Iterable[str], language: str = "") -> dict[str, LanguageMap]:
    """A pair of label and value, as `metadata` and `requiredStatement` take them."""
    return {
        "label": language_map([label], PROGRAM_LANGUAGE),
        "value": language_map(values, language),
    }


def plain(text: str) -> str:
    """`text` so that no reader takes it for HTML.

    A value counts as HTML where it begins with '<' and ends with '>'; the standard lets plain text
    of that kind end in a space (Presentation API 3.0, 4.3 HTML Markup in Property Values).
    """
    return f"{text} " if text.startswith("<") and text.endswith(">") else text


def rights_uri(uri: str) -> str:
    """`uri` as the `rights` property takes it, '' where it is none of its kinds.

    These are Creative Commons and RightsStatements.org URIs, in their published form with http
    (Presentation API 3.0, 3.1 rights).
    """
    found = _RIGHTS.fullmatch(uri.strip())
    if not found:
        return ""
    kind = found["kind"].replace("rightsstatements.org/page", "rightsstatements.org/vocab")
    return f"http://{kind}/{found['rest']}/"
