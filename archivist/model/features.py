"""What a piece is like: its form, ware, material, technique, glaze, colour, decoration."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement, Term


class FeatureAspect(StrEnum):
    FORM = "form"
    WARE = "ware"
    MATERIAL = "material"
    TECHNIQUE = "technique"
    GLAZE = "glaze"
    COLOUR = "colour"
    DECORATION = "decoration"
    SUBJECT = "subject"


class Feature(Statement, frozen=True, kw_only=True):
    """What the piece is like: its form, ware, material, technique, glaze, colour, decoration.

    `part` names the part that is like it ('mounts', 'stand'), empty for the piece itself.
    """

    aspect: FeatureAspect
    term: Term
    part: str = ""
