"""What names, keywords and captions of a file say it shows: which records, and which view."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

from archivist.catalogue.numbers import tokens
from archivist.intake.evidence import Evidence, Ground
from archivist.intake.files import SurveyedFile
from archivist.intake.pictures.names import runs, words_of
from archivist.intake.pictures.sequences import Shot
from archivist.intake.rules.folders import says_a_piece
from archivist.intake.rules.sessions import Sessions
from archivist.intake.stock_numbers import Claim, NumberIndex
from archivist.intake.views import CLOSEST_FIRST, Seen, view_called, view_in
from archivist.model import Certainty, ObjectRecord, least_sure
from archivist.reading.tables import Tables

LONGEST_VIEW_FOLDER = 2
"""Words that a folder's name may have to be taken for the view of all that is in it."""

LONGEST_VIEW_CAPTION = 6
"""Words that a caption may have to be taken for what the picture shows: a longer one tells of the
piece, whose hairline need not be what is seen."""

MOST_RUNS_BARE, MOST_RUNS_WORDED, MOST_RUNS_WHOLE = 1, 3, 8
"""Times that a piece may have been taken up again in one folder named by a number: by figures
alone, by figures with words of a piece, by the whole number. Our judgement, no source."""


@dataclass(frozen=True)
class Pieces:
    """The records that words name; `group` says that the picture shows them all, and `open` lists
    records of which one is meant, where the words do not say which."""

    objects: tuple[str, ...] = ()
    open: tuple[str, ...] = ()
    group: bool = False


PieceEvidence = Evidence[Pieces]


