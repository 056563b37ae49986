"""Verification: every rule of RFC 8493 that a reader can check, and every damaged file by name."""

from __future__ import annotations

import hashlib
import os
import sys
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.hooks import FixityReport
from archivist.testing import export, sample_selection
from archivist_plugins.bagit import archivist_exporters
from archivist_plugins.bagit.format import BagFormat

MakeBag = Callable[..., Path]
Check = Callable[[Path], FixityReport]
Problems = Callable[[Path], dict[str, list[str]]]

FILES = {"data/a.txt": b"alpha", "data/b/c.txt": b"gamma"}


def digest(content: bytes, algorithm: str = "sha256") -> str:
    return hashlib.new(algorithm, content).hexdigest()


def lines(files: dict[str, bytes], algorithm: str = "sha256") -> str:
    return "".join(f"{digest(content, algorithm)}  {path}\n" for path, content in files.items())


@pytest.mark.parametrize("version", ["0.93", "0.94", "0.95", "0.96", "0.97", "1.0"])
@pytest.mark.parametrize("algorithm", ["md5", "sha1", "sha224", "sha256", "sha384", "sha512"])
def test_every_version_and_algorithm_is_read(
    make_bag: MakeBag, check: Check, version: str, algorithm: str
) -> None:
    report = check(make_bag(FILES, version=version, algorithms=[algorithm]))
    assert report.problems == ()
    assert report.kind == f"bag (BagIt {version})"
    assert (report.files, report.size) == (2, 10)
    weak = any("on purpose" in words for words in report.remarks)
    assert weak == (algorithm in ("md5", "sha1"))


def test_missing_changed_and_extra_files_are_named(make_bag: MakeBag, problems: Problems) -> None:
    bag = make_bag({**FILES, "data/d.txt": b"delta"})
    (bag / "data/a.txt").unlink()
    (bag / "data/b/c.txt").write_bytes(b"gamm@")
    (bag / "data/b/new.txt").write_bytes(b"")
    assert problems(bag) == {
        "missing": ["data/a.txt"],
        "changed": ["data/b/c.txt"],
        "extra": ["data/b/new.txt"],
    }


