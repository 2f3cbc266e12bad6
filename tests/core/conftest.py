"""Settings of the property tests of the core."""

from __future__ import annotations

from hypothesis import settings

# The first example of a test pays for loading SciPy, so a time limit for each would fail at random.
settings.register_profile("core", deadline=None)
settings.load_profile("core")
