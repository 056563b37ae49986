"""bagit.txt and bag-info.txt (RFC 8493, 2.1.1 and 2.2.2)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist_plugins.bagit.tags import (
    DECLARATION,
    LINE,
    one_line,
    read_declaration,
    read_tags,
    tag_values,
    write_tags,
)

labels = st.from_regex(r"[A-Z][A-Za-z]{0,20}(-[A-Z][a-z]{1,9})?", fullmatch=True)


@given(st.lists(st.tuples(labels, st.text(max_size=300)), max_size=5))
def test_what_is_written_is_read_again_whatever_the_values_hold(
    tags: list[tuple[str, str]],
) -> None:
    read, faults = read_tags(write_tags(tags))
    assert faults == ()
    assert read == tuple((label, one_line(v)) for label, v in tags if one_line(v))


@given(labels, st.text(max_size=300))
def test_no_value_brings_in_a_line_of_its_own(label: str, value: str) -> None:
    lines = write_tags([(label, value)]).split("\n")
    assert all(line.startswith("  ") for line in lines[1:-1])
    assert lines[-1] == ""


@given(st.text(alphabet="ab cd\n", max_size=500))
def test_lines_stay_within_79_characters_where_words_allow(value: str) -> None:
    longest_word = max((len(word) for word in value.split()), default=0)
    for line in write_tags([("Label", value)]).split("\n"):
        assert len(line) <= max(LINE, longest_word + len("Label: "))


def test_an_injected_label_stays_within_the_value() -> None:
    text = write_tags([("Source-Organization", "Ines\r\nPayload-Oxum: 0.0\nX\rY: z")])
    assert text == "Source-Organization: Ines Payload-Oxum: 0.0 X Y: z\n"


def test_the_folded_example_of_the_standard_is_read_as_one_value() -> None:
    # RFC 8493, 2.2.2, the example of bag-info.txt (extract).
    text = (
        "Source-Organization: FOO University\n"
        "Organization-Address: 1 Main St., Cupertino, California, 11111\n"
        "External-Description: Uncompressed greyscale TIFF images from the\n"
        "     FOO papers collection....\n"
        "Bagging-Date: 2008-01-15\n"
    )
    tags, faults = read_tags(text)
    assert faults == ()
    assert dict(tags)["External-Description"] == (
        "Uncompressed greyscale TIFF images from the FOO papers collection...."
    )
    assert len(tags) == 4


def test_labels_repeat_keep_their_order_and_take_no_notice_of_case() -> None:
    tags, _ = read_tags("Contact-Name: A\rcontact-name: B\r\nOther : c\n")
    assert tag_values(tags, "Contact-Name") == ("A", "B")
    assert tag_values(tags, "other") == ("c",)


def test_a_line_without_a_label_is_named() -> None:
    _, faults = read_tags("Contact-Name: A\nno label here\n: nor here\n")
    assert [fault.split(" has")[0] for fault in faults] == ["line 2", "line 3"]


def test_our_own_declaration_is_faultless() -> None:
    declaration = read_declaration(DECLARATION.encode())
    assert (declaration.version, declaration.encoding) == ((1, 0), "UTF-8")
    assert declaration.faults == declaration.remarks == ()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xef\xbb\xbf" + DECLARATION.encode(), "byte-order mark"),
        (b"BagIt-Version : 1.0\nTag-File-Character-Encoding: UTF-8\n", "white space"),
        (b"BagIt-Version: 1.0 \nTag-File-Character-Encoding: UTF-8\n", "white space"),
        (DECLARATION.encode() + b"\n\n", "white space"),
        (b"BagIt-Version: 1.0\n", "two lines"),
        (b"BagIt-Version: .97\nTag-File-Character-Encoding: UTF-8\n", "two lines"),
        (DECLARATION.encode() + b"Third: line\n", "two lines"),
        (b"Tag-File-Character-Encoding: UTF-8\nBagIt-Version: 1.0\n", "two lines"),
        (b"BagIt-Version: 7.1\nTag-File-Character-Encoding: UTF-8\n", "7.1"),
        (b"BagIt-Version: 1.0\nTag-File-Character-Encoding: klingon\n", "klingon"),
        (b"BagIt-Version: 1.0\nTag-File-Character-Encoding: rot13\n", "rot13"),
        (b"\xff\xfe", "not UTF-8"),
    ],
)
def test_a_declaration_that_breaks_the_rules_says_how(data: bytes, words: str) -> None:
    assert any(words in fault for fault in read_declaration(data).faults)


@pytest.mark.parametrize("line_end", ["\n", "\r", "\r\n"])
def test_every_line_end_will_do(line_end: str) -> None:
    declaration = read_declaration(DECLARATION.replace("\n", line_end).encode())
    assert declaration.faults == ()


def test_white_space_in_a_draft_version_is_only_remarked_on() -> None:
    declaration = read_declaration(b"BagIt-Version : 0.97\nTag-File-Character-Encoding : UTF-8\n")
    assert declaration.faults == ()
    assert declaration.remarks


def test_the_file_of_labelled_lines_had_another_name_before_version_0_96() -> None:
    old = read_declaration(b"BagIt-Version: 0.95\nTag-File-Character-Encoding: UTF-8")
    assert old.info_file == "package-info.txt"