class NameReader:
    """Reads the names of files against the stock numbers and titles of records."""

    def __init__(self, records: Iterable[ObjectRecord], root: str, tables: Tables) -> None:
        """`root` is the name of the source itself, the outermost folder."""
        self.records = {record.id: record for record in records}
        self._index = NumberIndex(self.records.values(), tables)
        self.letters = self._index.letters
        self._root = root
        self._tables = tables
        self._refused: dict[str, str] = {}

    def gather(self, files: Sequence[SurveyedFile], shots: Sequence[Shot]) -> None:
        """Looks at what each number in the name of a folder would gather: what was not taken
        together is of many pieces, and then the number is none of a piece.

        `shots` say of each file when it was taken and how it looks.
        """
        below: dict[str, list[int]] = defaultdict(list)
        for place, file in enumerate(files):
            for folder, words in self._folders(file):
                if self._index.claims(words):
                    below[folder].append(place)
                    break
        sessions = Sessions(shots) if below else None
        for folder, places in below.items():
            words = PurePosixPath(folder).name or self._root
            most = self._most_runs(words)
            pictures = list({files[p].facts.sha256: p for p in reversed(places)}.values())
            if sessions is not None and not sessions.belong_together(pictures, most):
                many = sessions.runs(pictures) or len(pictures)
                self._refused[folder] = (
                    f"for the {len(pictures)} pictures in it were taken as of {many} pieces"
                    if sessions.runs(pictures)
                    else f"for {many} pictures without a clock are more than one piece has"
                )

    def pieces(self, file: SurveyedFile) -> list[PieceEvidence]:
        """All that says which records a file shows, the nearest first."""
        path = PurePosixPath(file.found.path)
        places: list[tuple[Ground, str, str, str]] = []
        if file.found.number:
            places.append((Ground.CELL, "number", file.found.number, ""))
        places.append((Ground.FILE_NAME, "name", path.stem, ""))
        places.append((Ground.KEYWORD, "keyword", self._numbers_among(file.keywords), ""))
        places += [(Ground.CAPTION, "caption", words, "") for words in file.captions]
        places += [(Ground.FOLDER, "folder", words, at) for at, words in self._folders(file)]
        found = []
        for ground, kind, words, folder in places:
            claims = self._index.claims(words) if words else []
            if claims:
                evidence = self._evidence(ground, kind, words, claims, file)
                why = self._refused.get(folder, "") if ground is Ground.FOLDER else ""
                found.append(evidence.refused(why) if why else evidence)
        return found

    def slips(self, file: SurveyedFile) -> tuple[str, ...]:
        """The records of which a file's name, or its folder's, may have a number with a typing
        slip: a letter for a figure, or two characters exchanged."""
        path = PurePosixPath(file.found.path)
        for words in (path.stem, *(words for _, words in self._folders(file))):
            if near := self._index.slips(words):
                return near
        return ()

    def views(self, file: SurveyedFile) -> list[Evidence[Seen]]:
        """All that says which view a file is: a word of its name, a keyword that is nothing but a
        word for a view, a short caption, a folder named as a view."""
        path = PurePosixPath(file.found.path)
        found: list[tuple[Ground, Seen | None]] = [
            (Ground.FILE_NAME, view_in(path.stem, self._tables)),
            (Ground.KEYWORD, self._view_among(file.keywords)),
        ]
        for words in file.captions:
            seen = view_in(words, self._tables)
            if seen is not None and len(words.split()) <= LONGEST_VIEW_CAPTION:
                sure = least_sure(seen.certainty, Certainty.PROBABLE)
                found.append((Ground.CAPTION, replace(seen, certainty=sure)))
        if path.parent.parts and len(path.parent.name.split()) <= LONGEST_VIEW_FOLDER:
            found.append((Ground.FOLDER, view_in(path.parent.name, self._tables)))
        return [
            Evidence(
                subject=file.facts.sha256,
                field="view",
                value=seen,
                ground=ground,
                rule="words of views",
                source=file.found.path,
                certainty=seen.certainty,
                exact=ground in (Ground.FILE_NAME, Ground.KEYWORD),
                reasons=(f"view: '{seen.word}'",),
            )
            for ground, seen in found
            if seen is not None
        ]

    def _folders(self, file: SurveyedFile) -> list[tuple[str, str]]:
        """The folders of a file, the innermost first, and the words of each."""
        path = PurePosixPath(file.found.path)
        return [(str(f), f.name) for f in path.parents if f.name] + [(".", self._root)]

    def _most_runs(self, words: str) -> int:
        claims = self._index.claims(words)
        if any(re.search(r"[^\W\d_]", claim.words) for claim in claims):
            return MOST_RUNS_WHOLE
        worded = says_a_piece(words, self._tables)
        padded = all(claim.words.startswith("0") for claim in claims)
        return MOST_RUNS_WORDED if worded or padded else MOST_RUNS_BARE

    def _numbers_among(self, keywords: tuple[str, ...]) -> str:
        """The keywords that are nothing but a stock number, in a row."""
        numbers = [
            words
            for words in keywords
            if len(claims := self._index.claims(words)) == 1
            and claims[0].first == 0
            and claims[0].end == len(tokens(words))
        ]
        return "; ".join(numbers)

    def _view_among(self, keywords: tuple[str, ...]) -> Seen | None:
        """The view of the keywords that are nothing but a word for one; of several the closest."""
        views = [seen for words in keywords if (seen := view_called(words, self._tables))]
        if not views:
            return None
        closest = min(views, key=lambda seen: CLOSEST_FIRST.index(seen.view))
        alike = len({seen.view for seen in views}) == 1
        return closest if alike else replace(closest, certainty=Certainty.PROBABLE)

    def _evidence(
        self, ground: Ground, kind: str, words: str, claims: Sequence[Claim], file: SurveyedFile
    ) -> PieceEvidence:
        """What the claims of one name come to."""
        because = f"{kind} '{words[:60]}' has {', '.join(dict.fromkeys(c.words for c in claims))}"
        certainty = least_sure(*(claim.certainty for claim in claims))
        before = words[: tokens(words)[claims[0].first].start]
        if ground is Ground.CAPTION and re.search(r"[^\W\d_]", before):
            certainty = least_sure(certainty, Certainty.PROBABLE)  # prose, that may tell of others
        exact = certainty is Certainty.CERTAIN
        settled: list[str] = []
        undecided: tuple[str, ...] = ()
        for objects in dict.fromkeys(claim.objects for claim in claims):
            chosen = objects[0] if len(objects) == 1 else self._told_apart(objects, file)
            if not chosen:
                undecided = undecided or objects
                continue
            if len(objects) > 1:
                certainty = least_sure(certainty, Certainty.PROBABLE)
                because += f", and words of '{self.records[chosen].title}'"
            settled.append(chosen)
        several = tuple(dict.fromkeys(settled))
        value = Pieces(several, undecided)
        if len(several) > 1 and ground is Ground.FOLDER:
            value = Pieces(open=several)
        elif len(several) > 1:
            certainty = least_sure(certainty, Certainty.PROBABLE)
            value = Pieces(several, undecided, group=True)
        return Evidence(
            subject=file.facts.sha256,
            field="piece",
            value=value,
            ground=ground,
            rule="stock numbers",
            source=file.found.path,
            certainty=certainty,
            exact=exact,
            reasons=(because,),
            against="for it is compared with that piece" if self._compares(before) else "",
        )

    def _compares(self, before: str) -> bool:
        """Whether words that stand before a number compare with the piece of that number."""
        plain = " ".join(runs(before))
        return any(
            plain == word or plain.endswith(f" {word}")
            for word in words_of(self._tables, "comparison word")
            | words_of(self._tables, "likened word")
        )

    def _told_apart(self, objects: tuple[str, ...], file: SurveyedFile) -> str:
        """Of records with one number, the one whose title alone has words of the file's names."""
        words = set(re.split(r"[\W_]+", file.found.path.casefold()))
        words |= {word for caption in file.captions for word in caption.casefold().split()}
        titles = {object_id: _title_words(self.records[object_id].title) for object_id in objects}
        common = set.intersection(*titles.values())
        scores = {object_id: len(words & (title - common)) for object_id, title in titles.items()}
        first, second = sorted(scores, key=lambda object_id: -scores[object_id])[:2]
        return first if scores[first] > scores[second] else ""


def _title_words(title: str) -> set[str]:
    return {word.strip(".,;:()") for word in title.casefold().split() if len(word) > 3}
