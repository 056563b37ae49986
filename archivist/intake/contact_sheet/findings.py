"""Findings with what people said in place of what rules found: times, views, copies and groups."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from archivist.intake.contact_sheet.testimony import SAID, Testimonies, Testimony
from archivist.intake.pictures.findings import (
    Copy,
    Findings,
    Group,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.model import Certainty, Depiction, least_sure


def findings_with(
    found: Findings, said: Testimonies, names: Mapping[str, str] | None = None
) -> Findings:
    """The findings with what people said; `names` are what records are called, by UUID.

    A photograph of which somebody spoke stands with the others of the piece that it shows, and
    where it is said to show none in no piece's group.
    """
    if not said:
        return found
    copies = {s: t.copy_of for s, t in said.items() if t.copy_of is not None}
    shown = {s: t.shows for s, t in said.items() if t.shows is not None}
    return msgspec.structs.replace(
        found,
        photographs=tuple(_told(file, said.get(file.sha256)) for file in found.photographs),
        duplicates=_copied(found, copies) if copies else found.duplicates,
        groups=_groups(found, shown, names or {}) if shown else found.groups,
    )


def _told(file: PictureFile, said: Testimony | None) -> PictureFile:
    """One file, with when it was taken and the view that a person confirmed."""
    if said is None:
        return file
    if said.taken is not None:
        file = msgspec.structs.replace(
            file,
            taken=said.taken.date.edtf,
            taken_certainty=said.taken.certainty,
            taken_ground=f"{SAID}: {said.taken.witness}",
            taken_others=(),
        )
    views = {depiction.view for depiction in said.shows or () if depiction.reviewed}
    if said.shows is None or len(views) != 1:
        return file
    return msgspec.structs.replace(
        file,
        view=views.pop(),
        view_certainty=least_sure(*(depiction.certainty for depiction in said.shows)),
        view_ground=SAID,
    )


def _groups(
    found: Findings, shown: Mapping[str, tuple[Depiction, ...]], names: Mapping[str, str]
) -> tuple[Group, ...]:
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


def _copied(found: Findings, copies: Mapping[str, str]) -> tuple[SamePicture, ...]:
    """The pictures and their copies: what somebody said of one moves it with all its copies."""
    above = _above(found, copies)
    places, sources = _places(found)
    before = {(c.path, c.sha256): (s.sha256, c) for s in found.duplicates for c in s.others}
    led = {s.sha256: s for s in found.duplicates}
    families: dict[str, list[str]] = {}
    for sha256 in dict.fromkeys((*led, *above)):
        families.setdefault(_top(sha256, above), []).append(sha256)
    told = []
    for top, members in families.items():
        keeper = led[top].keeper if top in led else places.get(top, [f"sha256:{top}"])[0]
        others = []
        for sha256 in dict.fromkeys((top, *members)):
            for path in places.get(sha256, [f"sha256:{sha256}"]):
                held, copy = before.get((path, sha256), ("", None))
                if sha256 == top and path == keeper:
                    continue
                if copy is None or held != top or sha256 in copies:
                    copy = _said(path, sha256, top)
                others.append(copy)
        if others:
            first = next((s for s in (top, *members) if s in sources), "")
            told.append(
                SamePicture(
                    source=sources.get(first, ""),
                    keeper=keeper,
                    sha256=top,
                    others=tuple(others),
                    because=led[top].because if top in led else (SAID,),
                )
            )
    return tuple(sorted(told, key=lambda same: same.keeper))


def _above(found: Findings, copies: Mapping[str, str]) -> dict[str, str]:
    """Of what each picture is a copy: what people said, else what was found.

    Where somebody says that the best of several is a copy of another of them, that one is the best.
    """
    above = {c.sha256: s.sha256 for s in found.duplicates for c in s.others if c.sha256 != s.sha256}
    for sha256 in copies:
        above.pop(sha256, None)
    for sha256, keeper in copies.items():
        if keeper and keeper not in copies and above.get(keeper) == sha256:
            del above[keeper]
        if keeper and _top(keeper, above) != sha256:
            above[sha256] = keeper
    return above


def _top(sha256: str, above: Mapping[str, str]) -> str:
    while sha256 in above:
        sha256 = above[sha256]
    return sha256


def _places(found: Findings) -> tuple[dict[str, list[str]], dict[str, str]]:
    """The paths of each picture, and the source of the first."""
    places: dict[str, list[str]] = {}
    sources: dict[str, str] = {}
    for file in found.photographs:
        places.setdefault(file.sha256, []).append(file.path)
        sources.setdefault(file.sha256, file.source)
    for same in found.duplicates:
        places.setdefault(same.sha256, [same.keeper])
        sources.setdefault(same.sha256, same.source)
        for copy in same.others:
            if copy.path not in places.setdefault(copy.sha256, []):
                places[copy.sha256].append(copy.path)
    return places, sources


def _said(path: str, sha256: str, top: str) -> Copy:
    """A file that is a copy by a person's word, or of the very bytes of the original."""
    relation = Relation.EXACT if sha256 == top else Relation.ALTERED
    return Copy(path=path, sha256=sha256, relation=relation, relations=(relation,), reasons=(SAID,))
