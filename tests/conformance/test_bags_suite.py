"""The BagIt conformance suite of the Library of Congress (CC0), where it lies beside the project.

Every case is judged as the suite judges it, but for the disagreements that are named here with
their reasons.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from archivist_plugins.bagit.format import BagFormat

SUITE = Path(__file__).parents[2].parent / "shared/standards/bagit/conformance-suite"
CASES = sorted(path.relative_to(SUITE).as_posix() for path in SUITE.glob("v*/*/*") if path.is_dir())
KINDS = {
    "valid": True,
    "warning": True,
    "invalid": False,
    # Invalid on one kind of system only, says the suite. We refuse such paths everywhere: a payload
    # manifest lists only files below data/ (RFC 8493, 2.1.3), and fetch.txt no others (2.2.3).
    "linux-only": False,
    "windows-only": False,
}
DISAGREEMENTS = {
    "v0.97/warning/duplicate-file-with-different-case": (
        "the manifest lists hello.txt and HELLO.txt, and only hello.txt is there: where the file "
        "system tells the two apart, a file is missing",
        "data/HELLO.txt",
    ),
    "v0.97/warning/special-system-files": (
        "the .DS_Store that the case is about is not in the copy at hand: a file is missing",
        "data/.DS_Store",
    ),
}
REMARKS = {
    "made-with-md5sum-tools": "as checksum tools do",
    "relative-path": "begins paths with './'",
    "same-filename-listed-twice-with-different-normalization": "Unicode normal form",
    "same-filename-listed-twice-with-the-same-hash": "more than once",
}

pytestmark = pytest.mark.skipif(not CASES, reason=f"the conformance suite is not at {SUITE}")


@pytest.mark.parametrize("case", CASES)
def test_a_case_of_the_suite_is_judged_as_the_suite_says(case: str) -> None:
    report = BagFormat().verify(SUITE / case, progress=lambda size: None)
    named = [problem.path for problem in report.problems]
    if case in DISAGREEMENTS and named:
        reason, missing = DISAGREEMENTS[case]
        assert missing in named, reason
        return
    assert (not named) == KINDS[case.split("/")[1]], report.problems


@pytest.mark.parametrize("case", [c for c in CASES if c.split("/")[-1] in REMARKS and "warn" in c])
def test_a_warning_of_the_suite_is_a_remark(case: str) -> None:
    report = BagFormat().verify(SUITE / case, progress=lambda size: None)
    assert any(REMARKS[case.split("/")[-1]] in words for words in report.remarks)


def test_the_suite_is_there_whole() -> None:
    assert len(CASES) == 60


def test_system_files_are_remarked_on_where_the_case_is_whole(tmp_path: Path) -> None:
    import shutil

    bag = tmp_path / "bag"
    shutil.copytree(SUITE / "v0.97/warning/special-system-files", bag)
    (bag / "data").chmod(0o755)
    (bag / "data/.DS_Store").touch()
    report = BagFormat().verify(bag, progress=lambda size: None)
    assert report.problems == ()
    assert sum("operating system" in words for words in report.remarks) == 2


@pytest.mark.parametrize("case", CASES)
def test_no_case_gives_out_a_file_from_outside_its_folder(case: str) -> None:
    from archivist.errors import PackageError

    root = (SUITE / case).resolve()
    try:
        files = list(BagFormat().payload(SUITE / case))
    except PackageError:
        return
    for file in files:
        assert file.source is not None
        assert (root / "data") in file.source.resolve().parents
