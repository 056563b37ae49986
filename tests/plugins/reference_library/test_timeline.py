"""The years of a piece as a drawing: each opinion and each claim on a line of its own, to scale."""

from __future__ import annotations

from dataclasses import replace as with_changes
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from archivist.hooks import Piece
from archivist.model import Aspect, Attribution, Certainty, Date, Mark
from archivist.testing import BOWL, sample_piece
from archivist_plugins.reference_library.timeline import MOST_TICKS, WIDTH, timeline


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Piece:
    return sample_piece(tmp_path_factory.mktemp("pictures"), views=())


def dated(
    plain: Piece,
    *dates: tuple[int | None, int | None, Certainty],
    marks: tuple[Mark, ...] = (),
) -> Piece:
    attributions = tuple(
        Attribution(
            aspect=Aspect.DATE,
            certainty=certainty,
            date=Date(earliest=earliest, latest=latest),
        )
        for earliest, latest, certainty in dates
    )
    return with_changes(plain, record=replace(BOWL, attributions=attributions, marks=marks))


def test_what_is_held_what_others_hold_and_what_a_mark_claims_are_told_apart(
    plain: Piece,
) -> None:
    piece = dated(
        plain,
        (1700, 1720, Certainty.PROBABLE),
        (1900, 1910, Certainty.REJECTED),
        (1800, 1820, Certainty.POSSIBLE),
        marks=(Mark(claims=Date(earliest=1465, latest=1487)),),
    )
    drawing = timeline(piece)
    assert drawing is not None
    assert [span.kind for span in drawing.spans] == ["held", "other", "rejected", "claimed"]
    held, other, rejected, claimed = drawing.spans
    assert claimed.right < held.left < held.right < other.left < rejected.left


def test_without_a_year_there_is_no_drawing(plain: Piece) -> None:
    assert timeline(dated(plain)) is None
    assert timeline(dated(plain, (None, None, Certainty.CERTAIN))) is None


def test_an_open_end_runs_to_the_edge(plain: Piece) -> None:
    drawing = timeline(dated(plain, (1644, None, Certainty.CERTAIN)))
    assert drawing is not None
    (span,) = drawing.spans
    assert (span.right, span.open_right, span.open_left) == (WIDTH, True, False)


def test_years_before_the_common_era_are_called_so(plain: Piece) -> None:
    drawing = timeline(dated(plain, (-205, 220, Certainty.CERTAIN)))
    assert drawing is not None
    assert drawing.spans[0].label == "206 BCE–220 CE"
    assert any("BCE" in tick.label for tick in drawing.ticks)


@given(earliest=st.integers(-9999, 2000), length=st.integers(0, 5000))
def test_every_span_lies_on_the_scale_and_the_ticks_are_few(
    plain: Piece, earliest: int, length: int
) -> None:
    drawing = timeline(dated(plain, (earliest, earliest + length, Certainty.CERTAIN)))
    assert drawing is not None
    (span,) = drawing.spans
    assert 0 <= span.left < span.right <= WIDTH
    assert 2 <= len(drawing.ticks) <= MOST_TICKS + 3
    places = [tick.place for tick in drawing.ticks]
    assert places == sorted(places)


def test_the_page_draws_it_with_words_for_whoever_cannot_see_it(tmp_path: Path) -> None:
    from archivist.testing import export, sample_selection
    from archivist_plugins.reference_library import REFERENCE_LIBRARY

    files = export(REFERENCE_LIBRARY, sample_selection(tmp_path), tmp_path / "out")
    page = files[f"reference-library/pieces/{BOWL.id}/index.html"].location
    text = page.read_text(encoding="utf-8")
    assert 'role="img" aria-label="Years: held, 1775–1825; another opinion, 1895–1905"' in text
