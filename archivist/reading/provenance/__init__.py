"""Provenance: the published convention and free sentences, read into events and printed again."""

from __future__ import annotations

from archivist.reading.provenance.dealings import Dealing, dealing_in
from archivist.reading.provenance.read import read_provenance
from archivist.reading.provenance.write import print_provenance

__all__ = ["Dealing", "dealing_in", "print_provenance", "read_provenance"]
