"""The rules of a complete bag (RFC 8493, 2 and 3) that can be checked without reading payload."""

from __future__ import annotations

from archivist.hooks import FixityState
from archivist.signing import SIGNATURE_FILES
from archivist_plugins.bagit.contents import BagContents
from archivist_plugins.bagit.findings import Findings
from archivist_plugins.bagit.manifests import MANIFEST_NAME, WEAK
from archivist_plugins.bagit.paths import PAYLOAD, folded
from archivist_plugins.bagit.profile import IDENTIFIER
from archivist_plugins.bagit.tags import tag_values
from archivist_plugins.bagit.trees import Tree

SYSTEM_FILES = frozenset({".ds_store", "thumbs.db", "desktop.ini", "ehthumbs.db"})
"""What Windows and macOS put into folders that somebody looks at. Common practice, no source."""


def check_rules(contents: BagContents, findings: Findings) -> None:
    """Puts into `findings` whatever of the bag breaks a rule or is worth a remark."""
    _check_manifests(contents, findings)
    _check_own(contents, findings)
    _check_payload(contents, findings)
    _check_oxum(contents, findings)
    _check_names(contents.tree, findings)


def _check_manifests(contents: BagContents, findings: Findings) -> None:
    payload = [m for m in contents.manifests if not m.of_tags]
    if not payload:
        findings.problem(
            FixityState.MISSING, "manifest-sha512.txt", "no payload manifest that can be checked"
        )
    elif {m.algorithm for m in payload} <= WEAK:
        names = ", ".join(sorted(m.algorithm for m in payload))
        findings.remark(
            f"The digests are {names} only: they show accidents, not changes made on purpose."
        )
    if not any(m.of_tags for m in contents.manifests):
        findings.remark("There is no tag manifest: a change to a tag file cannot be seen.")
    if contents.declaration.version < (1, 0):
        return
    for manifest in contents.manifests:
        if not manifest.of_tags:
            continue
        listed = {entry.path for entry in manifest.entries}
        for other in contents.manifests:
            if other.of_tags and other.name in listed:
                words = f"it lists {other.name}, a tag manifest"
                findings.problem(FixityState.INVALID, manifest.name, words)
            elif not other.of_tags and other.name not in listed:
                words = f"it does not list {other.name}"
                findings.problem(FixityState.INVALID, manifest.name, words)


OWN = tuple(f"{kind}manifest-{name}.txt" for kind in ("", "tag") for name in ("sha256", "sha512"))
"""What every bag of our own profile has; by RFC 8493 alone a bag may lack some."""


def _check_own(contents: BagContents, findings: Findings) -> None:
    """A bag that says that it keeps our profile has all that the profile asks for."""
    if IDENTIFIER in tag_values(contents.tags, "BagIt-Profile-Identifier"):
        for name in (*OWN, "about.txt", "bagit-profile.json"):
            if name not in contents.tree.files and name not in contents.tree.faults:
                words = "every bag of this profile has this file"
                findings.problem(FixityState.MISSING, name, words)


def _check_payload(contents: BagContents, findings: Findings) -> None:
    """Every payload file is listed: in every manifest (1.0), in at least one (before)."""
    if not contents.tree.has_folder("data"):
        findings.problem(FixityState.MISSING, "data", "every bag has this folder")
    payload = [m for m in contents.manifests if not m.of_tags]
    of_tags = [m for m in contents.manifests if m.of_tags]
    for path in contents.tree.files:
        recorded = contents.expected.get(path, {})
        if not path.startswith(PAYLOAD):
            covers_itself = MANIFEST_NAME.fullmatch(path) or path in SIGNATURE_FILES
            if of_tags and not recorded and not covers_itself:
                findings.not_listed(path)
            continue
        if not recorded:
            by_system = "; an operating system put it there unasked, and it may be deleted"
            detail = f"it is in no manifest{by_system if is_system_file(path) else ''}"
            findings.problem(FixityState.EXTRA, path, detail)
            continue
        if is_system_file(path):
            findings.remark(f"'{path}' was written by an operating system, not by a person.")
        if contents.declaration.version >= (1, 0):
            for manifest in payload:
                if manifest.algorithm not in recorded:
                    findings.problem(FixityState.INVALID, path, f"it is not in {manifest.name}")


def _check_oxum(contents: BagContents, findings: Findings) -> None:
    """Payload-Oxum is given once at most, and agrees with what is there (RFC 8493, 2.2.2)."""
    name = contents.declaration.info_file
    oxums = tag_values(contents.tags, "Payload-Oxum")
    if len(oxums) > 1:
        findings.problem(FixityState.INVALID, name, "Payload-Oxum is given more than once")
    sizes = [size for path, size in contents.tree.files.items() if path.startswith(PAYLOAD)]
    found = f"{sum(sizes)}.{len(sizes)}"
    for oxum in oxums[:1]:
        if oxum != found:
            findings.problem(
                FixityState.INVALID,
                name,
                f"Payload-Oxum says {oxum} (bytes.files), and there is {found}",
            )


def _check_names(tree: Tree, findings: Findings) -> None:
    alike: dict[str, list[str]] = {}
    for path in sorted(tree.files):
        alike.setdefault(folded(path), []).append(path)
    for paths in alike.values():
        if len(paths) > 1:
            names = ", ".join(f"'{path}'" for path in paths)
            findings.remark(
                f"{names} differ only by case or Unicode form: on Windows or macOS one would "
                "take the place of the other."
            )


def is_system_file(path: str) -> bool:
    """Whether an operating system made the file, unasked."""
    name = path.rsplit("/", 1)[-1].casefold()
    return name in SYSTEM_FILES or name.startswith("._")
