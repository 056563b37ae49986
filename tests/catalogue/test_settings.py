"""`archive.toml`: what is wrong in it is named, with what to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.catalogue.archive import Archive
from archivist.catalogue.settings import (
    AudienceSettings,
    Settings,
    read_settings,
    settings_in,
    write_new_settings,
)
from archivist.errors import ArchiveError, SettingsError
from archivist.model import Rights
from tests.archives import new_archive, new_id

GOOD = f"""
id = "{new_id(7)}"
owner = "Ines Tidewell"
language = "en"
[rights]
uri = "http://rightsstatements.org/vocab/InC/1.0/"
"""


def read(text: str) -> Settings:
    return settings_in(text.encode("utf-8"), "archive.toml")


words = st.text(max_size=30).filter(lambda text: bool(text.strip()))


@given(words, words, words)
def test_any_words_come_back_from_the_file_that_is_written(
    tmp_path_factory: pytest.TempPathFactory, owner: str, name: str, credit: str
) -> None:
    path = tmp_path_factory.mktemp("settings") / "archive.toml"
    settings = Settings(
        id=new_id(7),
        owner=owner,
        name=name,
        language="en",
        rights=Rights(uri="https://creativecommons.org/licenses/by/4.0/", credit=credit),
    )
    write_new_settings(path, settings)
    assert read_settings(path) == settings


def test_settings_saved_by_a_windows_editor_are_read(tmp_path: Path) -> None:
    path = tmp_path / "archive.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode("utf-8"))
    assert read_settings(path).owner == "Ines Tidewell"


@pytest.mark.parametrize(
    ("wrong", "right", "told"),
    [
        ('owner = "Ines Tidewell"', "", "missing required field `owner`"),
        ('owner = "Ines Tidewell"', 'owner = "  "', "'owner' is empty"),
        ('owner = "Ines Tidewell"', "owner = Ines", "cannot be read"),
        ('owner = "Ines Tidewell"', "owner = 3", "Expected `str`, got `int`"),
        ('language = "en"', 'language = ""', "'language' is empty"),
        ("[rights]", "[right]", "unknown field `right`"),
        ('uri = "http', 'url = "http', "unknown field `url`"),
        (f'id = "{new_id(7)}"', 'id = "mine"', "'id' is no UUID"),
        ('language = "en"', 'language = "en"\nbase_uri = "example.org"', "no web address"),
        ('language = "en"', 'language = "en"\nbase_uri = "https://e.org/?a"', "no web address"),
    ],
)
def test_what_is_wrong_is_named(wrong: str, right: str, told: str) -> None:
    assert wrong in GOOD
    with pytest.raises(SettingsError) as problem:
        read(GOOD.replace(wrong, right))
    assert told in problem.value.message
    assert problem.value.message.startswith("archive.toml")
    assert problem.value.remedy


def test_an_owner_may_add_an_audience() -> None:
    added = GOOD + '[audiences.heir]\nlike = "buyer"\nsees = ["record.sales"]\n'
    heir = read(added).audiences["heir"]
    assert heir == AudienceSettings(like="buyer", sees=("record.sales",))
    with pytest.raises(SettingsError, match="audiences"):
        read(GOOD + '[audiences]\nheir = "buyer"\n')
    with pytest.raises(SettingsError, match="unknown field `see`"):
        read(GOOD + '[audiences.heir]\nsee = ["record.sales"]\n')


def test_an_archive_without_an_owner_is_not_made(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="owner of an archive cannot be empty"):
        Archive.create(tmp_path / "a", owner=" ")
    assert not (tmp_path / "a").exists()


def test_an_archive_is_not_made_over_anything(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ArchiveError, match="is not an empty folder"):
        new_archive(tmp_path)
    with pytest.raises(ArchiveError, match="is not an empty folder"):
        new_archive(tmp_path / "letter.txt")
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_folder_that_is_no_archive_is_told_as_that(tmp_path: Path) -> None:
    with pytest.raises(ArchiveError, match="has no archive\\.toml"):
        Archive.open(tmp_path)
    new_archive(tmp_path / "a").catalogue.close()
    (tmp_path / "a" / "catalogue.sqlite").unlink()
    with pytest.raises(ArchiveError, match="has settings but no catalogue"):
        Archive.open(tmp_path / "a")
    assert not (tmp_path / "a" / "catalogue.sqlite").exists(), "opening makes no empty catalogue"
