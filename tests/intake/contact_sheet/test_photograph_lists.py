"""Lists of photographs, the archive's own or anybody's: what they say holds over any guess."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.undoing import undo
from archivist.hooks import Cell, FoundRow
from archivist.intake.apply import apply
from archivist.intake.contact_sheet.reading import is_photograph_list, said_in
from archivist.intake.proposal import AddPhotograph, ReviewPhotograph, read_proposal
from archivist.intake.survey import Told
from archivist.intake.work import Applied
from archivist.model import Certainty, Depiction, ObjectRecord, Photograph, View
from archivist.plugins import Plugins
from archivist.reading.tables import load_tables

Write = Callable[..., Path]
Take = Callable[..., Applied]
Look = Callable[..., Told]

TABLES = load_tables()


@pytest.fixture
def stock(sheet: Write) -> Path:
    """Three pieces, two of them of one number."""
    return sheet(
        [
            ["Stock No", "Title"],
            ["HW 1", "Celadon bowl"],
            ["HW 2", "Delft plate"],
            ["HW 3", "Karatsu bowl"],
            ["HW 3", "Bizen flask"],
        ],
        "stock.csv",
    )


@pytest.fixture
def photographs(tmp_path: Path, picture: Write) -> Path:
    """Pictures in folders named by stock number."""
    folder = tmp_path / "Pictures"
    for name in ("HW 1/a.jpg", "HW 1/b.jpg", "HW 2/a.jpg", "HW 2/b.jpg", "both/HW 1 HW 2.jpg"):
        picture(folder / name)
    return folder


def shown(archive: Archive, path: str) -> dict[str, Depiction]:
    """What the photograph last found at `path` shows, by the title of the piece."""
    row = archive.catalogue.connection.execute(
        "SELECT sha256 FROM occurrence WHERE path = ?", (path,)
    ).fetchone()
    (photograph,) = archive.catalogue.keyed(Photograph, row["sha256"])
    titles = {r.id: r.title for r in archive.catalogue.all(ObjectRecord)}
    return {titles[d.object]: d for d in photograph.depictions}


def rows_of(*rows: tuple[str, ...]) -> list[FoundRow]:
    head, *rest = rows
    return [
        FoundRow(
            table="",
            number=number,
            cells=tuple(
                Cell(column=h, text=t) for h, t in zip(head, row, strict=True) if t or number == 2
            ),
        )
        for number, row in enumerate(rest, start=2)
    ]


# Which spreadsheets are lists of photographs


@pytest.mark.parametrize(
    "rows",
    [
        (("File", "Shows"), ("a.jpg", "foot"), ("b.JPG", "the mark")),
        (("Datei", "Ansicht"), ("x\\a.tif", "Boden"), ("b.heic", "Marke")),
        (("Photo", "Where in it"), ("a.jpg", "10,20,30,40"), ("b.jpg", "")),
        (("File", "Piece", "Remarks"), ("a.jpg", "HW 1", ""), ("b.jpg", "HW 2", "in a hurry")),
    ],
)
def test_files_and_what_is_on_them_make_a_list(rows: tuple[tuple[str, ...], ...]) -> None:
    assert is_photograph_list(rows_of(*rows), TABLES)


@pytest.mark.parametrize(
    "rows",
    [
        (("No", "Title", "Photo"), ("HW 1", "Celadon bowl", "a.jpg"), ("HW 2", "Plate", "b.jpg")),
        (("File", "View"), ("Invoices 1998", "over the harbour"), ("Letters", "none")),
        (("Photo", "Shows"), ("a.jpg", "Mr Tolling at the fair"), ("b.jpg", "Mme Castagnac")),
        (("Title", "Condition"), ("Bowl", "crack"), ("Plate", "chip")),
    ],
)
def test_a_stock_book_with_a_column_of_photographs_is_no_list(
    rows: tuple[tuple[str, ...], ...],
) -> None:
    assert not is_photograph_list(rows_of(*rows), TABLES)


def test_words_of_columns_nobody_asked_for_are_kept() -> None:
    (row,) = said_in(rows_of(("File", "Shows", "Remarks"), ("a.jpg", "foot", "bad light")), TABLES)
    assert row.view == "foot"
    assert row.cells["Remarks"] == "bad light"
    assert row.piece is None


# What a list does


LIST = [
    ["File", "Shows", "Where in it", "Remarks"],
    ["HW 1\\a.jpg", "the foot", "", "dusty"],
    ["HW 2\\b.jpg", "mark", "", ""],
    ["both\\HW 1 HW 2.jpg", "both", "HW 1: 1,2,10,12 / HW 2: 20,3,15,20", ""],
]


@pytest.mark.parametrize("order", ["together", "list last", "list first", "both waiting"])
def test_what_a_list_says_holds_in_whichever_order_things_come(
    archive: Archive,
    look: Look,
    take_in: Take,
    sheet: Write,
    stock: Path,
    photographs: Path,
    order: str,
) -> None:
    take_in(stock)
    listed = sheet(LIST, "looked through.csv")
    if order == "together":
        take_in(photographs, listed)
    elif order == "list last":
        take_in(photographs)
        take_in(listed)
    elif order == "list first":
        take_in(listed)
        take_in(photographs)
    else:
        waiting = look(photographs)
        take_in(listed)
        assert waiting.path is not None
        apply(archive, read_proposal(waiting.path), waiting.path.name, "Ines Tidewell")
    foot = shown(archive, "HW 1/a.jpg")["Celadon bowl"]
    assert (foot.view, foot.reviewed, foot.certainty) == (View.FOOT_RIM, True, Certainty.CERTAIN)
    assert foot.as_stated == "the foot"
    assert shown(archive, "HW 2/b.jpg")["Delft plate"].view is View.MARK
    assert not shown(archive, "HW 1/b.jpg")["Celadon bowl"].reviewed
    group = shown(archive, "both/HW 1 HW 2.jpg")
    region = group["Delft plate"].region
    assert region is not None
    assert (region.x, region.y, region.width, region.height) == (20, 3, 15, 20)
    assert (region.reference_width, region.reference_height) == (40, 30)
    assert group["Celadon bowl"].view is View.GROUP
    assert look(photographs, listed).path is None, "a second survey finds nothing new"


def test_a_list_is_taken_back_whole_and_can_be_given_again(
    archive: Archive, take_in: Take, sheet: Write, stock: Path, photographs: Path
) -> None:
    take_in(stock)
    take_in(photographs)
    listed = sheet(LIST, "looked through.csv")
    done = take_in(listed)
    assert done.action is not None
    undo(archive.catalogue, archive.catalogue.action_numbered(done.action), "Ines Tidewell")
    assert not shown(archive, "HW 1/a.jpg")["Celadon bowl"].reviewed
    take_in(listed)
    assert shown(archive, "HW 1/a.jpg")["Celadon bowl"].reviewed


def test_a_piece_named_in_a_list_takes_the_place_of_the_guess_and_the_guess_stays_rejected(
    archive: Archive, look: Look, take_in: Take, sheet: Write, stock: Path, photographs: Path,
    picture: Write,
) -> None:  # fmt: skip
    take_in(stock)
    take_in(photographs)
    take_in(sheet([["Photo", "Piece", "View"], ["HW 1/b.jpg", "HW 2", "base"]], "mine.csv"))
    after = shown(archive, "HW 1/b.jpg")
    assert after["Delft plate"].view is View.BASE
    assert after["Celadon bowl"].certainty is Certainty.REJECTED
    # The same picture under a name that says the wrong piece again changes nothing.
    copy = photographs / "HW 1" / "HW 1 again.jpg"
    copy.write_bytes((photographs / "HW 1" / "b.jpg").read_bytes())
    told = look(photographs)
    assert {type(i).__name__ for i in told.proposal.items} == {"KeepFile"}
    take_in(photographs)
    assert shown(archive, "HW 1/HW 1 again.jpg") == after


def test_not_this_piece_is_said_with_no(
    archive: Archive, take_in: Take, sheet: Write, stock: Path, photographs: Path
) -> None:
    take_in(stock)
    take_in(
        photographs,
        sheet(
            [["File", "View", "Shows (yes/no)"], ["HW 1/a.jpg", "base", "no"]],
            "wrong.csv",
        ),
    )
    assert shown(archive, "HW 1/a.jpg")["Celadon bowl"].certainty is Certainty.REJECTED


def test_a_number_of_two_pieces_is_asked_about_unless_words_of_the_title_stand_beside_it(
    archive: Archive, look: Look, take_in: Take, sheet: Write, stock: Path, photographs: Path
) -> None:
    take_in(stock)
    take_in(photographs)
    told = look(sheet([["File", "Piece", "View"], ["HW 1/a.jpg", "HW 3", "base"]], "which.csv"))
    (question,) = told.proposal.questions
    assert {c.answer for c in question.choices} == {"HW 3 Karatsu bowl", "HW 3 Bizen flask"}
    take_in(sheet([["File", "Piece", "View"], ["HW 1/b.jpg", "HW 3 flask", "base"]], "clear.csv"))
    assert shown(archive, "HW 1/b.jpg")["Bizen flask"].view is View.BASE


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (("nowhere/HW 1/a.jpg", "", "mark", "", ""), ""),
        (("a.jpg", "", "mark", "", ""), "is the name of 2 photographs"),
        (("HW 1/a.jpg", "HW 99", "mark", "", ""), "no piece of the archive is called 'HW 99'"),
        (("HW 1/a.jpg", "", "harbour", "", ""), "'harbour' names no view"),
        (("HW 1/a.jpg", "", "mark", "30,20,30,30", ""), "outside the picture of 40 by 30"),
        (("HW 1/a.jpg", "", "mark", "left", ""), "is no place in a picture"),
        (("both/HW 1 HW 2.jpg", "", "group", "1,2,3,4", ""), "not clear which piece"),
        (("HW 1/a.jpg", "", "mark", "", "the vicar"), "there is no audience 'the vicar'"),
    ],
)
def test_what_cannot_be_followed_is_named_with_its_row(
    look: Look,
    take_in: Take,
    sheet: Write,
    stock: Path,
    photographs: Path,
    row: tuple[str, ...],
    says: str,
) -> None:
    take_in(stock)
    take_in(photographs)
    rows = [
        ["File", "Piece", "View", "Region", "Who may see it"],
        ["HW 2/a.jpg", "", "base", "", ""],
        ["HW 2/b.jpg", "", "side", "", ""],
        list(row),
    ]
    told = look(sheet(rows, "odd.csv"))
    reasons = [t.trouble for t in told.proposal.troubles if not t.trouble.harmless]
    if says:
        assert [t.place for t in reasons] == ["row 4"]
        assert says in reasons[0].reason
    else:
        assert reasons == []
    reviewed = {i.path for i in told.proposal.items if isinstance(i, ReviewPhotograph)}
    assert {"HW 2/a.jpg", "HW 2/b.jpg"} <= reviewed, "the other rows are used"


def test_audiences_and_captions_are_taken_from_a_list(
    archive: Archive, take_in: Take, sheet: Write, stock: Path, photographs: Path
) -> None:
    take_in(stock)
    rows = [
        ["File", "View", "Caption", "Who may see it"],
        ["HW 1/a.jpg", "label", "The label of the Arbery sale", "buyer, everybody"],
        ["HW 1/b.jpg", "side", "", "only me"],
    ]
    take_in(photographs, sheet(rows, "said.csv"))
    label = shown(archive, "HW 1/a.jpg")["Celadon bowl"]
    assert (label.caption, label.released, label.private) == (
        "The label of the Arbery sale",
        ("buyer", "public"),
        False,
    )
    assert shown(archive, "HW 1/b.jpg")["Celadon bowl"].private


def test_a_digest_suffices_where_the_path_is_another(
    archive: Archive, take_in: Take, sheet: Write, stock: Path, photographs: Path
) -> None:
    from archivist.digests import digest_file

    take_in(stock)
    sha256 = digest_file(photographs / "HW 1" / "a.jpg").sha256
    rows = [["File", "View", "SHA-256"], ["gone.jpg", "mouth", sha256[:12]]]
    take_in(photographs, sheet(rows, "by digest.csv"))
    assert shown(archive, "HW 1/a.jpg")["Celadon bowl"].view is View.MOUTH


def test_the_same_for_folders_like_this_one(
    archive: Archive, take_in: Take, sheet: Write, picture: Write, tmp_path: Path
) -> None:
    stock = sheet([["Stock No", "Title"], *([f"HW {n}", f"Bowl {n}"] for n in range(1, 5))])
    folder = tmp_path / "Pictures"
    for number in (1, 2, 3):
        for name in ("IMG_1.jpg", "IMG_2.jpg", "IMG_3.jpg"):
            picture(folder / f"HW {number}" / name.replace("IMG_", f"IMG_{number}0"))
    picture(folder / "HW 4" / "IMG_401.jpg")
    take_in(stock)
    rows = [
        ["File", "View", "Same for all folders like this"],
        ["HW 1/IMG_102.jpg", "base", "yes"],
        ["HW 2/IMG_202.jpg", "mark", ""],
        ["HW 1/IMG_101.jpg", "overall", ""],
    ]
    take_in(folder, sheet(rows, "habits.csv"))
    other = shown(archive, "HW 3/IMG_302.jpg")["Bowl 3"]
    assert (other.view, other.reviewed, other.certainty) == (View.BASE, True, Certainty.PROBABLE)
    assert "HW 1/IMG_102.jpg" in other.ground
    assert shown(archive, "HW 2/IMG_202.jpg")["Bowl 2"].view is View.MARK
    assert not shown(archive, "HW 3/IMG_301.jpg")["Bowl 3"].reviewed
    assert not shown(archive, "HW 4/IMG_401.jpg")["Bowl 4"].reviewed, "a folder of another shape"


def test_the_same_for_series_in_one_folder(
    archive: Archive, take_in: Take, sheet: Write, picture: Write, tmp_path: Path
) -> None:
    stock = sheet([["Stock No", "Title"], *([f"HW {n}", f"Bowl {n}"] for n in (421, 422, 423))])
    folder = tmp_path / "2014 fair"
    for name in (
        "0421 (1)",
        "0421 (2)",
        "0422 (1)",
        "0422 (2)",
        "0423 foot",
        "IMG_0009",
        "IMG_0010",
    ):
        picture(folder / f"{name}.jpg")
    take_in(stock)
    rows = [
        ["File", "View", "Same for all folders like this"],
        ["2014 fair/0421 (2).jpg", "mark", "yes"],
        ["2014 fair/0421 (1).jpg", "overall", ""],
    ]
    take_in(folder, sheet(rows, "habits.csv"))
    assert shown(archive, "0422 (2).jpg")["Bowl 422"].view is View.MARK
    assert not shown(archive, "0422 (1).jpg")["Bowl 422"].reviewed
    assert not shown(archive, "0423 foot.jpg")["Bowl 423"].reviewed


def test_what_a_person_said_in_the_archive_since_is_asked_about(
    archive: Archive,
    plugins: Plugins,
    look: Look,
    take_in: Take,
    sheet: Write,
    stock: Path,
    photographs: Path,
) -> None:
    from archivist.intake.viewing import Said, described

    take_in(stock)
    take_in(photographs)
    bowl = archive.catalogue.object_named("HW 1")
    sha256 = next(
        p.sha256 for p in archive.catalogue.photographs_of(bowl.id) if len(p.depictions) == 1
    )
    with archive.catalogue.action("edit", "Ines Tidewell", "") as action:
        for photograph in described(archive, bowl, Said(views={sha256: "mouth"}), plugins):
            action.save(photograph)
    told = look(sheet([["File", "View", "SHA-256"], ["x.jpg", "base", sha256]], "late.csv"))
    (question,) = told.proposal.questions
    assert "'base'" in question.asks
    assert "'mouth'" in question.asks
    assert [c.answer for c in question.choices] == ["the archive", "the list"]
    assert not any(isinstance(i, ReviewPhotograph) for i in told.proposal.items)


def test_a_survey_with_a_list_proposes_what_the_list_says_and_asks_no_more(
    look: Look, take_in: Take, sheet: Write, stock: Path, photographs: Path
) -> None:
    take_in(stock)
    before = look(photographs)
    assert any("Where in it" in q.asks for q in before.proposal.questions)
    told = look(photographs, sheet(LIST, "looked through.csv"))
    assert not any("Where in it" in q.asks for q in told.proposal.questions)
    added = {i.path: i for i in told.proposal.items if isinstance(i, AddPhotograph)}
    assert added["HW 1/a.jpg"].photograph.depictions[0].view is View.FOOT_RIM
    assert "as looked through.csv says, row 2" in added["HW 1/a.jpg"].reasons
