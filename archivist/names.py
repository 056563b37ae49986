"""Names and addresses of what we write: legal everywhere, and telling what is inside."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from archivist.errors import PackageError

LONGEST_SEGMENT = 40
"""Characters in one segment of a path that we write."""

LONGEST_PATH = 150
"""Characters in a whole path that we write, so that it fits Windows below any folder."""

_LEGAL = re.compile(r"[a-z0-9._,-]+")
_DIGEST_NAME = re.compile(r"[0-9a-f]{64}(\.[a-z0-9.]{1,16})?")
_NOT_LEGAL_IN_SLUG = re.compile(r"[^a-z0-9]+")
_RESERVED = frozenset(
    ["con", "prn", "aux", "nul"]
    + [f"{device}{number}" for device in ("com", "lpt") for number in range(1, 10)]
)
"""Names that Windows keeps for devices, with any extension (Microsoft, 'Naming Files')."""


def slug(words: str, longest: int = LONGEST_SEGMENT) -> str:
    """`words` as a name of `[a-z0-9-]`, shortened at a hyphen; '' where nothing is left.

    Letters with marks lose the marks; other scripts have no place in such a name and are left
    out, which is why the true name always stands in the record.
    """
    plain = unicodedata.normalize("NFKD", words.casefold()).encode("ascii", "ignore").decode()
    name = _NOT_LEGAL_IN_SLUG.sub("-", plain).strip("-")
    if len(name) > longest:
        cut = name[: longest + 1].rfind("-")
        name = name[: cut if cut > longest // 2 else longest].strip("-")
    return f"{name}-" if name in _RESERVED else name


def web_base(base_uri: str, archive_id: str) -> str:
    """The address below which outputs lie, ending in '/'.

    An archive that is published nowhere has addresses that can never be mistaken for real ones
    (RFC 6761 keeps `.invalid` for that).
    """
    return f"{base_uri.rstrip('/')}/" if base_uri else f"https://{archive_id}.invalid/"


def check_path(path: str) -> str:
    """`path` itself, if it may stand in a package.

    Raises:
        PackageError: where a segment is empty, '.', '..', too long, reserved, or has other
            characters than `[a-z0-9._,-]`; or where the whole is too long.
    """
    if len(path) > LONGEST_PATH:
        raise PackageError(
            f"The path '{path[:60]}...' has {len(path)} characters; {LONGEST_PATH} are allowed.",
            "Shorten the names in it.",
        )
    for segment in path.split("/"):
        problem = _problem(segment)
        if problem:
            raise PackageError(
                f"A package may not hold a file at '{path}': {problem}.",
                "Use relative paths of a-z, 0-9, '.', '_', '-' and ',' only.",
            )
    return path


@lru_cache(maxsize=8192)
def _problem(segment: str) -> str:
    """What is wrong with one segment of a path; '' if nothing is."""
    if segment in ("", ".", ".."):
        return "it leaves the package or has an empty part"
    if not _LEGAL.fullmatch(segment):
        return f"'{segment}' has characters that are not legal everywhere"
    if len(segment) > LONGEST_SEGMENT and not _DIGEST_NAME.fullmatch(segment):
        return f"'{segment}' is longer than {LONGEST_SEGMENT} characters"
    if segment.split(".")[0] in _RESERVED:
        return f"Windows keeps the name '{segment}' for a device"
    if segment.endswith("."):
        return f"Windows cannot keep a name that ends in a dot ('{segment}')"
    return ""
