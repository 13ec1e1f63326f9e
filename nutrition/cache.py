"""The user's cache folder: what can be made again at any time, kept so that it need not be.

>>> folder().name != ""
True
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path


def folder() -> Path:
    """Where the cache lies: ``CREAMERY_CACHE`` if it is set, else the system's place for such things."""
    told = os.environ.get("CREAMERY_CACHE")
    if told:
        return Path(told)
    import platformdirs

    return Path(platformdirs.user_cache_dir("creamery"))


def read(name: str) -> bytes | None:
    """A file of the cache, None where there is none that can be read.

    Args:
        name: its file name; it carries a sum of what it was made from, so that it is never out of date.
    """
    try:
        return (folder() / name).read_bytes()
    except OSError:
        return None


def write(name: str, content: bytes) -> None:
    """Put a file into the cache, whole or not at all; a cache that cannot be written is no error.

    Args:
        name: its file name.
        content: what is in it.
    """
    path = folder() / name
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(prefix=f"{path.stem}-", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(content)
            os.replace(part, path)  # noqa: PTH105 - the one call that moves into place on every system
        except OSError:
            Path(part).unlink(missing_ok=True)
