"""What the names and captions of a file say it shows: which records, and which view."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from archivist.hooks import FoundFile
from archivist.imaging.probe import Probe
from archivist.intake.proposal import FileFacts
from archivist.intake.stock_numbers import Claim, NumberIndex, tokens
from archivist.intake.views import CLOSEST_FIRST, Seen, view_called, view_in
from archivist.model import Certainty, ObjectRecord
from archivist.reading.tables import Tables

ORDER = tuple(Certainty)
"""The degrees of certainty, the surest first."""

LONGEST_VIEW_FOLDER = 2
"""Words that a folder's name may have to be taken for the view of all that is in it."""


LONGEST_VIEW_CAPTION = 6
"""Words that a caption may have to be taken for what the picture shows: a longer one tells of the
piece, whose hairline need not be what is seen."""


@dataclass(frozen=True)
class SurveyedFile:
    """A file, the digest of its bytes, the words that came with it, beside it and in it, and what
    it says of itself; the keywords in it apart, as many of these need not be of the picture."""

    found: FoundFile
    facts: FileFacts
    path: Path
    captions: tuple[str, ...] = ()
    described: Probe | None = None
    keywords: tuple[str, ...] = ()


@dataclass(frozen=True)
class Shown:
    """The records that names point to, how sure, which words, and what they leave open.

    `open` lists records of which one is meant, and the words do not say which; `group` says that
    the picture shows them all.
    """

    objects: tuple[str, ...] = ()
    certainty: Certainty = Certainty.CERTAIN
    because: str = ""
    open: tuple[str, ...] = ()
    group: bool = False


def least_sure(*certainties: Certainty) -> Certainty:
    """The least sure of several degrees."""
    return max(certainties, key=ORDER.index)


class NameReader:
    """Reads the names of files against the stock numbers and titles of records."""

    def __init__(self, records: Iterable[ObjectRecord], root: str, tables: Tables) -> None:
        """`root` is the name of the source itself, the outermost folder."""
        self.records = {record.id: record for record in records}
        self._index = NumberIndex(self.records.values(), tables)
        self._root = root
        self._tables = tables

    def shown(self, file: SurveyedFile) -> Shown:
        """The records that names point to: the number that a reader knows, the file's own name,
        keywords that are stock numbers, its captions, then its folders."""
        path = PurePosixPath(file.found.path)
        places = [("number", file.found.number)] if file.found.number else []
        places += [("name", path.stem), ("keyword", self._numbers_among(file.keywords))]
        places += [("caption", words) for words in file.captions]
        places += [("folder", part) for part in (*reversed(path.parts[:-1]), self._root)]
        for kind, words in places:
            claims = self._index.claims(words)
            if claims:
                return self._settled(kind, words, claims, file)
        return Shown()

    def seen(self, file: SurveyedFile) -> Seen | None:
        """The view by the words of the name, else by a keyword that is nothing but a word for a
        view, else by captions, else by a folder named as a view."""
        path = PurePosixPath(file.found.path)
        seen = view_in(path.stem, self._tables)
        if seen is not None:
            return seen
        seen = self._view_among(file.keywords)
        if seen is not None:
            return seen
        for words in file.captions:
            seen = view_in(words, self._tables)
            if seen is not None and len(words.split()) <= LONGEST_VIEW_CAPTION:
                sure = least_sure(seen.certainty, Certainty.PROBABLE)
                return Seen(seen.view, sure, seen.word)
        if path.parent.parts and len(path.parent.name.split()) <= LONGEST_VIEW_FOLDER:
            return view_in(path.parent.name, self._tables)
        return None

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

    def _settled(self, kind: str, words: str, claims: list[Claim], file: SurveyedFile) -> Shown:
        """What the claims of one name come to."""
        because = f"{kind} '{words[:60]}' has {', '.join(dict.fromkeys(c.words for c in claims))}"
        certainty = least_sure(*(claim.certainty for claim in claims))
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
        if len(several) > 1 and kind == "folder":
            return Shown(because=because, open=several)
        if len(several) > 1:
            sure = least_sure(certainty, Certainty.PROBABLE)
            return Shown(several, sure, because, undecided, group=True)
        return Shown(several, certainty, because, undecided)

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
