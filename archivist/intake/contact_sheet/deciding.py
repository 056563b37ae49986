"""What a row of a list says of a photograph, as depictions that take the place of guesses."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

import msgspec

from archivist.intake.audiences import Audiences
from archivist.intake.contact_sheet.clocks import stated_time
from archivist.intake.contact_sheet.layout import HEADINGS, Part
from archivist.intake.contact_sheet.pieces import Meant, Pieces
from archivist.intake.contact_sheet.places import KnownPhotograph, Photographs
from archivist.intake.contact_sheet.reading import RowSaid, is_no
from archivist.intake.contact_sheet.regions import region_on
from archivist.intake.contact_sheet.reviewing import says_the_same
from archivist.intake.pictures.taken import CAMERA, put_right
from archivist.intake.views import view_in
from archivist.model import Certainty, Depiction, Photograph, Region, Source, TakenAt, View
from archivist.reading.tables import Tables

_PLACED = re.compile(
    r"(?:(?P<piece>[^=:;/\n]*?)\s*[=:]\s*)?"
    r"(?P<x>\d+)\s*[,;x ]\s*(?P<y>\d+)\s*[,;x ]\s*(?P<w>\d+)\s*[,;x ]\s*(?P<h>\d+)"
)


@dataclass
class Decision:
    """What a row comes to: depictions that change something, when it was taken, what it is a copy
    of ('' of none), what could not be understood, and pieces of which the words do not say which
    is meant."""

    depictions: tuple[Depiction, ...] = ()
    taken: TakenAt | None = None
    copy_of: str | None = None
    doubts: list[str] = field(default_factory=list)
    open: list[Meant] = field(default_factory=list)
    view: View | None = None

    @property
    def says_something(self) -> bool:
        """Whether anything of the photograph would change."""
        return bool(self.depictions or self.taken is not None or self.copy_of is not None)


class Decider:
    """Reads rows against what is known of photographs and pieces."""

    def __init__(
        self,
        pieces: Pieces,
        tables: Tables,
        audiences: Audiences,
        photographs: Photographs | None = None,
    ) -> None:
        """`photographs` are those of which one may be said to be a copy."""
        self.pieces = pieces
        self.tables = tables
        self.photographs = photographs or Photographs()
        self.audiences = audiences

    def decide(self, said: RowSaid, known: KnownPhotograph, source: str = "") -> Decision:
        """The depictions of `known` that the row changes; `source` is the list's UUID.

        Only who names the view, or says that the photograph shows what is held of it, has reviewed
        it: a caption, a place, a piece or an audience is said of what nobody need have looked at.
        """
        decision = Decision()
        origin = Source(source=source, row=said.key, place=said.place)
        decision.taken = _time(said, known.photograph, origin, decision.doubts)
        decision.copy_of = self._copy(said, known.photograph, decision.doubts)
        if not said.is_of_pieces:
            return decision
        shown = {
            d.object: d
            for d in reversed(known.depictions)
            if d.certainty is not Certainty.REJECTED and d.object in self.pieces.records
        }
        targets = self._targets(said, shown, decision)
        if targets is None:
            return decision
        views = self._views(said, targets, decision)
        regions = self._regions(said, targets, known.photograph, decision)
        captions = self._by_piece(said.caption, targets) if said.caption is not None else {}
        audiences = self._audiences(said, targets, decision)
        seen = self._seen_before(said, shown)
        refused = said.shows is not None and is_no(said.shows)
        confirmed = bool(said.shows and said.shows.strip())

        def sure(old: Depiction, viewed: bool) -> Certainty:
            """As sure as before, where neither piece nor view was spoken of."""
            spoken = said.piece is not None or confirmed or viewed
            return Certainty.CERTAIN if spoken else old.certainty

        changed = []
        for target in targets:
            old = shown.get(target) or Depiction(object=target, view=seen)
            new = msgspec.structs.replace(
                old,
                view=views.get(target, old.view),
                region=regions.get(target, old.region),
                caption=captions.get(target, old.caption),
                certainty=Certainty.REJECTED if refused else sure(old, target in views),
                reviewed=old.reviewed or confirmed or target in views,
                **audiences.get(target, {}),
            )
            if target not in shown or not says_the_same(new, old):
                words = said.view or said.piece or said.region or old.as_stated
                changed.append(msgspec.structs.replace(new, source=origin, as_stated=words))
        if said.piece is not None:
            changed += [
                msgspec.structs.replace(
                    other, certainty=Certainty.REJECTED, reviewed=True, source=origin
                )
                for object_id, other in shown.items()
                if object_id not in targets
            ]
        decision.depictions = tuple(changed)
        if len(set(views.values())) == 1:
            decision.view = next(iter(views.values()))
        return decision

    def _seen_before(self, said: RowSaid, shown: Mapping[str, Depiction]) -> View:
        """The view that a photograph was held to be of another piece, or of none; it stays when
        only the piece is said anew."""
        views = {depiction.view for depiction in shown.values()}
        if len(views) == 1:
            return views.pop()
        written = said.cells.get(HEADINGS[Part.VIEW], "") if said.own and not views else ""
        return self.view_named(written) or View.UNKNOWN

    def _targets(
        self, said: RowSaid, shown: Mapping[str, Depiction], decision: Decision
    ) -> tuple[str, ...] | None:
        """The pieces that the row is about; None where that is not clear."""
        if said.piece is None:
            return tuple(shown)[::-1]
        meant, unknown = self.pieces.named(said.piece, shown)
        decision.doubts += [f"no piece of the archive is called '{words}'" for words in unknown]
        decision.open = [objects for objects in meant if len(objects) > 1]
        if unknown or decision.open:
            return None
        return tuple(objects[0] for objects in meant)

    def _copy(self, said: RowSaid, photograph: Photograph, doubts: list[str]) -> str | None:
        """The digest of what it is a copy of, '' for none; None where nothing new is said."""
        if said.copy is None:
            return None
        words = said.copy.strip()
        if not names_a_picture(words):
            return "" if photograph.derived_from else None
        found = self.photographs.named(words, words)
        others = [k.photograph.sha256 for k in found if k.photograph.id != photograph.id]
        if len(others) != 1:
            doubts.append(
                f"'{words}' names {len(others) or 'no'} other photographs, so that it is not clear "
                "of which it is a copy"
            )
            return None
        return others[0] if others[0] != photograph.derived_from else None

    def _by_piece(self, words: str, targets: tuple[str, ...]) -> dict[str, str]:
        """'HW 1=this; HW 2=that' by piece; words that name no piece are of all."""
        parts = [part.partition("=") for part in re.split(r"[;\n]", words) if part.strip()]
        if len(targets) > 1 and parts and all(equals for _, equals, _ in parts):
            named = {self.pieces.among(k, targets): v.strip() for k, _, v in parts}
            if all(named):
                return {target: named.get(target, "") for target in targets}
        return dict.fromkeys(targets, words.strip())

    def _views(
        self, said: RowSaid, targets: tuple[str, ...], decision: Decision
    ) -> dict[str, View]:
        if said.view is None:
            return {}
        views: dict[str, View] = {}
        for target, words in (
            self._by_piece(said.view, targets) or {"": said.view.strip()}
        ).items():
            view = self.view_named(words)
            if view is None:
                decision.doubts.append(f"'{words}' names no view; views are {', '.join(View)}")
            else:
                views[target] = view
        return views

    def view_named(self, words: str) -> View | None:
        """The view that words name: by its own name, else by any word for it."""
        plain = words.strip().casefold().replace("-", " ")
        if not plain:
            return View.UNKNOWN
        if plain in set(View):
            return View(plain)
        seen = view_in(words, self.tables)
        return seen.view if seen else None

    def _regions(
        self,
        said: RowSaid,
        targets: tuple[str, ...],
        photograph: Photograph,
        decision: Decision,
    ) -> dict[str, Region | None]:
        """Where on the picture each piece is; an emptied cell says that it fills the picture."""
        if said.region is None:
            return {}
        if not said.region.strip():
            return dict.fromkeys(targets, None)
        regions: dict[str, Region | None] = {}
        found = list(_PLACED.finditer(said.region))
        if not found:
            decision.doubts.append(
                f"'{said.region[:40]}' is no place in a picture: write x,y,width,height in pixels"
            )
        for match in found:
            target = self.pieces.among(match["piece"] or "", targets)
            if not match["piece"] and len(targets) == 1:
                target = targets[0]
            if not target:
                if targets:
                    named = match["piece"] or match[0]
                    decision.doubts.append(f"it is not clear which piece is at '{named}'")
                continue
            region = region_on(photograph, [int(match[k]) for k in "xywh"])
            if region is None:
                size = f"{photograph.width} by {photograph.height}"
                decision.doubts.append(f"'{match[0].strip()}' lies outside the picture of {size}")
            else:
                regions[target] = region
        return regions

    def _audiences(
        self, said: RowSaid, targets: tuple[str, ...], decision: Decision
    ) -> dict[str, dict[str, object]]:
        """Who may see it beyond what the view allows, or that nobody but the owner may."""
        if said.audience is None:
            return {}
        changes: dict[str, dict[str, object]] = {}
        for target, words in self._by_piece(said.audience, targets).items():
            let = self.audiences.named(words)
            if isinstance(let, str):
                decision.doubts.append(let)
            else:
                changes[target] = {"private": let.owner_alone, "released": let.audiences}
        return changes


def names_a_picture(words: str) -> bool:
    """Whether a cell names what a picture is a copy of, rather than that it is none."""
    return bool(words) and not is_no(words) and words not in ("-", "\u2013", "\u2014")


def _time(
    said: RowSaid, photograph: Photograph, origin: Source, doubts: list[str]
) -> TakenAt | None:
    """When it was taken by a person's word, of itself or of its camera's clock; None where nothing
    new is said."""
    if said.taken is not None:
        stated = stated_time(said.taken)
        if stated is None:
            doubts.append(
                f"'{said.taken}' is no time: write 2009-03-14, 2009-03-14 10:11, 2009-03 or 2009"
            )
            return None
        return _new(msgspec.structs.replace(stated, source=origin), photograph)
    if said.put_right is None:
        return None
    clock = next((t for t in photograph.taken if t.witness in CAMERA and "T" in t.date.edtf), None)
    if clock is None:
        doubts.append("its camera's time is not known, so that it cannot be put right")
        return None
    right = put_right(clock, datetime.timedelta(seconds=said.put_right))
    return _new(
        msgspec.structs.replace(right, certainty=Certainty.CERTAIN, source=origin), photograph
    )


def _new(taken: TakenAt, photograph: Photograph) -> TakenAt | None:
    """The time, unless a person has said that very time before."""
    known = next((t for t in photograph.taken if t.preferred and t.source is not None), None)
    return None if known is not None and known.date == taken.date else taken
