"""What the study of photographs leaves to a person: new records, and clocks that were wrong."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Mapping, Sequence

import msgspec

from archivist.intake.drafts import lasting_id
from archivist.intake.pictures.findings import Group
from archivist.intake.pictures.studied import PictureStudy
from archivist.intake.pictures.taken import CAMERA, put_right, told_offset
from archivist.intake.proposal import (
    AnyItem,
    Asked,
    Choice,
    CreateObject,
    LinkPhotograph,
    TellPhotograph,
)
from archivist.intake.rules.clocks import WrongClock
from archivist.model import Certainty, Depiction, ObjectRecord, Source, Title, View

_NEW_RECORDS, _CLOCK = "new records\n", "clock\n"
"""How the keys of the two kinds of questions begin."""

SHOWN = 3
"""Groups or files that are named in a question about many."""

Unknown = Sequence[tuple[Group, tuple[str, ...]]]


def new_records(
    unknown: Unknown, studies: Mapping[str, PictureStudy], source: str, archive_id: str
) -> list[Asked]:
    """Whether to make a record of each group that shows no known piece: one question for the
    groups that names speak of, one for those that only clock and look make."""
    stated = [(g, d) for g, d in unknown if not g.key.startswith("series ")]
    rows = [(g, d) for g, d in unknown if g.key.startswith("series ")]
    asked = []
    for what, groups in (("by their names", stated), ("by time and look only", rows)):
        if not groups:
            continue
        keys = "\n".join(sorted(digest for _, digests in groups for digest in digests))
        digest = hashlib.sha256(keys.encode("utf-8")).hexdigest()
        items: list[AnyItem] = []
        for group, digests in groups:
            items += _record(group, digests, studies, source, archive_id)
        one = len(groups) == 1
        named = "; ".join(_called(group) for group, _ in groups[:SHOWN])
        more = f"; and {len(groups) - SHOWN} more" if len(groups) > SHOWN else ""
        asked.append(
            Asked(
                key=f"{_NEW_RECORDS}{digest}",
                source="",
                asks=(
                    f"One group of photographs, told {what}, shows no piece that has a record. "
                    "Make a record of it?"
                    if one
                    else f"{len(groups)} groups of photographs, told {what}, show no piece that "
                    "has a record. Make a record of each?"
                ),
                about=named + more,
                choices=(
                    Choice(answer="yes, of it" if one else "yes, of each", items=tuple(items)),
                    Choice(answer="no, keep the photographs unassigned"),
                ),
            )
        )
    return asked


def is_of_new_records(question: Asked) -> bool:
    """Whether a question is whether groups of photographs become records."""
    return question.key.startswith(_NEW_RECORDS)


def is_of_clock(question: Asked) -> bool:
    """Whether a question is whether a camera's clock was wrong."""
    return question.key.startswith(_CLOCK)


def without_photographs(question: Asked, said: Collection[str]) -> Asked:
    """A question of new records or a clock without the photographs (by UUID) of which a person has
    spoken since; a record that no photograph is left of is not made."""
    choices = []
    for choice in question.choices:
        kept = [i for i in choice.items if getattr(i, "photograph", "") not in said]
        left = {d.object for i in kept if isinstance(i, LinkPhotograph) for d in i.depictions}
        items = tuple(i for i in kept if not isinstance(i, CreateObject) or i.record.id in left)
        choices.append(msgspec.structs.replace(choice, items=items))
    items = choices[0].items
    records = sum(isinstance(item, CreateObject) for item in items)
    asks = question.asks
    if is_of_new_records(question):
        asks = re.sub(r"^\d+ groups?", f"{records} group{'s' * (records != 1)}", asks)
    else:
        asks = re.sub(r"\d+ photographs", f"{len(items)} photographs", asks, count=1)
    told = (i for i in items if isinstance(i, LinkPhotograph | TellPhotograph))
    paths = list(dict.fromkeys(item.path for item in told))
    more = f"; and {len(paths) - SHOWN} more" if len(paths) > SHOWN else ""
    about = "; ".join(paths[:SHOWN]) + more
    return msgspec.structs.replace(question, asks=asks, about=about, choices=tuple(choices))


