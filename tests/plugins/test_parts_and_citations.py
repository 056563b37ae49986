"""What is of a part or a later hand is never of the piece; what is cited reaches every format."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from msgspec.structs import replace

from archivist.hooks import ExporterDescription, WrittenFile
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    CitationKind,
    Date,
    Feature,
    FeatureAspect,
    ObjectRecord,
    Term,
)
from archivist.own_sheet import EXHIBITIONS, LITERATURE
from archivist.plugins import load_plugins
from archivist.testing import BOWL, FARMHOUSE, export, sample_piece, sample_selection
from archivist_plugins.linked_art.objects import CONTEXT

EXPORTERS = {
    d.name: d for d in load_plugins().of("exporter", ExporterDescription) if d.name != "bagit"
}
N = {"l": "http://www.lido-schema.org"}
MADE = Date(edtf="1740", earliest=1740, latest=1740)
LATER = Date(edtf="1866", earliest=1866, latest=1866)


def written(folder: Path, record: ObjectRecord, *names: str) -> dict[str, WrittenFile]:
    piece = sample_piece(folder / "in", record)
    chosen = [EXPORTERS[name] for name in names or EXPORTERS]
    return export(chosen, sample_selection(folder, [piece], audience="owner"), folder / "out")


def made(part: str, role: AttributionRole, *, alone: bool) -> ObjectRecord:
    """A piece with a date of a part or of a later hand, and one of its own unless `alone`."""
    own = Attribution(aspect=Aspect.DATE, as_stated="1740", date=MADE)
    other = Attribution(aspect=Aspect.DATE, as_stated="1866", date=LATER, part=part, role=role)
    place = Attribution(aspect=Aspect.PLACE, term=Term(label="Sedgemouth"), part=part, role=role)
    said = (other, place) if alone else (own, other, place)
    return replace(BOWL, attributions=said, provenance=(), marks=())


OTHERS = [
    (part, role)
    for part in ("", "cover", "mounts")
    for role in AttributionRole
    if part or role is not AttributionRole.MADE
]

_FIELDS = re.compile(
    r'"(?:navDate|dateCreated|temporal|locationCreated)":\s*("[^"]*"|\{[^}]*\}|\[[^\]]*\])'
    r"|<(?:dc:date|dcterms:created|dc:coverage|dcterms:spatial|Iptc4xmpExt:AODateCreated)[^>]*>"
    r"([^<]*)<"
    r"|<Iptc4xmpExt:AOCircaDateCreated>([^<]*)<"
)


@pytest.mark.parametrize("alone", [True, False])
@pytest.mark.parametrize(("part", "role"), OTHERS)
def test_what_is_of_a_part_or_a_later_hand_is_no_date_or_place_of_the_piece(
    part: str, role: AttributionRole, alone: bool, tmp_path: Path
) -> None:
    names = ("dublin-core", "lido", "linked-art", "ro-crate", "iiif", "iptc", "reference-library")
    files = written(tmp_path, made(part, role, alone=alone), *names)
    for path, file in files.items():
        text = file.location.read_bytes().decode("utf-8", "replace")
        for found in _FIELDS.findall(text):
            assert "1866" not in "".join(found), path
            assert "Sedgemouth" not in "".join(found), path
    [lido] = [f for p, f in files.items() if p.startswith("lido/t-")]
    root = etree.parse(lido.location)
    years = root.xpath(
        "//l:event[l:eventType/l:term='Production']/l:eventDate/l:date/l:earliestDate/text()",
        namespaces=N,
    )
    assert years == ([] if alone else ["1740"])
    assert "1866" in etree.tostring(root).decode()
    [art] = [f for p, f in files.items() if re.fullmatch(r"linked-art/t-[^.]*\.json", p)]
    whole: dict[str, Any] = json.loads(art.location.read_text("utf-8"))
    assert "1866" not in json.dumps(whole.get("produced_by", {}))
    assert "Sedgemouth" not in json.dumps(whole.get("produced_by", {}))


@pytest.mark.parametrize("aspect", FeatureAspect)
def test_what_a_part_is_like_is_told_with_the_part_and_is_no_feature_of_the_piece(
    aspect: FeatureAspect, tmp_path: Path
) -> None:
    apart = Feature(aspect=aspect, term=Term(label="zitanlike"), part="stand")
    record = replace(BOWL, features=(apart,))
    names = set(EXPORTERS) - {"dossier", "comparison", "premis"}
    for path, file in written(tmp_path, record, *sorted(names)).items():
        if file.location.suffix not in (".xml", ".json", ".csv", ".html", ".jsonld"):
            continue
        if file.location.name in ("record.json", "record.schema.json"):
            continue
        text = file.location.read_bytes().decode("utf-8", "replace")
        for found in re.finditer("zitanlike", text):
            before = text[max(0, found.start() - 40) : found.start()]
            assert "stand: " in before, f"{path}: {before!r}"


@pytest.mark.parametrize(("part", "role"), OTHERS)
def test_linked_art_has_an_object_for_a_part_and_a_modification_for_a_later_hand(
    part: str, role: AttributionRole, tmp_path: Path
) -> None:
    files = written(tmp_path, made(part, role, alone=False), "linked-art")
    parts = [json.loads(f.location.read_text("utf-8")) for p, f in files.items() if ".part-" in p]
    [main] = [f for p, f in files.items() if re.fullmatch(r"linked-art/t-[^.]*\.json", p)]
    whole = json.loads(main.location.read_text("utf-8"))
    about = whole
    if part:
        [about] = parts
        assert about["@context"] == CONTEXT
        assert about["part_of"]["id"] == whole["id"]
        assert "modified_by" not in whole
    else:
        assert parts == []
    if role is AttributionRole.MADE:
        assert about["produced_by"]["timespan"]["begin_of_the_begin"][:4] == "1866"
    else:
        assert [m["timespan"]["end_of_the_end"][:4] for m in about["modified_by"][:1]] == ["1866"]


CITED = (
    Citation(
        kind=CitationKind.LITERATURE,
        title="Bowls of the Tidewell",
        authors="Aldous Wren",
        pages="pp. 14-15",
        number="no. 27",
        date=Date(edtf="1985", earliest=1985, latest=1985),
    ),
    Citation(kind=CitationKind.EXHIBITION, title="Green Glazes", venue="Marrowgate Hall"),
)


@pytest.mark.parametrize("exporter", sorted(EXPORTERS))
def test_what_is_cited_is_in_every_format_or_among_its_losses(
    exporter: str, tmp_path: Path
) -> None:
    files = written(tmp_path, replace(BOWL, citations=CITED), exporter)
    own = [f for p, f in files.items() if p.startswith(exporter)]
    text = "".join(f.location.read_bytes().decode("utf-8", "replace") for f in own)
    losses = " ".join(EXPORTERS[exporter].losses)
    if exporter == "dossier":
        import pikepdf

        with pikepdf.open(own[0].location) as pdf:
            text = pdf.attachments["record.json"].get_file().read_bytes().decode()
    told = all(words in text for words in ("Bowls of the Tidewell", "Green Glazes"))
    left_out = any(
        words in losses
        for words in (
            "rejected opinions, literature, exhibitions",
            "the description of the piece",
            "everything but number",
        )
    )
    assert told is not left_out


def test_each_format_says_what_is_cited_in_its_own_terms(tmp_path: Path) -> None:
    files = written(tmp_path, replace(BOWL, citations=CITED))
    texts = {p: f.location.read_bytes().decode("utf-8", "replace") for p, f in files.items()}
    [core] = [t for p, t in texts.items() if p.startswith("dublin-core/t-") and "dcterms" in p]
    [cited] = re.findall(r"<dcterms:bibliographicCitation>([^<]*)<", core)
    assert "Bowls of the Tidewell" in cited
    [lido] = [etree.fromstring(t.encode()) for p, t in texts.items() if p.startswith("lido/t-")]
    kinds = lido.xpath("//l:relatedWorkRelType/l:term/text()", namespaces=N)
    assert kinds == ["literature"]
    events = lido.xpath("//l:eventName/l:appellationValue/text()", namespaces=N)
    assert events == ["Green Glazes"]
    [art] = [json.loads(t) for p, t in texts.items() if re.fullmatch(r"linked-art/t-\S*json", p)]
    citations = [
        s["content"] for s in art["referred_to_by"] if s["classified_as"][0]["_label"] == "Citation"
    ]
    assert len(citations) == 1
    assert [activity["type"] for activity in art["used_for"]] == ["Activity"]
    graph = json.loads(texts["ro-crate/ro-crate-metadata.json"])["@graph"]
    by_type = {str(one["@type"]): one for one in graph if "#cited" in one["@id"]}
    assert set(by_type) == {"CreativeWork", "ExhibitionEvent"}
    [object_] = [one for one in graph if one["@id"] == art["id"]]
    assert object_["citation"] == {"@id": by_type["CreativeWork"]["@id"]}
    rows = texts["spreadsheet/records.csv"]
    assert LITERATURE in rows
    assert EXHIBITIONS in rows


@pytest.mark.parametrize("certainty", [c for c in Certainty if c is not Certainty.CERTAIN])
def test_what_is_cited_with_doubt_is_no_entity_of_its_own(
    certainty: Certainty, tmp_path: Path
) -> None:
    doubted = tuple(replace(one, certainty=certainty) for one in CITED)
    another = tuple(replace(one, who=FARMHOUSE.id) for one in CITED)
    record = replace(BOWL, citations=(*doubted, *another))
    files = written(tmp_path, record, "ro-crate", "linked-art", "lido")
    graph = json.loads(files["ro-crate/ro-crate-metadata.json"].location.read_text("utf-8"))
    assert not [one for one in graph["@graph"] if "#cited" in one["@id"]]
    for path, file in files.items():
        assert '"used_for"' not in file.location.read_text("utf-8", "replace"), path
        assert ">Exhibition<" not in file.location.read_text("utf-8", "replace"), path
