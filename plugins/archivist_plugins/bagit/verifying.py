"""Fixity of a bag: every file read once, its digests compared with those recorded."""

from __future__ import annotations

import hashlib
import os
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait

from archivist.hooks import FixityReport, FixityState
from archivist_plugins.bagit.contents import read_contents
from archivist_plugins.bagit.findings import Findings
from archivist_plugins.bagit.left_out import LEFT_OUT, read_left_out
from archivist_plugins.bagit.rules import check_rules
from archivist_plugins.bagit.trees import UNREADABLE, Tree

CHUNK = 1 << 20

LARGEST_LIST = 1 << 24
"""Bytes of left-out.txt that are read at most."""

WORKERS = min(8, os.cpu_count() or 1)
"""hashlib lets other threads run while it digests, so threads use all cores."""

Progress = Callable[[int], None]


class _Stopped(Exception):  # noqa: N818 - not an error: somebody asked
    """Another thread failed or the owner stopped the check."""


def verify_tree(tree: Tree, progress: Progress, findings: Findings) -> FixityReport:
    """Verifies the bag in `tree` by every rule of RFC 8493 that a reader can check.

    Files are taken largest first, so that no thread is left with a large one at the end.
    """
    contents = read_contents(tree, findings)
    check_rules(contents, findings)
    measured = digest_all(tree, contents.expected, progress)
    for path, recorded in contents.expected.items():
        outcome = measured[path]
        if isinstance(outcome, str):
            findings.problem(FixityState.UNREADABLE, path, outcome)
            continue
        wrong = [name for name, digest in recorded.items() if outcome[name] != digest]
        if wrong:
            words = f"its {' and '.join(sorted(wrong))} is not the one recorded"
            findings.problem(FixityState.CHANGED, path, words)
    major, minor = contents.declaration.version
    return FixityReport(
        kind=f"bag (BagIt {major}.{minor})",
        files=len(contents.expected),
        size=sum(tree.files[path] for path in contents.expected),
        problems=findings.problems,
        remarks=findings.remarks,
        unlisted=findings.unlisted,
        left_out=_left_out(tree),
    )


def _left_out(tree: Tree) -> tuple[str, ...]:
    """What the bag says of itself that it lacks; its digest was compared with all others."""
    if LEFT_OUT not in tree.files:
        return ()
    try:
        with tree.open(LEFT_OUT) as source:
            return read_left_out(source.read(LARGEST_LIST))
    except UNREADABLE:
        return ()


def digest_all(
    tree: Tree, wanted: Mapping[str, Mapping[str, str]], progress: Progress
) -> dict[str, dict[str, str] | str]:
    """The digests of each file by the algorithms wanted for it, or why it could not be read.

    `progress` is told bytes as they pass, by one thread at a time.
    """
    results: dict[str, dict[str, str] | str] = {}
    stop = threading.Event()
    lock = threading.Lock()

    def passed(size: int) -> None:
        if stop.is_set():
            raise _Stopped
        with lock:
            progress(size)

    def digest_one(path: str) -> None:
        try:
            results[path] = _digest(tree, path, tuple(wanted[path]), passed)
        except BaseException:
            stop.set()
            raise

    largest_first = sorted(wanted, key=lambda path: (-tree.files[path], path))
    with ThreadPoolExecutor(WORKERS) as pool:
        futures = [pool.submit(digest_one, path) for path in largest_first]
        try:
            wait(futures, return_when=FIRST_EXCEPTION)
        except BaseException:
            stop.set()
            raise
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    for problem in (future.exception() for future in futures if not future.cancelled()):
        if problem is not None and not isinstance(problem, _Stopped):
            raise problem
    return results


def _digest(
    tree: Tree, path: str, algorithms: tuple[str, ...], passed: Progress
) -> dict[str, str] | str:
    # MD5 and SHA-1 guard against accidents here; on hardened systems they must be asked for so.
    hashers = {name: hashlib.new(name, usedforsecurity=False) for name in algorithms}
    try:
        with tree.open(path) as source:
            while data := source.read(CHUNK):
                for hasher in hashers.values():
                    hasher.update(data)
                passed(len(data))
    except UNREADABLE as problem:
        return str(problem) or type(problem).__name__
    return {name: hasher.hexdigest() for name, hasher in hashers.items()}
