"""What is said, of what and by whom, scored on phrases and descriptions that were marked by hand.

The corpus in `corpus/` is ours and invented; who wrote a text did not mark it, and neither had seen
the reader. Odd ids were tuned on, even ids never: both are printed, and only the even ones judge.
Museum prose is read from `shared/data/prose.jsonl` where that folder is present.

python -m tests.benchmarks.reading.standing [tuned|unseen] [-v]
"""

from __future__ import annotations

import json
import math
import statistics
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from archivist.reading.descriptions import read_description
from archivist.reading.plain import plain
from archivist.reading.tables import Tables, load_tables
from archivist.reading.titles import read_title

CORPUS = Path(__file__).parent / "corpus"
PROSE = Path(__file__).parents[4] / "shared" / "data" / "prose.jsonl"

Plain = dict[str, Any]

GROUPS = {
    **dict.fromkeys(("place", "culture", "maker", "kiln"), "origin"),
    **dict.fromkeys(
        ("form", "ware", "material", "technique", "glaze", "colour", "decoration", "subject"),
        "feature",
    ),
    **dict.fromkeys(("literature", "exhibition"), "citation"),
}
"""Kinds that two careful readers put under different names: they are compared as one."""

_NEIGHBOURS = {("feature", "origin"), ("origin", "feature")}
"""'Delft' and 'Meissen' are wares as well as places."""

_UNCOUNTED = frozenset(("title", "period", "relation"))
"""The years of a period are its date; a title is no statement of fact."""

_NOT_ASSERTED = frozenset(("denied", "asked", "conditional", "formerly held", "claimed"))


@dataclass
class Tally:
    """Counts over one set of texts."""

    texts: int = 0
    right: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)
    trapped: Counter[str] = field(default_factory=Counter)
    facts: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    trapped_texts: int = 0
    turning_texts: int = 0
    questions: int = 0
    confidence: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))
    told: list[str] = field(default_factory=list)


def group(kind: str) -> str:
    """The group in which a kind is compared."""
    return GROUPS.get(kind, kind)


def lines(name: str) -> Iterator[Plain]:
    """The objects of a file of the corpus."""
    with (CORPUS / name).open(encoding="utf-8") as file:
        yield from map(json.loads, file)


def score(name: str, half: str, tables: Tables) -> Tally:
    """The tally of `phrases` or `descriptions`, of the half that was tuned on or the other."""
    truths = {truth["id"]: truth for truth in lines(f"{name}.truth.jsonl")}
    reader = read_title if name == "phrases" else read_description
    tally = Tally()
    for text in lines(f"{name}.jsonl"):
        number = int("".join(c for c in text["id"] if c.isdigit()))
        if number % 2 == (half == "tuned"):
            _score(text, truths[text["id"]], plain(reader(text["text"], tables)), tally)
    return tally


def _score(text: Plain, truth: Plain, read: Plain, tally: Tally) -> None:
    words = text["text"]
    facts = [(fact, places(fact, words)) for fact in truth["asserted"]]
    may = [(fact, places(fact, words)) for fact in truth["may"]]
    traps = [(trap, places(trap, words)) for trap in truth["not"]]
    turning = text.get("class", "") not in ("plain", "")
    tally.texts += 1
    tally.turning_texts += turning
    asserted = [s for s in read["statements"] if is_asserted(s)]
    asked = [q["readings"][0] for q in read.get("questions", ()) if q["readings"]]
    tally.questions += len(read.get("questions", ()))
    trapped = False
    for statement in asserted:
        kind = group(statement["kind"])
        right = any(fits(statement, f, p) for f, p in (*facts, *may))
        if right:
            tally.right[kind] += 1
            tally.confidence[statement["confidence"]].append(True)
            continue
        if statement.get("presence") == "absent" and _is_denied(statement, traps):
            continue  # a plain 'no crack': right, but not owed
        tally.false[kind] += 1
        tally.confidence[statement["confidence"]].append(False)
        hit = any(alike(kind, trap["kind"]) and overlap(statement["span"], p) for trap, p in traps)
        if hit:
            tally.trapped[kind] += 1
            trapped = True
        tally.told.append(f"{text['id']} {'TRAP' if hit else 'false'} {brief(statement)}")
    tally.trapped_texts += trapped and turning
    given = [*asserted, *(s for reading in asked for s in reading)]
    for fact, found in facts:
        if fact.get("holder"):
            continue
        kind = group(fact["kind"])
        tally.facts[kind] += 1
        if any(fits(s, fact, found) for s in given):
            tally.found[kind] += 1
        else:
            tally.told.append(f"{text['id']} missed {fact['kind']} '{fact['words']}'")


