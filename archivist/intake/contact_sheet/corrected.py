"""What a survey found out about photographs, put right by what people said of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from archivist.intake.pictures.findings import (
    Copy,
    Findings,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.intake.proposal import AnyItem, ReviewPhotograph, TellPhotograph
from archivist.model import TakenAt

Copies = Mapping[str, str]
"""Of what a picture (by digest) is a copy, by a person's word; '' of none."""

Times = Mapping[str, TakenAt]
"""When a picture (by digest) was taken, by a person's word."""

SAID = "as its owner says"


def said_of_copies(items: Iterable[AnyItem], digests: Mapping[str, str]) -> dict[str, str]:
    """What `items` say of copies; `digests` are those of photographs by their UUID."""
    return {
        digests[item.photograph]: item.copy_of
        for item in items
        if isinstance(item, ReviewPhotograph)
        and item.copy_of is not None
        and item.photograph in digests
    }


def said_of_times(items: Iterable[AnyItem], digests: Mapping[str, str]) -> dict[str, TakenAt]:
    """What `items` say of times; `digests` are those of photographs by their UUID."""
    return {
        digests[item.photograph]: item.taken
        for item in items
        if isinstance(item, ReviewPhotograph)
        and item.taken is not None
        and item.photograph in digests
    }


def without_guesses(
    items: Iterable[AnyItem], copies: Copies, digests: Mapping[str, str]
) -> list[AnyItem]:
    """The items without guesses of what is a copy of what, where a person has spoken of it."""
    kept: list[AnyItem] = []
    for item in items:
        if isinstance(item, TellPhotograph) and digests.get(item.photograph, "") in copies:
            item = msgspec.structs.replace(item, derived_from="")
            if not item.taken and not item.captions:
                continue
        kept.append(item)
    return kept


def corrected(found: Findings, copies: Copies, times: Times) -> Findings:
    """The findings with what people said in place of guesses."""
    if not copies and not times:
        return found
    return msgspec.structs.replace(
        found,
        photographs=tuple(_timed(file, times.get(file.sha256)) for file in found.photographs),
        duplicates=_copied(found, copies) if copies else found.duplicates,
    )


def _timed(file: PictureFile, taken: TakenAt | None) -> PictureFile:
    if taken is None:
        return file
    return msgspec.structs.replace(
        file,
        taken=taken.date.edtf,
        taken_certainty=taken.certainty,
        taken_ground=f"{SAID}: {taken.witness}",
        taken_others=(),
    )


def _copied(found: Findings, copies: Copies) -> tuple[SamePicture, ...]:
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


def _above(found: Findings, copies: Copies) -> dict[str, str]:
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
