"""What a bag says it holds, compared with the files that are there; no payload byte is read."""

from __future__ import annotations

import os
from dataclasses import dataclass, field

from archivist.hooks import FixityState
from archivist_plugins.bagit.findings import Findings
from archivist_plugins.bagit.limits import LARGEST_TAG_FILE
from archivist_plugins.bagit.manifests import (
    DIGEST_LENGTHS,
    MANIFEST_NAME,
    Entry,
    Manifest,
    read_fetch,
    read_manifest,
)
from archivist_plugins.bagit.paths import PAYLOAD, composed, folded, unsafe
from archivist_plugins.bagit.tags import (
    Declaration,
    Tags,
    read_declaration,
    read_tags,
)
from archivist_plugins.bagit.trees import UNREADABLE, Tree

BYTE_ORDER_MARK = "\ufeff"


@dataclass
class BagContents:
    """A bag as it was read: what it says of itself, and which digests each file should have.

    `expected` maps the path of a file that is there to its recorded digests by algorithm;
    `missing` the path of a payload file that is not there to its recorded digests; `unsafe` holds
    the paths that must not be followed, with the reason.
    """

    tree: Tree
    declaration: Declaration
    tags: Tags = ()
    manifests: tuple[Manifest, ...] = ()
    expected: dict[str, dict[str, str]] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    missing: dict[str, dict[str, str]] = field(default_factory=dict)
    unsafe: dict[str, str] = field(default_factory=dict)
    encoded_names: bool = False


def read_contents(tree: Tree, findings: Findings) -> BagContents:
    """Reads all tag files of the bag in `tree`; whatever breaks a rule goes into `findings`."""
    for path, reason in tree.faults.items():
        findings.problem(FixityState.INVALID, path, reason)
    for words in tree.remarks:
        findings.remark(words)
    contents = BagContents(tree, _declaration(tree, findings))
    contents.tags = _tags(contents, findings)
    contents.manifests = tuple(_manifests(contents, findings))
    fetched = _fetched(contents, findings)
    _match(contents, fetched, findings)
    return contents


def _declaration(tree: Tree, findings: Findings) -> Declaration:
    data = _bytes(tree, "bagit.txt", findings)
    if data is None:
        return Declaration()
    declaration = read_declaration(data)
    for fault in declaration.faults:
        findings.problem(FixityState.INVALID, "bagit.txt", fault)
    for words in declaration.remarks:
        findings.remark(f"bagit.txt: {words}.")
    return declaration


def _bytes(tree: Tree, path: str, findings: Findings) -> bytes | None:
    """The bytes of a tag file; None, and a problem, where it is missing or cannot be read."""
    if path not in tree.files:
        if path not in tree.faults:
            findings.problem(FixityState.MISSING, path, "every bag has this file")
        return None
    try:
        with tree.open(path) as source:
            data = source.read(LARGEST_TAG_FILE + 1)
    except UNREADABLE as problem:
        findings.problem(FixityState.UNREADABLE, path, str(problem))
        return None
    if len(data) > LARGEST_TAG_FILE:
        words = f"it has more than {LARGEST_TAG_FILE:,} bytes, which is the limit for a tag file"
        findings.problem(FixityState.INVALID, path, words)
        return None
    return data


def _text(contents: BagContents, path: str, findings: Findings) -> str | None:
    """The text of a tag file in the encoding that the bag declares."""
    data = _bytes(contents.tree, path, findings)
    if data is None:
        return None
    encoding = contents.declaration.encoding
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        findings.problem(FixityState.INVALID, path, f"it is not in {encoding}, as bagit.txt says")
        return data.decode(encoding, "replace")
    if text.startswith(BYTE_ORDER_MARK):
        findings.remark(f"{path} begins with a byte-order mark.")
    return text.removeprefix(BYTE_ORDER_MARK)


def _manifests(contents: BagContents, findings: Findings) -> list[Manifest]:
    """All manifests whose algorithm is known, read."""
    found: list[Manifest] = []
    for name in sorted(contents.tree.files):
        match = MANIFEST_NAME.fullmatch(name)
        if match is None:
            continue
        if match[2] not in DIGEST_LENGTHS:
            findings.remark(f"{name} was not checked: the algorithm '{match[2]}' is not known.")
            continue
        text = _text(contents, name, findings)
        if text is None:
            continue
        manifest = read_manifest(name, text, contents.declaration.version)
        for fault in manifest.faults:
            findings.problem(FixityState.INVALID, name, fault)
        for words in manifest.remarks:
            findings.remark(words)
        found.append(manifest)
    return found


def _tags(contents: BagContents, findings: Findings) -> Tags:
    """The labelled lines of bag-info.txt, where there is one."""
    name = contents.declaration.info_file
    if name not in contents.tree.files:
        return ()
    tags, faults = read_tags(_text(contents, name, findings) or "")
    for fault in faults:
        findings.problem(FixityState.INVALID, name, fault)
    return tags


