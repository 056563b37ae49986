"""What a format drops is what it says that it drops, field by field, and nothing besides.

The owner, from whom nothing is kept, is given a piece with a word in every field of the model by
each exporter alone. Every field of which no word comes out stands here beside the phrase of
`archivist plugins --losses` that tells of it; a phrase of which every field comes out is untrue.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fnmatch import fnmatchcase
from pathlib import Path

import pytest

from archivist.hooks import ExporterDescription
from archivist.plugins import load_plugins
from archivist.release.release import release
from archivist.release.request import Request
from archivist_plugins import losses
from tests.release.planting import Planted, planted
from tests.release.searching import found_in

PLUGINS = load_plugins()
PICTURES = frozenset({".jpg", ".png", ".tif", ".webp", ".gif", ".heic"})

SHARED: dict[str, tuple[str, ...]] = {
    losses.SALES: ("SaleFact.*",),
    losses.BEHIND_THE_WORDS: ("Source.*", "Reading.*", "*.evidence"),
    losses.OVERRIDES: ("Override.*",),
    losses.WORDS_BESIDE_A_VALUE: (
        "Measurement.as_stated", "Title.as_stated", "Part.as_stated",
    ),
    losses.VOCABULARIES: ("Term.code", "Term.vocabulary"),
    losses.OF_PARTIES: ("Party.life", "Party.place", "Party.contact", "Party.note"),
    losses.OF_PHOTOGRAPHS: (
        *("Caption.*", "Depiction.as_stated", "Depiction.ground", "Depiction.evidence"),
        *("TakenAt.as_stated", "TakenAt.ground", "TakenAt.evidence", "Photograph.derived_from"),
    ),
}  # fmt: skip

ADDRESSES = {"the published addresses of terms": ("Term.uri",)}
WITNESS = {"who was asked when a photograph was taken": ("TakenAt.witness",)}
PHOTOGRAPHS = {losses.OF_PHOTOGRAPHS: SHARED[losses.OF_PHOTOGRAPHS]}

DROPPED: dict[str, Mapping[str, tuple[str, ...]]] = {
    "bagit": {},
    "dossier": PHOTOGRAPHS,
    "dublin-core": {
        **SHARED,
        **ADDRESSES,
        "photographs: only the words of the record are told": ("Depiction.caption", "TakenAt.*"),
        "the identifier of a related piece where the relation is doubted, or another's word: told "
        "in words only": ("Relation.object",),
    },
    "lido": {
        **SHARED,
        "the published addresses of terms that are doubted, of a part, or another's word": (
            "Term.uri",
        ),
    },
    "linked-art": {
        **SHARED,
        **WITNESS,
        "addresses of terms other than those of the vocabularies that Linked Art asks for": (
            "Term.uri",
        ),
    },
    "premis": {
        **PHOTOGRAPHS,
        "the description of the piece: only its numbers and its title are told": (
            *(
                "Attribution.*",
                "Citation.*",
                "Feature.*",
                "Mark.*",
                "Measurement.*",
                "Note.*",
                "Observation.*",
            ),
            *("Part.*", "Party.*", "ProvenanceEvent.*", "Relation.*", "SaleFact.*", "Source.*"),
            *("Reading.*", "Term.*", "Title.*", "Override.*", "Date.convention"),
        ),
    },
    "ro-crate": {**PHOTOGRAPHS, **WITNESS},
    "iptc": {
        **SHARED,
        **ADDRESSES,
        **WITNESS,
        "provenance, other and rejected opinions, literature, exhibitions, and related pieces": (
            *("ProvenanceEvent.*", "Relation.*", "Citation.*"),
        ),
        "titles and numbers but the preferred one, and on what ground an opinion is held": (
            *("Title.value", "Title.ground", "ObjectRecord.other_numbers"),
        ),
    },
}


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Planted]:
    made = planted(tmp_path_factory.mktemp("in"))
    yield made
    made.archive.catalogue.close()


def dropped(source: Planted, exporter: str, to: Path) -> set[str]:
    """The fields of which no word stands in what the exporter wrote."""
    request = Request((exporter,), "owner", to, (source.object,))
    assert release(source.archive, PLUGINS, request).whole
    files = [path for path in to.rglob("*") if path.is_file()]
    if exporter != "iptc":  # the originals hold words of their own
        files = [path for path in files if path.suffix not in PICTURES]
    found = set().union(*map(found_in, files))
    fields = source.secrets.fields
    return set(fields.values()) - {fields[word] for word in found & set(fields)}


@pytest.mark.filterwarnings("ignore::UserWarning:PIL")
@pytest.mark.parametrize("exporter", DROPPED)
def test_what_a_format_drops_is_what_it_says(
    exporter: str, source: Planted, tmp_path: Path
) -> None:
    (described,) = (d for d in PLUGINS.of("exporter", ExporterDescription) if d.name == exporter)
    missing = dropped(source, exporter, tmp_path)
    told = DROPPED[exporter]
    assert set(told) <= set(described.losses)
    for phrase, patterns in told.items():
        for pattern in patterns:
            assert any(fnmatchcase(field, pattern) for field in missing), (phrase, pattern)
    patterns = [pattern for several in told.values() for pattern in several]
    untold = {f for f in missing if not any(fnmatchcase(f, pattern) for pattern in patterns)}
    assert untold == set()
