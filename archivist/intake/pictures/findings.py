"""What a survey found out about photographs: file by file, copies, groups, and what is doubtful.

These stand in the proposal beside its items. The items say what would be done; the findings say
why, and also speak of files that nothing is done about.
"""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Certainty, Value
from archivist.model.photographs import Region, View


class Relation(StrEnum):
    """What one file is to the best original of the same picture."""

    EXACT = "exact copy"
    METADATA = "same pixels"
    RECOMPRESSED = "recompressed"
    RESIZED = "resized"
    ROTATED = "rotated"
    CROPPED = "cropped"
    GREY = "grey"
    ALTERED = "altered"
    RAW_PAIR = "raw and picture"
    PREVIEW = "embedded preview"


class PictureFile(Value, frozen=True, kw_only=True):
    """One photograph file of a source and what is held of it.

    `path` is relative to the source `source` (a UUID), with forward slashes. `taken` is EDTF,
    empty where nothing says; `taken_ground` names the witness, `taken_others` what the other
    witnesses say where they disagree ('file name: 2009-03-01'). `view_ground` says why the view
    is what it is. `known` says that the archive had the file before. `width` and `height` are
    upright pixels, 0 where the file cannot be decoded.
    """

    path: str
    path_bytes: str = ""
    source: str
    sha256: str
    width: int = 0
    height: int = 0
    taken: str = ""
    taken_certainty: Certainty = Certainty.POSSIBLE
    taken_ground: str = ""
    taken_others: tuple[str, ...] = ()
    view: View = View.UNKNOWN
    view_certainty: Certainty = Certainty.POSSIBLE
    view_ground: str = ""
    camera: str = ""
    known: bool = False


class Copy(Value, frozen=True, kw_only=True):
    """A file that shows the same picture as the keeper, what it is to it, and why that is held.

    `relation` is the most telling of `relations`: a picture may be resized and grey at once.
    """

    path: str
    sha256: str
    relation: Relation
    relations: tuple[Relation, ...] = ()
    certainty: Certainty = Certainty.CERTAIN
    reasons: tuple[str, ...] = ()


class SamePicture(Value, frozen=True, kw_only=True):
    """Files of one picture: the best original, why it is the best, and the others."""

    source: str
    keeper: str
    sha256: str
    others: tuple[Copy, ...]
    because: tuple[str, ...] = ()


class Shows(Value, frozen=True, kw_only=True):
    """A region of a group photograph that seems to show one of its pieces."""

    path: str
    region: Region
    object: str = ""


class Group(Value, frozen=True, kw_only=True):
    """Photographs that seem to show one piece.

    `object` is the UUID of the record that they show and `name` its stock number or title, both
    empty where no record fits. `paths` are all files, copies among them. `several` marks a group
    photograph: `objects` then are the records that it shows, `regions` where each piece is.
    `key` is the same whenever the same group is proposed again.
    """

    key: str
    source: str
    paths: tuple[str, ...]
    object: str = ""
    name: str = ""
    certainty: Certainty = Certainty.POSSIBLE
    reasons: tuple[str, ...] = ()
    several: bool = False
    objects: tuple[str, ...] = ()
    regions: tuple[Shows, ...] = ()


class Doubt(Value, frozen=True, kw_only=True):
    """What was not decided, or only just: the files it is about and the reasons either way.

    `about` is 'duplicates', 'groups', 'views', 'taken' or 'files'.
    """

    about: str
    paths: tuple[str, ...]
    says: str
    reasons: tuple[str, ...] = ()


class Findings(Value, frozen=True, kw_only=True):
    """Everything found out about the photographs of one survey, sources in the order surveyed."""

    photographs: tuple[PictureFile, ...] = ()
    duplicates: tuple[SamePicture, ...] = ()
    groups: tuple[Group, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    def __add__(self, other: Findings) -> Findings:
        """Both together, as of two folders."""
        return Findings(
            photographs=self.photographs + other.photographs,
            duplicates=self.duplicates + other.duplicates,
            groups=self.groups + other.groups,
            doubts=self.doubts + other.doubts,
        )
