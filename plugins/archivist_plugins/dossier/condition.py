"""Condition as the record tells it: damage first, and how it was made apart from all of it.

Every observation stands in the words in which it was made; nothing is summed up, weighed or put
more gently. Unknown, absent and not recorded stay three things.
"""

from __future__ import annotations

from typing import Any

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Certainty, Observation, ObservationKind, Presence, Presentness
from archivist.wording.note_topics import CONDITION, topic_of
from archivist_plugins.dossier.not_given import more_shown, none_shown

GROUPS: tuple[tuple[ObservationKind, str, str], ...] = (
    (ObservationKind.DAMAGE, "Damage", ""),
    (ObservationKind.REPAIR, "Repairs", ""),
    (ObservationKind.ALTERATION, "Alterations", "Changed since it was made."),
    (ObservationKind.RESIDUE, "Residues", ""),
    (ObservationKind.WEAR, "Wear", ""),
    (ObservationKind.UNDETERMINED, "Seen, cause not determined", ""),
    (ObservationKind.MAKING, "From the making", "How it was made; this is no damage."),
)
"""Kinds in the order in which they are told, what stands over each, and a word of explanation."""

NOTHING_RECORDED = (
    "No observation of its condition is recorded. That does not say that the piece is sound."
)


def condition(piece: Piece) -> dict[str, Any]:
    """The `groups`, each with a `heading`, a `note` and `lines`; else `none` says that."""
    groups = [
        _group(heading, note, [_told(piece, o) for o in seen(piece) if o.kind is kind])
        for kind, heading, note in GROUPS
    ]
    groups.insert(3, _group("Parts missing or replaced", "", _parts(piece)))
    groups.append(_group("As it was written", "Word for word.", _written(piece)))
    groups.append(_group("Looked for and not found", "", _of_presence(piece, Presence.ABSENT)))
    groups.append(_group("Looked for and not decided", "", _of_presence(piece, Presence.UNKNOWN)))
    groups.append(
        _group(
            "Said once and rejected",
            "",
            [
                wording.with_caveats(piece, wording.observation_shown(o), o)
                for o in piece.record.observations
                if o.certainty is Certainty.REJECTED
            ],
        )
    )
    told = [group for group in groups if group["lines"]]
    return {
        "groups": told,
        "none": ""
        if told
        else none_shown(piece, "its condition", ("observations",), NOTHING_RECORDED),
        "more": more_shown(piece, ("observations",)) if told else "",
    }


def _written(piece: Piece) -> list[str]:
    """What was written of condition, of which an observation may hold less."""
    return [
        wording.with_caveats(piece, " ".join(note.as_stated.split()), note)
        for note in piece.record.notes
        if topic_of(note) == CONDITION and note.certainty is not Certainty.REJECTED
    ]


def seen(piece: Piece) -> list[Observation]:
    """What was seen and stands; not what was looked for, nor what was rejected."""
    return [
        o
        for o in piece.record.observations
        if o.presence is Presence.PRESENT and o.certainty is not Certainty.REJECTED
    ]


def _of_presence(piece: Piece, presence: Presence) -> list[str]:
    return [
        f"{o.kind.value}: {_told(piece, o)}"
        for o in piece.record.observations
        if o.presence is presence and o.certainty is not Certainty.REJECTED
    ]


def _told(piece: Piece, observation: Observation) -> str:
    return wording.with_caveats(piece, wording.observation_shown(observation), observation)


def _parts(piece: Piece) -> list[str]:
    composition = piece.record.composition
    return [
        wording.with_caveats(piece, wording.part_shown(part), part)
        for part in (composition.parts if composition else ())
        if part.state is not Presentness.PRESENT and part.certainty is not Certainty.REJECTED
    ]


def _group(heading: str, note: str, lines: list[str]) -> dict[str, Any]:
    return {"heading": heading, "note": note, "lines": lines}
