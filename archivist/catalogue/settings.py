"""`archive.toml`: what the owner says of the archive once, and may change in any text editor."""

from __future__ import annotations

import re
import tomllib
import uuid
from pathlib import Path
from typing import Any

import msgspec

from archivist.errors import SettingsError
from archivist.model import Rights, Value

FILE_NAME = "archive.toml"

IN_COPYRIGHT = "http://rightsstatements.org/vocab/InC/1.0/"
"""RightsStatements.org, 'In Copyright': what holds where nothing else was said."""


class AudienceSettings(Value, frozen=True, kw_only=True):
    """An audience of the owner's own: `sees` more, or `never_sees` some, of what `like` sees.

    Fields are named as in the disclosure table ('record.sales', 'views.label').
    """

    like: str = "public"
    title: str = ""
    sees: tuple[str, ...] = ()
    never_sees: tuple[str, ...] = ()


class Settings(Value, frozen=True, kw_only=True):
    """The settings of one archive; `id` is its UUID and never changes.

    `language` is the BCP 47 tag of its words, `base_uri` the web address it is published at (empty:
    nowhere), `rights` hold unless a record says otherwise; `audiences` and `conventions` are the
    owner's own rules, read where they are used.
    """

    id: str
    owner: str
    language: str
    name: str = ""
    base_uri: str = ""
    rights: Rights
    audiences: dict[str, AudienceSettings] = msgspec.field(default_factory=dict)
    conventions: dict[str, Any] = msgspec.field(default_factory=dict)


def read_settings(path: Path) -> Settings:
    """The settings in the file at `path`.

    Raises:
        SettingsError: naming the line or the field that is wrong and what it needs.
    """
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise SettingsError(
            f"{path} cannot be read: {problem.strerror}.", "Mend its permissions or its disk."
        ) from problem
    return settings_in(content, str(path))


def settings_in(content: bytes, path: str) -> Settings:
    """The settings in a file's content; `path` is how messages call it.

    Raises:
        SettingsError: as `read_settings` does.
    """
    try:
        data = tomllib.loads(content.decode("utf-8-sig").replace("\r\n", "\n"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise SettingsError(
            f"{path} cannot be read: {problem}.", "Mend that line in a text editor."
        ) from problem
    try:
        settings = msgspec.convert(data, Settings)
    except msgspec.ValidationError as problem:
        raise SettingsError(
            f"{path} is not complete: {problem}.",
            "It must have id, owner, language and a [rights] section with uri.",
        ) from problem
    required = {
        "id": settings.id,
        "owner": settings.owner,
        "language": settings.language,
        "rights.uri": settings.rights.uri,
    }
    for field, value in required.items():
        if not value.strip():
            raise SettingsError(f"{path}: '{field}' is empty.", "Give it a value.")
    if not _is_uuid(settings.id):
        raise SettingsError(
            f"{path}: 'id' is no UUID: {settings.id}.",
            "Put back the one that the archive began with; bags of it name it in bag-info.txt.",
        )
    if settings.base_uri and not _WEB_ADDRESS.fullmatch(settings.base_uri):
        raise SettingsError(
            f"{path}: 'base_uri' is no web address: {settings.base_uri}.",
            "Write it whole, e.g. https://example.org/archive/, or leave it empty.",
        )
    return settings


_WEB_ADDRESS = re.compile(r"https?://[^\s/?#]+(/[^\s?#]*)?")


def _is_uuid(words: str) -> bool:
    try:
        return str(uuid.UUID(words)) == words.lower()
    except ValueError:
        return False


def write_new_settings(path: Path, settings: Settings) -> None:
    """Writes a fresh settings file with a word of explanation at each line."""
    path.write_text(
        "\n".join(
            [
                "# The settings of this archive. Any text editor will do.",
                "",
                "# Never change this: records and packages are known by it.",
                f"id = {_quoted(settings.id)}",
                "",
                "# What the archive is called, and whose it is.",
                f"name = {_quoted(settings.name)}",
                f"owner = {_quoted(settings.owner)}",
                "",
                "# The language of its words (en, fr, de, ja ...).",
                f"language = {_quoted(settings.language)}",
                "",
                "# The web address it will be published at, if any, e.g. https://example.org/archive/",
                f"base_uri = {_quoted(settings.base_uri)}",
                "",
                "[rights]",
                "# A statement of rightsstatements.org or a Creative Commons licence.",
                f"uri = {_quoted(settings.rights.uri)}",
                f"holder = {_quoted(settings.rights.holder)}",
                f"credit = {_quoted(settings.rights.credit)}",
                "",
            ]
        ),
        encoding="utf-8",
        newline="\n",
    )


def _quoted(words: str) -> str:
    """`words` as a TOML basic string; JSON's escapes are all TOML's too."""
    return msgspec.json.encode(words).decode("utf-8").replace("\x7f", "\\u007f")