def _is_denied(statement: Plain, traps: list[tuple[Plain, list[tuple[int, int]]]]) -> bool:
    return any(
        trap["why"] in ("denied", "looked for")
        and alike(statement["kind"], trap["kind"])
        and overlap(statement["span"], found)
        for trap, found in traps
    )


def is_asserted(statement: Plain) -> bool:
    """Whether a statement is one of the writer's own that something is so."""
    return (
        statement["kind"] not in _UNCOUNTED
        and statement["certainty"] != "rejected"
        and (statement.get("standing", "") not in _NOT_ASSERTED or "presence" in statement)
        and not statement.get("holder")
    )


def alike(kind: str, other: str) -> bool:
    """Whether two kinds are compared with each other."""
    one, two = group(kind), group(other)
    return one == two or (one, two) in _NEIGHBOURS or {one, two} == {"mark", "condition"}


def places(fact: Plain, text: str) -> list[tuple[int, int]]:
    """Where the words of a fact stand."""
    words = fact["words"]
    found, at = [], text.find(words)
    while at >= 0:
        found.append((at, at + len(words)))
        at = text.find(words, at + 1)
    nth = fact.get("nth")
    return found[nth - 1 : nth] if nth else found


def overlap(span: list[int], found: Iterable[tuple[int, int]]) -> bool:
    """Whether a span shares a character with any place."""
    return any(span[0] < end and start < span[1] for start, end in found)


def fits(statement: Plain, fact: Plain, found: list[tuple[int, int]]) -> bool:
    """Whether a statement says what the fact says, at its words."""
    if not alike(statement["kind"], fact["kind"]):
        return False
    if not overlap(statement["span"], found) and not _repeats(statement, fact):
        return False
    if fact.get("holder"):
        return False
    kind = statement["kind"]
    if kind == "condition" and fact["kind"] == "mark":
        return statement["term"] == "mark" and fact.get("presence") == statement["presence"]
    if kind == "date":
        part_fits = bool(fact.get("part")) == bool(statement.get("of"))
        other_role = fact.get("role", "made") not in ("made", "model")
        role_fits = not other_role or bool(statement.get("role") or statement.get("of"))
        return _years_fit(statement, fact) and (part_fits or other_role) and role_fits
    if kind == "mark" and fact["kind"] == "condition":
        return False
    if kind == "condition" and statement["term"] == "good order":
        return True
    if kind == "condition":
        return statement["presence"] == fact.get("presence", "present")
    if group(kind) == "feature" and bool(statement.get("of")) != bool(fact.get("part")):
        return False
    if kind == "measurement":
        numbers = {fact.get("low"), fact.get("high")}
        return any(_same(statement[end], number) for end in ("low", "high") for number in numbers)
    return True


def _repeats(statement: Plain, fact: Plain) -> bool:
    """Whether a feature is named again: 'bracket clock', and later 'this clock'."""
    words, other = statement["as_stated"].casefold(), fact["words"].casefold()
    return group(fact["kind"]) == "feature" and (words in other or other in words)


def _same(one: str, other: str | None) -> bool:
    try:
        return other is not None and math.isclose(float(one), float(other), rel_tol=0.01)
    except ValueError:
        return False


def _years_fit(statement: Plain, fact: Plain) -> bool:
    """Whether the years meet, and those read are not three times as wide as those marked."""
    first, last = fact.get("years") or (None, None)
    low, high = statement["earliest"], statement["latest"]
    ends = [(-math.inf if first is None else first), (math.inf if last is None else last)]
    read = [(-math.inf if low is None else low), (math.inf if high is None else high)]
    if read[0] > ends[1] + 5 or read[1] < ends[0] - 5:
        return False
    return (
        math.inf in (*ends, *read)
        or -math.inf in (*ends, *read)
        or (read[1] - read[0] <= 3 * (ends[1] - ends[0] + 20))
    )


def brief(statement: Plain) -> str:
    """A statement in a few words."""
    value = next(
        (statement[n] for n in ("edtf", "term", "low", "event", "claim") if statement.get(n)), ""
    )
    presence = statement.get("presence", "")
    return f"{statement['kind']} {value} '{statement['as_stated']}' {presence}"


