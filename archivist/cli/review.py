"""`archivist review`: shows a proposal, what is certain in a line, and asks about the rest."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.saying import echo

if TYPE_CHECKING:
    from archivist.catalogue.archive import Archive
    from archivist.intake.contact_sheet.writing import WrittenSheet
    from archivist.intake.proposal import Proposal


@click.command()
@click.argument("proposal", required=False, default="", metavar="[PROPOSAL]")
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Show every item, every statement, and what words only mention.",
)
@click.option("--ask", is_flag=True, help="Ask each open question here.")
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="QUESTION=CHOICE",
    help="Answer questions: 2=b, or 2='the same'; several: 2,5,7-9=b; all open ones of a class: "
    "unlicensed=a; where pieces are in a picture: 2='HW 1=x,y,w,h; HW 2=x,y,w,h'.",
)
@click.option(
    "--refuse", multiple=True, metavar="ITEMS", help="Refuse items by their numbers: 12, or 3,7-12."
)
@click.option(
    "--sheet",
    is_flag=True,
    help="Write a page of the photographs to look through and a workbook to correct: those of the "
    "proposal that waits, else those in the archive whose views nobody has reviewed.",
)
@click.option("--every", is_flag=True, help="With --sheet: all photographs in the archive.")
@click.option(
    "--object",
    "names",
    multiple=True,
    metavar="STOCKNUMBER",
    help="Show all that is proposed of this piece; with --sheet: only photographs in the archive "
    "of this piece.",
)
@click.option(
    "--hand-back",
    "handed",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="Take back the workbook (or any list of photographs: file, what it shows, where).",
)
@click.option("--sources", is_flag=True, help="List the sources the archive knows.")
@click.option("--json", "as_json", is_flag=True, help="Print the proposal as JSON (see above).")
@pass_invocation
def review(
    invocation: Invocation,
    proposal: str,
    everything: bool,
    ask: bool,
    answers: tuple[str, ...],
    refuse: tuple[str, ...],
    sheet: bool,
    every: bool,
    names: tuple[str, ...],
    handed: Path | None,
    sources: bool,
    as_json: bool,
) -> None:
    """Shows what PROPOSAL says (default: the newest that was not applied).

    A proposal is a text file: it can also be edited in any editor before it is applied.

    What would be filed of each piece is shown with the words it was made of: first what they
    doubt, deny or report of another, then the rest. What is left open is asked; questions of one
    class can be answered alike, and each then gets its own answer.

    Photographs are looked through on a page that --sheet writes, and corrected in the workbook
    beside it. What you say there with --hand-back counts more than any later guess, before and
    after the photographs are taken in.

    \b
    Examples:
      archivist review
      archivist review --ask
      archivist review --answer 1=a --refuse 12,20-24
      archivist review --answer unlicensed=a --object "HW 0417"
      archivist review --sheet
      archivist review --sheet --every --object "HW 0417"
      archivist review --hand-back "photographs.xlsx"

    --json prints one object. These keys stay as they are; text is "" and a list [] where there is
    nothing to say; dates are EDTF (ISO 8601-2); certainty is certain, probable, possible or
    doubtful; paths are relative to their source (a UUID; see "sources" for where it lies):

    \b
      photographs  path, path_bytes, source, source_location, sha256, width, height,
                   taken, taken_certainty, taken_ground, taken_others,
                   view, view_certainty, view_ground, camera, known
      duplicates   keeper, sha256, source, because,
                   others: path, sha256, relation, relations, certainty, reasons
      groups       key, source, paths, object (UUID, or ""), name, certainty, reasons,
                   several, objects, regions: path, object, region
      doubts       about, paths, says, reasons
      id, made, program, sources, items, questions, troubles: as in the proposal's file
    """
    from archivist.cli import told
    from archivist.cli.context import say_json
    from archivist.intake.contact_sheet.listing import listed
    from archivist.intake.proposal import read_proposal

    with invocation.open() as archive:
        if sources:
            told.tell_sources(archive.catalogue, as_json)
            return
        if handed is not None:
            _hand_back(archive, handed, as_json)
            return
        if (every and (proposal or not sheet)) or (names and sheet and proposal):
            raise click.UsageError(
                "--every goes with --sheet, and --every and --object --sheet with no PROPOSAL."
            )
        path = None if sheet and (every or names) else _named(archive, proposal, photographs=sheet)
        if path is None and sheet:
            _write_sheet_of_archive(archive, names, every, as_json)
            return
        if path is None:
            if as_json:
                say_json(None)
            else:
                echo("No proposal is waiting. 'archivist survey SOURCE' makes one.")
            return
        changed = read_proposal(path)
        if answers or refuse or ask:
            changed = _decided(archive, path, answers, refuse, ask)
        if sheet:
            _write_sheet(archive, path, as_json)
            return
        if as_json:
            say_json(listed(changed))
            return
        told.tell_proposal(changed)
        if not names:
            told.tell_items(changed, everything)
        _tell_statements(archive, changed, everything, names)
    if not names:
        told.tell_findings(changed)
        told.tell_questions(changed, everything)
        told.tell_troubles(changed)
    echo()
    echo(f"The proposal: {path}")
    if told.has_photographs(changed):
        echo(f"The photographs: archivist review --sheet {path.name}")
    echo(f"Next: archivist apply {path.name}")


def _named(archive: Archive, name: str, *, photographs: bool) -> Path | None:
    """The proposal of that name, else the newest that waits (and has photographs)."""
    from archivist.intake.choose import (
        chosen_proposal,
        newest_proposal,
        newest_with_photographs,
    )

    if name:
        return chosen_proposal(archive, name)
    return newest_with_photographs(archive) if photographs else newest_proposal(archive)


def _tell_statements(
    archive: Archive, proposal: Proposal, everything: bool, names: tuple[str, ...]
) -> None:
    """What would be filed of each piece; with `everything` also what is only mentioned."""
    from archivist.cli.statements_told import tell_all_statements, tell_statements
    from archivist.intake.said_of_pieces import parties_named
    from archivist.model import Party

    parties = parties_named(proposal, {p.id: p for p in archive.catalogue.all(Party)})
    if not everything:
        tell_statements(proposal, parties, names)
        return
    from archivist.intake.vocabulary import tables_of
    from archivist.plugins import load_plugins

    tell_all_statements(proposal, parties, tables_of(archive, load_plugins()), names)


def _decided(
    archive: Archive, path: Path, answers: tuple[str, ...], refuse: tuple[str, ...], ask: bool
) -> Proposal:
    """What the person decides of a proposal, written into its file."""
    from archivist.cli import told
    from archivist.intake.contact_sheet.placing import placing_of
    from archivist.intake.decide import answer_question, refuse_items
    from archivist.intake.proposal import read_proposal, rewrite_proposal

    what = read_proposal(path)
    changed = what
    placing = placing_of(archive, what)
    for number in refuse:
        changed = refuse_items(changed, number)
    for words in answers:
        changed = answer_question(changed, words, placing)
    if ask:
        changed = told.ask_questions(changed, placing)
    if changed != what:
        rewrite_proposal(path, changed)
    return changed


def _write_sheet(archive: Archive, path: Path, as_json: bool) -> None:
    from archivist.cli.context import counted, progress
    from archivist.intake.contact_sheet.writing import write_sheet
    from archivist.intake.proposal import read_proposal

    what = read_proposal(path)
    with progress("Making small pictures", None, "photographs") as advance:
        written = write_sheet(archive, what, path, advance)
    photographs = counted(written.photographs, "photograph")
    _tell_written(written, f"{photographs}, {written.open} of them to look at.", as_json)


def _write_sheet_of_archive(
    archive: Archive, names: tuple[str, ...], every: bool, as_json: bool
) -> None:
    """The sheet of what is in the archive; where there is nothing to look at, that is said."""
    from archivist.cli.context import counted, progress, say_json
    from archivist.intake.contact_sheet.writing import write_sheet_of_archive

    objects = [archive.catalogue.object_named(name) for name in names]
    with progress("Making small pictures", None, "photographs") as advance:
        written = write_sheet_of_archive(archive, objects=objects, every=every, progress=advance)
    of = f" of {', '.join(record.name for record in objects)}" if objects else " in the archive"
    if written is None and as_json:
        say_json(None)
    elif written is None and every:
        echo(f"There are no photographs{of}. 'archivist survey FOLDER' looks at some.")
    elif written is None:
        echo(f"There are no photographs{of} whose views nobody has reviewed.")
        echo("To look all of them through: archivist review --sheet --every")
    else:
        one = written.photographs == 1
        which = "" if every else f" whose {'view' if one else 'views'} nobody has reviewed"
        _tell_written(written, f"{counted(written.photographs, 'photograph')}{of}{which}.", as_json)


def _tell_written(written: WrittenSheet, what: str, as_json: bool) -> None:
    from archivist.cli.context import say_json

    if as_json:
        say_json(
            {
                "pages": [str(page) for page in written.pages],
                "workbook": str(written.workbook),
                "photographs": written.photographs,
                "open": written.open,
                "put_aside": str(written.aside) if written.aside else None,
            }
        )
        return
    echo(what)
    if written.aside:
        echo(f"The workbook that was there had been edited; it is now:\n  {written.aside}")
    echo("To look through, in any browser:")
    echo(f"  {written.pages[0]}")
    if written.pages[1:]:
        echo(f"  and {len(written.pages) - 1:,} more beside it, to which it leads")
    echo(f"To correct ('yes' under 'Shows' where a row is right):\n  {written.workbook}")
    echo(f'Then:\n  archivist review --hand-back "{written.workbook}"')


def _hand_back(archive: Archive, file: Path, as_json: bool) -> None:
    from archivist.cli.context import say_json
    from archivist.cli.told import counted, say, tell_troubles
    from archivist.intake.contact_sheet.writing import hand_back
    from archivist.plugins import load_plugins

    done = hand_back(archive, file, load_plugins())
    if as_json:
        say_json(
            {
                "proposal": str(done.path) if done.path else None,
                "reviewed": done.reviewed,
                "waiting": done.waiting,
                "questions": sum(not q.answer for q in done.handed.questions),
                "troubles": [t.trouble for t in done.handed.troubles],
            }
        )
        return
    tell_troubles(done.handed)
    if done.path is None:
        say(f"{file.name} says nothing that is new.")
        return
    words = [
        f"{counted(done.reviewed, 'photograph')} as you say" if done.reviewed else "",
        f"{counted(done.waiting, 'row')} kept until the photographs come" if done.waiting else "",
    ]
    where = f"put into the proposal that waits, {done.path.name}" if done.waited else "proposed"
    say(f"{'; '.join(w for w in words if w) or 'What the list says'}: {where}.")
    echo(f"Next: archivist review, then archivist apply {done.path.name}")
    if any(not told.trouble.harmless for told in done.handed.troubles):
        click.get_current_context().exit(1)
