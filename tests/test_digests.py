"""Digests against published examples and the standard library."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from archivist.digests import CHUNK, Digester, copy_stream, digest_bytes, digest_file


def test_the_digests_of_abc_are_those_that_nist_publishes() -> None:
    # NIST publishes these among its examples with intermediate values for FIPS 180-4:
    # SHA-256 and SHA-512 of the one-block message abc.
    digests = digest_bytes(b"abc")
    assert digests.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digests.sha512 == (
        "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a"
        "2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
    )
    assert digests.size == 3


@given(st.lists(st.binary(max_size=200), max_size=20))
def test_bytes_taken_in_pieces_have_the_digests_of_the_whole(pieces: list[bytes]) -> None:
    digester = Digester()
    for part in pieces:
        digester.update(part)
    whole = b"".join(pieces)
    assert digester.digests() == digest_bytes(whole)
    assert digester.digests().sha256 == hashlib.sha256(whole).hexdigest()


def test_a_file_larger_than_a_read_is_digested_and_copied_in_one_pass(tmp_path: Path) -> None:
    content = bytes(range(256)) * (CHUNK // 256) + b"and more"
    path = tmp_path / "large"
    path.write_bytes(content)
    passed: list[int] = []
    copy = io.BytesIO()
    with path.open("rb") as source:
        digests = copy_stream(source, copy, passed.append)
    assert copy.getvalue() == content
    assert passed == [CHUNK, 8]
    assert digests == digest_file(path) == digest_bytes(content)
