"""Files and photographs as items of a proposal."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import msgspec

from archivist.imaging.probe import Probe
from archivist.imaging.taken import SIDECAR
from archivist.intake.depicting import Depicted
from archivist.intake.drafts import lasting_id
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.studied import PictureStudy
from archivist.intake.proposal import AddPhotograph, KeepFile, LinkPhotograph, TellPhotograph
from archivist.model import Caption, Certainty, Photograph


def file_kept(
    file: SurveyedFile, described: Probe | None, source: str, copy_of: SurveyedFile | None
) -> KeepFile:
    """What keeps a file, or tells one more place of it."""
    facts = file.facts
    if described is not None:
        facts = msgspec.structs.replace(
            facts,
            media_type=described.media_type or facts.media_type,
            extension=facts.extension or described.extension,
        )
    return KeepFile(
        accept=True,
        key=f"{facts.path}\n{facts.sha256}",
        source=source,
        reasons=(f"the same bytes as {copy_of.found.path}",) if copy_of else (),
        file=facts,
    )


def photograph_of(described: Probe, file: SurveyedFile, archive_id: str) -> Photograph:
    """The photograph that a file is."""
    return Photograph(
        id=lasting_id(archive_id, "photograph", file.facts.sha256),
        sha256=file.facts.sha256,
        extension=file.facts.extension or described.extension,
        media_type=described.media_type,
        width=described.width,
        height=described.height,
        orientation=described.orientation,
        pages=described.pages,
        taken=described.taken,
        captions=described.captions,
        photographer=described.photographer,
        undecodable=described.undecodable,
    )


def photograph_added(
    photograph: Photograph,
    files: Sequence[SurveyedFile],
    shown: Depicted,
    study: PictureStudy,
    source: str,
    reason: str = "",
) -> AddPhotograph:
    """What adds a photograph, with all that the names of its files say it shows besides."""
    objects = {depiction.object for depiction in photograph.depictions}
    new = tuple(d for d in shown.depictions if d.object not in objects)
    reasons = (reason, *shown.reasons, study.derived_because if study.derived_from else "")
    return AddPhotograph(
        accept=True,
        key=photograph.sha256,
        source=source,
        certainty=shown.certainty,
        reasons=tuple(r for r in reasons if r),
        path=files[0].found.path,
        photograph=msgspec.structs.replace(
            photograph,
            captions=(*photograph.captions, *_captions_beside(files, photograph)),
            depictions=(*photograph.depictions, *new),
            taken=study.told.taken or photograph.taken,
            derived_from=photograph.derived_from or study.derived_from,
        ),
    )


def photograph_linked(
    photograph: Photograph, files: Sequence[SurveyedFile], shown: Depicted, source: str
) -> LinkPhotograph | None:
    """The pieces that a photograph of the archive was not known to show, None where there are
    none."""
    objects = {depiction.object for depiction in photograph.depictions}
    new = tuple(d for d in shown.depictions if d.object not in objects)
    if not new:
        return None
    named = ",".join(sorted(d.object for d in new))
    return LinkPhotograph(
        accept=True,
        key=f"{photograph.sha256}\n{named}",
        source=source,
        certainty=shown.certainty,
        reasons=shown.reasons,
        path=files[0].found.path,
        photograph=photograph.id,
        depictions=new,
    )


def photograph_told(
    photograph: Photograph, files: Sequence[SurveyedFile], study: PictureStudy, source: str
) -> TellPhotograph | None:
    """What is known now of a photograph of the archive: that it is a copy of another, and words and
    times that came to lie beside it. None where nothing is new."""
    derived = "" if photograph.derived_from else study.derived_from
    described = files[0].described or Probe()
    words = {caption.words for caption in photograph.captions}
    beside = [c for c in described.captions if c.where.startswith(SIDECAR)]
    captions = tuple(c for c in beside if c.words not in words)
    captions += _captions_beside(files, photograph)
    witnessed = {(t.witness, t.as_stated) for t in photograph.taken}
    times = (t for t in described.taken if t.witness.startswith(SIDECAR))
    taken = tuple(t for t in times if (t.witness, t.as_stated) not in witnessed)
    said = [c.words for c in captions] + [t.as_stated for t in taken]
    if not derived and not said:
        return None
    reasons = (derived and study.derived_because, "words came to lie beside it" if said else "")
    digest = hashlib.sha256("\n".join(said).encode("utf-8")).hexdigest()
    return TellPhotograph(
        accept=True,
        key=f"{photograph.sha256}\n{derived}" + (f"\n{digest}" if said else ""),
        source=source,
        certainty=Certainty.PROBABLE if derived else Certainty.CERTAIN,
        reasons=tuple(r for r in reasons if r),
        path=files[0].found.path,
        photograph=photograph.id,
        derived_from=derived,
        taken=taken,
        captions=captions,
    )


def _captions_beside(files: Sequence[SurveyedFile], photograph: Photograph) -> tuple[Caption, ...]:
    """The words of text files beside a picture that are not known of it yet."""
    known = {caption.words for caption in photograph.captions}
    words = dict.fromkeys(words for file in files for words in file.found.captions)
    return tuple(Caption(words=w, where="text file beside it") for w in words if w not in known)
