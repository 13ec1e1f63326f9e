"""How much of a recipe is asked about, how sure, and as if what: ``--batches``, ``--for``, ``--use-trials``, ``--if``.

>>> count_of("24 pints")
(24, 'pints')
>>> count_of("3 x small cup"), count_of("40")
((3, 'small cup'), (40, ''))
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.desk import Asked, Shop
    from costing.kitchen.run import Measured
    from costing.results import RecipeAnswer

MOST_BATCHES = 4096.0
"""Batches at once; beyond, nobody means it."""
MOST_CONTAINERS = 1_000_000

_COUNT = re.compile(r"\s*([0-9]{1,9})\s*(?:[x×](?=\s))?\s*([^\W\d_].{0,200}?)?\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a command was asked for.

    Args:
        batches: by what every written amount is multiplied.
        count: so many containers instead; 0: as ``batches`` says.
        container: of which kind, as it was written; the first that a recipe fills if empty.
        trials: whether what trials measured stands in for what recipes assume.
        ranges: whether ranges are drawn from; None: as the command does it by itself.
        changes: what might change (:mod:`costing.whatif.changes`).
        choices: what is chosen for labels, before what the shop says (:mod:`costing.shop.label_choices`).
        packed: the kind of container that labels are for, as it was written; the first that a recipe fills if empty.
    """

    batches: float = 1.0
    count: int = 0
    container: str = ""
    trials: bool = False
    ranges: bool | None = None
    changes: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    packed: str = ""


def batches_of(text: str) -> float:
    """How many batches: a number above 0.

    Raises:
        ValueError: it is none, in words for a person.

    >>> batches_of("0.5")
    0.5
    """
    try:
        number = float(text)
    except ValueError:
        raise ValueError(f"'{text}' is not a number; write it like 3 or 0.5") from None
    if not math.isfinite(number) or number <= 0:
        raise ValueError(f"'{text}' is not a number of batches; write one above 0, like 3 or 0.5")
    if number > MOST_BATCHES:
        raise ValueError(f"'{text}' is more than {MOST_BATCHES:g} batches; check the number")
    return number


def count_of(text: str) -> tuple[int, str]:
    """How many containers of which kind.

    Args:
        text: a whole number and a container in the singular or the plural (``24 pints``).

    Raises:
        ValueError: it is none, in words for a person.
    """
    found = _COUNT.fullmatch(text)
    if found is None:
        raise ValueError(f"'{text}' does not say how many of what; write it like 24 pints")
    count, container = int(found[1]), found[2] or ""
    if not 1 <= count <= MOST_CONTAINERS:
        raise ValueError(f"'{text}' is not a number of containers that anybody fills; write it like 24 pints")
    return count, container


def answers(
    shop: Shop, keys: Sequence[str], wanted: Wanted, *, ranges: bool
) -> tuple[tuple[RecipeAnswer, ...], tuple[Finding, ...]]:
    """Everything about some recipes, in the way that was asked for.

    Args:
        shop: the shop.
        keys: the recipes; none means all of them.
        wanted: what was asked for.
        ranges: whether ranges are drawn from where nobody said.

    Returns:
        The answers, and a note of recipes that were left out because they fill no such container.

    Raises:
        ShopError: there is no such container, or a recipe that was named does not fill it.
    """
    hows, notes = each(shop, keys, wanted, ranges=ranges)
    return tuple(shop.answer(key, how) for key, how in hows.items()), notes


def as_if(shop: Shop, keys: Sequence[str], wanted: Wanted) -> Shop:
    """The shop with what might change; it says so in a note of its own.

    Raises:
        ShopError: a change that cannot be.
    """
    if not wanted.changes:
        return shop
    from costing.whatif import sides

    changed = sides.with_changes(shop, wanted.changes, keys)
    what = f"these figures are not the shop's own: {', '.join(' '.join(one.split()) for one in wanted.changes)}"
    changed.findings = (*shop.findings, Finding("note", "--if", what))
    return changed


def each(
    shop: Shop, keys: Sequence[str], wanted: Wanted, *, ranges: bool
) -> tuple[dict[str, Asked], tuple[Finding, ...]]:
    """For each recipe how it is asked about; arguments and errors as those of :func:`answers`."""
    from costing.desk import Asked

    with_ranges = ranges if wanted.ranges is None else wanted.ranges
    container = container_of(shop, wanted.container)
    packed = container_of(shop, wanted.packed, "--container")
    measured: Measured = {}
    if wanted.trials and wanted.count:
        from costing import trials

        measured = trials.measured(shop.model)
    out: dict[str, Asked] = {}
    left_out = []
    for key in keys or tuple(shop.model.recipes):
        size = wanted.batches
        if packed and (plain := shop.answer(key)).filled and not _fills(plain, packed):
            if keys:
                fills = ", ".join(one.container for one in plain.filled)
                what = f"{key} fills no {packed}, so there is no label of it"
                raise ShopError(
                    (*shop.findings, Finding("error", shop.model.recipes[key].where, what, f"it fills: {fills}"))
                )
            left_out.append(key)
            continue
        if wanted.count:
            plain = shop.answer(key)
            if plain.parts and not keys and not _fills(plain, container):
                left_out.append(key)
                continue
            # A recipe that cannot be made at all says so at its own size.
            size = shop.size_for(key, wanted.count, container, measured=measured) if plain.parts else 1.0
        out[key] = Asked(size=size, ranges=with_ranges, trials=wanted.trials)
    container = packed or container
    what = f"left out, for they fill no {container or 'container'}: {', '.join(left_out)}"
    notes = (Finding("note", "recipes", what),) if left_out else ()
    if not out:
        mend = "ask for another container, or for a recipe by its name"
        raise ShopError((*shop.findings, Finding("error", "recipes", f"no recipe fills '{container}'", mend)))
    return out, notes


def _fills(answer: RecipeAnswer, container: str) -> bool:
    return any(not container or one.container == container for one in answer.filled)


def container_of(shop: Shop, name: str, option: str = "--for") -> str:
    """The shop's container that somebody means, in the singular or the plural.

    Args:
        shop: the shop.
        name: what somebody wrote; nothing is nothing.
        option: where it was written.

    Raises:
        ShopError: there is none of that name.
    """
    if not name:
        return ""
    from costing.shop.building import nearest
    from costing.unit_names import singular

    known = shop.model.containers
    for same in (str, str.casefold, singular):
        for one in known:
            if same(one) == same(name):
                return one
    mend = nearest(singular(name), known, f"the containers are: {', '.join(known) or 'none'}")
    raise ShopError((*shop.findings, Finding("error", option, f"there is no container '{name}'", mend)))
