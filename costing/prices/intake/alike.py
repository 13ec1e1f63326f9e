"""The cells of a long column that look alike, found together.

>>> for rows, shape, digits in alike("\\n".join(["$1.25", "$30.00"] * 8), 16) or []:
...     print(rows.tolist(), shape, digits.tolist()[:2])
[1, 3, 5, 7, 9, 11, 13, 15] $00.00 [3000, 3000]
[0, 2, 4, 6, 8, 10, 12, 14] $0.00 [125, 125]
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FEW: Final = 8
"""Cells of one shape, below which each is looked at for itself."""
_MOST_SHAPES: Final = 64
"""Shapes of a long column that are read at once."""
LONGEST: Final = 60
"""Bytes of a cell that is looked at here."""


def alike(joined: str, count: int) -> list[tuple[NDArray[np.intp], str, NDArray[np.int64]]] | None:
    """The cells of a column that look alike, together; None where a cell has a line end.

    Cells of one length are laid below each other. Where a place holds digits in all of them, or the same sign in all of
    them, it belongs to one shape, and the digits are put together place by place; where signs differ there, the cells
    are parted by them.

    Args:
        joined: the cells, one a line.
        count: how many there are.

    Returns:
        For each shape that many cells have: which cells; the shape in zeros and signs; their digits as a whole number.
    """
    import numpy as np

    letters = np.frombuffer(joined.encode("utf-8", "surrogatepass"), np.uint8)
    ends = np.append(np.flatnonzero(letters == ord("\n")), len(letters))
    if len(ends) != count:
        return None
    starts = np.concatenate(([0], ends[:-1] + 1))
    lengths = ends - starts
    few = max(_FEW, count // _MOST_SHAPES)
    # Cells of which so many places are known to be alike: which, their length, places, shape and digits so far.
    open_ones: list[tuple[NDArray[np.intp], int, int, bytes, NDArray[np.int64]]] = []
    for length in np.unique(lengths[(lengths > 0) & (lengths <= LONGEST)]).tolist():
        rows = np.flatnonzero(lengths == length)
        open_ones.append((rows, length, 0, b"", np.zeros(len(rows), np.int64)))
    found = []
    while open_ones:
        rows, length, place, shape, number = open_ones.pop()
        if len(rows) < few:
            continue
        at = starts[rows] + place
        while place < length:
            letter = letters[at]
            digit = letter - np.uint8(ord("0"))  # of what is no digit, more than 9
            if digit.max() <= 9:
                number = 10 * number + digit
                shape += b"0"
            elif letter.min() == letter.max():
                shape += letter[:1].tobytes()
            else:
                break
            place, at = place + 1, at + 1
        if place == length:
            found.append((rows, shape.decode("utf-8", "replace"), number))
            continue
        kind = np.where(digit <= 9, np.uint8(ord("0")), letter)
        for one in np.flatnonzero(np.bincount(kind)).tolist():
            those = kind == one
            open_ones.append((rows[those], length, place, shape, number[those]))
    return found
