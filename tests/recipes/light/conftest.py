"""Properties are about light, not about how busy the machine is."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("light", deadline=None)
settings.load_profile("light")
