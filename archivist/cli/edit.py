"""`archivist edit`: changes a record, in the owner's editor or word by word."""

from __future__ import annotations

from typing import TYPE_CHECKING, BinaryIO

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.catalogue.action import Action
    from archivist.catalogue.archive import Archive
    from archivist.intake.editing import Edit
    from archivist.intake.viewing import Said
    from archivist.model import ObjectRecord


def pairs(_: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, str]:
    """'date=circa 1880' as a name and its words."""
    found: dict[str, str] = {}
    for words in given:
        name, equals, value = words.partition("=")
        if not equals or not name.strip():
            raise click.BadParameter(f"'{words}' is not of the form {parameter.metavar}")
        found[name.strip()] = value.strip()
    return found


def lines(_: click.Context, parameter: click.Parameter, given: tuple[str, ...]) -> dict[str, str]:
    """'date=circa 1880' as a heading and its words; a heading given twice has two lines."""
    found: dict[str, str] = {}
    for words in given:
        for name, value in pairs(_, parameter, (words,)).items():
            found[name] = f"{found[name]}\n{value}" if name in found else value
    return found


@click.command()
@click.argument("stock_number")
@click.option(
    "--set",
    "set_",
    multiple=True,
    callback=lines,
    metavar="HEADING=WORDS",
    help="Put WORDS in place of what stands under HEADING.",
)
@click.option(
    "--add",
    "added",
    multiple=True,
    callback=lines,
    metavar="HEADING=WORDS",
    help="Add WORDS as one more statement under HEADING; what stands there stays.",
)
@click.option(
    "--view",
    "views",
    multiple=True,
    callback=pairs,
    metavar="SHA256=VIEW",
    help="Say which view a photograph is: base, mark, mouth …",
)
@click.option(
    "--region",
    "regions",
    multiple=True,
    callback=pairs,
    metavar="SHA256=X,Y,W,H",
    help="Say where on a photograph the piece is, in pixels.",
)
@click.option(
    "--caption",
    "captions",
    multiple=True,
    callback=pairs,
    metavar="SHA256=WORDS",
    help="Give a photograph a caption.",
)
@click.option(
    "--let-see",
    "released",
    multiple=True,
    callback=pairs,
    metavar="SHA256=AUDIENCE",
    help="Let an audience see a photograph that its view keeps with you.",
)
@click.option(
    "--compare",
    "comparable",
    multiple=True,
    metavar="STOCKNUMBER",
    help="Say that another piece is to be compared with this one.",
)
@click.option(
    "--json",
    "json_file",
    type=click.File("rb"),
    metavar="FILE",
    help="Put the whole record in place, as 'show --json' prints it; - reads from input.",
)
@click.option("--why", default="", metavar="WORDS", help="Why; kept in the history.")
@pass_invocation
def edit(
    invocation: Invocation,
    stock_number: str,
    set_: dict[str, str],
    added: dict[str, str],
    views: dict[str, str],
    regions: dict[str, str],
    captions: dict[str, str],
    released: dict[str, str],
    comparable: tuple[str, ...],
    json_file: BinaryIO | None,
    why: str,
) -> None:
    """Changes the record of STOCK_NUMBER; without options, in your text editor.

    What it said before stays in its history, and 'archivist undo' takes the change back.
    Photographs are named by the beginning of their digest, as 'archivist show' lists them.

    \b
    Examples:
      archivist edit "HW 0417"
      archivist edit "HW 0417" --set "date=circa 1880" --why "compared the foot"
      archivist edit "HW 0417" --add "opinion=Dr Tolling: date: c. 1900; ground: the foot"
      archivist edit "HW 0417" --view 5cd816=base --view 8e0396=mark
      archivist edit "HW 0417" --compare "HW 0130"
    """
    from archivist.intake.viewing import Said

    said = Said(views, regions, released, captions)
    whole = json_file.read() if json_file is not None else None
    pictures_alone = bool(views or regions or released or captions or comparable)
    in_editor = whole is None and not (set_ or added or pictures_alone)
    with invocation.open() as archive:
        catalogue = archive.catalogue
        opened = catalogue.object_named(stock_number)
        written = _in_editor(archive, opened) if in_editor else {}
        # What is changed is read within the change, so that edits at once leave none out.
        with catalogue.action("edit", invocation.author(archive), why) as action:
            record = catalogue.object_named(stock_number)
            if in_editor:
                _refuse_changed(archive, opened, record, written)
            done = _edited(archive, record, whole, set_, added, written)
            if comparable:
                done = _compared(done, [catalogue.object_named(name) for name in comparable])
            saved = action.save(done.record)
            for party in done.parties if saved else ():
                action.save(party)
            seen = _describe(archive, record, said, action)
        _tell(archive, done, saved, seen)


