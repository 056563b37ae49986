"""What a study of photographs works on, and what comes of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from archivist.imaging.probe import Probe
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.findings import Findings, Group
from archivist.intake.pictures.taken import Told
from archivist.intake.rules.clocks import WrongClock
from archivist.intake.views import Seen
from archivist.model import Certainty, Region


@dataclass
class PictureStudy:
    """What was found out about one picture (by its digest) beyond what its own names say."""

    told: Told = field(default_factory=lambda: Told(()))
    clock_doubt: str = ""
    derived_from: str = ""
    derived_because: str = ""
    objects: tuple[str, ...] = ()
    certainty: Certainty = Certainty.POSSIBLE
    because: str = ""
    seen: Seen | None = None
    regions: dict[str, Region] = field(default_factory=dict)


@dataclass
class Studied:
    """The findings, what each picture's items should say, groups without a record, and cameras
    whose clocks were wrong with the digests of their photographs."""

    findings: Findings = field(default_factory=Findings)
    pictures: dict[str, PictureStudy] = field(default_factory=dict)
    unknown: list[tuple[Group, tuple[str, ...]]] = field(default_factory=list)
    clocks: list[tuple[WrongClock, tuple[str, ...]]] = field(default_factory=list)


Key = tuple[str, str]
"""A path and its bytes where it is no Unicode."""


def key_of(file: SurveyedFile) -> Key:
    """What a file of a source is told apart by."""
    return file.found.path, file.found.path_bytes


class Folder:
    """The photographs of one source: their files, in order, and the files of each digest, of which
    the first is the one that speaks for all. `new` are those that the archive did not have."""

    def __init__(self, files: Sequence[SurveyedFile], new: set[Key]) -> None:
        self.files = files
        self.new = new
        self.by_digest: dict[str, list[int]] = defaultdict(list)
        for number, file in enumerate(files):
            self.by_digest[file.facts.sha256].append(number)

    @property
    def has_new(self) -> bool:
        """Whether any file is new."""
        return any(key_of(file) in self.new for file in self.files)

    def is_new(self, sha256: str) -> bool:
        """Whether any file of a digest is new."""
        return any(key_of(self.files[n]) in self.new for n in self.by_digest.get(sha256, ()))

    def first(self, sha256: str) -> SurveyedFile:
        """The file that speaks for all of one digest."""
        return self.files[self.by_digest[sha256][0]]

    def described(self, sha256: str) -> Probe:
        """What the bytes say of themselves."""
        return self.first(sha256).described or Probe()

    def path(self, sha256: str) -> str:
        """Where a picture lies; one of the archive by its digest."""
        return self.first(sha256).found.path if sha256 in self.by_digest else f"sha256:{sha256}"

    def paths(self, sha256: str) -> list[str]:
        """All places where a picture lies."""
        if sha256 not in self.by_digest:
            return [self.path(sha256)]
        return [self.files[n].found.path for n in self.by_digest[sha256]]
