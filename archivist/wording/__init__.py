"""What the model holds, told in plain words: the same words on every screen and in every format.

Every format that people read says the same thing in the same words. Nothing is sharpened, nothing
that is doubtful is said without its doubt, and a mark is never turned into a date. All functions
are pure: from values to text.

- `plain`, `caveats`: words put together, and who says it, how sure
- `dates`, `sizes`, `pieces`: one value; all of these may be had from here
- `facts` tells a whole piece, as headed lines in a fixed order
- `colours` names a colour, `note_topics` says what a note is about
"""

from archivist.wording.caveats import caveats, doubt, how_said, party_name, with_caveats
from archivist.wording.dates import date_shown, year_shown, years_shown
from archivist.wording.pieces import (
    MARK_WORDS,
    RELATION_WORDS,
    attribution_shown,
    citation_shown,
    composition_shown,
    event_shown,
    mark_shown,
    observation_shown,
    part_shown,
    relation_shown,
    taken_shown,
    term_shown,
)
from archivist.wording.plain import language_tag, listed, quoted, with_words
from archivist.wording.sizes import (
    CONVERSIONS,
    converted,
    measurement_shown,
    resolution,
    size_shown,
)

__all__ = [
    "CONVERSIONS",
    "MARK_WORDS",
    "RELATION_WORDS",
    "attribution_shown",
    "caveats",
    "citation_shown",
    "composition_shown",
    "converted",
    "date_shown",
    "doubt",
    "event_shown",
    "how_said",
    "language_tag",
    "listed",
    "mark_shown",
    "measurement_shown",
    "observation_shown",
    "part_shown",
    "party_name",
    "quoted",
    "relation_shown",
    "resolution",
    "size_shown",
    "taken_shown",
    "term_shown",
    "with_caveats",
    "with_words",
    "year_shown",
    "years_shown",
]
