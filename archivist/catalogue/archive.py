"""An archive: one folder with settings, the catalogue, the originals and the proposals."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from types import TracebackType

from archivist.catalogue.catalogue import Catalogue, utc_now
from archivist.catalogue.facts import archive_of, set_archive
from archivist.catalogue.holdings import Original, note_damage, original, write_inventory
from archivist.catalogue.originals import FOLDER, OriginalStore
from archivist.catalogue.settings import (
    FILE_NAME,
    IN_COPYRIGHT,
    Settings,
    read_settings,
    write_new_settings,
)
from archivist.content import MENDING, Content, checked_content
from archivist.errors import ArchiveError, FixityError, SettingsError
from archivist.locking import AT_WORK, locked
from archivist.model import Rights

CATALOGUE = "catalogue.sqlite"
PROPOSALS = "proposals"
DERIVATIVES = "derivatives"
OF_RECORDS = "of-records"
"""Derivatives that hold words of the records; an erasure throws them away."""

ABOUT_NAME = "README.txt"
ABOUT = """\
This folder is an archive of objects and their photographs.

archive.toml        its settings; a text file
catalogue.sqlite    every record in every version; an SQLite 3 database, which many programs open
originals/          every file that was taken in, unchanged, named by its SHA-256 digest;
                    inventory.csv tells its true name, and where and when it was found;
                    'sha256sum -c manifest-sha256.txt' in that folder checks them all
proposals/          what the program suggested and a person decided
derivatives/        may be deleted at any time

