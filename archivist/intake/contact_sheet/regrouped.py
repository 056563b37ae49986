"""Views and groups that a survey found, put right by what people said that photographs show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from archivist.intake.contact_sheet.corrected import SAID
from archivist.intake.contact_sheet.reviewing import is_spoken_of
from archivist.intake.evidence import least_sure
from archivist.intake.pictures.findings import Findings, Group, PictureFile
from archivist.model import Certainty, Depiction, Photograph

Shown = Mapping[str, tuple[Depiction, ...]]
"""What a person says that pictures (by digest) show, without what they say is not shown."""


def said_of_photographs(photographs: Iterable[Photograph]) -> dict[str, tuple[Depiction, ...]]:
    """What people say that photographs show, by digest; those of whom nobody spoke left out."""
    return {
        photograph.sha256: tuple(
            d for d in photograph.depictions if d.certainty is not Certainty.REJECTED
        )
        for photograph in photographs
        if is_spoken_of(photograph)
    }


def regrouped(found: Findings, shown: Shown, names: Mapping[str, str]) -> Findings:
    """The findings with what people said; `names` are what records are called, by UUID.

    A photograph that was reviewed stands with the others of the piece that it shows, and where it
    is said to show none in no piece's group.
    """
    if not shown:
        return found
    return msgspec.structs.replace(
        found,
        photographs=tuple(_viewed(file, shown.get(file.sha256)) for file in found.photographs),
        groups=_groups(found, shown, names),
    )


def _viewed(file: PictureFile, said: tuple[Depiction, ...] | None) -> PictureFile:
    views = {depiction.view for depiction in said or () if depiction.reviewed}
    if said is None or len(views) != 1:
        return file
    return msgspec.structs.replace(
        file,
        view=views.pop(),
        view_certainty=least_sure(*(depiction.certainty for depiction in said)),
        view_ground=SAID,
    )


def _groups(found: Findings, shown: Shown, names: Mapping[str, str]) -> tuple[Group, ...]:
    said = {
        (file.source, file.path): tuple(sorted(d.object for d in shown[file.sha256]))
        for file in found.photographs
        if file.sha256 in shown
    }
    groups: list[Group] = []
    home: dict[tuple[str, ...], int] = {}
    for group in found.groups:
        objects = tuple(sorted(group.objects or ((group.object,) if group.object else ())))
        stay = tuple(p for p in group.paths if said.get((group.source, p), objects) == objects)
        if stay:
            if objects:
                home.setdefault(objects, len(groups))
            groups.append(msgspec.structs.replace(group, paths=stay))
    for (source, path), objects in said.items():
        if not objects or any(path in g.paths and g.source == source for g in groups):
            continue
        if objects not in home:
            home[objects] = len(groups)
            groups.append(_new(source, objects, names))
        number = home[objects]
        paths = (*groups[number].paths, path)
        groups[number] = msgspec.structs.replace(groups[number], paths=paths)
    return tuple(groups)


def _new(source: str, objects: tuple[str, ...], names: Mapping[str, str]) -> Group:
    """A group of pieces of which the survey had found no photograph."""
    several = len(objects) > 1
    return Group(
        key="said " + " ".join(objects),
        source=source,
        paths=(),
        object="" if several else objects[0],
        name=", ".join(names.get(object_id, object_id) for object_id in objects),
        certainty=Certainty.CERTAIN,
        reasons=(SAID,),
        several=several,
        objects=objects if several else (),
    )
