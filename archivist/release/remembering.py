"""What is remembered of pieces, so that those that did not change need not be disclosed again."""

from __future__ import annotations

import hashlib

import msgspec

from archivist.catalogue.archive import Archive
from archivist.release.disclosure import Disclosure


def sight_key(archive: Archive, rule: Disclosure, base_uri: str = "") -> str:
    """A digest of everything besides the records that decides what is seen of a piece."""
    seen = {
        "audience": rule.audience,
        "sees": {section: sorted(fields) for section, fields in sorted(rule.sees.items())},
        "hides": {section: sorted(fields) for section, fields in sorted(rule.hides.items())},
        "withheld": sorted(rule.withheld_views),
        "stand_ins": dict(rule.stand_ins),
        "settings": archive.settings,
        "base_uri": base_uri,
    }
    return hashlib.sha256(msgspec.json.encode(seen, order="sorted", enc_hook=str)).hexdigest()
