"""How well and how fast old photo folders are understood, on an archive built with a seed.

Run: python tests/benchmarks/photographs [--objects 300] [--files 3000] [--seed 7] [--tree FOLDER]
     [--records SHARE] [--traps] [--keep]

Builds a tree and the truth about it, surveys it with the commands an owner would use, reads what
`archivist review --json` says, and prints precision and recall of duplicates, of groups (pairs of
files; groups that are exactly right) and of views. `--tree` scores a tree that was built before;
`--records` first takes in a stock list with that share of the pieces; `--traps` builds a harder
tree: plain pots, twins with one decoration, exposures half a second apart, copies that are
mirrored, tilted, framed, tinted, very small or stamped across.
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from scoring import archivist, by, pairs, scores, stock_list, work_folder


def surveyed(tree: Path, rows: list[dict[str, str]], share: float, work: Path) -> dict[str, Any]:
    """What the program says of a tree, and prints how long it took."""
    place = work / "archive"
    archivist("new", place, "--owner", "Ines Tidewell")
    if share:
        listed = stock_list(work / "stock.csv", rows, share)
        archivist("--archive", place, "survey", listed)
        archivist("--archive", place, "apply")
    started = time.perf_counter()
    archivist("--archive", place, "survey", tree)
    print(f"survey: {time.perf_counter() - started:.1f} s for {len(rows)} files")
    started = time.perf_counter()
    said: dict[str, Any] = json.loads(archivist("--archive", place, "review", "--json"))
    print(f"review --json: {time.perf_counter() - started:.1f} s")
    return said


def score(said: dict[str, Any], rows: list[dict[str, str]]) -> None:
    """Prints the figures."""
    truth = {row["path"]: row for row in rows}
    same = [[d["keeper"], *(o["path"] for o in d["others"])] for d in said["duplicates"]]
    found, true = pairs(same), pairs(by(rows, "picture"))
    precision, recall, _ = scores(found, true)
    print(f"duplicates: precision {precision:.4f} recall {recall:.4f} ({len(true)} pairs)")
    for title, wrong in (("wrongly joined", found - true), ("missed", true - found)):
        kinds = Counter(" / ".join(sorted((truth[a]["how"], truth[b]["how"]))) for a, b in wrong)
        print(f"  {title}: {len(wrong)} {dict(kinds.most_common(6))}")
    kinds = Counter(truth[b]["how"] for pair in true for b in pair)
    missed = Counter(truth[b]["how"] for pair in true - found for b in pair)
    shares = {kind: round(1 - missed[kind] / many, 3) for kind, many in kinds.most_common()}
    print(f"  share of pairs found, by what was done to either: {shares}")
    grouped = [g["paths"] for g in said["groups"]]
    found, true = pairs(grouped), pairs(by(rows, "objects"))
    precision, recall, together = scores(found, true)
    exact = {frozenset(g) for g in grouped} & {frozenset(g) for g in by(rows, "objects")}
    print(
        f"groups: precision {precision:.4f} recall {recall:.4f} F1 {together:.4f}, exactly right "
        f"{len(exact)} of {len(by(rows, 'objects'))}"
    )
    for title, wrong in (("wrongly joined", found - true), ("missed", true - found)):
        habits = Counter(truth[a]["habit"] for a, _ in wrong)
        print(f"  {title}: {len(wrong)} {dict(habits.most_common(6))}")
    views = [(p["view"], truth[p["path"]]) for p in said["photographs"] if p["path"] in truth]
    named = [(view, row) for view, row in views if view != "unknown"]
    right = sum(view == row["view"] for view, row in named)
    print(f"views: {right / max(1, len(named)):.4f} right of {len(named)} named, of {len(views)}")
    mistaken = Counter((row["view"], view) for view, row in named if view != row["view"])
    print(f"  mistaken (true, said): {dict(mistaken.most_common(6))}")


def read_truth(path: Path) -> list[dict[str, str]]:
    """The truth, each file with the habit of who named the original."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    original = {r["picture"]: r["path"].split("/")[0] for r in rows if r["how"] == "original"}
    for row in rows:
        row["habit"] = original[row["picture"]]
    return rows


def main() -> None:
    """Builds where nothing was built, surveys and scores."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--objects", type=int, default=300)
    parser.add_argument("--files", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--records", type=float, default=0.0)
    parser.add_argument("--tree", type=Path)
    parser.add_argument("--traps", action="store_true")
    parser.add_argument("--keep", action="store_true")
    wanted = parser.parse_args()
    with work_folder("photographs-", wanted.keep) as work:
        tree = wanted.tree or work / "tree"
        truth = tree.with_name(tree.name + "-truth.csv")
        if not truth.exists():
            from builder import build

            started = time.perf_counter()
            build(tree, wanted.objects, wanted.files, wanted.seed, traps=wanted.traps)
            print(f"built in {time.perf_counter() - started:.0f} s")
        rows = read_truth(truth)
        score(surveyed(tree, rows, wanted.records, work), rows)


if __name__ == "__main__":
    main()
