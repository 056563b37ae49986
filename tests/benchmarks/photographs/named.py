"""How well photographs are understood under the names that people really give to folders.

Run: python tests/benchmarks/photographs/named.py [--pieces 84] [--seed 5] [--words one|two]
     [--records 0.75] [--tree FOLDER] [--keep]

Builds a tree (`habits`) and a stock list, surveys both with the commands an owner would use, and
prints by kind of folder: pairs of files in one group (precision, recall, F1), photographs linked
to a record that they do not show, photographs of numbered names that were linked, and clocks that
were wrong and called certain.
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
import time
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from scoring import Pair, archivist, by, pairs, scores, stock_list, work_folder


def surveyed(tree: Path, rows: list[dict[str, str]], share: float, work: Path) -> dict[str, Any]:
    """What the program says of a tree."""
    place = work / "archive"
    archivist("new", place, "--owner", "Ines Tidewell")
    if share:
        archivist("--archive", place, "survey", stock_list(work / "stock.csv", rows, share))
        archivist("--archive", place, "apply")
    started = time.perf_counter()
    archivist("--archive", place, "survey", tree)
    print(f"survey: {time.perf_counter() - started:.1f} s for {len(rows)} files")
    said: dict[str, Any] = json.loads(archivist("--archive", place, "review", "--json"))
    objects = json.loads(archivist("--archive", place, "find", "--json")) if share else []
    said["records"] = {o["id"]: o["number"] for o in objects}
    return said


def of_kind(found: set[Pair], true: set[Pair], kinds: dict[str, str]) -> None:
    """Prints precision, recall and F1 of pairs, by the kind of folder of either file."""
    names = sorted(set(kinds.values()))
    for kind in names:
        mine = [{p for p in s if kind in (kinds[p[0]], kinds[p[1]])} for s in (found, true)]
        precision, recall, together = scores(*mine)
        print(f"  {kind:16} P {precision:.3f} R {recall:.3f} F1 {together:.3f} ({len(mine[1])})")


def score(said: dict[str, Any], rows: list[dict[str, str]]) -> None:
    """Prints the figures."""
    truth = {row["path"]: row for row in rows}
    kinds = {path: row["kind"] for path, row in truth.items()}
    found = pairs(g["paths"] for g in said["groups"])
    true = pairs(by(rows, "objects"))
    precision, recall, together = scores(found, true)
    print(f"groups: precision {precision:.4f} recall {recall:.4f} F1 {together:.4f}")
    of_kind(found, true, kinds)
    links: dict[str, set[str]] = defaultdict(set)
    for item in said["items"]:
        if item["what"] == "add photograph":
            shown = item["photograph"].get("depictions", [])
            links[item["path"]] |= {said["records"].get(d["object"], "?") for d in shown}
    wrong = [p for p, numbers in links.items() if numbers - {truth[p]["objects"]}]
    print(f"links to a wrong record: {len(wrong)} of {len(links)} photographs")
    for kind, many in Counter(kinds[p] for p in wrong).most_common():
        print(f"  {kind:16} {many}, e.g. {next(p for p in wrong if kinds[p] == kind)}")
    known = set(said["records"].values())
    named = [p for p in links if truth[p]["numbered"] == "true" and truth[p]["objects"] in known]
    right = [p for p in named if links[p] == {truth[p]["objects"]}]
    print(f"linked: {len(right)} of {len(named)} photographs whose names have a listed number")
    missed = Counter(p.rpartition("/")[0] for p in named if p not in set(right))
    print(f"  missed: {dict(missed.most_common(5))}")
    certain = [
        p["path"]
        for p in said["photographs"]
        if truth[p["path"]]["clock_right"] == "false"
        and p["taken_certainty"] == "certain"
        and p["taken"][:10] != truth[p["path"]]["taken"][:10]
    ]
    clocks = sum(row["clock_right"] == "false" for row in rows)
    print(f"clocks that were wrong and called certain: {len(certain)} of {clocks}")
    doubted = [
        p["path"]
        for p in said["photographs"]
        if truth[p["path"]]["clock_right"] == "true" and p["taken_certainty"] == "doubtful"
    ]
    print(f"clocks that were right and called doubtful: {len(doubted)} of {len(rows) - clocks}")
    dated = sum(i["what"] == "change object" for i in said["items"])
    print(f"words of names taken for words of a piece: {dated} changes of records")


def main() -> None:
    """Builds where nothing was built, surveys and scores."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=84)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--words", choices=("one", "two"), default="one")
    parser.add_argument("--records", type=float, default=0.75)
    parser.add_argument("--tree", type=Path)
    parser.add_argument("--keep", action="store_true")
    wanted = parser.parse_args()
    with work_folder("names-", wanted.keep) as work:
        tree = wanted.tree or work / "tree"
        truth = tree.with_name(tree.name + "-truth.csv")
        if not truth.exists():
            from habits import build

            build(tree, wanted.pieces, wanted.seed, wanted.words)
        with truth.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        score(surveyed(tree, rows, wanted.records, work), rows)


if __name__ == "__main__":
    main()
