"""Does a piece of work beside another: in a second process where the system can fork, else later in this one.

>>> answer = start(lambda: 6 * 7)
>>> answer()
42
"""

from __future__ import annotations

import os
import pickle
import sys
import warnings
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


def start(work: Callable[[], T]) -> Callable[[], T]:
    """Start a piece of work that needs nothing of what is done meanwhile.

    Args:
        work: what to do; its result must be plain values.

    Returns:
        A function that waits for the result and gives it. Work that fails there is done again here, so that its error
        comes up where it can be told.
    """
    if not hasattr(os, "fork") or (os.cpu_count() or 1) < 2:
        return work
    sys.stdout.flush()
    sys.stderr.flush()
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        # Python warns of threads that a child does not inherit; ours belong to numpy, and the child needs none.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        _serve(work, reading, writing)
    os.close(writing)

    def finish() -> T:
        with os.fdopen(reading, "rb") as pipe:
            sent = pipe.read()
        os.waitpid(child, 0)
        result: T = pickle.loads(sent) if sent else work()  # out of our own child
        return result

    return finish


def _serve(work: Callable[[], object], reading: int, writing: int) -> None:
    """The child: sends the result, or nothing, and leaves without a trace."""
    code = 1
    try:
        os.close(reading)
        sent = pickle.dumps(work())
        with os.fdopen(writing, "wb") as pipe:
            pipe.write(sent)
        code = 0
    finally:
        os._exit(code)