@pytest.fixture(scope="module")
def our_bag(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bag as we write it, for all examples of a property; each leaves it as it was."""
    folder = tmp_path_factory.mktemp("ours")
    export(archivist_exporters(), sample_selection(folder / "p"), folder)
    return folder / "bagit"


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_a_flipped_bit_anywhere_in_a_bag_of_ours_is_found(
    our_bag: Path, data: st.DataObject
) -> None:
    path = data.draw(st.sampled_from(sorted(p for p in our_bag.rglob("*") if p.is_file())))
    before = path.read_bytes()
    at = data.draw(st.integers(0, len(before) - 1))
    bit = 1 << data.draw(st.integers(0, 7))
    after = before[:at] + bytes([before[at] ^ bit]) + before[at + 1 :]
    # A digest in capitals is the same digest (RFC 8493, 2.1.3); nothing seals the tag manifests.
    only_case = path.name.startswith("tagmanifest-") and after.lower() == before.lower()
    try:
        path.write_bytes(after)
        assert only_case or BagFormat().verify(our_bag, progress=lambda size: None).problems
    finally:
        path.write_bytes(before)


@pytest.mark.parametrize(
    "name",
    [
        "bagit.txt",
        "bag-info.txt",
        "about.txt",
        "bagit-profile.json",
        "manifest-sha256.txt",
        "manifest-sha512.txt",
    ],
)
def test_a_changed_or_missing_tag_file_of_ours_is_named(
    tmp_path: Path, problems: Problems, name: str
) -> None:
    export(archivist_exporters(), sample_selection(tmp_path / "p"), tmp_path)
    bag = tmp_path / "bagit"
    (bag / name).write_bytes((bag / name).read_bytes() + b"\n")
    assert name in problems(bag)["changed"]
    (bag / name).unlink()
    assert name in problems(bag)["missing"]


def test_a_tag_file_that_no_manifest_lists_is_remarked_on(tmp_path: Path, check: Check) -> None:
    export(archivist_exporters(), sample_selection(tmp_path / "p"), tmp_path)
    (tmp_path / "bagit/tagmanifest-sha256.txt.minisig").write_bytes(b"signature")
    report = check(tmp_path / "bagit")
    assert report.problems == ()
    assert "tagmanifest-sha256.txt.minisig" in report.remarks[0]


def test_from_version_1_0_every_manifest_lists_every_file(
    make_bag: MakeBag, check: Check, problems: Problems
) -> None:
    part = {"manifest-md5.txt": lines({"data/a.txt": b"alpha"}, "md5")}
    assert problems(make_bag(FILES, manifests=part)) == {"invalid": ["data/b/c.txt"]}
    assert check(make_bag(FILES, name="old", version="0.97", manifests=part)).problems == ()


@pytest.mark.parametrize(
    "path", ["data/../../secret", "/etc/passwd", "~/x", "C:\\x", "bag-info.txt"]
)
@pytest.mark.parametrize("version", ["0.97", "1.0"])
def test_a_path_outside_the_payload_is_never_opened_and_said_to_be_invalid(
    make_bag: MakeBag, tmp_path: Path, problems: Problems, path: str, version: str
) -> None:
    (tmp_path / "secret").write_bytes(b"s")
    text = lines(FILES) + f"{digest(b's')}  {path}\n"
    bag = make_bag(FILES, version=version, manifests={"manifest-sha256.txt": text})
    assert problems(bag) == {"invalid": ["manifest-sha256.txt"]}


def test_a_path_outside_the_bag_in_a_tag_manifest_is_invalid(
    make_bag: MakeBag, problems: Problems
) -> None:
    bag = make_bag(FILES)
    content = (bag / "manifest-sha256.txt").read_bytes()
    text = f"{digest(content)}  manifest-sha256.txt\n{digest(b's')}  ../secret\n"
    (bag / "tagmanifest-sha256.txt").write_text(text, encoding="utf-8", newline="\n")
    assert problems(bag) == {"invalid": ["tagmanifest-sha256.txt"]}


def test_percent_encoded_names_are_decoded(make_bag: MakeBag, check: Check) -> None:
    files = {"data/100%.txt": b"all", "data/50%0Aoff.txt": b"half"}
    listed = {"data/100%.txt": "data/100%25.txt", "data/50%0Aoff.txt": "data/50%250Aoff.txt"}
    report = check(make_bag(files, listed=listed))
    assert report.problems == ()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no line breaks in names")
def test_a_name_with_line_breaks_is_found(make_bag: MakeBag, check: Check) -> None:
    bag = make_bag({"data/a\nb\r.txt": b"x"}, listed={"data/a\nb\r.txt": "data/a%0Ab%0D.txt"})
    assert check(bag).problems == ()


def test_a_name_listed_without_encoding_is_found_and_remarked_on(
    make_bag: MakeBag, check: Check
) -> None:
    report = check(make_bag({"data/100%25.txt": b"all"}))
    assert report.problems == ()
    assert "without percent-encoding" in report.remarks[0]


def test_a_name_in_another_normal_form_is_found_and_remarked_on(
    make_bag: MakeBag, check: Check
) -> None:
    path = unicodedata.normalize("NFC", "data/Núñez.txt")
    other = unicodedata.normalize("NFD", path)
    report = check(make_bag({path: b"x"}, listed={path: other}))
    assert report.problems == ()
    assert "normal form" in report.remarks[0]


def test_two_forms_of_one_name_with_different_digests_are_invalid(
    make_bag: MakeBag, problems: Problems
) -> None:
    path = unicodedata.normalize("NFC", "data/é")
    for number, order in enumerate(((b"x", b"y"), (b"y", b"x"))):
        text = f"{digest(order[0])}  {path}\n"
        text += f"{digest(order[1])}  {unicodedata.normalize('NFD', path)}\n"
        bag = make_bag({path: b"x"}, name=f"bag{number}", manifests={"manifest-sha256.txt": text})
        assert "manifest-sha256.txt" in problems(bag)["invalid"]


def test_names_that_collide_elsewhere_are_remarked_on(
    make_bag: MakeBag, tmp_path: Path, check: Check
) -> None:
    (tmp_path / "probe").write_bytes(b"")
    if (tmp_path / "PROBE").exists():
        pytest.skip("this file system takes no notice of case")
    report = check(make_bag({"data/foot.jpg": b"1", "data/FOOT.jpg": b"2"}))
    assert report.problems == ()
    assert any("differ only by case" in words for words in report.remarks)


def test_a_file_listed_twice_is_invalid_from_version_1_0(
    make_bag: MakeBag, check: Check, problems: Problems
) -> None:
    twice = {"manifest-sha256.txt": lines(FILES) + lines(FILES)}
    assert problems(make_bag(FILES, manifests=twice)) == {"invalid": ["manifest-sha256.txt"]}
    report = check(make_bag(FILES, name="old", version="0.97", manifests=twice))
    assert report.problems == ()
    assert any("more than once" in words for words in report.remarks)


def test_payload_oxum_that_disagrees_is_invalid(make_bag: MakeBag, problems: Problems) -> None:
    right = make_bag(FILES, tag_files={"bag-info.txt": b"Payload-Oxum: 10.2\n"})
    assert problems(right) == {}
    for number, oxum in enumerate((b"11.2", b"10.3", b"ten.two")):
        tags = {"bag-info.txt": b"Payload-Oxum: " + oxum + b"\n"}
        bag = make_bag(FILES, name=f"bag{number}", tag_files=tags)
        assert problems(bag) == {"invalid": ["bag-info.txt"]}


def test_files_still_to_be_fetched_make_a_bag_incomplete(
    make_bag: MakeBag, check: Check, problems: Problems
) -> None:
    fetch = b"https://files.example/a 5 data/a.txt\nhttps://files.example/c - data/b/c.txt\n"
    bag = make_bag(FILES, tag_files={"fetch.txt": fetch})
    assert problems(bag) == {}
    (bag / "data/a.txt").unlink()
    (problem,) = check(bag).problems
    assert problem.path == "data/a.txt"
    assert "to be fetched from https://files.example/a" in problem.detail


@pytest.mark.parametrize(
    "line", ["https://x.example 5 data/none.txt", "https://x.example 5 bagit.txt", "rubbish"]
)
def test_a_fetch_line_that_breaks_a_rule_is_invalid(
    make_bag: MakeBag, problems: Problems, line: str
) -> None:
    bag = make_bag(FILES, tag_files={"fetch.txt": line.encode()})
    assert problems(bag) == {"invalid": ["fetch.txt"]}


def test_a_tag_manifest_lists_all_payload_manifests_and_no_tag_manifest(
    make_bag: MakeBag, problems: Problems
) -> None:
    bag = make_bag(FILES)
    declaration = (bag / "bagit.txt").read_bytes()
    (bag / "tagmanifest-sha256.txt").write_text(lines({"bagit.txt": declaration}), "utf-8")
    assert problems(bag) == {"invalid": ["tagmanifest-sha256.txt"]}


@pytest.mark.parametrize("encoding", ["UTF-16", "ISO-8859-1", "UTF-16LE"])
def test_tag_files_are_read_in_the_encoding_that_is_declared(
    make_bag: MakeBag, check: Check, encoding: str
) -> None:
    text = f"BagIt-Version: 1.0\nTag-File-Character-Encoding: {encoding}\n"
    files = {"data/é.txt": b"x"}
    tags = {"bagit.txt": text.encode(), "manifest-sha256.txt": lines(files).encode(encoding)}
    assert check(make_bag(files, tag_files=tags)).problems == ()


def test_tag_files_in_another_encoding_than_declared_are_invalid(
    make_bag: MakeBag, problems: Problems
) -> None:
    bag = make_bag(FILES, tag_files={"bag-info.txt": "Contact-Name: Zoë\n".encode("latin-1")})
    assert problems(bag) == {"invalid": ["bag-info.txt"]}


def test_a_byte_order_mark_is_invalid_in_bagit_txt_and_remarked_on_elsewhere(
    make_bag: MakeBag, check: Check
) -> None:
    mark = b"\xef\xbb\xbf"
    bag = make_bag(FILES)
    for name in ("manifest-sha256.txt", "bagit.txt"):
        (bag / name).write_bytes(mark + (bag / name).read_bytes())
    report = check(bag)
    assert [(p.state, p.path) for p in report.problems] == [("invalid", "bagit.txt")]
    assert "manifest-sha256.txt begins with a byte-order mark." in report.remarks


@pytest.mark.parametrize(
    ("lost", "named"), [("bagit.txt", "bagit.txt"), ("manifest-sha256.txt", "manifest-sha512.txt")]
)
def test_a_bag_without_what_every_bag_has_is_incomplete(
    make_bag: MakeBag, problems: Problems, lost: str, named: str
) -> None:
    bag = make_bag(FILES)
    (bag / lost).unlink()
    assert named in problems(bag)["missing"]


def test_a_bag_without_a_payload_folder_is_incomplete(
    make_bag: MakeBag, problems: Problems
) -> None:
    bag = make_bag({})
    assert problems(bag) == {}
    (bag / "data").rmdir()
    assert problems(bag) == {"missing": ["data"]}


def test_manifest_lines_that_are_none_are_invalid(make_bag: MakeBag, check: Check) -> None:
    text = lines(FILES) + "# a comment\n1234  data/a.txt\n"
    (problem,) = check(make_bag(FILES, manifests={"manifest-sha256.txt": text})).problems
    assert "line 3" in problem.detail
    assert "line 4" in problem.detail


def test_a_manifest_of_an_unknown_algorithm_is_said_to_be_unchecked(
    make_bag: MakeBag, check: Check
) -> None:
    report = check(make_bag(FILES, manifests={"manifest-whirlpool.txt": "00  data/a.txt\n"}))
    assert report.problems == ()
    assert "whirlpool" in report.remarks[0]


def test_digests_may_be_written_in_capitals(make_bag: MakeBag, check: Check) -> None:
    text = "".join(f"{digest(c).upper()}\t{path}\n" for path, c in FILES.items())
    assert check(make_bag(FILES, manifests={"manifest-sha256.txt": text})).problems == ()


def test_files_that_a_system_left_are_extra_and_explained(make_bag: MakeBag, check: Check) -> None:
    bag = make_bag(FILES)
    (bag / "data/.DS_Store").write_bytes(b"")
    (problem,) = check(bag).problems
    assert problem.path == "data/.DS_Store"
    assert "may be deleted" in problem.detail


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on Windows")
def test_links_are_not_followed(make_bag: MakeBag, tmp_path: Path, problems: Problems) -> None:
    (tmp_path / "outside").mkdir()
    (tmp_path / "outside/secret.txt").write_bytes(b"alpha")
    bag = make_bag(FILES)
    (bag / "data/a.txt").unlink()
    (bag / "data/a.txt").symlink_to(tmp_path / "outside/secret.txt")
    (bag / "data/loop").symlink_to(bag / "data", target_is_directory=True)
    assert problems(bag) == {"invalid": ["data/a.txt", "data/loop"]}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_is_named_and_does_not_hang_the_check(make_bag: MakeBag, problems: Problems) -> None:
    bag = make_bag(FILES)
    os.mkfifo(bag / "data/pipe")
    assert problems(bag) == {"invalid": ["data/pipe"]}


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux keeps any bytes in names")
def test_a_name_that_is_no_unicode_is_named_so_that_it_can_be_shown(
    make_bag: MakeBag, check: Check
) -> None:
    bag = make_bag(FILES)
    (bag / "data" / os.fsdecode(b"caf\xe9.jpg")).write_bytes(b"x")
    (problem,) = check(bag).problems
    assert problem.path == "data/caf\\udce9.jpg"
    problem.path.encode("utf-8")


def test_progress_adds_up_to_every_byte_that_was_digested(make_bag: MakeBag) -> None:
    bag = make_bag({"data/large": b"x" * 3_000_000, **FILES})
    passed: list[int] = []
    report = BagFormat().verify(bag, progress=passed.append)
    assert sum(passed) == report.size == 3_000_010


def test_a_stopped_check_stops(make_bag: MakeBag) -> None:
    bag = make_bag({f"data/{n}": b"x" for n in range(200)})
    calls: list[int] = []

    def stop(size: int) -> None:
        calls.append(size)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        BagFormat().verify(bag, progress=stop)
    assert len(calls) < 50


def test_the_second_opinion_agrees_on_our_own_bag(tmp_path: Path) -> None:
    export(archivist_exporters(), sample_selection(tmp_path / "p"), tmp_path)
    bag = tmp_path / "bagit"
    report = BagFormat().verify(bag, progress=lambda size: None, second_opinion=True)
    assert report.problems == ()
    assert "agrees: the bag is valid" in report.remarks[-1]
    (bag / "about.txt").write_bytes(b"something else")
    report = BagFormat().verify(bag, progress=lambda size: None, second_opinion=True)
    assert report.problems
    assert "agrees: BagValidationError" in report.remarks[-1]


def test_a_second_opinion_that_differs_is_a_problem_unless_its_cause_is_known(
    make_bag: MakeBag,
) -> None:
    encoded = make_bag({"data/100%.txt": b"x"}, listed={"data/100%.txt": "data/100%25.txt"})
    report = BagFormat().verify(encoded, progress=lambda size: None, second_opinion=True)
    assert report.problems == ()
    assert "cannot read percent-encoded names" in report.remarks[-1]
    # The library takes the label in bagit.txt with a space before its colon; the standard does not.
    spaced = make_bag(
        FILES,
        name="spaced",
        tag_files={"bagit.txt": b"BagIt-Version : 1.0\nTag-File-Character-Encoding : UTF-8\n"},
    )
    report = BagFormat().verify(spaced, progress=lambda size: None, second_opinion=True)
    assert len(report.problems) == 1
    assert "finds nothing wrong" in report.remarks[-1]
