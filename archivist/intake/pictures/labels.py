"""What the names of a file and its folders say of the piece that it shows.

What people wrote counts by rank: a record, a number, a folder named for a piece, words of a name.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from archivist.intake.pictures.look import Look
from archivist.intake.pictures.names import folded, own_numbers, words_left
from archivist.intake.rules.folders import says_a_piece, says_nothing_of_a_piece
from archivist.intake.rules.sessions import Sessions
from archivist.model import Certainty
from archivist.reading.tables import Tables

MOST_OF_A_PIECE = 40
"""Photographs in a folder beyond which its name is hardly that of one piece."""

MOST_RUNS, MOST_RUNS_WHOLE = 3, 8
"""Times that a piece called by words of the trade, or by a number that names alone make one, may
have been taken up again; the same by a number with the letters of the owner's book."""

FEWEST_OF_ANOTHER = 3
"""Numbers that must have letters in common which the owner's book does not know."""

GROUP_WORDS_NUMBERS = 2
"""Own numbers in the name of one file from which on it is a group photograph."""

STATED, OF_A_FOLDER = 1, 2
"""The ranks of labels up to which a copy's name speaks for the picture as the original's does
(records and numbers), and up to which it speaks where no original's does (folders of a piece)."""


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


@dataclass(frozen=True)
class Label:
    """What a name says a file belongs to: a rank (0 the strongest), a key, how sure, and why;
    `most_runs` is how many times what it gathers may have been taken up again (0: any)."""

    rank: int
    key: str
    certainty: Certainty
    because: str
    objects: tuple[str, ...] = ()
    several: bool = False
    most_runs: int = 0


@dataclass
class NamedFolder:
    """What is in one folder, and whether it is named for a piece."""

    files: list[int] = field(default_factory=list)
    kind: str = ""


class Labels:
    """The labels of files, which depend on what the other files are called."""

    def __init__(
        self,
        entries: Sequence[Entry],
        tables: Tables,
        letters: Collection[str] = (),
        sessions: Sessions | None = None,
    ) -> None:
        self.entries = entries
        self.tables = tables
        self.book = frozenset(letters)
        self.sessions = sessions or Sessions([])
        self.several_numbers: list[PurePosixPath] = []
        """Folders met whose names hold several numbers, and hence decide nothing."""
        self.folders: dict[str, NamedFolder] = defaultdict(NamedFolder)
        for number, entry in enumerate(entries):
            self.folders[str(PurePosixPath(entry.path).parent)].files.append(number)
        for path, folder in self.folders.items():
            folder.kind = self._kind(path, folder)
        self.counted = self._letters()
        usual = self.counted.most_common(1)
        enough = bool(usual) and usual[0][1] > 0.7 * self.counted.total()
        self.letters = usual[0][0] if enough else ""
        """The letters before most numbers: a number without them is taken to be one of these."""

    def of_file(self, number: int) -> Label | None:
        """The strongest label of a file; None where no name says anything."""
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
        return Label(1, f"number {numbers[0]}", sure, because, most_runs=self._most(numbers[0]))

    def _of_folder(self, path: PurePosixPath, copy: bool) -> Label | None:
        """By the folders, from the innermost; one named for a view or in general says nothing."""
        for folder in path.parents:
            name = folder.name
            if not name:
                break
            numbers = [self._full(n) for n in self._numbers(name) if " " in self._full(n)]
            if len(numbers) > 1:
                self.several_numbers.append(folder)
                break
            if numbers:
                because = f"folder '{name}' has {numbers[0]}"
                most = self._most(numbers[0])
                return Label(1, f"number {numbers[0]}", Certainty.CERTAIN, because, most_runs=most)
            kind = self.folders[str(folder)].kind if str(folder) in self.folders else ""
            if kind == "piece":
                because = f"they lie in the folder '{name}'"
                return Label(2, f"folder {folder}", Certainty.PROBABLE, because)
            if kind == "names" or (kind == "" and words_left(name, self.tables) and
                                   not says_nothing_of_a_piece(name, self.tables)
                                   and folder != path.parent):  # fmt: skip
                break
        words = words_left(path.stem, self.tables, copy=copy)
        if words:
            because = f"their names begin '{words}'"
            most = MOST_RUNS if says_a_piece(words, self.tables) else 1
            key = f"words {path.parent}\n{words}"
            return Label(3, key, Certainty.PROBABLE, because, most_runs=most)
        return None

    def _kind(self, path: str, folder: NamedFolder) -> str:
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
        if says_nothing_of_a_piece(name, self.tables) or not words_left(name, self.tables):
            return "names" if several else ""
        if several and repeated and not _share_words(name, words, self.tables):
            return "names"
        most = MOST_RUNS if says_a_piece(name, self.tables) else 1
        together = self.sessions.belong_together(originals, most)
        return "piece" if together and len(originals) <= MOST_OF_A_PIECE else ""

    def _letters(self) -> Counter[str]:
        """Before how many different numbers letters stand."""
        texts = {
            text
            for entry in self.entries
            for text in (PurePosixPath(entry.path).stem, *PurePosixPath(entry.path).parts[:-1])
        }
        numbers = {n for text in texts for n in own_numbers(text, self.tables) if " " in n}
        return Counter(n.split()[0] for n in numbers)

    def _numbers(self, text: str) -> list[str]:
        """Own numbers; letters that stand joined before a number once in a large tree, where others
        are usual, are no dealer's ('bee384')."""
        seldom = FEWEST_OF_ANOTHER if self.book else 2 if self.letters else 1
        return [
            n
            for n in own_numbers(text, self.tables)
            if " " not in n
            or n.split()[0] in self.book
            or self.counted[n.split()[0]] >= seldom
            or (not self.book and n.replace(" ", "") not in folded(text))
        ]

    def _most(self, number: str) -> int:
        """How many times the piece of a number may have been taken up again."""
        return MOST_RUNS_WHOLE if number.split()[0] in self.book else MOST_RUNS

    def _full(self, number: str) -> str:
        return f"{self.letters} {number}" if self.letters and " " not in number else number


def _share_words(name: str, words: Counter[str], tables: Tables) -> bool:
    """Whether the names of files have the words of their folder."""
    own = set(words_left(name, tables).split())
    return any(own & set(word.split()) for word in words)
