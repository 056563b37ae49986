"""`compare` writes a sheet of what `find` would find, or says why it cannot."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import releases
from archivist.digests import digest_file
from archivist.model import View
from tests.archives import add_photograph, jpeg, piece, save
from tests.cli.conftest import Run
from tests.release.searching import page_text


def words(path: Path) -> str:
    with pikepdf.open(path) as pdf:
        return " ".join(" ".join(page_text(page) for page in pdf.pages).split())


def test_the_sheet_holds_what_is_found_and_names_its_audience(
    run: Run, archive: Archive, tmp_path: Path
) -> None:
    to = tmp_path / "new folder" / "sheet.pdf"
    result = run("-a", archive.folder, "compare", "bowl", "--view", "over", "--to", to)
    assert result.exit_code == 0, result.output
    assert result.stdout == f"{to}\n"
    assert result.stderr == "overall: 1 piece for owner.\n"
    page = words(to)
    assert "Overall, side by side" in page
    assert "bowl" in page
    assert "T 0" in page
    assert "T 1" not in page
    assert "For owner" in page
    assert releases(archive.catalogue) == (), "the owner's own sheet was handed to nobody"


def test_what_goes_to_others_is_registered_and_known_again(
    run: Run, archive: Archive, tmp_path: Path
) -> None:
    to = tmp_path / "sheet.png"
    result = run(
        "-a", archive.folder, "compare", "--view", "overall", "--for", "public", "--to", to
    )
    assert result.exit_code == 0, result.output
    (facts,) = releases(archive.catalogue)
    assert (facts.audience, facts.exporters) == ("public", ("comparison",))
    assert facts.digests == (digest_file(to).sha256,)
    assert "public" in run("-a", archive.folder, "register", "--recognise", to).stdout


def test_a_png_of_many_pages_is_numbered(run: Run, archive: Archive, tmp_path: Path) -> None:
    for number in range(4):
        record = piece(f"N {number}", "Dish", (1800, 1810))
        save(archive.catalogue, record)
        add_photograph(archive, jpeg(tmp_path / f"n{number}.jpg", tone=number), (record,))
    to = tmp_path / "sheet.png"
    result = run(
        *("-a", archive.folder, "compare", "--view", "overall", "--columns", "1"),
        *("--landscape", "--paper", "letter", "--to", to),
    )
    assert result.exit_code == 0, result.output
    files = [Path(line) for line in result.stdout.splitlines()]
    assert [file.name for file in files] == [f"sheet-{n}.png" for n in range(1, len(files) + 1)]
    assert len(files) > 2
    assert all(file.is_file() for file in files)
    again = run("-a", archive.folder, "compare", "--view", "overall", "--to", to)
    assert "is there already" in again.stderr


def test_a_file_that_is_there_is_replaced_only_when_that_is_said(
    run: Run, archive: Archive, tmp_path: Path
) -> None:
    to = tmp_path / "letter.pdf"
    to.write_bytes(b"dear madam")
    command = ("-a", archive.folder, "compare", "--view", "overall", "--to", to)
    result = run(*command)
    assert result.exit_code == 2
    assert "is there already" in result.stderr
    assert to.read_bytes() == b"dear madam"
    assert run(*command, "--overwrite").exit_code == 0
    assert to.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("celadon",), "No piece is what was asked for"),
        (("--view", "mouth"), "None of the 2 pieces found has a photograph of its mouth"),
        (("--view", "feet"), "There is no view 'feet'."),
        (("--view", "d"), "'d' may be any of detail, damage, document."),
        (("--to", "sheet.docx"), "says neither that it is a PDF nor that it is a PNG"),
        (("--to", "{archive}/originals/sheet.pdf"), "a folder that the archive keeps for itself"),
        (("--for", "nobody"), "There is no audience 'nobody'."),
    ],
)
def test_what_cannot_be_compared_is_told(
    run: Run, archive: Archive, tmp_path: Path, asked: tuple[str, ...], told: str
) -> None:
    given = [word.replace("{archive}", str(archive.folder)) for word in asked]
    if "--view" not in given:
        given += ["--view", "overall"]
    if "--to" not in given:
        given += ["--to", str(tmp_path / "sheet.pdf")]
    result = run("-a", archive.folder, "compare", *given)
    assert result.exit_code == 2, result.output
    assert told in result.stderr
    assert not (tmp_path / "sheet.pdf").exists()


def test_a_photograph_that_nobody_reviewed_is_on_no_sheet_for_others(
    run: Run, archive: Archive, tmp_path: Path
) -> None:
    record = archive.catalogue.object_named("T 0")
    file = jpeg(tmp_path / "foot.jpg", tone=99)
    add_photograph(archive, file, (record,), View.FOOT_RIM, reviewed=False)
    command = ("-a", archive.folder, "compare", "--view", "foot")
    assert run(*command, "--to", tmp_path / "mine.pdf").exit_code == 0
    others = run(*command, "--for", "public", "--to", tmp_path / "theirs.pdf")
    assert others.exit_code == 2
    assert "photographs that nobody reviewed" in others.stderr
