"""Settings of the property tests: a busy machine is no reason to fail."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