def interval(count: int, total: int) -> str:
    """A share with its 95 % interval (Wilson)."""
    if not total:
        return "-"
    share, z = count / total, 1.96
    middle = (share + z * z / (2 * total)) / (1 + z * z / total)
    half = z * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    half /= 1 + z * z / total
    return f"{share:6.1%} ({max(0, middle - half):.1%} to {min(1, middle + half):.1%})"


def told(tally: Tally, name: str) -> list[str]:
    """The tally as lines of a report."""
    right, false = tally.right.total(), tally.false.total()
    rows = [
        f"{name}: {tally.texts} texts",
        f"  precision        {interval(right, right + false)}",
        f"  recall           {interval(tally.found.total(), tally.facts.total())}",
        f"  traps asserted   {tally.trapped.total()}",
        f"  questions        {tally.questions}, "
        f"{100 * tally.questions / max(1, right + false):.1f} a hundred statements",
    ]
    if tally.turning_texts:
        share = interval(tally.trapped_texts, tally.turning_texts)
        rows.append(f"  texts that deny, quote or speak of another thing, with a trap: {share}")
    for kind in sorted({*tally.facts, *tally.right, *tally.false}):
        asserted = tally.right[kind] + tally.false[kind]
        rows.append(
            f"    {kind:12} precision {interval(tally.right[kind], asserted)}  "
            f"recall {interval(tally.found[kind], tally.facts[kind])}"
        )
    rows.append("  confidence, and how many of it were right")
    for confidence, marks in sorted(tally.confidence.items()):
        rows.append(f"    {confidence:5} {interval(sum(marks), len(marks))} of {len(marks)}")
    return rows


def prose(tables: Tables, verbose: bool = False) -> list[str]:
    """Dates of museum prose that are asserted and are none of making, and those that are found."""
    if not PROSE.is_file():
        return ["museum prose: shared/data/prose.jsonl is not here; skipped"]
    asserted = false = found = total = others = asked = 0
    notes: list[str] = []
    for line in PROSE.read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        read = plain(read_description(row["text"], tables))
        allowed = [*row["making"], *row["making_may"]]
        dates = [s for s in read["statements"] if s["kind"] == "date" and is_asserted(s)]
        dates = [s for s in dates if not s.get("of") and not s.get("role")]
        questions = [s for q in read.get("questions", ()) for r in q["readings"] for s in r]
        asked += len(read.get("questions", ()))
        others += len(row["other_dates"])
        for date in dates:
            asserted += 1
            if not any(_years_fit(date, {"years": years}) for years in allowed):
                false += 1
                notes.append(f"prose {row['id']} false {brief(date)}")
        for years in row["making"]:
            total += 1
            given = [*dates, *(s for s in questions if s["kind"] == "date")]
            if any(_years_fit(date, {"years": years}) for date in given):
                found += 1
            else:
                notes.append(f"prose {row['id']} missed {years}")
    return [
        "museum prose (Minneapolis Institute of Art, CC0)",
        f"  dates asserted {asserted}, of them not of making {false}, of {others} other dates: "
        f"{interval(false, max(1, others))}",
        f"  dates of making found {interval(found, total)}; questions {asked}",
        *(notes if verbose else ()),
    ]


def speed(tables: Tables) -> list[str]:
    """How long a caption takes, and how long 100 kB of descriptions take as one text."""
    took = []
    for text in lines("phrases.jsonl"):
        start = time.process_time()
        read_title(text["text"], tables)
        took.append(time.process_time() - start)
    long = "\n\n".join(text["text"] for text in lines("descriptions.jsonl")) * 3
    start = time.process_time()
    read_description(long[: 100 * 1024], tables)
    return [
        f"speed: a caption {1000 * statistics.median(took):.2f} ms (median of {len(took)}), "
        f"100 kB of text {time.process_time() - start:.2f} s"
    ]


def report(halves: Iterable[str] = ("tuned", "unseen"), verbose: bool = False) -> str:
    """The whole report."""
    tables = load_tables()
    rows: list[str] = []
    for half in halves:
        for name in ("phrases", "descriptions"):
            tally = score(name, half, tables)
            rows += told(tally, f"{name}, {half}")
            rows += sorted(tally.told) if verbose else []
    return "\n".join([*rows, *prose(tables, verbose), *speed(tables)])


def main() -> None:
    """Print the report; `-v` also each fault."""
    halves = [a for a in sys.argv[1:] if not a.startswith("-")] or ["tuned", "unseen"]
    print(report(halves, "-v" in sys.argv))


if __name__ == "__main__":
    main()
