"""`archivist release`: how many photographs stayed with the owner, why, and what to do next."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.model import ObjectRecord, Photograph, View
from archivist.release.pieces import Stays
from tests.archives import add_photograph, save
from tests.cli.conftest import Run


def released(run: Run, archive: Archive, to: Path, *more: str) -> str:
    words = ("release", "dublin-core", "--for", "public", "--to", str(to), *more)
    done = run("--archive", archive.folder, *words)
    assert done.exit_code == 0, done.output
    return str(done.stdout)


def show(
    archive: Archive, folder: Path, tone: int, records: list[ObjectRecord], **changes: object
) -> Photograph:
    """One more photograph of the records, not reviewed unless `changes` say so."""
    path = folder / "more" / f"{tone}.jpg"
    path.parent.mkdir(exist_ok=True)
    Image.new("RGB", (120, 90), (tone, 90, 200)).save(path)
    made = add_photograph(archive, path, records, reviewed=False)
    depictions = tuple(msgspec.structs.replace(d, **changes) for d in made.depictions)
    made = msgspec.structs.replace(made, depictions=depictions)
    save(archive.catalogue, made)
    return made


def test_each_reason_is_counted_once_a_photograph_and_has_its_next_step(
    run: Run, archive: Archive, tmp_path: Path
) -> None:
    one, other = archive.catalogue.all(ObjectRecord)
    reviewed = {"reviewed": True}
    show(archive, tmp_path, 1, [one])
    show(archive, tmp_path, 2, [one, other])  # of two pieces: one photograph all the same
    show(archive, tmp_path, 3, [one, other], view=View.GROUP, **reviewed)
    show(archive, tmp_path, 4, [other], view=View.LABEL)
    show(archive, tmp_path, 5, [other], view=View.UNKNOWN, **reviewed)
    show(archive, tmp_path, 6, [other], private=True, **reviewed)
    for _ in range(2):  # the second time nothing is disclosed again, and the reasons are remembered
        said = released(run, archive, tmp_path / "out")
        lines = [line.strip() for line in said.splitlines()]
        place = lines.index("6 photographs stayed with you:")
        assert lines[place + 1 : place + 10] == [
            "2 whose view nobody has reviewed",
            "to let them go: archivist review --sheet",
            "1 whose view is not known",
            "to let them go: archivist edit NUMBER --view SHA256=VIEW",
            "1 of several pieces, without a region for each",
            "to let them go: archivist edit NUMBER --region SHA256=X,Y,W,H",
            "1 of labels, documents and other views kept from this audience",
            "to let them go: archivist edit NUMBER --let-see SHA256=AUDIENCE",
            "1 that you keep back",
        ]
    told = json.loads(released(run, archive, tmp_path / "out", "--json"))
    assert told["withheld_photographs"] == 6 == sum(told["withheld_because"].values())
    assert told["withheld_because"] == {
        "not reviewed": 2, "unknown view": 1, "no region": 1, "view": 1, "private": 1,
    }  # fmt: skip


def test_what_the_sheet_then_says_lets_them_go(run: Run, archive: Archive, tmp_path: Path) -> None:
    record = next(iter(archive.catalogue.all(ObjectRecord)))
    made = show(archive, tmp_path, 1, [record])
    assert "1 photograph stayed with you:" in (said := released(run, archive, tmp_path / "out"))
    assert "archivist review --sheet" in said
    sheet = run("--archive", archive.folder, "review", "--sheet", "--json")
    workbook = Path(json.loads(sheet.stdout)["workbook"])
    edited = tmp_path / "edited.csv"
    edited.write_text(f"File;SHA-256;View\nmore/1.jpg;{made.sha256};base\n", encoding="utf-8")
    assert workbook.is_file()
    run("--archive", archive.folder, "review", "--hand-back", edited)
    run("--archive", archive.folder, "apply")
    assert "stayed with you" not in released(run, archive, tmp_path / "out")


def test_every_reason_has_words() -> None:
    from archivist.cli.release import _STAYED

    assert set(_STAYED) == {why.value for why in Stays}
