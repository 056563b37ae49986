"""Which photographs show one piece: by numbers, folders, names, then by time and likeness.

What people wrote counts first. Only photographs of which no name says anything are parted by the
clock, the order of their numbers and what they look like; where such a part is thin it is named.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from archivist.intake.pictures.look import Look
from archivist.intake.pictures.names import (
    folded,
    is_general_folder,
    own_numbers,
    plain_stem,
    words_left,
)
from archivist.intake.pictures.sequences import Shot, part
from archivist.model import Certainty
from archivist.reading.tables import Tables

MOST_OF_A_PIECE = 40
"""Photographs in a folder beyond which its name is hardly that of one piece."""

GROUP_WORDS_NUMBERS = 2
"""Own numbers in the name of one file from which on it is a group photograph."""


STATED = 1
"""The rank of labels up to which a copy's name speaks for the picture: records and numbers."""


@dataclass(frozen=True)
class Entry:
    """One file: its path, which picture it is (files of one picture share `picture`), the records
    that names or the catalogue say it shows, when it was taken (seconds, None if unknown), whether
    it is a copy of another file, and whether a person has said so (`reviewed`)."""

    path: str
    picture: int
    look: Look | None = None
    objects: tuple[str, ...] = ()
    certainty: Certainty = Certainty.CERTAIN
    because: str = ""
    moment: float | None = None
    camera: str = ""
    copy: bool = False
    several: bool = False
    reviewed: bool = False
    captions: tuple[str, ...] = ()


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


@dataclass(frozen=True)
class Label:
    """What a name says a file belongs to: a rank (0 the strongest), a key, how sure, and why."""

    rank: int
    key: str
    certainty: Certainty
    because: str
    objects: tuple[str, ...] = ()
    several: bool = False


@dataclass
class _Folder:
    """What is in one folder, and whether it is named for a piece."""

    files: list[int] = field(default_factory=list)
    kind: str = ""


def grouped(entries: Sequence[Entry], tables: Tables) -> tuple[list[Grouped], list[Thin]]:
    """The groups, in the order of their first file, and what is doubtful about them."""
    return _Grouping(entries, tables).run()


