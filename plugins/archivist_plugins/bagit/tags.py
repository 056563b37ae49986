"""The bag declaration and the labelled lines of bag-info.txt."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from archivist_plugins.bagit.limits import MOST_FAULTS

DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
"""The two lines of bagit.txt as we write them (RFC 8493, 2.1.1)."""

VERSIONS = ((0, 93), (0, 94), (0, 95), (0, 96), (0, 97), (1, 0))
"""The versions that were published: five drafts and the RFC."""

LINE = 79
"""Characters that a line of bag-info.txt should not exceed (RFC 8493, 2.2.2)."""

Tags = tuple[tuple[str, str], ...]
"""Labels with their values, in order; a label may come more than once."""

_LINE_END = re.compile(r"\r\n|\r|\n")
_NOT_IN_A_VALUE = re.compile(r"[\x00-\x20\x7f-\x9f\u2028\u2029]+")
_STRICT = re.compile(
    r"BagIt-Version: (\d+)\.(\d+)(?:\r\n|\r|\n)"
    r"Tag-File-Character-Encoding: (\S+)(?:\r\n|\r|\n)?"
)
_LENIENT = re.compile(
    r"\s*BagIt-Version[ \t]*:[ \t]*(\d+)\.(\d+)[ \t]*(?:\r\n|\r|\n)"
    r"Tag-File-Character-Encoding[ \t]*:[ \t]*(\S+)\s*"
)


@dataclass(frozen=True)
class Declaration:
    """What bagit.txt says, and what is wrong with how it says so.

    A declaration with `faults` gives the version and encoding to read the rest by all the same,
    so that the files of a bag with a damaged declaration can still be checked.
    """

    version: tuple[int, int] = (1, 0)
    encoding: str = "UTF-8"
    faults: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def info_file(self) -> str:
        """The name of the file of labelled lines, which changed with version 0.96."""
        return "bag-info.txt" if self.version >= (0, 96) else "package-info.txt"


def read_declaration(data: bytes) -> Declaration:
    """What the bytes of bagit.txt say (RFC 8493, 2.1.1).

    Exactly two lines, UTF-8, no byte-order mark. White space that version 1.0 forbids is only
    remarked on in bags of the drafts before it.
    """
    faults: list[str] = []
    remarks: list[str] = []
    if data.startswith(codecs.BOM_UTF8):
        faults.append("it begins with a byte-order mark")
        data = data.removeprefix(codecs.BOM_UTF8)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return Declaration(faults=(*faults, "it is not UTF-8"))
    match = _STRICT.fullmatch(text)
    if match is None:
        match = _LENIENT.fullmatch(text)
        if match is None:
            said = "it does not hold the two lines that declare a bag's version and encoding"
            return Declaration(faults=(*faults, said))
        spaced = "it has white space that the standard does not allow"
        early = (int(match[1]), int(match[2])) < (1, 0)
        (remarks if early else faults).append(spaced)
    version = (int(match[1]), int(match[2]))
    if version not in VERSIONS:
        faults.append(f"version {match[1]}.{match[2]} of BagIt is not known")
        version = (1, 0)
    encoding = match[3]
    if not _is_text_encoding(encoding):
        faults.append(f"the encoding '{encoding}' is not known")
        encoding = "UTF-8"
    return Declaration(version, encoding, tuple(faults), tuple(remarks))


def _is_text_encoding(name: str) -> bool:
    """Whether text can be in `name`: Python has codecs for other things as well."""
    try:
        b"a".decode(name)
    except UnicodeDecodeError:
        return True  # one byte is half a character of some encodings
    except (LookupError, ValueError):
        return False
    return True


def one_line(value: str) -> str:
    """`value` with line breaks, control characters and runs of spaces as single spaces."""
    return _NOT_IN_A_VALUE.sub(" ", value).strip(" ")


def write_tags(tags: Iterable[tuple[str, str]]) -> str:
    """The lines of bag-info.txt. Values lose line breaks, long ones are folded at spaces.

    No value can bring in a line of its own: a line break is always followed by white space.
    Tags with an empty value are left out.
    """
    lines: list[str] = []
    for label, value in tags:
        words = one_line(value).split(" ")
        if words == [""]:
            continue
        line = f"{label}: {words[0]}"
        for word in words[1:]:
            if len(line) + 1 + len(word) > LINE:
                lines.append(line)
                line = f"  {word}"
            else:
                line = f"{line} {word}"
        lines.append(line)
    return "".join(f"{line}\n" for line in lines)


@dataclass
class _Reading:
    tags: list[tuple[str, str]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


def read_tags(text: str) -> tuple[Tags, tuple[str, ...]]:
    """The tags of bag-info.txt, unfolded, and the lines that are none.

    White space around a label is not part of it; a folded line is joined to its value by one
    space, whatever it was indented by.
    """
    reading = _Reading()
    for number, line in enumerate(_LINE_END.split(text), start=1):
        label, colon, value = line.partition(":")
        if not line.strip():
            continue
        if line[0] in " \t" and reading.tags:
            known, begun = reading.tags[-1]
            more = line.strip(" \t")
            reading.tags[-1] = (known, f"{begun} {more}".strip(" \t"))
        elif colon and label.strip(" \t"):
            reading.tags.append((label.strip(" \t"), value.strip(" \t")))
        else:
            reading.faults.append(f"line {number} has no label: '{line[:60]}'")
            if len(reading.faults) > MOST_FAULTS:
                break
    return tuple(reading.tags), tuple(reading.faults)


def tag_values(tags: Tags, label: str) -> tuple[str, ...]:
    """The values under `label`, whose case does not matter (RFC 8493, 2.2.2)."""
    wanted = label.casefold()
    return tuple(value for name, value in tags if name.casefold() == wanted)
