"""What looking at one bag may cost, whatever it claims."""

from __future__ import annotations

import struct
from pathlib import Path

LARGEST_TAG_FILE = 1 << 25
"""Bytes of a tag file. A SHA-512 manifest of 180,000 files has as many."""

MOST_FAULTS = 100
"""Lines of one tag file that are told to be none; then it is not read on."""

LARGEST_DIRECTORY = 1 << 26
"""Bytes of the directory of a zip: about half a million files."""

LARGEST_IN_MEMORY = 1 << 22
"""Bytes of a file in a zip that is handed over in memory; a larger one is opened where it lies."""

_END = b"PK\x05\x06"
_END64 = b"PK\x06\x06"
_LOCATOR64 = b"PK\x06\x07"
_LONGEST_END = (1 << 16) + 22
_IN_END64 = 0xFFFFFFFF


def directory_size(path: Path) -> int:
    """Bytes that the directory of a zip claims (APPNOTE 4.3.14 and 4.3.16); 0 where there is none.

    Whoever opens the zip reads all of it at once.
    """
    with path.open("rb") as file:
        file.seek(0, 2)
        size = file.tell()
        file.seek(max(0, size - _LONGEST_END - 20))
        tail = file.read()
        at = tail.rfind(_END)
        if at < 0 or at + 20 > len(tail):
            return 0
        (claimed,) = struct.unpack_from("<I", tail, at + 12)
        locator = tail.rfind(_LOCATOR64, 0, at)
        if claimed == _IN_END64 and locator >= 0 and locator + 16 <= len(tail):
            (place,) = struct.unpack_from("<Q", tail, locator + 8)
            if place < size:
                file.seek(place)
                record = file.read(48)
                if record.startswith(_END64) and len(record) == 48:
                    (claimed,) = struct.unpack_from("<Q", record, 40)
        return int(claimed)
