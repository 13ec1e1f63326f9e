"""The names of units, and what each is worth: read from ``data/kitchen/units.txt`` by the ``pint`` library.

>>> unit("cups").factor
Fraction(473176473, 2000000)
"""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

_PLURAL_ES: Final = ("ches", "shes", "xes", "sses", "zes", "toes")
_VES: Final = {"leaves": "leaf", "loaves": "loaf", "halves": "half", "knives": "knife"}


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that stands in the definitions.

    Args:
        name: its full name (``fluid ounce``).
        kind: ``mass``, ``volume``, ``count``, ``time``, ``temperature`` or ``length``.
        factor: base units in one of it, exact (g, mL, each, s, K, cm).
    """

    name: str
    kind: str
    factor: Fraction


@functools.cache
def registry() -> Any:
    """The ``pint`` registry that holds our definitions and nothing else, in exact fractions."""
    import pint

    from nutrition import resources

    text = resources.data("kitchen", "units.txt").read_text(encoding="utf-8")
    own: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    own.load_definitions(text.splitlines())
    return own


@functools.cache
def _asked() -> tuple[Mapping[str, Unit], Mapping[str, tuple[Fraction, Fraction]]]:
    """What pint reads out of the definitions: units by spelling, and temperature scales.

    Kept in the cache folder, because pint takes longer to start than a whole shop to read.
    """
    from nutrition import cache, resources

    text = resources.data("kitchen", "units.txt").read_text(encoding="utf-8")
    name = f"units-{hashlib.sha256(text.encode()).hexdigest()[:16]}.json"
    kept = cache.read(name)
    if kept is not None:
        try:
            rows, degrees = json.loads(kept)
            units = {spelling: Unit(full, kind, Fraction(factor)) for spelling, full, kind, factor in rows}
            return units, {scale: (Fraction(low), Fraction(high)) for scale, low, high in degrees}
        except (ValueError, TypeError):
            pass  # damaged; it is made again
    known, found = _ask_pint(text), _ask_scales()
    rows = [[spelling, one.name, one.kind, str(one.factor)] for spelling, one in known.items()]
    degrees = [[scale, str(low), str(high)] for scale, (low, high) in found.items()]
    cache.write(name, json.dumps([rows, degrees]).encode())
    return known, found


def _known() -> Mapping[str, Unit]:
    """Every way to write every unit."""
    return _asked()[0]


def _ask_pint(text: str) -> Mapping[str, Unit]:
    own = registry()
    kinds = {"mass": "mass", "length": "volume", "count": "count", "time": "time", "temperature": "temperature"}
    found: dict[str, Unit] = {}
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        name, _, *others = (bit.strip() for bit in line.split(" = "))
        factor, base = own.get_base_units(name)
        ((dimension, power),) = base.dimensionality.items()
        kind = "length" if dimension == "[length]" and power == 1 else kinds[dimension.strip("[]")]
        unit = Unit(name.replace("_", " "), kind, Fraction(factor))
        for spelling in (name, *others):
            if spelling == "_":
                continue
            plain = spelling.replace("_", " ")
            found[plain] = unit
            found.setdefault(plain.casefold(), unit)
    return found


@functools.cache
def unit(written: str) -> Unit | None:
    """The unit of that spelling, None where there is none.

    Args:
        written: as a cook writes it; capitals and a closing point do not matter, but ``T`` is a tablespoon.

    >>> unit("fl. oz.").name, unit("T").name, unit("t").name
    ('fluid ounce', 'tablespoon', 'teaspoon')
    """
    plain = " ".join(written.replace(".", " ").split())
    known = _known()
    found = known.get(plain) or known.get(plain.casefold())
    # A cook's "2 inch" of ginger is a counted thing, with a weight of its own in the measures of the ingredient.
    return None if found is None or found.kind == "length" else found


def length_unit(written: str) -> Unit | None:
    """The unit of length of that spelling, None where there is none; no amount of food has one.

    >>> length_unit("inches").factor, length_unit("MM").factor
    (Fraction(127, 50), Fraction(1, 10))
    """
    plain = " ".join(written.replace(".", " ").split()).casefold()
    found = _known().get(plain)
    return found if found is not None and found.kind == "length" else None


@functools.cache
def names() -> tuple[str, ...]:
    """Every way to write every unit, for the nearest right one."""
    return tuple(name for name, one in _known().items() if one.kind != "length")


def scales() -> Mapping[str, tuple[Fraction, Fraction]]:
    """For each temperature unit its degrees C at 0 and at 1."""
    return _asked()[1]


def _ask_scales() -> Mapping[str, tuple[Fraction, Fraction]]:
    convert: Callable[[Fraction, str, str], Fraction] = registry().convert
    names = ("degree_Celsius", "degree_Fahrenheit")
    return {
        name.replace("_", " "): (convert(Fraction(0), name, names[0]), convert(Fraction(1), name, names[0]))
        for name in names
    }


def singular(word: str) -> str:
    """A counted thing by its name for one of them.

    >>> [singular(w) for w in ("leaves", "pinches", "berries", "sticks", "each", "glass")]
    ['leaf', 'pinch', 'berry', 'stick', 'each', 'glass']
    """
    head, _, last = word.rpartition(" ")
    low = last.casefold()
    if low in _VES:
        low = _VES[low]
    elif low.endswith("ies") and len(low) > 4:
        low = low[:-3] + "y"
    elif low.endswith(_PLURAL_ES):
        low = low[:-2]
    elif low.endswith("s") and not low.endswith("ss") and len(low) > 2:
        low = low[:-1]
    return f"{head.casefold()} {low}" if head else low
