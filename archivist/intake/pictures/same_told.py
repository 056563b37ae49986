"""Files of one picture as findings: the best original, the copies, and a camera's raw files.

A raw file is the original of whatever was made of it, however small the preview within it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from archivist.intake.pictures.findings import Copy, Relation, SamePicture
from archivist.intake.pictures.keeping import Cluster, Same
from archivist.intake.pictures.studied import Folder, PictureStudy

_AGAIN = "one of several files of these bytes"
_PAIR = "the camera's picture of the raw file of the same name"
_PREVIEW = "the preview in the raw file is the same picture"


@dataclass
class _Same:
    """Files of one picture: the digest of the best, why it is, and the others."""

    keeper: str
    because: tuple[str, ...]
    copies: list[Copy] = field(default_factory=list)

    @property
    def digests(self) -> list[str]:
        return [copy.sha256 for copy in self.copies]


def told_as_same(
    folder: Folder,
    source: str,
    clusters: Sequence[Cluster],
    digests: Sequence[str],
    raw_pairs: Sequence[tuple[str, str]],
    pictures: Mapping[str, PictureStudy],
) -> list[SamePicture]:
    """Clusters, exact copies and raw pairs as files; those with nothing new left out.

    `raw_pairs` are raw files (by digest), each with the picture that the camera wrote beside it.
    What `pictures` say of being derived is put right where a raw file is the original.
    """
    found: dict[str, _Same] = {}
    pairs = dict(raw_pairs)
    for cluster in clusters:
        keeper = digests[cluster.keeper]
        same = _Same(keeper, cluster.because)
        for other in cluster.others:
            sha256 = digests[other.picture]
            same.copies += _copies(folder, sha256, other)
        raw = next((s for s in (keeper, *same.digests) if _is_raw(folder, s)), "")
        if raw and raw != keeper:
            paired = _paired(folder, keeper, _PAIR if pairs.get(raw) == keeper else _PREVIEW)
            rest = [copy for copy in same.copies if copy.sha256 != raw]
            same = _Same(raw, ("the raw file",), [*paired, *rest])
        found[same.keeper] = same
    inside = {sha256 for same in found.values() for sha256 in same.digests}
    for sha256 in folder.by_digest:
        exact = [
            Copy(
                path=path,
                sha256=sha256,
                relation=Relation.EXACT,
                relations=(Relation.EXACT,),
                reasons=("the same bytes",),
            )
            for path in folder.paths(sha256)[1:]
        ]
        if exact and sha256 not in inside:
            found.setdefault(sha256, _Same(sha256, ("the plainest of the names",)))
            found[sha256].copies[:0] = exact
    for raw, picture in raw_pairs:
        if picture in inside and raw not in found:
            continue
        same = found.setdefault(raw, _Same(raw, ("the raw file",)))
        below = found.pop(picture, _Same(picture, ()))
        rest = [c for c in (*same.copies, *below.copies) if c.sha256 not in (raw, picture)]
        same.copies = [*_paired(folder, picture, _PAIR), *rest]
    for same in found.values():
        if _is_raw(folder, same.keeper):
            _derive(same, pictures)
    told = [
        SamePicture(
            source=source,
            keeper=folder.path(same.keeper),
            sha256=same.keeper,
            others=tuple(same.copies),
            because=same.because,
        )
        for same in found.values()
        if any(folder.is_new(sha256) for sha256 in (same.keeper, *same.digests))
    ]
    return sorted(told, key=lambda same: same.keeper)


def _copies(folder: Folder, sha256: str, other: Same) -> list[Copy]:
    """Every file of a picture that is the keeper changed."""
    return [
        Copy(
            path=path,
            sha256=sha256,
            relation=other.relations[0],
            relations=other.relations,
            certainty=other.certainty,
            reasons=(*other.reasons, _AGAIN) if number else other.reasons,
        )
        for number, path in enumerate(folder.paths(sha256))
    ]


def _paired(folder: Folder, sha256: str, reason: str) -> list[Copy]:
    """Every file of the picture that belongs to a raw file."""
    return [
        Copy(
            path=path,
            sha256=sha256,
            relation=Relation.RAW_PAIR,
            relations=(Relation.RAW_PAIR,),
            reasons=(reason,),
        )
        for path in folder.paths(sha256)
    ]


def _is_raw(folder: Folder, sha256: str) -> bool:
    if sha256 not in folder.by_digest:
        return False
    return folder.described(sha256).format.startswith("RAW")


def _derive(same: _Same, pictures: Mapping[str, PictureStudy]) -> None:
    """Says of each picture that it comes from the raw file, and of that that it comes from none."""
    if same.keeper in pictures:
        pictures[same.keeper].derived_from = ""
    for copy in same.copies:
        study = pictures.get(copy.sha256)
        if study is not None and copy.sha256 != same.keeper:
            study.derived_from = same.keeper
            study.derived_because = f"{copy.relation.value}; {'; '.join(copy.reasons)}"
