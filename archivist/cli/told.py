"""How a proposal is told on the terminal: what is certain in a line, the rest by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.catalogue.catalogue import Catalogue
    from archivist.intake.contact_sheet.placing import Placing
    from archivist.intake.proposal import AnyItem, Asked, Proposal
    from archivist.model import Depiction

PATHS = 4
"""Files that are named where something is about many."""

MOST = 20
"""Lines of one kind that are shown before the rest is counted."""


def counted(number: int, one: str, many: str = "") -> str:
    """'1 record', '2 records', '' for none."""
    if not number:
        return ""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def say(words: str, indent: str = "", bold: bool = False, err: bool = False) -> None:
    """Prints `words`, broken at the width of the terminal; further lines are drawn in alike."""
    import shutil

    width = min(100, shutil.get_terminal_size().columns)
    text = click.wrap_text(words, width, initial_indent=indent, subsequent_indent=_hang(indent))
    secho(text, bold=bold, err=err)


def _hang(indent: str) -> str:
    return " " * len(indent)


def has_photographs(proposal: Proposal) -> bool:
    """Whether there is anything to look through."""
    from archivist.intake.choose import has_photographs as has

    return has(proposal)


def tell_proposal(proposal: Proposal) -> None:
    """A line for the items, a line for the questions."""
    counts = Counter(type(item).__name__ for item in proposal.items)
    reviewed, kept = _reviewed(proposal)
    words = [
        counted(counts["CreateObject"], "new record"),
        counted(counts["ChangeObject"], "change of a record", "changes of records"),
        counted(counts["AddPhotograph"], "photograph"),
        counted(counts["LinkPhotograph"], "photograph shows another piece"),
        counted(reviewed, "photograph as its owner says", "photographs as their owner says"),
        counted(kept, "word on a photograph to come", "words on photographs to come"),
        counted(counts["KeepFile"], "file to keep", "files to keep"),
        counted(counts["SaveParty"], "person or firm", "persons and firms"),
    ]
    say("Proposed: " + (", ".join(w for w in words if w) or "nothing") + ".")
    refused = sum(not item.accept for item in proposal.items)
    if refused:
        say(f"Refused: {counted(refused, 'item')}.")
    if proposal.questions:
        open_ = sum(not question.answer for question in proposal.questions)
        say(f"{counted(len(proposal.questions), 'question')}, {open_} open.")


def tell_columns(proposal: Proposal, mappings: Sequence[Path]) -> None:
    """Where it is written how columns are read, and which of them have no home in a record."""
    from archivist.intake.roles import Role

    for path in mappings:
        say(f"How the columns were read: {path}")
        homeless = [
            f"'{column.heading}'"
            for source in proposal.sources
            if source.mapping == path.name
            for column in source.columns
            if column.role is Role.KEEP
        ]
        if homeless:
            say(
                f"Nothing says what {', '.join(homeless)} hold{'' if homeless[1:] else 's'}: the "
                "words are kept as private notes, unless you say more in that file and survey "
                "again.",
                "  ",
            )


def _reviewed(proposal: Proposal) -> tuple[int, int]:
    """How many photographs a person spoke of, and how many words wait for a photograph."""
    from archivist.intake.proposal import ReviewPhotograph

    said = [item for item in proposal.items if isinstance(item, ReviewPhotograph)]
    return sum(item.says_something for item in said), sum(not item.photograph for item in said)


def tell_items(proposal: Proposal, everything: bool) -> None:
    """The items that are less than certain, or all, by their reasons; the certain ones in a line.

    Items of one reason stand together below it, each with the number by which it is refused.
    """
    numbered = list(enumerate(proposal.items, start=1))
    doubtful = [(n, i) for n, i in numbered if i.certainty.value != "certain" or not i.accept]
    certain = len(numbered) - len(doubtful)
    if certain:
        echo(f"{certain} of {len(numbered)} items are certain.")
    because: dict[tuple[str, tuple[str, ...]], list[tuple[int, AnyItem]]] = {}
    for number, item in numbered if everything else doubtful:
        sure = item.certainty.value if item.accept else "refused"
        because.setdefault((sure, item.reasons), []).append((number, item))
    shown = 0
    most = len(numbered) if everything else MOST
    digits = len(str(len(numbered)))
    for (sure, reasons), items in because.items():
        if shown >= most:
            break
        echo()
        say(f"{sure}{': ' if reasons else ''}{'; '.join(reasons)}", bold=sure != "certain")
        for number, item in items[: most - shown]:
            say(f"{_what(item)}  {_name(item)}", f"  {number:>{digits}}  ")
            shown += 1
    if not everything and len(doubtful) > shown:
        echo(f"\nand {len(doubtful) - shown} more: archivist review --all")


def _what(item: AnyItem) -> str:
    """What an item is, as the file calls it."""
    return str(type(item).__struct_config__.tag)


def _name(item: AnyItem) -> str:
    """What an item is about."""
    from archivist.intake.proposal import (
        AddPhotograph,
        ChangeObject,
        CreateObject,
        DescribeView,
        LinkPhotograph,
        ReviewPhotograph,
        SaveParty,
        TellPhotograph,
    )

    match item:
        case CreateObject():
            number = item.record.stock_number
            return f"{number}  {item.record.title}".strip()
        case ChangeObject():
            return item.name
        case SaveParty():
            return item.party.name
        case AddPhotograph():
            views = ", ".join(dict.fromkeys(d.view.value for d in item.photograph.depictions))
            return f"{item.path} ({views})" if views else item.path
        case LinkPhotograph() | DescribeView() | TellPhotograph():
            return item.path
        case ReviewPhotograph():
            said = [_said_of(d) for d in item.depictions]
            said += [f"taken {item.taken.date.edtf}"] if item.taken is not None else []
            if item.copy_of is not None:
                said.append("a copy" if item.copy_of else "no copy")
            words = ", ".join(dict.fromkeys(said))
            return f"{item.path} ({words})" if words else item.path
        case _:
            return item.file.path


def _said_of(depiction: Depiction) -> str:
    """What a person said of a piece on a photograph, in a word or two."""
    if depiction.certainty.value == "rejected":
        return "not this piece"
    return depiction.view.value


def tell_findings(proposal: Proposal) -> None:
    """What was found out about photographs: copies and groups in a line, doubts one by one."""
    found = proposal.found
    copies = sum(len(same.others) for same in found.duplicates)
    unsure = sum(group.certainty.value != "certain" for group in found.groups)
    words = [
        f"{copies} copies of {counted(len(found.duplicates), 'picture')}" if copies else "",
        f"{counted(len(found.groups), 'group')}, {unsure} of them not certain"
        if found.groups
        else "",
    ]
    if any(words):
        echo()
        say("Found: " + "; ".join(w for w in words if w) + ".")
    for doubt in found.doubts[:MOST]:
        say(f"{doubt.says}", f"  {doubt.about}: ")
        paths = ", ".join(doubt.paths[:PATHS])
        more = f" and {len(doubt.paths) - PATHS} more" if len(doubt.paths) > PATHS else ""
        say(paths + more, "    ")
        for reason in doubt.reasons[:1]:
            say(reason, "    ")
    if len(found.doubts) > MOST:
        echo(f"  and {len(found.doubts) - MOST} more doubts: archivist review --sheet")


def tell_questions(proposal: Proposal, everything: bool = False) -> None:
    """Each question with its choices, those of one class together; answered ones with their answer.

    Of a class with very many questions only the first are shown, unless `everything` is.
    """
    from archivist.intake.decide import classes_of

    classes = classes_of(proposal)
    hidden: set[int] = set()
    for places in classes.values():
        hidden |= set(() if everything else places[MOST:])
    others = [n for n, question in enumerate(proposal.questions) if not question.reason]
    for places in (others, *classes.values()):
        for place in places:
            if place not in hidden:
                _tell_question(place, proposal.questions[place])
    for reason, places in classes.items():
        open_ = [n for n in places if not proposal.questions[n].answer]
        if len(open_) > 1:
            more = len(hidden.intersection(places))
            say(
                f"{len(open_)} open questions are of the class '{reason}'"
                + (f", {more} of them not shown (--all shows them)" if more else "")
                + f". One answer for all: archivist review --answer '{reason}=a'"
            )
    if any(question.choices and not question.answer for question in proposal.questions):
        echo("\nTo answer: archivist review --ask, or --answer 1=a, or --answer 2,5-9=a")


def _tell_question(place: int, question: Asked) -> None:
    """One question, numbered from 1, with its choices or its answer."""
    from archivist.intake.contact_sheet.placing import asks_for_regions
    from archivist.intake.decide import letter

    mark = f"{place + 1}. "
    echo()
    say(question.asks, mark, bold=not question.answer)
    say(question.about, _hang(mark))
    if question.answer:
        say(f"Answered: {question.answer}", _hang(mark))
        return
    if asks_for_regions(question):
        say("Its place is x,y,w,h in pixels, asked for by review --ask.", _hang(mark))
    for number, choice in enumerate(question.choices):
        say(choice.answer, f"{_hang(mark)}{letter(number)}: ")


def ask_questions(proposal: Proposal, placing: Placing) -> Proposal:
    """Asks each open question that can be answered here; an empty answer leaves it open.

    Whoever stops in the middle keeps the answers that were given.
    """
    for place, question in enumerate(proposal.questions):
        if question.answer:
            continue
        try:
            proposal = _ask(proposal, place, question, placing)
        except click.Abort:
            echo("\nThe rest is left open.")
            break
    return proposal


def _ask(proposal: Proposal, place: int, question: Asked, placing: Placing) -> Proposal:
    """The proposal with the answer to one question, if one was given."""
    from archivist.intake.contact_sheet.placing import asks_for_regions
    from archivist.intake.decide import with_answer, with_regions

    if asks_for_regions(question):
        words = _asked_regions(place, question, placing)
        return with_regions(proposal, place, words, placing) if words else proposal
    if question.choices:
        return with_answer(proposal, place, _asked(place, question))
    return proposal


def _put(place: int, question: Asked) -> str:
    """Prints a question; gives how far what belongs to it is drawn in."""
    mark = f"{place + 1}. "
    echo()
    say(question.asks, mark, bold=True)
    say(question.about, _hang(mark))
    return _hang(mark)


def _asked(place: int, question: Asked) -> str:
    """One question put to the person at the terminal."""
    from archivist.intake.decide import letter

    indent = _put(place, question)
    answers = {letter(n): choice.answer for n, choice in enumerate(question.choices)}
    for mark, answer in answers.items():
        say(answer, f"{indent}{mark}: ")
    while True:
        said = click.prompt(f"{indent}(empty: leave it open)", default="", show_default=False)
        said = said.strip()
        if not said or said in answers:
            return answers.get(said, "")
        echo(f"{indent}Please say one of {', '.join(answers)}.")


def _asked_regions(place: int, question: Asked, placing: Placing) -> str:
    """Where each piece of a picture is, asked piece by piece; '' where nothing was said."""
    about = placing.about(question)
    if about is None:
        return ""
    indent = _put(place, question)
    size = f"{about.photograph.width} by {about.photograph.height}"
    say(f"x,y,w,h in pixels from the top left; the picture is {size}. Empty: leave it open", indent)
    said = []
    for name in about.pieces:
        while True:
            words = click.prompt(f"{indent}{name}", default="", show_default=False).strip()
            if not words or placing.fits(question, words):
                break
            echo(f"{indent}Please say four numbers that lie on it, such as 120,80,400,600.")
        if words:
            said.append(f"{name}={words}")
    return "; ".join(said)


def tell_troubles(proposal: Proposal) -> None:
    """What could not be read, by place; what is harmless only as a number."""
    real = [t for t in proposal.troubles if not t.trouble.harmless]
    for told in real[:MOST]:
        source = Path(told.location).name
        where = "" if told.trouble.place == source else f"{told.trouble.place}: "
        secho(f"{source}: {where}{told.trouble.reason}", fg="yellow", err=True)
        if told.trouble.remedy:
            echo(f"    {told.trouble.remedy}", err=True)
    if len(real) > MOST:
        echo(f"and {len(real) - MOST} more, all in the proposal.", err=True)
    harmless = [t.trouble for t in proposal.troubles if t.trouble.harmless]
    reasons = Counter(trouble.reason for trouble in harmless)
    for trouble in {t.reason: t for t in harmless}.values():
        count = reasons[trouble.reason]
        place = f"{trouble.place}:" if count == 1 else f"{count} x"
        say(f"{place} {trouble.reason}", err=True)
        if trouble.remedy:
            echo(f"    {trouble.remedy}", err=True)


def tell_sources(catalogue: Catalogue, as_json: bool) -> None:
    """The sources that the archive knows: UUID, reader, where they lie."""
    from archivist.catalogue.sources import sources
    from archivist.cli.context import say_json

    known = sources(catalogue)
    if as_json:
        say_json(list(known))
        return
    for source in known:
        echo(f"{source.id}  {source.reader}  {source.location}")
    if not known:
        echo("Nothing was taken in yet.")
