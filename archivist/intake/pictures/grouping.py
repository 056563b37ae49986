"""Which photographs show one piece: by numbers, folders, names, then by time and likeness.

What people wrote counts first. Only photographs of which no name says anything are parted by the
clock, the order of their numbers and what they look like; where such a part is thin it is named.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from archivist.intake.pictures.labels import OF_A_FOLDER, STATED, Entry, Label, Labels
from archivist.intake.pictures.names import plain_stem
from archivist.intake.pictures.sequences import Shot, part
from archivist.intake.rules.sessions import Sessions
from archivist.model import Certainty, least_sure
from archivist.reading.tables import Tables

NEIGHBOURS = 4
"""Pictures that a camera took before and after one, by which its row is known."""


@dataclass
class Grouped:
    """Files that seem to show one piece, or (`several`) several pieces at once."""

    key: str
    members: list[int]
    certainty: Certainty
    reasons: tuple[str, ...]
    objects: tuple[str, ...] = ()
    several: bool = False


@dataclass(frozen=True)
class Thin:
    """Files that stand on either side of a part that may be none, or claims that differ."""

    members: tuple[int, ...]
    says: str
    reasons: tuple[str, ...] = ()


def grouped(
    entries: Sequence[Entry], tables: Tables, letters: Collection[str] = ()
) -> tuple[list[Grouped], list[Thin]]:
    """The groups, in the order of their first file, and what is doubtful about them; `letters` are
    those with which the owner's stock numbers begin."""
    return _Grouping(entries, tables, letters).run()


