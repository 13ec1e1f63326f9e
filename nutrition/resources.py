"""The one way to the data and example files, from a checkout and from an installed wheel alike.

In a wheel the files lie inside the packages (``nutrition/_data``, ``costing/_examples``);
in a checkout they lie at the top (``data/``, ``examples/``). Callers never see the difference.

>>> table("nutrients.csv")[0]["key"]
'energy'
"""

from __future__ import annotations

import csv
import functools
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from importlib.resources.abc import Traversable

_HOMES = {"data": ("nutrition", "_data"), "examples": ("costing", "_examples")}


def tree(kind: str) -> Traversable:
    """The folder of the kind asked for.

    Args:
        kind: ``"data"`` or ``"examples"``.

    Returns:
        The folder, as importlib.resources gives it.

    Raises:
        FileNotFoundError: neither the wheel nor the checkout holds it.

    >>> tree("data").joinpath("nutrients.csv").is_file()
    True
    """
    package, inner = _HOMES[kind]
    packed = files(package).joinpath(inner)
    if packed.is_dir():
        return packed
    checkout = Path(str(files(package))).parent / kind
    if checkout.is_dir():
        return checkout
    raise FileNotFoundError(f"the {kind} files of creamery are missing; install it again")


def data(*parts: str) -> Traversable:
    """One data file, by its path below ``data/``.

    >>> data("nutrients.csv").name
    'nutrients.csv'
    """
    return tree("data").joinpath(*parts)


@functools.cache
def table(*parts: str) -> tuple[Mapping[str, str], ...]:
    """A CSV data table: lines that begin with ``#`` are its source notes, the first other line its heads.

    Args:
        parts: the path below ``data/``.

    Returns:
        One read-only mapping from head to text for each row; an empty cell is an empty text.
    """
    text = data(*parts).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple(MappingProxyType(row) for row in csv.DictReader(lines))
