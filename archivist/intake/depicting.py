"""What the files of one picture say it shows: pieces and views, each with how sure and why."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import msgspec

from archivist.intake.pictures.studied import PictureStudy
from archivist.intake.shown import NameReader, SurveyedFile, least_sure
from archivist.model import Certainty, Depiction, Source, View


@dataclass(frozen=True)
class Depicted:
    """What a picture shows, how sure that is and why.

    `open` are records of which one is meant, and the words do not say which, with the file.
    """

    depictions: tuple[Depiction, ...]
    certainty: Certainty
    reasons: tuple[str, ...]
    open: tuple[tuple[tuple[str, ...], SurveyedFile], ...] = ()


def depicted(
    files: Sequence[SurveyedFile], names: NameReader, study: PictureStudy | None, source: str
) -> Depicted:
    """What the files of one picture say it shows, each piece once, the surest word first; else
    what others of its group show."""
    by_object: dict[str, Depiction] = {}
    reasons: list[str] = []
    certainty = Certainty.CERTAIN
    undecided: list[tuple[tuple[str, ...], SurveyedFile]] = []
    claims: set[tuple[str, ...]] = set()
    for file in files:
        shown, seen = names.shown(file), names.seen(file)
        if shown.open:
            undecided.append((shown.open, file))
        claims |= {shown.objects} if shown.objects else set()
        view = View.GROUP if shown.group else seen.view if seen else View.UNKNOWN
        sure = least_sure(shown.certainty, seen.certainty if seen else Certainty.CERTAIN)
        for object_id in shown.objects:
            depiction = Depiction(
                object=object_id,
                view=view,
                certainty=sure,
                as_stated=file.found.path,
                source=Source(source=source, place=file.found.path),
            )
            old = by_object.get(object_id)
            if old is None or (old.view is View.UNKNOWN and view is not View.UNKNOWN):
                by_object[object_id] = depiction
            certainty = least_sure(certainty, sure)
        reasons.extend(r for r in (shown.because, f"view: '{seen.word}'" if seen else "") if r)
    if any(not set(one) & set(other) for one, other in itertools.combinations(claims, 2)):
        certainty = Certainty.POSSIBLE
        reasons.insert(0, "its files name different pieces")
        by_object = {
            object_id: msgspec.structs.replace(depiction, certainty=certainty)
            for object_id, depiction in by_object.items()
        }
    if not by_object and not undecided and study is not None and study.objects:
        certainty = least_sure(study.certainty, Certainty.PROBABLE)
        reasons.append(study.because)
        by_object = _by_group(files[0], study, certainty, source)
    if not by_object:
        certainty = Certainty.POSSIBLE
        if not undecided:
            reasons.append("no stock number of a record in its names or captions")
    unique = tuple(dict.fromkeys(reasons))
    return Depicted(tuple(by_object.values()), certainty, unique, tuple(undecided))


def _by_group(
    file: SurveyedFile, study: PictureStudy, certainty: Certainty, source: str
) -> dict[str, Depiction]:
    """What a picture shows by others of its group, as its own names say nothing."""
    several = len(study.objects) > 1
    view = View.GROUP if several else study.seen.view if study.seen else View.UNKNOWN
    return {
        object_id: Depiction(
            object=object_id,
            view=view,
            certainty=certainty,
            source=Source(source=source, place=file.found.path),
        )
        for object_id in study.objects
    }