def _called(group: Group) -> str:
    return (
        f"{group.paths[0]} and {len(group.paths) - 1} more" if group.paths[1:] else group.paths[0]
    )


def _record(
    group: Group,
    digests: Sequence[str],
    studies: Mapping[str, PictureStudy],
    source: str,
    archive_id: str,
) -> list[AnyItem]:
    """A record with what names say of the piece, and its photographs."""
    object_id = lasting_id(archive_id, "piece of photographs", f"{source}\n{group.key}")
    number, title = _words(group)
    place = Source(source=source, place=group.paths[0])
    titles = (Title(value=title, as_stated=title, source=place),) if title else ()
    record = ObjectRecord(id=object_id, stock_number=number, titles=titles)
    items: list[AnyItem] = [
        CreateObject(
            accept=True,
            key=f"{source}\n{group.key}",
            source=source,
            certainty=group.certainty,
            reasons=group.reasons,
            record=record,
        )
    ]
    for digest in digests:
        seen = studies[digest].seen
        items.append(
            LinkPhotograph(
                accept=True,
                key=f"{digest}\n{object_id}",
                source=source,
                path=group.paths[0],
                photograph=lasting_id(archive_id, "photograph", digest),
                depictions=(
                    Depiction(
                        object=object_id,
                        view=seen.view if seen else View.UNKNOWN,
                        certainty=group.certainty,
                        source=place,
                    ),
                ),
            )
        )
    return items


def _words(group: Group) -> tuple[str, str]:
    """The stock number and the title that a group's key holds."""
    kind, _, rest = group.key.partition(" ")
    if kind == "number":
        return rest.upper(), ""
    if kind == "folder":
        return "", rest.rpartition("/")[2]
    if kind == "words":
        return "", rest.rpartition("\n")[2]
    first = group.paths[0]
    return "", f"the piece of {first.rpartition('/')[2]}"


def wrong_clock(
    clock: WrongClock,
    digests: Sequence[str],
    paths: Mapping[str, str],
    studies: Mapping[str, PictureStudy],
    source: str,
    archive_id: str,
) -> Asked:
    """By how much a camera's clock was wrong, asked once for all its photographs."""
    items: list[AnyItem] = []
    for digest in digests:
        taken = next(
            (t for t in studies[digest].told.taken if t.witness in CAMERA and "T" in t.date.edtf),
            None,
        )
        if taken is not None:
            items.append(
                TellPhotograph(
                    accept=True,
                    key=f"{digest}\nclock {int(clock.offset.total_seconds())}",
                    source=source,
                    certainty=Certainty.PROBABLE if clock.exact else Certainty.POSSIBLE,
                    path=paths[digest],
                    photograph=lasting_id(archive_id, "photograph", digest),
                    taken=(
                        msgspec.structs.replace(
                            put_right(taken, clock.offset),
                            source=Source(source=source, place="answered in the review"),
                        ),
                    ),
                )
            )
    named = ", ".join(paths[digest] for digest in digests[:SHOWN])
    more = f" and {len(digests) - SHOWN} more" if len(digests) > SHOWN else ""
    about = "about " if not clock.exact else ""
    return Asked(
        key=f"{_CLOCK}{clock.camera}\n{hashlib.sha256(chr(10).join(sorted(digests)).encode()).hexdigest()}",
        source="",
        asks=(
            f"The clock of the camera {clock.camera or 'of unknown name'} was wrong in "
            f"{len(digests)} photographs, as the {clock.ground} says: {about}"
            f"{told_offset(clock.offset)}. Put it right by that in all of them?"
        ),
        about=named + more,
        choices=(
            Choice(answer=f"yes, by {told_offset(clock.offset)}", items=tuple(items)),
            Choice(answer="no, the clock was right"),
        ),
    )
