"""The schemas of the record, which go wherever a record goes: without them it is only half told.

JSON Schema (https://json-schema.org/draft/2020-12/schema), made from the model.
"""

from __future__ import annotations

from archivist_schemas import schema_file

RECORD, PARTY, PHOTOGRAPH = "record.schema.json", "party.schema.json", "photograph.schema.json"

WHAT_THEY_ARE: dict[str, str] = {
    RECORD: "the schema of record.json (JSON Schema)",
    PARTY: "the schema of each entry of parties.json (JSON Schema)",
    PHOTOGRAPH: "the schema of each entry of photographs.json (JSON Schema)",
}


def schema(name: str) -> bytes:
    """The schema of that name."""
    return schema_file(name).read_bytes()
