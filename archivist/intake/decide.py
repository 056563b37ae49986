"""What a person decides of a proposal: answers, and items that are refused."""

from __future__ import annotations

import re

import msgspec

from archivist.errors import SelectionError
from archivist.intake.contact_sheet.placing import Placing, asks_for_regions
from archivist.intake.proposal import Asked, Choice, Proposal

LETTERS = "abcdefghijklmnopqrstuvwxyz"


def letter(number: int) -> str:
    """The letter of a choice, counted from 0; numbers after the alphabet."""
    return LETTERS[number] if number < len(LETTERS) else str(number + 1)


def answer_question(proposal: Proposal, words: str, placing: Placing | None = None) -> Proposal:
    """The proposal with questions answered: '2=b', or '2=the words of the choice'.

    '2,5,7-9=b' gives each of those questions its own choice b, and 'unlicensed=a' each open
    question of that class its own choice a. '2=' takes an answer back. Where pieces are in a
    picture is answered with their places: '2=HW 1=120,80,400,600; HW 2=560,90,380,590', read by
    `placing`.

    Raises:
        SelectionError: where there is no such question, class or choice; nothing is answered then.
    """
    named, _, answer = words.partition("=")
    for place in _places(proposal, named):
        question = proposal.questions[place]
        if answer and placing is not None and asks_for_regions(question):
            proposal = with_regions(proposal, place, answer, placing)
        else:
            chosen = _choice(question, answer).answer if answer else ""
            proposal = with_answer(proposal, place, chosen)
    return proposal


def _places(proposal: Proposal, named: str) -> list[int]:
    """The questions of those numbers, or the open ones of that class, as places from 0."""
    if _NUMBERS.fullmatch(named.strip()):
        return numbers_in(named, len(proposal.questions), "question")
    reason = named.strip().casefold()
    classes = classes_of(proposal)
    if reason not in classes:
        listed = ", ".join(f"'{name}'" for name in classes)
        raise SelectionError(
            f"There is no question and no class of questions '{named.strip()}'.",
            "Nothing was changed. Questions are numbered from 1 to "
            f"{len(proposal.questions)}" + (f"; the classes are: {listed}." if listed else "."),
        )
    return [p for p in classes[reason] if not proposal.questions[p].answer]


def classes_of(proposal: Proposal) -> dict[str, list[int]]:
    """The questions of each class, as places from 0."""
    found: dict[str, list[int]] = {}
    for place, question in enumerate(proposal.questions):
        if question.reason:
            found.setdefault(question.reason.casefold(), []).append(place)
    return found


def with_answer(proposal: Proposal, place: int, answer: str) -> Proposal:
    """The proposal with the answer to its question at `place` (from 0) set."""
    questions = list(proposal.questions)
    questions[place] = msgspec.structs.replace(questions[place], answer=answer)
    return msgspec.structs.replace(proposal, questions=tuple(questions))


def with_regions(proposal: Proposal, place: int, words: str, placing: Placing) -> Proposal:
    """The proposal with the question at `place` (from 0) answered by places in the picture.

    Raises:
        SelectionError: where the words name no piece of the picture, or a place outside it.
    """
    question = proposal.questions[place]
    choice = placing.choice(question, words)
    questions = list(proposal.questions)
    questions[place] = msgspec.structs.replace(question, choices=(choice,), answer=choice.answer)
    return msgspec.structs.replace(proposal, questions=tuple(questions))


def refuse_items(proposal: Proposal, numbers: str) -> Proposal:
    """The proposal with items refused, named by their numbers in the list: '3', '3,7-12'.

    Raises:
        SelectionError: where there is no such item; nothing is refused then.
    """
    items = list(proposal.items)
    for place in numbers_in(numbers, len(proposal.items), "item"):
        items[place] = msgspec.structs.replace(items[place], accept=False)
    return msgspec.structs.replace(proposal, items=tuple(items))


_NUMBERS = re.compile(r"\d+(?:\s*[-–]\s*\d+)?(?:[\s,;]+\d+(?:\s*[-–]\s*\d+)?)*")
_RANGE = re.compile(r"(\d+)(?:\s*[-–]\s*(\d+))?")


def numbers_in(words: str, count: int, what: str) -> list[int]:
    """The numbers from 1 to `count` that '3, 7-12' names, as places from 0 in order.

    Raises:
        SelectionError: where one is no number of the list, or a range runs backwards.
    """
    found: set[int] = set()
    named = _RANGE.finditer(words) if _NUMBERS.fullmatch(words.strip()) else ()
    for one in named:
        first, last = int(one[1]), int(one[2] or one[1])
        if not 1 <= first <= last <= count:
            found.clear()
            break
        found.update(range(first - 1, last))
    if not found:
        raise SelectionError(
            f"There is no {what} '{words.strip()}': they are numbered from 1 to {count}, and named "
            "as 3, as 3,5 or as 3-9.",
            "Nothing was changed.",
        )
    return sorted(found)


def _choice(question: Asked, words: str) -> Choice:
    """The choice of that letter or those words."""
    plain = words.strip()
    for number, choice in enumerate(question.choices):
        if plain in (letter(number), choice.answer):
            return choice
    choices = ", ".join(f"{letter(n)}: {c.answer}" for n, c in enumerate(question.choices))
    raise SelectionError(
        f"'{plain}' is no choice of '{question.asks}'. The choices are: {choices or 'none'}.",
        "Nothing was changed.",
    )
