"""What a survey found out about photographs; of old proposals, as much as their items tell."""

from __future__ import annotations

from collections.abc import Iterable

from archivist.intake.pictures.findings import (
    Copy,
    Findings,
    Group,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.intake.proposal import AddPhotograph, KeepFile, Proposal
from archivist.model import Certainty, View, least_sure


def findings_of(proposal: Proposal) -> Findings:
    """What the survey found out about photographs, or as much of it as the items tell."""
    if proposal.found.photographs:
        return proposal.found
    added = {i.photograph.sha256: i for i in proposal.items if isinstance(i, AddPhotograph)}
    files: dict[str, list[KeepFile]] = {}
    for item in proposal.items:
        if isinstance(item, KeepFile) and item.file.sha256 in added:
            files.setdefault(item.file.sha256, []).append(item)
    pictures = tuple(
        _picture(added[sha256], kept) for sha256, keeps in files.items() for kept in keeps
    )
    same = tuple(
        SamePicture(
            source=keeps[0].source,
            keeper=keeps[0].file.path,
            sha256=sha256,
            others=tuple(
                Copy(path=kept.file.path, sha256=sha256, relation=Relation.EXACT)
                for kept in keeps[1:]
            ),
        )
        for sha256, keeps in files.items()
        if len(keeps) > 1
    )
    return Findings(
        photographs=pictures, duplicates=same, groups=_derived_groups(added.values(), files)
    )


def _picture(item: AddPhotograph, kept: KeepFile) -> PictureFile:
    photograph = item.photograph
    taken = next((t for t in photograph.taken if t.preferred), None) or next(
        iter(photograph.taken), None
    )
    views = {d.view for d in photograph.depictions if d.certainty is not Certainty.REJECTED}
    view = views.pop() if len(views) == 1 else View.UNKNOWN
    return PictureFile(
        path=kept.file.path,
        path_bytes=kept.file.path_bytes,
        source=kept.source,
        sha256=photograph.sha256,
        width=photograph.width,
        height=photograph.height,
        taken=taken.date.edtf if taken else "",
        taken_certainty=taken.certainty if taken else Certainty.POSSIBLE,
        taken_ground=taken.witness if taken else "",
        view=view,
        view_certainty=item.certainty if view is not View.UNKNOWN else Certainty.POSSIBLE,
        view_ground=next((r for r in item.reasons if r.startswith("view: ")), ""),
    )


def _derived_groups(
    added: Iterable[AddPhotograph], files: dict[str, list[KeepFile]]
) -> tuple[Group, ...]:
    """A group for each record that photographs show, and one for each group photograph."""
    groups: dict[tuple[str, ...], list[AddPhotograph]] = {}
    for item in added:
        shown = item.photograph.depictions
        objects = tuple(d.object for d in shown if d.certainty is not Certainty.REJECTED)
        if objects:
            groups.setdefault(objects, []).append(item)
    return tuple(
        Group(
            key="\n".join(objects),
            source=items[0].source,
            paths=tuple(k.file.path for i in items for k in files.get(i.photograph.sha256, ())),
            object=objects[0] if len(objects) == 1 else "",
            certainty=least_sure(*(item.certainty for item in items)),
            reasons=tuple(dict.fromkeys(r for i in items for r in i.reasons))[:4],
            several=len(objects) > 1,
            objects=objects if len(objects) > 1 else (),
        )
        for objects, items in groups.items()
    )
