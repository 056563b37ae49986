"""What is doubtful is not said without its doubt."""

from __future__ import annotations

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Certainty,
    Statement,
)
from archivist.testing import BOWL, FARMHOUSE

PIECE = Piece(record=BOWL, photographs=(), parties=(FARMHOUSE,), slug="bowl", uri="https://x/1")


def test_doubt_ground_and_speaker_follow_in_brackets() -> None:
    statement = Statement(
        certainty=Certainty.POSSIBLE, who=FARMHOUSE.id, said="1999", ground="the foot"
    )
    assert wording.with_caveats(PIECE, "Korean", statement) == (
        "Korean (possible; according to private collection, Wales; said 1999; ground: the foot)"
    )
    assert wording.with_caveats(PIECE, "old (1700)", Statement(certainty=Certainty.DOUBTFUL)) == (
        "old (1700; doubtful)"
    )
    assert wording.with_caveats(PIECE, "Korean", Statement()) == "Korean"
