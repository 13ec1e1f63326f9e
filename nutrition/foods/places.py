"""Where the user's own food library and the cache of the web service lie.

``CREAMERY_HOME`` puts both below a folder of one's choice; without it they lie where the system keeps such things.

>>> library().name, web_cache().name
('foods', 'web')
"""

from __future__ import annotations

import os
from pathlib import Path

from nutrition import cache


def home() -> Path | None:
    """The folder that ``CREAMERY_HOME`` names, None where it names none."""
    told = os.environ.get("CREAMERY_HOME", "").strip()
    return Path(told).expanduser() if told else None


def library() -> Path:
    """The folder of imported foods; it need not exist yet."""
    told = home()
    if told is not None:
        return told / "foods"
    import platformdirs

    return Path(platformdirs.user_data_dir("creamery")) / "foods"


def web_cache() -> Path:
    """The folder for what the web service answered; it need not exist yet."""
    told = home()
    # Who moves everything moves this too, but CREAMERY_CACHE, being the narrower wish, goes before.
    if told is not None and not os.environ.get("CREAMERY_CACHE"):
        return told / "cache" / "web"
    return cache.folder() / "web"
