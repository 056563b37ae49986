"""What a person decides of a proposal: answers, and items that are refused."""

from __future__ import annotations

import msgspec

from archivist.errors import SelectionError
from archivist.intake.contact_sheet.placing import Placing, asks_for_regions
from archivist.intake.proposal import Asked, Choice, Proposal

LETTERS = "abcdefghijklmnopqrstuvwxyz"


def letter(number: int) -> str:
    """The letter of a choice, counted from 0; numbers after the alphabet."""
    return LETTERS[number] if number < len(LETTERS) else str(number + 1)


def answer_question(proposal: Proposal, words: str, placing: Placing | None = None) -> Proposal:
    """The proposal with a question answered: '2=b', or '2=the words of the choice'.

    '2=' takes an answer back. Where pieces are in a picture is answered with their places:
    '2=HW 1=120,80,400,600; HW 2=560,90,380,590', read by `placing`.

    Raises:
        SelectionError: where there is no such question or choice.
    """
    number, _, answer = words.partition("=")
    place = _number(number, len(proposal.questions), "question")
    question = proposal.questions[place]
    if answer and placing is not None and asks_for_regions(question):
        return with_regions(proposal, place, answer, placing)
    return with_answer(proposal, place, _choice(question, answer).answer if answer else "")


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


def refuse_item(proposal: Proposal, number: str) -> Proposal:
    """The proposal with an item refused, named by its number in the list, from 1.

    Raises:
        SelectionError: where there is no such item.
    """
    place = _number(number, len(proposal.items), "item")
    items = list(proposal.items)
    items[place] = msgspec.structs.replace(items[place], accept=False)
    return msgspec.structs.replace(proposal, items=tuple(items))


def _number(words: str, count: int, what: str) -> int:
    """A number from 1 to `count`, as a place from 0."""
    plain = words.strip()
    if not plain.isdigit() or not 1 <= int(plain) <= count:
        raise SelectionError(
            f"There is no {what} '{plain}': they are numbered from 1 to {count}.",
            "Nothing was changed.",
        )
    return int(plain) - 1


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
