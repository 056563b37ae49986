"""XMP files beside pictures, joined with the pictures they speak of.

'IMG_1.JPG.xmp' is of 'IMG_1.JPG'; 'IMG_1.xmp' of every picture in its folder with that stem, as of
a raw file and the JPEG that the camera wrote with it. They stay files of their own as well.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import PurePosixPath

import msgspec

from archivist.imaging.probe import Probe
from archivist.imaging.sidecar import MEDIA_TYPE, SUFFIX, Sidecar, read_sidecar
from archivist.intake.files import SurveyedFile
from archivist.model import Caption


def with_sidecars(
    files: Sequence[SurveyedFile], note: Callable[[str, str], None]
) -> list[SurveyedFile]:
    """The files in order, each picture with what its sidecars say; all files of one digest alike.

    `note` is told a path and what is odd about the sidecar there.
    """
    if not any(_is_sidecar(file) for file in files):
        return list(files)
    by_name: dict[str, list[SurveyedFile]] = defaultdict(list)
    for file in files:
        if file.described is not None and file.described.media_type.startswith("image/"):
            path = file.found.path.casefold()
            by_name[path].append(file)
            by_name[str(PurePosixPath(path).with_suffix(""))].append(file)
    said: dict[str, list[Sidecar]] = defaultdict(list)
    for file in files:
        if not _is_sidecar(file):
            continue
        of = by_name.get(file.found.path.casefold().removesuffix(SUFFIX), [])
        if not of:
            note(file.found.path, "no picture of its name lies beside it")
            continue
        try:
            sidecar = read_sidecar(file.path)
        except OSError as problem:
            note(file.found.path, f"it cannot be read: {problem.strerror or problem}")
            continue
        for remark in sidecar.remarks:
            note(file.found.path, remark)
        for sha256 in dict.fromkeys(picture.facts.sha256 for picture in of):
            said[sha256].append(sidecar)
    return [_joined(file, said.get(file.facts.sha256, [])) for file in files]


def _is_sidecar(file: SurveyedFile) -> bool:
    return PurePosixPath(file.found.path).suffix.lower() == SUFFIX


def _joined(file: SurveyedFile, sidecars: Sequence[Sidecar]) -> SurveyedFile:
    if _is_sidecar(file) and file.described is not None and not file.described.media_type:
        described = msgspec.structs.replace(file.described, media_type=MEDIA_TYPE, undecodable="")
        return replace(file, described=described)
    if not sidecars:
        return file
    described = file.described or Probe()
    captions: dict[str, Caption] = {}
    for caption in (*described.captions, *(c for s in sidecars for c in s.captions)):
        captions.setdefault(caption.words, caption)
    taken = (*described.taken, *(t for s in sidecars for t in s.taken))
    photographer = next((s.photographer for s in sidecars if s.photographer), "")
    return replace(
        file,
        described=msgspec.structs.replace(
            described,
            taken=tuple(dict.fromkeys(taken)),
            captions=tuple(captions.values()),
            photographer=described.photographer or photographer,
        ),
    )
