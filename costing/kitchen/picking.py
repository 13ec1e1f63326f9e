"""Finding in a pot what a step names."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot

    Floats = NDArray[np.float64]


def pick(names: Sequence[str], pot: Pot, bench: Bench) -> Floats:
    """The pieces that answer to the names.

    Args:
        names: ingredients, parts or saved things.
        pot: where to look.
        bench: for the error.

    Returns:
        1 for each such piece and 0 for the others, ``(pieces, 1)``.

    Raises:
        KitchenError: a name that nothing in the pot answers to.
    """
    known = sorted({name for tag in pot.tags for name in tag.names})
    for name in names:
        if name not in known:
            near = get_close_matches(name, known, 1, 0.6)
            mend = f"did you mean '{near[0]}'?" if near else f"in it are: {', '.join(known) or 'nothing'}"
            raise bench.error(f"there is no '{name}' in the pot", mend)
    return pot.called(names)
