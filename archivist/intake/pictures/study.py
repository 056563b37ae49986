"""All photographs of one folder together: which are one picture, which show one piece, and when.

What comes of it is findings, and for each picture what its items should say.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from archivist.catalogue.archive import Archive
from archivist.errors import SourceError
from archivist.imaging.probe import Probe
from archivist.intake.pictures.compare import unpacked
from archivist.intake.pictures.duplicates import Cluster, Nearly, Picture, same_pictures
from archivist.intake.pictures.findings import (
    Copy,
    Doubt,
    Findings,
    Group,
    PictureFile,
    Relation,
    SamePicture,
    Shows,
)
from archivist.intake.pictures.grouping import Entry, Grouped, Thin, grouped
from archivist.intake.pictures.look import Look, look_at
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.names import is_general_folder, moment_in, plain_stem
from archivist.intake.pictures.regions import pieces_in
from archivist.intake.pictures.taken import CAMERA, Told, Witnessed, WrongClock, told, wrong_clocks
from archivist.intake.shown import NameReader, SurveyedFile
from archivist.intake.views import Seen
from archivist.model import Certainty, Photograph, Region, View
from archivist.reading.tables import Tables

LOSSLESS = frozenset({"TIFF", "PNG", "BMP"})


@dataclass
class PictureStudy:
    """What was found out about one picture (by its digest) beyond what its own names say."""

    told: Told = field(default_factory=lambda: Told(()))
    derived_from: str = ""
    derived_because: str = ""
    objects: tuple[str, ...] = ()
    certainty: Certainty = Certainty.POSSIBLE
    because: str = ""
    seen: Seen | None = None
    regions: dict[str, Region] = field(default_factory=dict)


@dataclass
class Studied:
    """The findings, what each picture's items should say, groups without a record, and cameras
    whose clocks were wrong with the digests of their photographs."""

    findings: Findings = field(default_factory=Findings)
    pictures: dict[str, PictureStudy] = field(default_factory=dict)
    unknown: list[tuple[Group, tuple[str, ...]]] = field(default_factory=list)
    clocks: list[tuple[WrongClock, tuple[str, ...]]] = field(default_factory=list)


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

    def of(self, files: Sequence[SurveyedFile], new: set[tuple[str, str]]) -> Studied:
        """Studies all files that are images; `new` are the paths (with their bytes) that the
        archive did not have before. Where nothing is new nothing is said."""
        self.files = [f for f in files if _is_image(f)]
        self.new = new
        if not any(_key(f) in new for f in self.files):
            return Studied()
        self.by_digest: dict[str, list[int]] = defaultdict(list)
        for number, file in enumerate(self.files):
            self.by_digest[file.facts.sha256].append(number)
        for numbers in self.by_digest.values():
            numbers.sort(key=lambda n: self._plainness(self.files[n].found.path))
        self.known = {
            sha256: photograph
            for sha256 in self.by_digest
            for photograph in self.archive.catalogue.keyed(Photograph, sha256)[:1]
        }
        self.result = Studied(pictures={sha256: PictureStudy() for sha256 in self.by_digest})
        self._when()
        clusters, nearly, digests = self._duplicates()
        groups, thin = self._groups(clusters, digests)
        self._views(clusters, digests, groups)
        self._clocks()
        self._find(clusters, nearly, digests, groups, thin)
        return self.result

    def _plainness(self, path: str) -> tuple[int, bool, int, str]:
        """The plain name first: not among copies, not called a copy, the shorter."""
        parts = PurePosixPath(path).parts
        set_aside = sum(is_general_folder(p, self.tables) and not _dated(p) for p in parts[:-1])
        return (set_aside, plain_stem(PurePosixPath(path).stem, self.tables)[1], len(path), path)

    # When

    def _when(self) -> None:
        for sha256, numbers in self.by_digest.items():
            described = self.files[numbers[0]].described
            within = described.taken if described else ()
            path = self.files[numbers[0]].found.path
            self.result.pictures[sha256].told = told(within, path, self.last_year)

    def _clocks(self) -> None:
        digests = list(self.by_digest)
        witnessed = []
        for place, sha256 in enumerate(digests):
            described = self._described(sha256)
            clock = _clock(described)
            if described is None or not clock:
                continue
            camera = " ".join(
                (described.camera_make, described.camera_model, described.camera_serial)
            ).strip()
            with suppress(ValueError):
                moment = datetime.datetime.fromisoformat(clock)
                told_ = self.result.pictures[sha256].told
                witnessed.append(Witnessed(place, camera, moment, told_.taken))
        for clock_ in wrong_clocks(witnessed):
            members = tuple(digests[place] for place in clock_.places)
            self.result.clocks.append((clock_, members))

    # Duplicates

    def _duplicates(self) -> tuple[list[Cluster], list[Nearly], list[str]]:
        """Clusters as places in a list of digests: those of this folder, then of the archive."""
        pictures: list[Picture] = []
        digests: list[str] = []
        for sha256, numbers in self.by_digest.items():
            look = self.looks.look(sha256)
            if look is not None:
                digests.append(sha256)
                pictures.append(self._picture(sha256, self.files[numbers[0]], look))
        for photograph in self.archive.catalogue.all(Photograph):
            if photograph.sha256 not in self.by_digest and not photograph.withdrawn:
                look = self._look_of_original(photograph)
                if look is not None:
                    digests.append(photograph.sha256)
                    pictures.append(_of_archive(photograph, look))
        clusters, nearly = same_pictures(pictures, self.looks.small)
        for cluster in clusters:
            for other in cluster.others:
                study = self.result.pictures.get(digests[other.picture])
                if study is not None:
                    study.derived_from = digests[cluster.keeper]
                    relations = ", ".join(r.value for r in other.relations)
                    study.derived_because = f"{relations}; {'; '.join(other.reasons)}"
        return clusters, nearly, digests

    def _picture(self, sha256: str, file: SurveyedFile, look: Look) -> Picture:
        described = file.described or Probe()
        stem, worked = plain_stem(PurePosixPath(file.found.path).stem, self.tables)
        said = len(described.taken) + len(described.captions) + bool(described.camera_model)
        return Picture(
            sha256=sha256,
            path=file.found.path,
            look=look,
            clock=_clock(described),
            stem=stem if any(c.isdigit() for c in stem) or " " in stem else "",
            told=said + described.has_gps,
            worked=worked or self._plainness(file.found.path)[0] > 0,
            lossless=described.format in LOSSLESS,
        )

    def _look_of_original(self, photograph: Photograph) -> Look | None:
        """The look of a photograph of the archive; measured once if it never was."""
        look = self.looks.look(photograph.sha256)
        if look is not None or photograph.undecodable:
            return look
        path = self.archive.store.path_of(photograph.sha256, photograph.extension)
        try:
            measured = look_at(path, photograph.width, photograph.height)
        except SourceError:
            return None
        self.looks.keep_look(photograph.sha256, measured)
        return measured

    # Groups

    def _groups(
        self, clusters: list[Cluster], digests: list[str]
    ) -> tuple[list[Grouped], list[Thin]]:
        picture = {sha256: number for number, sha256 in enumerate(self.by_digest)}
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
        for sha256, numbers in self.by_digest.items():
            look = self.looks.look(sha256)
            for place, number in enumerate(numbers):
                copy = place > 0 or sha256 in derived
                entries.append(
                    (number, self._entry(number, picture[sha256], look, copy, elsewhere))
                )
        entries.sort(key=lambda item: item[0])
        return grouped([entry for _, entry in entries], self.tables)

    def _entry(
        self,
        number: int,
        picture: int,
        look: Look | None,
        copy: bool,
        elsewhere: dict[str, tuple[str, ...]],
    ) -> Entry:
        file = self.files[number]
        sha256 = file.facts.sha256
        known = self.known.get(sha256)
        shown, seen = self.names.shown(file), self.names.seen(file)
        objects, certainty, because, reviewed = shown.objects, shown.certainty, shown.because, False
        if known is not None and not known.withdrawn:
            held = [d for d in known.depictions if d.certainty is not Certainty.REJECTED]
            if held:
                objects = tuple(dict.fromkeys(d.object for d in held))
                reviewed = any(d.reviewed for d in held)
                certainty, because = held[0].certainty, "the archive says so"
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
        """Seconds for the order of a row, and whose clock they are of. Clocks that are wrong keep
        the order and the gaps; only a clock that was never set does not."""
        for witness in CAMERA:
            for taken in described.taken:
                edtf = taken.date.edtf
                set_ = taken.reading is None or float(taken.reading.confidence) > 0.2
                if taken.witness == witness and "T" in edtf and set_:
                    with suppress(ValueError):
                        local = datetime.datetime.fromisoformat(edtf[:19])
                        seconds = local.replace(tzinfo=datetime.UTC).timestamp()
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
        for sha256, numbers in self.by_digest.items():
            path = PurePosixPath(self.files[numbers[0]].found.path)
            described = self.files[numbers[0]].described or Probe()
            if described.format.startswith("RAW") or described.format == "JPEG":
                stem = str(path.with_suffix("")).casefold()
                by_stem[stem].setdefault(described.format.startswith("RAW"), sha256)
        return [(both[True], both[False]) for both in by_stem.values() if len(both) == 2]

    # Views

    def _views(self, clusters: list[Cluster], digests: list[str], groups: list[Grouped]) -> None:
        """The view that the names of any file of a picture say; else, where the picture is the
        first of its piece and stands free, that it may be the overall view."""
        said: dict[str, Seen] = {}
        for sha256, numbers in self.by_digest.items():
            seen = [s for n in numbers if (s := self.names.seen(self.files[n])) is not None]
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
                    said[self.files[number].facts.sha256] = word
        for sha256, seen_ in said.items():
            self.result.pictures[sha256].seen = seen_

    # Findings

    def _find(
        self,
        clusters: list[Cluster],
        nearly: list[Nearly],
        digests: list[str],
        groups: list[Grouped],
        thin: list[Thin],
    ) -> None:
        same = self._same(clusters, digests)
        found_groups = []
        touched = {_key(f) for f in self.files if _key(f) in self.new}
        for group in groups:
            keys = {_key(self.files[n]) for n in group.members}
            if keys & self.new:
                touched |= keys
                found_groups.append(self._group(group))
        doubts = [
            Doubt(
                about="duplicates",
                paths=tuple(self._path(digests[n]) for n in (pair.one, pair.other)),
                says=pair.because,
            )
            for pair in nearly
            if any(self._is_new(digests[n]) for n in (pair.one, pair.other))
        ]
        doubts += [
            Doubt(
                about="groups",
                paths=tuple(self.files[n].found.path for n in part.members),
                says=part.says,
                reasons=part.reasons,
            )
            for part in dict.fromkeys(thin)
            if not part.members or any(_key(self.files[n]) in self.new for n in part.members)
        ]
        doubts += self._doubtful_times(touched)
        self.result.findings = Findings(
            photographs=tuple(self._file(f) for f in self.files if _key(f) in touched),
            duplicates=tuple(same),
            groups=tuple(found_groups),
            doubts=tuple(doubts),
        )

    def _same(self, clusters: list[Cluster], digests: list[str]) -> list[SamePicture]:
        """Clusters, exact copies and raw pairs, as files; those with nothing new left out."""
        of: dict[str, tuple[str, tuple[str, ...], list[Copy]]] = {}
        inside: set[str] = set()
        raw = dict(self._raw_pairs())
        for cluster in clusters:
            keeper = digests[cluster.keeper]
            copies: list[Copy] = []
            for other in cluster.others:
                sha256 = digests[other.picture]
                inside.add(sha256)
                first = True
                for path in self._paths(sha256):
                    copies.append(
                        Copy(
                            path=path,
                            sha256=sha256,
                            relation=other.relations[0],
                            relations=other.relations,
                            certainty=other.certainty,
                            reasons=other.reasons
                            if first
                            else (*other.reasons, "one of several files of these bytes"),
                        )
                    )
                    first = False
            of[keeper] = (keeper, cluster.because, copies)
        for sha256, numbers in self.by_digest.items():
            if sha256 in inside:
                continue
            paths = [self.files[n].found.path for n in numbers[1:]]
            exact = [
                Copy(
                    path=path,
                    sha256=sha256,
                    relation=Relation.EXACT,
                    relations=(Relation.EXACT,),
                    reasons=("the same bytes",),
                )
                for path in paths
            ]
            if exact and sha256 in of:
                of[sha256][2][:0] = exact
            elif exact:
                of[sha256] = (sha256, ("the plainest of the names",), exact)
        for original, picture in raw.items():
            _, _, others = of.pop(picture, (picture, (), []))
            of.pop(original, None)
            pairs = [
                Copy(
                    path=path,
                    sha256=picture,
                    relation=Relation.RAW_PAIR,
                    relations=(Relation.RAW_PAIR,),
                    reasons=("the camera's picture of the raw file of the same name",),
                )
                for path in self._paths(picture)
            ]
            kept = [c for c in others if c.sha256 not in (original, picture)]
            of[original] = (original, ("the raw file",), [*pairs, *kept])
            self.result.pictures[picture].derived_from = original
            self.result.pictures[picture].derived_because = "the camera's picture of the raw file"
            self.result.pictures[original].derived_from = ""
        found = []
        for keeper, because, copies in of.values():
            if any(self._is_new(c.sha256) for c in copies) or self._is_new(keeper):
                found.append(
                    SamePicture(
                        source=self.source,
                        keeper=self._path(keeper),
                        sha256=keeper,
                        others=tuple(copies),
                        because=because,
                    )
                )
        return sorted(found, key=lambda s: s.keeper)

    def _paths(self, sha256: str) -> list[str]:
        numbers = self.by_digest.get(sha256)
        if numbers is None:
            return [self._path(sha256)]
        return [self.files[n].found.path for n in numbers]

    def _path(self, sha256: str) -> str:
        """Where a picture lies; one of the archive by its digest."""
        numbers = self.by_digest.get(sha256)
        return self.files[numbers[0]].found.path if numbers else f"sha256:{sha256}"

    def _is_new(self, sha256: str) -> bool:
        return any(_key(self.files[n]) in self.new for n in self.by_digest.get(sha256, ()))

    def _group(self, group: Grouped) -> Group:
        files = [self.files[n] for n in group.members]
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
            path = self._path(sha256)
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
            camera=f"{described.camera_make} {described.camera_model}".strip(),
            known=_key(file) not in self.new,
        )

    def _doubtful_times(self, touched: set[tuple[str, str]]) -> list[Doubt]:
        found: dict[tuple[str, ...], list[str]] = defaultdict(list)
        for file in self.files:
            disagree = self.result.pictures[file.facts.sha256].told.disagree
            if disagree and _key(file) in touched and _key(file) in self.new:
                witnesses = tuple(d.partition(":")[0] for d in disagree)
                found[witnesses].append(file.found.path)
        return [
            Doubt(
                about="taken",
                paths=tuple(paths),
                says=f"{' and '.join(witnesses)} say another day than what is believed",
            )
            for witnesses, paths in found.items()
        ]

    def _described(self, sha256: str) -> Probe | None:
        return self.files[self.by_digest[sha256][0]].described


def _key(file: SurveyedFile) -> tuple[str, str]:
    return file.found.path, file.found.path_bytes


def _is_image(file: SurveyedFile) -> bool:
    return file.described is not None and file.described.media_type.startswith("image/")


def _clock(described: Probe | None) -> str:
    """When the camera says the picture was taken, to the second; '' where it does not say."""
    for taken in described.taken if described else ():
        unset = taken.reading is not None and float(taken.reading.confidence) < 0.2
        if taken.witness == CAMERA[0] and "T" in taken.date.edtf and not unset:
            return taken.date.edtf[:19]
    return ""


def _of_archive(photograph: Photograph, look: Look) -> Picture:
    clock = next((t.date.edtf[:19] for t in photograph.taken if t.witness == CAMERA[0]), "")
    return Picture(
        sha256=photograph.sha256,
        path="",
        look=look,
        clock=clock if "T" in clock else "",
        told=len(photograph.taken) + len(photograph.captions),
        worked=bool(photograph.derived_from),
    )


def _dated(name: str) -> bool:
    return any(c.isdigit() for c in name)
