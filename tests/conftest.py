"""What holds for all tests: one example may take as long as it takes on a busy machine."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.load_profile("house")
