"""PREMIS of a piece: which files there are, where each came from, and what was done to it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from lxml import etree
from msgspec.structs import replace as changed

from archivist.hooks import Piece, Selection
from archivist.model import Certainty, Date, Rights, TakenAt
from archivist.testing import BOWL, sample_piece, sample_selection
from archivist_plugins.premis.exporter import STAYS, document

P = {"p": "http://www.loc.gov/premis/v3"}
ORIGINAL = "ab" * 32


@pytest.fixture
def piece(tmp_path: Path) -> Piece:
    return sample_piece(tmp_path / "pictures")


def _as_copies(piece: Piece) -> Piece:
    photos = tuple(
        replace(p, original_sha256=ORIGINAL, how="Part of the picture decoded from JPEG.")
        for p in piece.photographs
    )
    return replace(piece, photographs=photos)


def _made(piece: Piece, audience: str = "buyer") -> etree._Element:
    folder = piece.photographs[0].path.parent if piece.photographs else Path()
    selection: Selection = sample_selection(folder, [piece], audience=audience)
    return etree.fromstring(document(piece, selection))


def _texts(root: etree._Element, path: str) -> list[str]:
    found = root.xpath(path, namespaces=P)
    assert isinstance(found, list)
    return [element.text or "" for element in found if isinstance(element, etree._Element)]


def test_each_file_has_both_digests_its_size_and_its_format(piece: Piece) -> None:
    root = _made(piece)
    for photo in piece.photographs:
        where = f"//p:object[p:objectIdentifier/p:objectIdentifierValue='{photo.sha256}']"
        digests = _texts(root, f"{where}//p:messageDigest")
        assert digests == [photo.sha256, photo.sha512]
        assert _texts(root, f"{where}//p:size") == [str(photo.size)]
        assert _texts(root, f"{where}//p:formatName") == ["image/jpeg"]


def test_a_copy_leads_to_its_original_which_is_known_by_its_digest_and_said_to_stay(
    piece: Piece,
) -> None:
    root = _made(_as_copies(piece))
    derived = "//p:relationship[p:relationshipType='derivation']"
    assert _texts(root, f"{derived}//p:relatedObjectIdentifierValue") == [ORIGINAL]
    original = f"//p:object[p:objectIdentifier/p:objectIdentifierValue='{ORIGINAL}']"
    assert _texts(root, f"{original}//p:significantPropertiesValue") == [STAYS]
    assert _texts(root, f"{original}//p:size") == []


def test_what_was_done_to_a_copy_is_told_and_no_moment_is_made_up(piece: Piece) -> None:
    root = _made(_as_copies(piece))
    event = "//p:event[p:eventType='redaction']"
    assert _texts(root, f"{event}//p:eventDetail")[0] == "Part of the picture decoded from JPEG."
    assert set(_texts(root, f"{event}/p:eventDateTime")) == {"../2026-01-15"}


def test_an_original_is_derived_from_nothing(piece: Piece) -> None:
    root = _made(piece, audience="owner")
    assert _texts(root, "//p:relationshipType[.='derivation']") == []
    assert _texts(root, "//p:eventType") == ["dissemination"]


@pytest.mark.parametrize("edtf", ["1994-05-02", "1994-05-02T10:11:12"])
def test_the_day_a_photograph_was_taken_keeps_its_doubt(edtf: str, piece: Piece) -> None:
    taken = TakenAt(date=Date(edtf=edtf), certainty=Certainty.PROBABLE)
    photo = piece.photographs[0]
    dated = replace(photo, photograph=changed(photo.photograph, taken=(taken,)))
    root = _made(replace(piece, photographs=(dated,)))
    event = "//p:event[p:eventType='creation']"
    assert _texts(root, f"{event}/p:eventDateTime") == ["1994-05-02?"]
    assert _texts(root, f"{event}//p:linkingAgentIdentifierValue") == []


def test_a_rejected_day_is_not_told(piece: Piece) -> None:
    taken = TakenAt(date=Date(edtf="1994-05-02"), certainty=Certainty.REJECTED)
    photo = piece.photographs[0]
    dated = replace(photo, photograph=changed(photo.photograph, taken=(taken,)))
    assert b"1994" not in etree.tostring(_made(replace(piece, photographs=(dated,))))


def test_two_views_of_one_file_are_one_object(piece: Piece) -> None:
    twice = replace(piece, photographs=(piece.photographs[0], piece.photographs[0]))
    assert len(_texts(_made(twice), "//p:messageDigestAlgorithm[.='SHA-512']")) == 1


@pytest.mark.parametrize(
    ("uri", "basis"),
    [
        ("https://creativecommons.org/licenses/by/4.0/", "license"),
        ("http://rightsstatements.org/vocab/InC/1.0/", "other"),
        ("", "other"),
    ],
)
def test_rights_are_a_licence_only_where_they_are_one(uri: str, basis: str, piece: Piece) -> None:
    own = changed(BOWL, rights=Rights(uri=uri, note="Ask first."))
    root = _made(replace(piece, record=own))
    assert _texts(root, "//p:rightsBasis") == [basis]
    assert b"Ask first." in etree.tostring(root)


def test_no_date_of_the_piece_or_of_its_mark_becomes_an_event(piece: Piece) -> None:
    assert len(_texts(_made(piece), "//p:eventDateTime")) == 1