class _Grouping:
    def __init__(self, entries: Sequence[Entry], tables: Tables, letters: Collection[str]) -> None:
        self.entries = entries
        self.tables = tables
        self.sessions = Sessions([self._shot(entry) for entry in entries])
        self.labels = Labels(entries, tables, letters, self.sessions)
        self.thin: list[Thin] = []
        self.namesakes = self._namesakes()

    def run(self) -> tuple[list[Grouped], list[Thin]]:
        """Labels first; pictures without any are parted in their order."""
        pictures: dict[int, list[int]] = defaultdict(list)
        for number, entry in enumerate(self.entries):
            pictures[self.namesakes.get(entry.picture, entry.picture)].append(number)
        groups: dict[str, Grouped] = {}
        silent: list[list[int]] = []
        labelled = {n: self._of_picture(members) for n, members in pictures.items()}
        scattered = self._scattered(pictures, labelled)
        for number, members in pictures.items():
            label = labelled[number]
            if label is None or label.key in scattered:
                silent.append(members)
                continue
            self._put(groups, label, members)
        for folder in dict.fromkeys(self.labels.several_numbers):
            self.thin.append(Thin((), f"the folder '{folder}' has several numbers", ()))
        for label, members in self._sequences(silent):
            self._put(groups, label, members)
        for group in groups.values():
            group.members.sort(key=lambda n: self.entries[n].path)
        return sorted(groups.values(), key=lambda g: self.entries[g.members[0]].path), self.thin

    def _scattered(
        self, pictures: Mapping[int, list[int]], labelled: Mapping[int, Label | None]
    ) -> set[str]:
        """The labels by numbers and words that would gather what was not taken together."""
        gathered: dict[str, list[int]] = defaultdict(list)
        most: dict[str, int] = {}
        for number, label in labelled.items():
            if label is not None and label.most_runs:
                originals = [n for n in pictures[number] if not self.entries[n].copy]
                gathered[label.key] += originals[:1]
                most[label.key] = label.most_runs
        return {
            key
            for key, places in gathered.items()
            if not self.sessions.belong_together(places, most[key])
        }

    def _put(self, groups: dict[str, Grouped], label: Label, members: Iterable[int]) -> None:
        group = groups.get(label.key)
        if group is None:
            groups[label.key] = Grouped(
                label.key,
                list(members),
                label.certainty,
                (label.because,),
                label.objects,
                label.several,
            )
            return
        group.members += members
        group.certainty = least_sure(group.certainty, label.certainty)
        if label.because not in group.reasons and len(group.reasons) < 4:
            group.reasons += (label.because,)

    # Labels

    def _of_picture(self, members: list[int]) -> Label | None:
        """The strongest label of any file of one picture; of equals the best original's."""
        labels = [
            (label.rank, self.entries[n].copy, n, label)
            for n in members
            if (label := self.labels.of_file(n)) is not None
            and (label.rank <= OF_A_FOLDER or not self.entries[n].copy)
        ]
        if not labels:
            return None
        labels.sort(key=lambda item: (item[0] > STATED and item[1], *item[:3]))
        best = labels[0][3]
        rivals = {
            label.key
            for rank, _, _, label in labels
            if rank == best.rank and rank <= STATED and not label.several
        }
        if len(rivals) > 1:
            says = "one picture is claimed by two pieces"
            self.thin.append(Thin(tuple(members), says, tuple(x[3].because for x in labels)))
        return best

    def _namesakes(self) -> dict[int, int]:
        """Pictures that no other was found to be, although their names say they are copies, with
        the one picture elsewhere that has the name ('to print/Copy of blue jar.jpg')."""
        by_name: dict[str, set[int]] = defaultdict(set)
        called: dict[int, str] = {}
        alone = Counter(entry.picture for entry in self.entries)
        for number, entry in enumerate(self.entries):
            path = PurePosixPath(entry.path)
            stem, worked = plain_stem(path.stem, self.tables)
            within = self.labels.folders[str(path.parent)]
            apart = not within.kind and all(
                self.entries[n].copy or n == number or self._called_copy(n) for n in within.files
            )
            if alone[entry.picture] == 1 and (worked or apart) and len(stem) > 3:
                called[entry.picture] = stem
            elif not entry.copy:
                by_name[stem].add(entry.picture)
        return {
            picture: next(iter(by_name[stem]))
            for picture, stem in called.items()
            if len(by_name[stem]) == 1
        }

    def _called_copy(self, number: int) -> bool:
        return plain_stem(PurePosixPath(self.entries[number].path).stem, self.tables)[1]

    # Order

    def _sequences(self, silent: list[list[int]]) -> list[tuple[Label, list[int]]]:
        """Pictures of which no name says anything, folder by folder in the order they were made."""
        series: dict[str, list[list[int]]] = defaultdict(list)
        first = [
            min(members, key=lambda n: (self.entries[n].copy, self.entries[n].path))
            for members in silent
        ]
        homes = self._homes(silent, first)
        for members, leader, home in zip(silent, first, homes, strict=True):
            series[home].append([leader, *(m for m in members if m != leader)])
        found: list[tuple[Label, list[int]]] = []
        for folder, pictures in series.items():
            shots = [self._shot(self.entries[members[0]]) for members in pictures]
            for number, run in enumerate(part(shots)):
                members = [m for n in run.places for m in pictures[n]]
                key = f"series {folder}\n{shots[run.places[0]].name}"
                found.append((Label(4, key, run.certainty, run.because), members))
                if run.thin and number:
                    before = pictures[run.before][0]
                    self.thin.append(Thin((before, members[0]), run.thin))
        return found

    def _homes(self, silent: Sequence[list[int]], first: Sequence[int]) -> list[str]:
        """The folder in whose row each picture stands. Of one that lies in several, as in a backup
        too, it is that in which most of those lie that its camera took just before and after."""
        places = [
            {str(PurePosixPath(self.entries[m].path).parent): 0 for m in (leader, *members)}
            for members, leader in zip(silent, first, strict=True)
        ]
        cameras: dict[str, list[int]] = defaultdict(list)
        for number, leader in enumerate(first):
            if self.entries[leader].moment is not None:
                cameras[self.entries[leader].camera].append(number)
        for row in cameras.values():
            row.sort(key=lambda n: self.entries[first[n]].moment or 0.0)
            for at, number in enumerate(row):
                if len(places[number]) > 1:
                    near = row[max(0, at - NEIGHBOURS) : at + NEIGHBOURS + 1]
                    places[number] = {
                        folder: sum(folder in places[n] for n in near) for folder in places[number]
                    }
        return [max(found, key=lambda folder: found[folder]) for found in places]

    def _shot(self, entry: Entry) -> Shot:
        stem, _ = plain_stem(PurePosixPath(entry.path).stem, self.tables)
        return Shot(stem, entry.moment, entry.camera, entry.look)