def _fetched(contents: BagContents, findings: Findings) -> dict[str, str]:
    """The addresses of fetch.txt by path, where there is such a file."""
    if "fetch.txt" not in contents.tree.files:
        return {}
    text = _text(contents, "fetch.txt", findings) or ""
    entries, faults = read_fetch(text, contents.declaration.version)
    for fault in faults:
        findings.problem(FixityState.INVALID, "fetch.txt", fault)
    listed = {e.path for m in contents.manifests if not m.of_tags for e in m.entries}
    for entry in entries:
        reason = _outside_payload(entry.path)
        if reason:
            findings.problem(FixityState.INVALID, "fetch.txt", f"'{entry.path}': {reason}")
        elif entry.path not in listed:
            findings.problem(
                FixityState.INVALID, "fetch.txt", f"'{entry.path}' is in no payload manifest"
            )
    return {entry.path: entry.url for entry in entries}


def _outside_payload(path: str) -> str:
    """Why `path` is no path of a payload file; '' where it is one."""
    reason = unsafe(path, windows=os.name == "nt")
    if not reason and not path.startswith(PAYLOAD):
        reason = "it is not below data/"
    return reason


class _Finder:
    """Finds the file that a manifest means, also where a file system changed its name's form."""

    def __init__(self, tree: Tree, findings: Findings) -> None:
        self._tree = tree
        self._findings = findings
        self._by_form: dict[str, list[str]] = {}
        for path in tree.files:
            self._by_form.setdefault(composed(path), []).append(path)

    def find(self, entry: Entry) -> str | None:
        """The path of the file in the tree, or None."""
        if entry.path in self._tree.files:
            return entry.path
        if entry.listed in self._tree.files:
            self._findings.remark(
                f"'{entry.listed}' is listed without percent-encoding; the file of that very "
                "name was checked."
            )
            return entry.listed
        alike = self._by_form.get(composed(entry.path), [])
        if len(alike) == 1:
            self._findings.remark(
                f"'{entry.path}' is listed in another Unicode normal form than its file has."
            )
            return alike[0]
        return self._in_another_case(entry.path)

    def _in_another_case(self, path: str) -> str | None:
        """The file, where the file system itself takes no notice of case."""
        location = self._tree.location(path)
        if location is None or not location.is_file():
            return None
        same = [p for p in self._tree.files if folded(p) == folded(path)]
        if len(same) == 1:
            self._findings.remark(f"'{path}' lies there as '{same[0]}'.")
            return same[0]
        return None


def _match(contents: BagContents, fetched: dict[str, str], findings: Findings) -> None:
    """Gives every file the digests recorded for it, and names those that are not there."""
    finder = _Finder(contents.tree, findings)
    for manifest in contents.manifests:
        seen: dict[str, str] = {}
        for entry in manifest.entries:
            _check_twice(manifest, entry, seen, contents, findings)
            if manifest.of_tags:
                reason = unsafe(entry.path, windows=os.name == "nt")
            else:
                reason = _outside_payload(entry.path)
            if reason:
                contents.unsafe[entry.path] = reason
                findings.problem(FixityState.INVALID, manifest.name, f"'{entry.path}': {reason}")
                continue
            contents.encoded_names |= "%" in entry.listed
            path = finder.find(entry)
            if path is None:
                _note_missing(manifest, entry, contents, fetched, findings)
                continue
            contents.named.setdefault(path, entry.path)
            recorded = contents.expected.setdefault(path, {})
            if recorded.setdefault(manifest.algorithm, entry.digest) != entry.digest:
                # Two entries can mean one file where they differ only by Unicode normal form.
                findings.problem(FixityState.INVALID, manifest.name, _two_digests(entry))


def _check_twice(
    manifest: Manifest,
    entry: Entry,
    seen: dict[str, str],
    contents: BagContents,
    findings: Findings,
) -> None:
    """A file may stand in a manifest once; before version 1.0 twice with one digest would pass."""
    if entry.path not in seen:
        seen[entry.path] = entry.digest
    elif seen[entry.path] != entry.digest:
        findings.problem(FixityState.INVALID, manifest.name, _two_digests(entry))
    elif contents.declaration.version >= (1, 0):
        findings.problem(
            FixityState.INVALID, manifest.name, f"'{entry.path}' is listed more than once"
        )
    else:
        findings.remark(f"{manifest.name} lists '{entry.path}' more than once.")


def _two_digests(entry: Entry) -> str:
    return f"'{entry.path}' is listed twice with different digests"


def _note_missing(
    manifest: Manifest,
    entry: Entry,
    contents: BagContents,
    fetched: dict[str, str],
    findings: Findings,
) -> None:
    if entry.path in contents.tree.faults:
        return
    detail = f"listed in {manifest.name}"
    if entry.path in fetched:
        detail = f"still to be fetched from {fetched[entry.path]}"
    findings.problem(FixityState.MISSING, entry.path, detail)
    if not manifest.of_tags:
        contents.missing.setdefault(entry.path, {})[manifest.algorithm] = entry.digest
