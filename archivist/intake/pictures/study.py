"""All photographs of one folder together: which are one picture, which show one piece, and when.

What comes of it is findings, and for each picture what its items should say.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import PurePosixPath

from archivist.catalogue.archive import Archive
from archivist.imaging.probe import Probe
from archivist.intake.depicting import piece_shown, view_shown
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.apart import numbered
from archivist.intake.pictures.duplicates import Nearly, same_pictures
from archivist.intake.pictures.gathered import clock_of, moment_of, pictures_of, plainness
from archivist.intake.pictures.grouping import Grouped, Thin, grouped
from archivist.intake.pictures.keeping import Cluster
from archivist.intake.pictures.labels import Entry
from archivist.intake.pictures.look import Look
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.names import moment_in
from archivist.intake.pictures.sequences import Shot
from archivist.intake.pictures.studied import Folder, Key, PictureStudy, Studied
from archivist.intake.pictures.taken import told
from archivist.intake.pictures.telling import Telling
from archivist.intake.rules.clocks import Witnessed, doubtful_clocks, wrong_clocks
from archivist.intake.rules.names import NameReader, Pieces
from archivist.intake.views import Seen
from archivist.model import Certainty, Photograph, View
from archivist.reading.tables import Tables


class Study:
    """One study of the files of one source."""

    def __init__(
        self,
        archive: Archive,
        source: str,
        names: NameReader,
        tables: Tables,
        looks: Looks,
    ) -> None:
        self.archive = archive
        self.source = source
        self.names = names
        self.tables = tables
        self.looks = looks
        self.last_year = int(archive.catalogue.now()[:4]) + 1

    def of(self, files: Sequence[SurveyedFile], new: set[Key]) -> Studied:
        """Studies all files that are images; `new` are the paths (with their bytes) that the
        archive did not have before. Where nothing is new nothing is said."""
        self.folder = Folder([f for f in files if _is_image(f)], new)
        self.names.gather(self.folder.files, [self._shot(file) for file in self.folder.files])
        if not self.folder.has_new:
            return Studied()
        for numbers in self.folder.by_digest.values():
            numbers.sort(key=lambda n: plainness(self.folder.files[n].found.path, self.tables))
        self.known = {
            sha256: photograph
            for sha256 in self.folder.by_digest
            for photograph in self.archive.catalogue.keyed(Photograph, sha256)[:1]
        }
        self.result = Studied(pictures={sha256: PictureStudy() for sha256 in self.folder.by_digest})
        self._when()
        clusters, nearly, digests = self._duplicates()
        groups, thin = self._groups(clusters, digests)
        self._views(clusters, digests, groups)
        self._clocks()
        telling = Telling(
            self.folder, self.source, self.names, self.looks, self._raw_pairs(), self.result
        )
        telling.tell(clusters, nearly, digests, groups, thin)
        return self.result

    # When

    def _when(self) -> None:
        """What each witness says; the clocks of cameras are examined together, as one that was
        never set shows by what it said before."""
        digests = list(self.folder.by_digest)
        self._told(digests, {})
        witnessed = self._witnessed(digests)
        doubts = doubtful_clocks(witnessed, self.archive.catalogue.now())
        self._told([digests[place] for place in doubts],
                   {digests[place]: why for place, why in doubts.items()})  # fmt: skip

    def _told(self, digests: Iterable[str], doubts: Mapping[str, str]) -> None:
        for sha256 in digests:
            file = self.folder.first(sha256)
            within = file.described.taken if file.described else ()
            study = self.result.pictures[sha256]
            study.clock_doubt = doubts.get(sha256, "")
            study.told = told(
                within, file.found.path, self.last_year, self.tables, study.clock_doubt
            )

    def _witnessed(self, digests: Sequence[str]) -> list[Witnessed]:
        """What every camera's clock said, and what others say beside it."""
        witnessed = []
        for place, sha256 in enumerate(digests):
            described = self.folder.described(sha256)
            clock = clock_of(described, even_unset=True)
            if not clock:
                continue
            camera = " ".join(
                (described.camera_make, described.camera_model, described.camera_serial)
            ).strip()
            row, number = numbered(self.folder.path(sha256), self.tables)
            with suppress(ValueError):
                moment = datetime.datetime.fromisoformat(clock)
                others = self.result.pictures[sha256].told.taken
                count = int(number) if number.isdigit() else 0
                witnessed.append(
                    Witnessed(place, camera, moment, others, row if count else "", count)
                )
        return witnessed

    def _clocks(self) -> None:
        digests = list(self.folder.by_digest)
        for clock_ in wrong_clocks(self._witnessed(digests)):
            members = tuple(digests[place] for place in clock_.places)
            self.result.clocks.append((clock_, members))

    # Duplicates

    def _duplicates(self) -> tuple[list[Cluster], list[Nearly], list[str]]:
        """Clusters as places in a list of digests: those of this folder, then of the archive."""
        pictures, digests = pictures_of(self.folder, self.archive, self.looks, self.tables)
        clusters, nearly = same_pictures(pictures, self.looks.small)
        for cluster in clusters:
            for other in cluster.others:
                study = self.result.pictures.get(digests[other.picture])
                if study is not None:
                    study.derived_from = digests[cluster.keeper]
                    relations = ", ".join(r.value for r in other.relations)
                    study.derived_because = f"{relations}; {'; '.join(other.reasons)}"
        return clusters, nearly, digests

    # Groups

    def _groups(
        self, clusters: list[Cluster], digests: list[str]
    ) -> tuple[list[Grouped], list[Thin]]:
        picture = {sha256: number for number, sha256 in enumerate(self.folder.by_digest)}
        derived: set[str] = set()
        for cluster in clusters:
            members = [digests[cluster.keeper], *(digests[o.picture] for o in cluster.others)]
            within = [m for m in members if m in picture]
            for member in within:
                picture[member] = picture[within[0]]
            derived.update(within[1:])
        for raw, other in self._raw_pairs():
            picture[other] = picture[raw]
        elsewhere = self._shown_elsewhere(clusters, digests)
        entries = []
        for sha256, numbers in self.folder.by_digest.items():
            look = self.looks.look(sha256)
            for place, number in enumerate(numbers):
                copy = place > 0 or sha256 in derived
                entries.append(
                    (number, self._entry(number, picture[sha256], look, copy, elsewhere))
                )
        entries.sort(key=lambda item: item[0])
        return grouped([entry for _, entry in entries], self.tables, self.names.letters)

    def _shot(self, file: SurveyedFile) -> Shot:
        """A file as one of the row that its camera took."""
        moment, camera = self._moment(file, file.described or Probe())
        stem = PurePosixPath(file.found.path).stem
        return Shot(stem, moment, camera, self.looks.look(file.facts.sha256))

    def _entry(
        self,
        number: int,
        picture: int,
        look: Look | None,
        copy: bool,
        elsewhere: dict[str, tuple[str, ...]],
    ) -> Entry:
        file = self.folder.files[number]
        sha256 = file.facts.sha256
        known = self.known.get(sha256)
        held, seen = piece_shown(file, self.names), view_shown(file, self.names)
        shown = held.best.value if held.best is not None else Pieces()
        objects, certainty, reviewed = shown.objects, held.certainty, False
        because = held.reasons[0] if held.reasons else ""
        if known is not None and not known.withdrawn:
            kept = [d for d in known.depictions if d.certainty is not Certainty.REJECTED]
            if kept:
                objects = tuple(dict.fromkeys(d.object for d in kept))
                reviewed = any(d.reviewed for d in kept)
                certainty, because = kept[0].certainty, "the archive says so"
        if not objects and sha256 in elsewhere:
            objects, certainty = elsewhere[sha256], Certainty.PROBABLE
            because = "a photograph in the archive is the same picture"
        described = file.described or Probe()
        moment, camera = self._moment(file, described)
        return Entry(
            path=file.found.path,
            picture=picture,
            look=look,
            objects=objects,
            certainty=certainty,
            because=because,
            moment=moment,
            camera=camera,
            copy=copy,
            several=shown.group or (seen is not None and seen.view is View.GROUP),
            reviewed=reviewed,
            captions=file.captions,
        )

    def _moment(self, file: SurveyedFile, described: Probe) -> tuple[float | None, str]:
        """Seconds for the order of a row, and whose clock they are of."""
        seconds = moment_of(described.taken)
        if seconds is not None:
            return seconds, f"{described.camera_model} {described.camera_serial}"
        named = moment_in(PurePosixPath(file.found.path).stem)
        if named:
            local = datetime.datetime.fromisoformat(named)
            return local.replace(tzinfo=datetime.UTC).timestamp(), "file name"
        return None, ""

    def _shown_elsewhere(
        self, clusters: list[Cluster], digests: list[str]
    ) -> dict[str, tuple[str, ...]]:
        """What photographs of the archive show that files of this folder are copies of."""
        found: dict[str, tuple[str, ...]] = {}
        for cluster in clusters:
            members = [digests[cluster.keeper], *(digests[o.picture] for o in cluster.others)]
            objects: dict[str, None] = {}
            for member in members:
                for photograph in self.archive.catalogue.keyed(Photograph, member)[:1]:
                    if not photograph.withdrawn:
                        objects |= {
                            d.object: None
                            for d in photograph.depictions
                            if d.certainty is not Certainty.REJECTED
                        }
            if objects:
                found |= {m: tuple(objects) for m in members}
        return found

    def _raw_pairs(self) -> list[tuple[str, str]]:
        """Raw files with the JPEG that the camera wrote beside each (same folder, same stem)."""
        by_stem: dict[str, dict[bool, str]] = defaultdict(dict)
        for sha256, numbers in self.folder.by_digest.items():
            path = PurePosixPath(self.folder.files[numbers[0]].found.path)
            described = self.folder.files[numbers[0]].described or Probe()
            if described.format.startswith("RAW") or described.format == "JPEG":
                stem = str(path.with_suffix("")).casefold()
                by_stem[stem].setdefault(described.format.startswith("RAW"), sha256)
        return [(both[True], both[False]) for both in by_stem.values() if len(both) == 2]

    # Views

    def _views(self, clusters: list[Cluster], digests: list[str], groups: list[Grouped]) -> None:
        """The view that the names of any file of a picture say; else, where the picture is the
        first of its piece and stands free, that it may be the overall view."""
        said: dict[str, Seen] = {}
        for sha256, numbers in self.folder.by_digest.items():
            seen = [
                s
                for n in numbers
                if (s := view_shown(self.folder.files[n], self.names)) is not None
            ]
            if seen:
                said[sha256] = seen[0]
        for cluster in clusters:
            members = [digests[cluster.keeper], *(digests[o.picture] for o in cluster.others)]
            known = next((said[m] for m in members if m in said), None)
            if known is not None:
                for member in members:
                    said.setdefault(member, known)
        for group in groups:
            if group.several:
                for number in group.members:
                    word = Seen(View.GROUP, Certainty.PROBABLE, "several pieces")
                    said[self.folder.files[number].facts.sha256] = word
        for sha256, seen_ in said.items():
            self.result.pictures[sha256].seen = seen_


def _is_image(file: SurveyedFile) -> bool:
    return file.described is not None and file.described.media_type.startswith("image/")
