"""What the files of one picture say it shows: pieces and views, each with how sure and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec

from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.studied import PictureStudy
from archivist.intake.rules.names import NameReader, PieceEvidence, Pieces
from archivist.intake.views import Seen
from archivist.intake.weighing import Held, told_lost, weigh
from archivist.model import Certainty, Depiction, Source, View, least_sure


@dataclass(frozen=True)
class Depicted:
    """What a picture shows, how sure that is and why.

    `open` are records of which one is meant, and the words do not say which, with the file.
    """

    depictions: tuple[Depiction, ...]
    certainty: Certainty
    reasons: tuple[str, ...]
    open: tuple[tuple[tuple[str, ...], SurveyedFile], ...] = ()


def piece_shown(file: SurveyedFile, names: NameReader) -> Held[Pieces]:
    """Which records the names, keywords and captions of one file come to."""
    return weigh(names.pieces(file), agree)


def view_shown(file: SurveyedFile, names: NameReader) -> Seen | None:
    """Which view the names, keywords and captions of one file come to."""
    held = weigh(names.views(file), lambda one, other: one.view is other.view)
    return held.best.value if held.best is not None else None


def agree(one: Pieces, other: Pieces) -> bool:
    """Whether two values name a record in common, or one leaves it open."""
    return bool(set(one.objects or one.open) & set(other.objects or other.open))


def depicted(
    files: Sequence[SurveyedFile], names: NameReader, study: PictureStudy | None, source: str
) -> Depicted:
    """What the files of one picture say it shows, each piece once, the surest word first; else
    what others of its group show."""
    held = [(file, piece_shown(file, names)) for file in files]
    best = weigh([h.best for _, h in held if h.best is not None], agree)
    rivals = _rivals(best)
    by_object: dict[str, Depiction] = {}
    reasons: list[str] = ["its files name different pieces"] if rivals else []
    certainties: list[Certainty] = [Certainty.POSSIBLE] if rivals else []
    undecided: list[tuple[tuple[str, ...], SurveyedFile]] = []
    for file, shown in held:
        if shown.best is None or (shown.best not in rivals and shown.best in best.lost):
            continue
        value, seen = shown.best.value, view_shown(file, names)
        if value.open:
            undecided.append((value.open, file))
        sure = least_sure(shown.certainty, seen.certainty if seen else Certainty.CERTAIN)
        view = View.GROUP if value.group else seen.view if seen else View.UNKNOWN
        for object_id in value.objects:
            old = by_object.get(object_id)
            if old is None or (old.view is View.UNKNOWN and view is not View.UNKNOWN):
                by_object[object_id] = _depiction(object_id, view, sure, file, source)
            certainties.append(sure)
        reasons.extend(shown.reasons)
    seen_first = (view_shown(file, names) for file in files)
    reasons.extend(f"view: '{seen.word}'" for seen in seen_first if seen)
    if rivals:
        by_object = {
            object_id: msgspec.structs.replace(depiction, certainty=Certainty.POSSIBLE)
            for object_id, depiction in by_object.items()
        }
    certainty = least_sure(Certainty.CERTAIN, *certainties)
    if not by_object and not undecided and study is not None and study.objects:
        certainty = least_sure(study.certainty, Certainty.PROBABLE)
        reasons.append(study.because)
        by_object = _by_group(files[0], study, certainty, source)
    if not by_object:
        certainty = Certainty.POSSIBLE
        if not undecided:
            reasons.append("no stock number of a record in its names or captions")
    lost = [e for _, h in held for e in h.lost] + [e for e in best.lost if e not in rivals]
    unique = tuple(dict.fromkeys((*reasons, *told_lost(lost))))
    return Depicted(tuple(by_object.values()), certainty, unique, tuple(undecided))


def _rivals(best: Held[Pieces]) -> list[PieceEvidence]:
    """Evidence of other files that names another piece, as exact as the best and as strong."""
    if best.best is None:
        return []
    return [
        e
        for e in best.lost
        if (e.exact, e.ground) == (best.best.exact, best.best.ground) and e.value.objects
    ]


def _depiction(
    object_id: str, view: View, sure: Certainty, file: SurveyedFile, source: str
) -> Depiction:
    return Depiction(
        object=object_id,
        view=view,
        certainty=sure,
        as_stated=file.found.path,
        source=Source(source=source, place=file.found.path),
    )


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
