"""The commands around a package that is handed over: disclose, key, release, verify, register."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import releases
from archivist.keys import fingerprint_of_file
from archivist.model import ObjectRecord
from tests.archives import jpeg
from tests.cli.conftest import Run


@pytest.fixture
def at(archive: Archive, run: Run) -> Run:
    """Runs a command on the archive, which is closed while it runs."""
    archive.catalogue.close()

    def run_it(*words: object) -> object:
        return run("-a", archive.folder, *words)

    return run_it  # type: ignore[return-value]


def test_disclose_tells_what_is_seen_and_what_is_not(at: Run) -> None:
    result = at("disclose", "T 0", "--for", "buyer")
    assert result.exit_code == 0, result.output
    for words in ("T 0 for buyer", "Seen", "Bowl", "original_file.camera_serial_number"):
        assert words in " ".join(result.output.split()), words
    plain = json.loads(at("disclose", "T 0", "--for", "buyer", "--json").output)
    assert plain["audience"] == "buyer"
    assert {line["field"] for line in plain["record"]} >= {"record.titles", "record.stock_number"}


def test_disclose_records_what_the_owner_says_and_undo_takes_it_back(
    at: Run, archive: Archive
) -> None:
    said = at(
        "disclose", "T 0", "--let", "museum=private_party.name", "--keep-from",
        "public=record.marks", "--why", "asked for by letter",
    )  # fmt: skip
    assert said.exit_code == 0, said.output
    assert "museum sees private_party.name" in said.stderr
    history = at("history", "T 0").output
    assert "asked for by letter" in history
    assert "overrides: museum sees private_party.name" in history
    assert "overrides: public does not see record.marks" in history
    shown = " ".join(at("disclose", "T 0", "--for", "museum").output.split())
    assert "Otherwise than the table, for this piece museum sees private_party.name" in shown
    assert at("disclose", "T 0", "--as-in-table", "museum=private_party.name").exit_code == 0
    assert at("undo").exit_code == 0
    with Archive.open(archive.folder) as opened:
        record = opened.catalogue.object_named("T 0")
        assert isinstance(record, ObjectRecord)
        assert [(o.audience, o.shown) for o in record.overrides] == [
            ("museum", True),
            ("public", False),
        ]


@pytest.mark.parametrize(
    ("words", "status", "told"),
    [
        ((), 2, "Say whose eyes to look with"),
        (("--for", "nobody"), 2, "There is no audience 'nobody'"),
        (("--let", "buyer"), 2, "is not of the form AUDIENCE=FIELD"),
        (("--let", "buyer=original_file.position"), 2, "is the owner's alone"),
        (("--as-in-table", "buyer=record.sales"), 2, "has no override"),
    ],
)
def test_disclose_refuses_what_cannot_be(
    at: Run, words: tuple[str, ...], status: int, told: str
) -> None:
    result = at("disclose", "T 0", *words)
    assert result.exit_code == status
    assert told in result.stderr


def test_a_package_is_signed_zipped_verified_and_known_again(
    at: Run, run: Run, archive: Archive, tmp_path: Path
) -> None:
    key, to = tmp_path / "My key.pem", tmp_path / "to"
    made = run("key", "new", key)
    assert made.exit_code == 0, made.output
    fingerprint = fingerprint_of_file(tmp_path / "My key.public.pem")
    assert fingerprint in made.output
    for name in ("My key.pem", "My key.public.pem"):
        assert run("key", "show", tmp_path / name).output.strip() == fingerprint
    done = at("release", "bagit", "--for", "buyer", "--object", "T 0", "--to", to, "--sign", key)
    assert done.exit_code == 0, done.output
    assert "The same as one file" in done.output
    assert "1 package signed" in done.output
    folder, archived = sorted(to.iterdir())
    assert archived.suffix == ".zip"
    for package in (folder, archived):
        result = run("verify", package, "--signed-by", tmp_path / "My key.public.pem")
        assert result.exit_code == 0, result.output
        assert "unaltered" in result.output
        assert fingerprint in result.output
        assert run("verify", package, "--signed-by", fingerprint).exit_code == 0
        assert run("verify", package, "--signed-by", "1234").exit_code == 1
        known = at("register", "--recognise", package)
        assert known.exit_code == 0
        assert "for buyer" in known.output
        assert at("fixity", package).exit_code == 0
    plain = json.loads(run("verify", folder, "--json").output)
    assert (plain["standing"], plain["good"], plain["signer"]) == ("unaltered", True, fingerprint)
    (entry,) = json.loads(at("register", "--json").output)
    assert entry["digests"] == [plain["digest"]]
    assert entry["objects"][0]["name"] == "T 0"
    next(folder.rglob("record.json")).write_bytes(b"{}")
    damaged = run("verify", folder)
    assert damaged.exit_code == 1
    assert "record.json" in damaged.output


def test_a_key_with_a_name_shows_its_certificate_from_either_half(run: Run, tmp_path: Path) -> None:
    made = run("key", "new", tmp_path / "key.pem", "--name", "Ines Tidewell")
    shown = [run("key", "show", tmp_path / name).output for name in ("key.pem", "key.public.pem")]
    assert shown[0] == shown[1]
    key, certificate = shown[0].splitlines()
    assert key in made.output
    assert certificate.startswith("certificate, by which PDFs are signed: ")
    assert certificate.partition(": ")[2] in made.output


def test_a_zip_is_made_unasked_of_one_piece_only(at: Run, tmp_path: Path) -> None:
    options = ("release", "bagit", "--for", "buyer", "--to")
    at(*options, tmp_path / "all")
    assert not list((tmp_path / "all").glob("*.zip"))
    at(*options, tmp_path / "zipped", "--zip")
    assert len(list((tmp_path / "zipped").glob("*.zip"))) == 1
    at(*options, tmp_path / "one", "--object", "T 0", "--no-zip")
    assert not list((tmp_path / "one").glob("*.zip"))


def test_nothing_is_released_with_a_key_that_cannot_be_used(
    at: Run, archive: Archive, tmp_path: Path
) -> None:
    (tmp_path / "key.pem").write_text("not a key", encoding="utf-8")
    to = tmp_path / "to"
    result = at(
        "release", "bagit", "--for", "buyer", "--to", to, "--sign", tmp_path / "key.pem"
    )  # fmt: skip
    assert result.exit_code == 2
    assert "is no private key in PEM form" in result.stderr
    assert not to.exists()
    with Archive.open(archive.folder) as opened:
        assert releases(opened.catalogue) == ()


def test_a_locked_key_is_asked_for_its_passphrase(archive: Archive, tmp_path: Path) -> None:
    from click.testing import CliRunner

    from archivist.cli.main import group

    archive.catalogue.close()
    key, to = tmp_path / "key.pem", tmp_path / "to"
    runner = CliRunner()
    made = runner.invoke(group, ["key", "new", str(key), "--passphrase"], input="oak\noak\n")
    assert made.exit_code == 0, made.output
    words = ["-a", str(archive.folder), "release", "bagit", "--for", "buyer", "--to", str(to)]
    done = runner.invoke(group, [*words, "--sign", str(key)], input="oak\n")
    assert done.exit_code == 0, done.output
    wrong = runner.invoke(group, [*words, "--sign", str(key)], input="elm\n")
    assert wrong.exit_code == 2
    assert "cannot be opened with that passphrase" in wrong.stderr


def test_what_was_not_handed_out_is_not_known(at: Run, tmp_path: Path) -> None:
    stranger = jpeg(tmp_path / "stranger.jpg")
    assert "Nothing was handed out yet." in at("register").output
    result = at("register", "--recognise", stranger)
    assert result.exit_code == 1
    assert "Nothing in the register has the digest of stranger.jpg" in result.output
    assert at("register", "--recognise", tmp_path / "gone").exit_code == 2
    assert at("verify", stranger).exit_code == 2
