"""What was found out about the photographs of a folder, as findings a person can read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from archivist.imaging.probe import Probe
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.duplicates import Nearly
from archivist.intake.pictures.findings import (
    Doubt,
    Findings,
    Group,
    PictureFile,
    Shows,
)
from archivist.intake.pictures.grouping import Grouped, Thin
from archivist.intake.pictures.keeping import Cluster
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.pixels import unpacked
from archivist.intake.pictures.regions import pieces_in
from archivist.intake.pictures.same_told import told_as_same
from archivist.intake.pictures.studied import Folder, Studied, key_of
from archivist.intake.rules.names import NameReader
from archivist.model import Certainty, View

EXAMPLES = 3
"""Files of which it is told what each witness says, where many are in doubt for one reason."""


class Telling:
    """Turns clusters, groups and doubts into findings; `raw_pairs` are raw files, each with the
    picture that the camera wrote beside it."""

    def __init__(
        self,
        folder: Folder,
        source: str,
        names: NameReader,
        looks: Looks,
        raw_pairs: Sequence[tuple[str, str]],
        result: Studied,
    ) -> None:
        self.folder = folder
        self.source = source
        self.names = names
        self.looks = looks
        self.raw_pairs = raw_pairs
        self.result = result

    def tell(
        self,
        clusters: list[Cluster],
        nearly: list[Nearly],
        digests: list[str],
        groups: list[Grouped],
        thin: list[Thin],
    ) -> None:
        """Puts the findings together; what is about known files alone is left out."""
        same = told_as_same(
            self.folder, self.source, clusters, digests, self.raw_pairs, self.result.pictures
        )
        found_groups = []
        touched = {key_of(f) for f in self.folder.files if key_of(f) in self.folder.new}
        for group in groups:
            keys = {key_of(self.folder.files[n]) for n in group.members}
            if keys & self.folder.new:
                touched |= keys
                found_groups.append(self._group(group))
        doubts = [
            Doubt(
                about="duplicates",
                paths=tuple(self.folder.path(digests[n]) for n in (pair.one, pair.other)),
                says=pair.because,
            )
            for pair in nearly
            if any(self.folder.is_new(digests[n]) for n in (pair.one, pair.other))
        ]
        doubts += [
            Doubt(
                about="groups",
                paths=tuple(self.folder.files[n].found.path for n in part.members),
                says=part.says,
                reasons=part.reasons,
            )
            for part in dict.fromkeys(thin)
            if not part.members
            or any(key_of(self.folder.files[n]) in self.folder.new for n in part.members)
        ]
        doubts += self._doubtful_times(touched)
        doubts += self._doubtful_clocks(touched)
        self.result.findings = Findings(
            photographs=tuple(self._file(f) for f in self.folder.files if key_of(f) in touched),
            duplicates=tuple(same),
            groups=tuple(found_groups),
            doubts=tuple(doubts),
        )

    def _group(self, group: Grouped) -> Group:
        files = [self.folder.files[n] for n in group.members]
        objects = group.objects
        records = [self.names.records[o].name for o in objects if o in self.names.records]
        found = Group(
            key=group.key,
            source=self.source,
            paths=tuple(f.found.path for f in files),
            object=objects[0] if len(objects) == 1 else "",
            name=", ".join(records),
            certainty=group.certainty,
            reasons=group.reasons,
            several=group.several,
            objects=objects if group.several else (),
            regions=self._regions(group, files) if group.several else (),
        )
        digests = tuple(dict.fromkeys(f.facts.sha256 for f in files))
        if not objects and not group.several:
            self.result.unknown.append((found, digests))
        for sha256 in digests:
            if objects:
                study = self.result.pictures[sha256]
                study.objects, study.certainty = objects, group.certainty
                study.because = f"with others of its group: {group.reasons[0]}"
        return found

    def _regions(self, group: Grouped, files: Sequence[SurveyedFile]) -> tuple[Shows, ...]:
        """Where as many things stand apart as the names have numbers; which is which only where
        records are named, from left to right as the names go."""
        count = len(group.objects) or group.key.count(",") + 1
        found: list[Shows] = []
        for sha256 in dict.fromkeys(f.facts.sha256 for f in files):
            look = self.looks.look(sha256)
            if look is None:
                continue
            pixels = unpacked(self.looks.small(sha256))
            objects = group.objects or ("",) * count
            regions = pieces_in(pixels, look.width, look.height, count)
            path = self.folder.path(sha256)
            found += [
                Shows(path=path, region=region, object=object_id)
                for region, object_id in zip(regions, objects, strict=False)
            ]
            if regions:
                self.result.pictures[sha256].regions = dict(zip(objects, regions, strict=True))
        return tuple(found)

    def _file(self, file: SurveyedFile) -> PictureFile:
        study = self.result.pictures[file.facts.sha256]
        best, described = study.told.best, file.described or Probe()
        seen = study.seen
        return PictureFile(
            path=file.found.path,
            path_bytes=file.found.path_bytes,
            source=self.source,
            sha256=file.facts.sha256,
            width=described.width,
            height=described.height,
            taken=best.date.edtf if best else "",
            taken_certainty=best.certainty if best else Certainty.POSSIBLE,
            taken_ground=study.told.ground,
            taken_others=study.told.disagree,
            view=seen.view if seen else View.UNKNOWN,
            view_certainty=seen.certainty if seen else Certainty.POSSIBLE,
            view_ground=f"'{seen.word}'" if seen else "",
            camera=described.camera,
            known=key_of(file) not in self.folder.new,
        )

    def _doubtful_times(self, touched: set[tuple[str, str]]) -> list[Doubt]:
        found: dict[tuple[str, ...], list[SurveyedFile]] = defaultdict(list)
        for file in self.folder.files:
            disagree = self.result.pictures[file.facts.sha256].told.disagree
            if disagree and key_of(file) in touched and key_of(file) in self.folder.new:
                witnesses = tuple(d.partition(": ")[0] for d in disagree)
                found[witnesses].append(file)
        return [
            Doubt(
                about="taken",
                paths=tuple(file.found.path for file in files),
                says=(
                    f"{' and '.join(witnesses)} {'say' if witnesses[1:] else 'says'} another day "
                    "than what is believed"
                ),
                reasons=tuple(self._witnesses(file) for file in files[:EXAMPLES]),
            )
            for witnesses, files in found.items()
        ]

    def _doubtful_clocks(self, touched: set[tuple[str, str]]) -> list[Doubt]:
        """The photographs whose camera's clock is doubted for one reason, and the reason."""
        found: dict[str, list[SurveyedFile]] = defaultdict(list)
        for file in self.folder.files:
            why = self.result.pictures[file.facts.sha256].clock_doubt
            if why and key_of(file) in touched and key_of(file) in self.folder.new:
                found[why].append(file)
        return [
            Doubt(
                about="taken",
                paths=tuple(file.found.path for file in files),
                says=f"{why}; when these were taken is doubtful",
                reasons=tuple(self._witnesses(file) for file in files[:EXAMPLES]),
            )
            for why, files in found.items()
        ]

    def _witnesses(self, file: SurveyedFile) -> str:
        """What each witness says of when a photograph was taken, the believed one first."""
        told = self.result.pictures[file.facts.sha256].told
        best = f"{told.ground}: {told.best.date.edtf}" if told.best else ""
        return f"{file.found.path}: {', '.join((best, *told.disagree))}"
