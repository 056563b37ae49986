"""Why photographs are held to show a piece, and what was not held: all evidence, weighed again.

A rule's evidence is worked out anew from the names and words that are kept; a person's stands in
the record of the photograph.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path, PurePosixPath

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import Occurrence, occurrences
from archivist.catalogue.sources import sources
from archivist.hooks import FoundFile
from archivist.imaging.words import is_keyword
from archivist.intake.contact_sheet.reviewing import is_said
from archivist.intake.depicting import agree
from archivist.intake.evidence import Ground
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.gathered import moment_of
from archivist.intake.pictures.sequences import Shot
from archivist.intake.proposal import FileFacts
from archivist.intake.rules.names import NameReader, PieceEvidence, Pieces
from archivist.intake.weighing import told_lost, weigh
from archivist.model import Certainty, Depiction, ObjectRecord, Photograph, Value
from archivist.reading.tables import Tables


class Why(Value, frozen=True, kw_only=True):
    """Of one file of a photograph: whether that is held to show the piece, how surely, for which
    reasons, and what was not held and why."""

    path: str
    sha256: str
    shown: bool
    certainty: Certainty
    held: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()


def why_shown(archive: Archive, record: ObjectRecord, tables: Tables) -> list[Why]:
    """Why photographs show `record`, and which others have evidence that they do, which lost."""
    catalogue = archive.catalogue
    photographs = {p.sha256: p for p in catalogue.all(Photograph) if not p.withdrawn}
    records = list(catalogue.all(ObjectRecord))
    roots = {source.id: Path(source.location).name for source in sources(catalogue)}
    by_source: dict[str, list[Occurrence]] = {}
    for place in occurrences(catalogue):
        if place.sha256 in photographs:
            by_source.setdefault(place.source, []).append(place)
    found: list[Why] = []
    for source, places in by_source.items():
        names = NameReader(records, roots.get(source, ""), tables)
        files = [_file(place, photographs[place.sha256]) for place in places]
        names.gather(files, [_shot(file, photographs[file.facts.sha256]) for file in files])
        for file in files:
            why = _why(file, photographs[file.facts.sha256], record, names)
            found.extend([why] if why is not None else [])
    return found


def _why(
    file: SurveyedFile, photograph: Photograph, record: ObjectRecord, names: NameReader
) -> Why | None:
    """What speaks for and against one file; None where nothing speaks of the piece."""
    said = [d for d in photograph.depictions if d.object == record.id]
    evidence = [*_of_persons(photograph), *_not_refused(names.pieces(file), photograph)]
    if not said and not any(record.id in (*e.value.objects, *e.value.open) for e in evidence):
        return None
    held = weigh(evidence, agree)
    shown = [d for d in said if d.certainty is not Certainty.REJECTED]
    speaks = held.best is not None and record.id in held.best.value.objects
    reasons = held.reasons if speaks else ()
    if shown and not reasons:
        reasons = (shown[0].ground or "with others of its group, or as it was taken in",)
    lost = [*held.lost, *([held.best] if held.best is not None and not speaks else [])]
    return Why(
        path=file.found.path,
        sha256=photograph.sha256,
        shown=bool(shown),
        certainty=shown[0].certainty if shown else held.certainty,
        held=reasons,
        lost=told_lost(lost),
    )


def _of_persons(photograph: Photograph) -> Iterable[PieceEvidence]:
    """What persons said that a photograph shows."""
    for depiction in photograph.depictions:
        if is_said(depiction) and depiction.certainty is not Certainty.REJECTED:
            yield PieceEvidence(
                subject=photograph.sha256,
                field="piece",
                value=Pieces((depiction.object,)),
                ground=Ground.EDIT,
                rule="a person",
                source=_place(depiction),
                certainty=depiction.certainty,
                reasons=(f"a person says so ({_place(depiction) or 'reviewed'})",),
            )


def _not_refused(
    evidence: Sequence[PieceEvidence], photograph: Photograph
) -> Iterable[PieceEvidence]:
    """Evidence of rules; refused where a person says that the piece is not to be seen."""
    rejected = {
        d.object for d in photograph.depictions if is_said(d) and d.certainty is Certainty.REJECTED
    }
    for one in evidence:
        gone = one.value.objects and set(one.value.objects) <= rejected
        yield one.refused("for a person says that it does not show it") if gone else one


def _place(depiction: Depiction) -> str:
    return depiction.source.place if depiction.source is not None else ""


def _file(place: Occurrence, photograph: Photograph) -> SurveyedFile:
    """A file of the archive as it was found, with the words that were kept of it."""
    facts = FileFacts(path=place.path, path_bytes=place.path_bytes, sha256=place.sha256, size=0)
    found = FoundFile(path=place.path, path_bytes=place.path_bytes)
    captions = [c for c in photograph.captions if not is_keyword(c)]
    return SurveyedFile(
        found=found,
        facts=facts,
        path=Path(place.path),
        captions=tuple(c.words for c in captions),
        keywords=tuple(c.words for c in photograph.captions if is_keyword(c)),
    )


def _shot(file: SurveyedFile, photograph: Photograph) -> Shot:
    """A file in the row that its camera took; which camera, the archive does not keep."""
    moment = moment_of(photograph.taken)
    return Shot(PurePosixPath(file.found.path).stem, moment, "", None)