def _edited(
    archive: Archive,
    record: ObjectRecord,
    whole: bytes | None,
    set_: dict[str, str],
    added: dict[str, str],
    written: dict[str, str],
) -> Edit:
    """The record with what was given: as JSON, by headings, or in the editor."""
    from archivist.intake.editing import by_heading, edited
    from archivist.intake.vocabulary import tables_of
    from archivist.plugins import load_plugins

    if whole is not None:
        return _replaced(record, whole)
    cells = by_heading(set_) | written
    if added:
        cells |= _with_more(archive, record, cells, added)
    if not cells:
        return _unchanged(record)
    return edited(archive, record, cells, tables_of(archive, load_plugins()))


def _describe(archive: Archive, record: ObjectRecord, said: Said, action: Action) -> int:
    """Saves what is said of photographs; how many."""
    from archivist.intake.viewing import described
    from archivist.plugins import load_plugins

    photographs = described(archive, record, said, load_plugins())
    return sum(action.save(photograph) for photograph in photographs)


def _refuse_changed(
    archive: Archive, opened: ObjectRecord, record: ObjectRecord, written: dict[str, str]
) -> None:
    """What somebody else changed while the editor was open is not written over.

    Raises:
        RecordError: where the same heading was changed, with what was written.
    """
    from archivist.errors import RecordError
    from archivist.intake.editing import as_text, from_text

    if opened == record:
        return
    before, now = from_text(as_text(archive, opened)), from_text(as_text(archive, record))
    changed = [heading for heading in written if before[heading] != now[heading]]
    if changed:
        kept = "; ".join(f"{heading}: {written[heading]}" for heading in changed)
        raise RecordError(
            f"{record.name} was changed under {', '.join(changed)} while it was open here.",
            f"Nothing was changed. Open it again; you had written: {kept}",
        )


def _unchanged(record: ObjectRecord) -> Edit:
    from archivist.intake.editing import Edit

    return Edit(record, (), (), ())


def _compared(done: Edit, others: list[ObjectRecord]) -> Edit:
    """The edit with each of `others` as a piece to be compared with."""
    from dataclasses import replace

    import msgspec

    from archivist.model import Relation, RelationKind

    known = {relation.object for relation in done.record.relations}
    new = [other for other in others if other.id != done.record.id and other.id not in known]
    relations = tuple(
        Relation(kind=RelationKind.COMPARE, object=o.id, as_stated=f"{o.title} ({o.name})")
        for o in new
    )
    record = msgspec.structs.replace(done.record, relations=(*done.record.relations, *relations))
    told = tuple(f"to be compared with {other.name}" for other in new)
    return replace(done, record=record, told=(*done.told, *told))


def _replaced(record: ObjectRecord, data: bytes) -> Edit:
    """The record as given in JSON, which must be of the same identifier."""
    import msgspec

    from archivist.errors import RecordError
    from archivist.intake.editing import Edit
    from archivist.model import ObjectRecord

    try:
        whole = msgspec.json.decode(data)
        new = msgspec.convert(whole.get("record", whole), ObjectRecord)
    except (msgspec.MsgspecError, AttributeError) as problem:
        raise RecordError(
            f"The JSON is not a record: {problem}.",
            f"Nothing was changed. 'archivist show {record.name} --json' prints one to begin with.",
        ) from problem
    if new.id != record.id:
        raise RecordError(
            f"The JSON is of the record {new.id}, not of {record.id}.", "Nothing was changed."
        )
    return Edit(new, (), (), ("the whole record was put in place",))


def _with_more(
    archive: Archive, record: ObjectRecord, cells: dict[str, str], added: dict[str, str]
) -> dict[str, str]:
    """The words that stand under each heading, with one more line."""
    from archivist.intake.editing import as_text, by_heading, from_text

    standing = from_text(as_text(archive, record)) | cells
    more = by_heading(added)
    return {h: "\n".join(filter(None, (standing.get(h, ""), w))) for h, w in more.items()}


def _in_editor(archive: Archive, record: ObjectRecord) -> dict[str, str]:
    """What the owner made of the record's lines; only headings whose words changed."""
    from archivist.errors import RecordError
    from archivist.intake.editing import as_text, from_text

    text = as_text(archive, record)
    before = from_text(text)
    while True:
        changed = click.edit(text, extension=".txt")
        if changed is None:
            return {}
        try:
            after = from_text(changed)
            return {heading: words for heading, words in after.items() if words != before[heading]}
        except RecordError as problem:
            secho(str(problem), fg="red", err=True)
            if not click.confirm("Open it again?", default=True):
                raise
            text = changed


def _tell(archive: Archive, done: Edit, saved: bool, seen: int) -> None:
    if not saved and not seen:
        echo(f"Nothing was changed on {done.record.name}.")
        return
    for line in done.told:
        echo(f"{done.record.name}: {line}")
    if seen:
        echo(f"{done.record.name}: {seen} photographs described.")
    for question in done.questions:
        secho(f"question   {question.asks}", fg="yellow")
    echo(f"To take it back: archivist undo {archive.catalogue.actions()[0].number}")
