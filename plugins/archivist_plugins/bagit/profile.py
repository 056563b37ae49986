"""Our BagIt profile, which every bag we write names and carries with it."""

from __future__ import annotations

from archivist_schemas import schema_file

IDENTIFIER = "https://archivist.invalid/bagit-profile/1"
"""It names the profile and leads nowhere (RFC 6761, 6.4): the bag itself holds the file."""


def profile_bytes() -> bytes:
    """The profile as it stands in `archivist_schemas`."""
    return schema_file("bagit-profile.json").read_bytes()
