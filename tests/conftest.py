"""What holds for all tests: no limit of time for one example, which other work on a machine breaks."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.load_profile("house")
