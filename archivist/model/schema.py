"""The JSON Schema of records, photographs and parties, made from the model.

python -m archivist.model.schema SCHEMAS_FOLDER     writes them (schemas/archivist_schemas)
"""

from __future__ import annotations

import inspect
import sys
from pathlib import Path
from typing import Any

import msgspec

from archivist.model.base import Value
from archivist.model.parties import Party
from archivist.model.photographs import Photograph
from archivist.model.records import ObjectRecord

DIALECT = "https://json-schema.org/draft/2020-12/schema"
"""What msgspec writes (JSON Schema, draft 2020-12)."""

SCHEMAS: dict[str, tuple[type[Value], str]] = {
    "record.schema.json": (ObjectRecord, "Object record"),
    "photograph.schema.json": (Photograph, "Photograph"),
    "party.schema.json": (Party, "Party"),
}
"""Each file with the type that it describes and what that is called."""


def schema(type_: type[Value], title: str) -> dict[str, Any]:
    """The JSON Schema of one type; what it refers to stands under `$defs`."""
    (top,), parts = msgspec.json.schema_components((type_,), ref_template="#/$defs/{name}")
    for part in parts.values():
        if "description" in part:  # a docstring, whose indentation differs between Pythons
            part["description"] = inspect.cleandoc(part["description"])
    return {"$schema": DIALECT, "title": title, **top, "$defs": dict(sorted(parts.items()))}


def schema_text(name: str) -> str:
    """The whole text of the schema file of that name."""
    content = msgspec.json.encode(schema(*SCHEMAS[name]))
    return msgspec.json.format(content, indent=2).decode("utf-8") + "\n"


def main() -> None:
    """Writes every schema into the folder that is named."""
    folder = Path(sys.argv[1])
    for name in SCHEMAS:
        (folder / name).write_text(schema_text(name), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