Copy the whole folder to copy the archive.
"""


class Archive:
    """An open archive. Use it in a `with` block, so that the catalogue is left as one file."""

    def __init__(self, folder: Path, settings: Settings, catalogue: Catalogue) -> None:
        self.folder = folder
        self.settings = settings
        self.catalogue = catalogue
        self.store = OriginalStore(folder / FOLDER)
        self.proposals = folder / PROPOSALS
        self.derivatives = folder / DERIVATIVES
        self.of_records = self.derivatives / OF_RECORDS

    def keeps_for_itself(self, path: Path) -> bool:
        """Whether `path` is, or lies in, a folder into which nothing of another may be written."""
        own = (self.store.folder, self.derivatives, self.proposals)
        return any(path.resolve().is_relative_to(folder.resolve()) for folder in own)

    @classmethod
    def create(
        cls,
        folder: Path,
        *,
        owner: str,
        name: str = "",
        language: str = "en",
        rights: Rights | None = None,
        id_: str = "",
        now: Callable[[], str] = utc_now,
    ) -> Archive:
        """Makes a new archive in `folder`, which must be empty or not exist, and opens it.

        Raises:
            ArchiveError: where the folder holds anything, or cannot be made.
            SettingsError: for an owner or language without a letter.
        """
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise ArchiveError(
                f"{folder} is there already and is not an empty folder.",
                "Nothing was changed. Name a folder that does not exist yet.",
            )
        for what, words in (("owner", owner), ("language", language)):
            if not words.strip():
                raise SettingsError(f"The {what} of an archive cannot be empty.", "Give a name.")
        settings = Settings(
            id=id_ or str(uuid.uuid4()),
            owner=owner,
            name=name or f"The archive of {owner}",
            language=language,
            rights=rights or Rights(uri=IN_COPYRIGHT, holder=owner, credit=owner),
        )
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for part in (FOLDER, PROPOSALS, DERIVATIVES):
                (folder / part).mkdir()
            (folder / ABOUT_NAME).write_text(ABOUT, encoding="utf-8", newline="\n")
            write_new_settings(folder / FILE_NAME, settings)
        except OSError as problem:
            raise ArchiveError(
                f"The archive {folder} cannot be made: {problem.strerror}.",
                "Choose a place that you may write to.",
            ) from problem
        archive = cls(folder, settings, Catalogue(folder / CATALOGUE, now))
        set_archive(archive.catalogue.connection, settings.id)
        write_inventory(archive.catalogue, archive.store)
        return archive

    @classmethod
    def open(cls, folder: Path, now: Callable[[], str] = utc_now) -> Archive:
        """Opens the archive in `folder`.

        Raises:
            ArchiveError: where it is none, or its catalogue cannot be opened.
            SettingsError: where `archive.toml` is wrong.
        """
        if not (folder / FILE_NAME).is_file():
            raise ArchiveError(
                f"{folder.resolve()} is not an archive: it has no {FILE_NAME}.",
                "Go to the archive's folder or name it with --archive FOLDER; "
                "'archivist new FOLDER' makes a new one.",
            )
        settings = read_settings(folder / FILE_NAME)
        if not (folder / CATALOGUE).is_file():
            raise ArchiveError(
                f"{folder} has settings but no {CATALOGUE}.",
                "The originals are safe. Put back a copy of the catalogue, or rebuild the archive "
                "with 'archivist restore' from an owner's bag.",
            )
        catalogue = Catalogue(folder / CATALOGUE, now)
        try:
            _refuse_strange(folder, settings, catalogue)
            archive = cls(folder, settings, catalogue)
            if catalogue.writable:
                _finish_what_was_cut_off(archive)
        except BaseException:
            catalogue.close()
            raise
        return archive

    def __enter__(self) -> Archive:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.catalogue.close()

    @contextmanager
    def at_work(self) -> Iterator[None]:
        """Keeps other commands away that take in, restore or erase, while the block runs.

        Raises:
            ArchiveError: where one is at work, or the folder cannot be written.
        """
        with ExitStack() as opened:
            try:
                opened.enter_context(locked(self.folder, AT_WORK, "command"))
                self.sweep()
            except OSError as problem:
                raise ArchiveError(
                    f"The archive {self.folder} cannot be written: {problem.strerror}.",
                    "Nothing was changed. Make room on its disk or its folder writable, and run "
                    "the same command again.",
                ) from problem
            yield

    def sweep(self) -> None:
        """Removes what commands that were ended left unfinished; only while `at_work`."""
        self.store.sweep()
        for folder in (self.folder, self.proposals):
            for left in folder.glob("*.new"):
                left.unlink(missing_ok=True)
        for empty in self.proposals.glob("*.json"):
            if not empty.stat().st_size:  # a name that a survey took, which was ended then
                empty.unlink(missing_ok=True)
        for ending in ("*.part", "*.new"):
            for left in self.derivatives.rglob(ending):
                left.unlink(missing_ok=True)

    def original_content(self, sha256: str) -> Content:
        """The bytes of the original of that digest, compared with it.

        Raises:
            FixityError: where the archive does not know it, or it is gone or damaged.
        """
        try:
            return checked_content(self.original_path(sha256), sha256)
        except FixityError:
            note_damage(self.catalogue, sha256)
            raise

    def original_path(self, sha256: str) -> Path:
        """Where the original of that digest lies; whoever wants its bytes asks for its content.

        Raises:
            FixityError: where the archive does not know it, or the file is gone.
        """
        known: Original | None = original(self.catalogue, sha256)
        path = self.store.path_of(sha256, known.extension if known else "")
        if known is None or not path.is_file():
            if known is not None:
                note_damage(self.catalogue, sha256)
            raise FixityError(
                f"The original {sha256} is not in {self.store.folder}.",
                MENDING,
            )
        return path


def _refuse_strange(folder: Path, settings: Settings, catalogue: Catalogue) -> None:
    """Settings and catalogue of two archives are not one archive; nor is one whose identifier was
    altered."""
    known = archive_of(catalogue.connection)
    if not known and catalogue.writable:
        set_archive(catalogue.connection, settings.id)
    elif known not in ("", settings.id):
        raise ArchiveError(
            f"In {folder}, {CATALOGUE} is of the archive {known}, and {FILE_NAME} of "
            f"{settings.id}.",
            "Nothing was changed. Put back the file that is not this archive's; where only the "
            f"line 'id' in {FILE_NAME} was altered, write {known} there.",
        )


def _finish_what_was_cut_off(archive: Archive) -> None:
    """An erasure whose program was ended after its commit has files left to clean."""
    from archivist.catalogue.erasure import finish

    finish(archive)