class _Grouping:
    def __init__(self, entries: Sequence[Entry], tables: Tables) -> None:
        self.entries = entries
        self.tables = tables
        self.folders: dict[str, _Folder] = defaultdict(_Folder)
        self.thin: list[Thin] = []
        for number, entry in enumerate(entries):
            self.folders[str(PurePosixPath(entry.path).parent)].files.append(number)
        for path, folder in self.folders.items():
            folder.kind = self._kind(path, folder)
        self.counted = self._letters()
        usual = self.counted.most_common(1)
        enough = bool(usual) and usual[0][1] > 0.7 * self.counted.total()
        self.letters = usual[0][0] if enough else ""
        """The letters before most numbers: a number without them is taken to be one of these."""
        self.namesakes = self._namesakes()

    def run(self) -> tuple[list[Grouped], list[Thin]]:
        """Labels first; pictures without any are parted in their order."""
        pictures: dict[int, list[int]] = defaultdict(list)
        for number, entry in enumerate(self.entries):
            pictures[self.namesakes.get(entry.picture, entry.picture)].append(number)
        groups: dict[str, Grouped] = {}
        silent: list[list[int]] = []
        for members in pictures.values():
            label = self._of_picture(members)
            if label is None:
                silent.append(members)
                continue
            self._put(groups, label, members)
        for label, members in self._sequences(silent):
            self._put(groups, label, members)
        for group in groups.values():
            group.members.sort(key=lambda n: self.entries[n].path)
        return sorted(groups.values(), key=lambda g: self.entries[g.members[0]].path), self.thin

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
        group.certainty = max(group.certainty, label.certainty, key=_ORDER.index)
        if label.because not in group.reasons and len(group.reasons) < 4:
            group.reasons += (label.because,)

    # Labels

    def _of_picture(self, members: list[int]) -> Label | None:
        """The strongest label of any file of one picture; of equals the best original's."""
        labels = [
            (label.rank, self.entries[n].copy, n, label)
            for n in members
            if (label := self._of_file(n)) is not None
            and (label.rank <= STATED or not self.entries[n].copy)
        ]
        if not labels:
            return None
        labels.sort(key=lambda item: item[:3])
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

    def _of_file(self, number: int) -> Label | None:
        entry = self.entries[number]
        if entry.objects:
            several = len(entry.objects) > 1
            key = ("several " if several else "object ") + " ".join(sorted(entry.objects))
            rank = 0 if not several or not entry.copy else 1
            return Label(rank, key, entry.certainty, entry.because, entry.objects, several)
        path = PurePosixPath(entry.path)
        for kind, text in (("name", path.stem), *(("caption", c) for c in entry.captions)):
            label = self._numbered(kind, text, entry)
            if label is not None:
                return label
        if entry.several:
            key = f"several\n{entry.picture}"
            return Label(1, key, Certainty.PROBABLE, "its name says group", several=True)
        return self._of_folder(path, entry.copy)

    def _numbered(self, kind: str, text: str, entry: Entry) -> Label | None:
        numbers = self._numbers(text)
        if entry.copy and numbers and " " not in numbers[0]:
            return None
        numbers = [self._full(number) for number in numbers]
        if not numbers or (kind == "caption" and " " not in numbers[0]):
            return None
        because = f"{kind} '{text[:60]}' has {', '.join(numbers)}"
        if len(numbers) >= GROUP_WORDS_NUMBERS or entry.several:
            key = "several " + ", ".join(sorted(numbers))
            return Label(1, key, Certainty.PROBABLE, because, several=True)
        sure = Certainty.CERTAIN if " " in numbers[0] else Certainty.PROBABLE
        return Label(1, f"number {numbers[0]}", sure, because)

    def _of_folder(self, path: PurePosixPath, copy: bool) -> Label | None:
        """By the folders, from the innermost; one named for a view or in general says nothing."""
        for folder in path.parents:
            name = folder.name
            if not name:
                break
            numbers = [
                self._full(n) for n in own_numbers(name, self.tables) if " " in self._full(n)
            ]
            if len(numbers) > 1:
                self.thin.append(Thin((), f"the folder '{folder}' has several numbers", ()))
                break
            if numbers:
                because = f"folder '{name}' has {numbers[0]}"
                return Label(1, f"number {numbers[0]}", Certainty.CERTAIN, because)
            kind = self.folders[str(folder)].kind if str(folder) in self.folders else ""
            if kind == "piece":
                because = f"they lie in the folder '{name}'"
                return Label(2, f"folder {folder}", Certainty.PROBABLE, because)
            if kind == "names" or (kind == "" and words_left(name, self.tables) and
                                   not is_general_folder(name, self.tables)
                                   and folder != path.parent):  # fmt: skip
                break
        words = words_left(path.stem, self.tables, copy=copy)
        if words:
            because = f"their names begin '{words}'"
            return Label(3, f"words {path.parent}\n{words}", Certainty.PROBABLE, because)
        return None

    def _kind(self, path: str, folder: _Folder) -> str:
        """'piece' where a folder is named for one, 'names' where its files are, else ''."""
        name = PurePosixPath(path).name
        originals = [n for n in folder.files if not self.entries[n].copy]
        if not originals:
            return ""
        stems = [PurePosixPath(self.entries[n].path).stem for n in originals]
        numbers = Counter(n for stem in stems for n in own_numbers(stem, self.tables)[:1])
        words = Counter(w for stem in stems if (w := words_left(stem, self.tables)))
        several = len(words) > 1 and sum(words.values()) > 0.7 * len(stems)
        repeated = sum(count > 1 for count in words.values()) > 1
        if len(numbers) > 1 and sum(numbers.values()) > 0.6 * len(stems):
            return "names"
        if is_general_folder(name, self.tables) or not words_left(name, self.tables):
            return "names" if several else ""
        if several and repeated and not _share_words(name, words, self.tables):
            return "names"
        return "piece" if len(originals) <= MOST_OF_A_PIECE else ""

    def _letters(self) -> Counter[str]:
        """How often letters stand before numbers."""
        letters: Counter[str] = Counter()
        for entry in self.entries:
            path = PurePosixPath(entry.path)
            for text in (path.stem, *path.parts[:-1]):
                letters.update(n.split()[0] for n in own_numbers(text, self.tables) if " " in n)
        return letters

    def _numbers(self, text: str) -> list[str]:
        """Own numbers; letters that stand joined before a number once in a large tree, where others
        are usual, are no dealer's ('bee384')."""
        seldom = 2 if self.letters else 1
        return [
            n
            for n in own_numbers(text, self.tables)
            if " " not in n
            or self.counted[n.split()[0]] >= seldom
            or n.replace(" ", "") not in folded(text)
        ]

    def _full(self, number: str) -> str:
        return f"{self.letters} {number}" if self.letters and " " not in number else number

    def _namesakes(self) -> dict[int, int]:
        """Pictures that no other was found to be, although their names say they are copies, with
        the one picture elsewhere that has the name ('to print/Copy of blue jar.jpg')."""
        by_name: dict[str, set[int]] = defaultdict(set)
        called: dict[int, str] = {}
        alone = Counter(entry.picture for entry in self.entries)
        for number, entry in enumerate(self.entries):
            path = PurePosixPath(entry.path)
            stem, worked = plain_stem(path.stem, self.tables)
            within = self.folders[str(path.parent)]
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
        for members in silent:
            first = min(members, key=lambda n: (self.entries[n].copy, self.entries[n].path))
            series[str(PurePosixPath(self.entries[first].path).parent)].append(
                [first, *(m for m in members if m != first)]
            )
        found: list[tuple[Label, list[int]]] = []
        for folder, pictures in series.items():
            shots = [self._shot(members[0]) for members in pictures]
            for number, run in enumerate(part(shots)):
                members = [m for n in run.places for m in pictures[n]]
                key = f"series {folder}\n{shots[run.places[0]].name}"
                found.append((Label(4, key, run.certainty, run.because), members))
                if run.thin and number:
                    before = pictures[run.before][0]
                    self.thin.append(Thin((before, members[0]), run.thin))
        return found

    def _shot(self, number: int) -> Shot:
        entry = self.entries[number]
        stem, _ = plain_stem(PurePosixPath(entry.path).stem, self.tables)
        return Shot(stem, entry.moment, entry.camera, entry.look)


def _share_words(name: str, words: Counter[str], tables: Tables) -> bool:
    """Whether the names of files have the words of their folder."""
    own = set(words_left(name, tables).split())
    return any(own & set(word.split()) for word in words)


_ORDER = tuple(Certainty)
