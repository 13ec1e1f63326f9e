"""Finds the food record behind the id that a shop writes.

A record is looked for in this order: pinned in the shop; the shop's own spec sheets and the embedded table; the
user's food library; a record of the web service, kept in the cache or fetched now. The first that has it decides, so
that a label stays as it is until somebody pins something else.

>>> resolve("usda:1053", {}).name
'Cream, fluid, heavy whipping'
>>> resolve("water", {}).id
'water'
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from nutrition.foods import record, table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from nutrition.foods.record import FoodRecord

KINDS: Final = "usda:NDB number, fdc:FoodData Central id, spec:file or water"
UNDECIDED: Final = "?"
"""Written for a food that is yet to be chosen."""
Origin = Literal["pin", "spec", "table", "library", "cache", "old cache", "web"]

_FDC: Final = re.compile(r"0*([1-9][0-9]{0,9})")


class UnknownFoodError(KeyError):
    """No food has that id; its one argument says what was wrong, for people to read."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(frozen=True, slots=True)
class Found:
    """A record and where it was found; ``old cache``: a kept record past its days, because the service is down."""

    record: FoodRecord
    origin: Origin


def canonical(food_id: str) -> str:
    """An id in its usual form; what is no id comes back as it is, without blanks around it.

    >>> canonical(" USDA: 1053"), canonical("fdc:0171265"), canonical("spec: duck-skin.yaml"), canonical("Water")
    ('usda:01053', 'fdc:171265', 'spec:duck-skin', 'water')
    """
    kind, colon, rest = (part.strip() for part in food_id.strip().partition(":"))
    kind = kind.lower()
    if kind == "usda" and re.fullmatch(r"[0-9]{1,5}", rest):
        return f"usda:{rest.zfill(5)}"
    if kind == "fdc" and (number := _FDC.fullmatch(rest)):
        return f"fdc:{number[1]}"
    if kind == "spec" and rest:
        return f"spec:{re.sub(r'[.](ya?ml|csv)$', '', rest)}"
    return "water" if kind == "water" and not colon else food_id.strip()


def resolve(
    food_id: str,
    specs: Mapping[str, FoodRecord],
    pinned: Mapping[str, FoodRecord] | None = None,
    fetch: Callable[[Iterable[str]], Mapping[str, Found | UnknownFoodError]] | None = None,
) -> FoodRecord:
    """The record of a food.

    Args:
        food_id: ``usda:01053``, ``fdc:171265``, ``spec:duck-skin`` or ``water``; blanks and missing zeros are forgiven.
        specs: the shop's own spec sheets by name, without ``spec:``.
        pinned: the shop's pins by id.
        fetch: as in :func:`find`.

    Returns:
        The record.

    Raises:
        UnknownFoodError: no such food, or an id of another kind.

    >>> resolve("spec:duck", {})
    Traceback (most recent call last):
        ...
    nutrition.foods.library.UnknownFoodError: the shop has no spec sheet called 'duck'
    """
    found = find([food_id], specs, pinned, fetch)[food_id]
    if isinstance(found, UnknownFoodError):
        raise found
    return found.record


def find(
    food_ids: Iterable[str],
    specs: Mapping[str, FoodRecord],
    pinned: Mapping[str, FoodRecord] | None = None,
    fetch: Callable[[Iterable[str]], Mapping[str, Found | UnknownFoodError]] | None = None,
) -> dict[str, Found | UnknownFoodError]:
    """The records of many foods.

    Args:
        food_ids: as a shop writes them.
        specs: the shop's own spec sheets by name, without ``spec:``.
        pinned: the shop's pins by id.
        fetch: gives records of the web service by their numbers, all in one request; None: the web is left alone.

    Returns:
        By the id as it was written, the record or why there is none.
    """
    asked = tuple(food_ids)
    found: dict[str, Found | UnknownFoodError] = {}
    numbers: dict[str, str] = {}
    for food_id in dict.fromkeys(asked):
        one = canonical(food_id)
        if pinned and one in pinned:
            found[food_id] = Found(pinned[one], "pin")
        elif one.startswith("fdc:") and _FDC.fullmatch(one.removeprefix("fdc:")):
            numbers[food_id] = one.removeprefix("fdc:")
        else:
            found[food_id] = _at_hand(food_id, one, specs)
    imported = _imported(numbers.values()) if numbers else {}
    found |= {food_id: imported[number] for food_id, number in numbers.items() if number in imported}
    missing = {food_id: number for food_id, number in numbers.items() if number not in imported}
    answers = fetch(dict.fromkeys(missing.values())) if missing and fetch is not None else {}
    for food_id, number in missing.items():
        found[food_id] = answers.get(number) or UnknownFoodError(
            f"the record of fdc:{number} is not on this computer; fetch it once while there is a network: "
            f"creamery foods fetch {number}"
        )
    return {food_id: found[food_id] for food_id in dict.fromkeys(asked)}


def _at_hand(food_id: str, one: str, specs: Mapping[str, FoodRecord]) -> Found | UnknownFoodError:
    kind, _, rest = one.partition(":")
    if one == "water":
        return Found(record.water(), "table")
    if kind.lower() == "usda" and rest:
        return _embedded(rest)
    if kind == "spec" and rest:
        return _spec(rest, specs)
    if one == UNDECIDED:
        what = "nobody has chosen a food record yet; let one be proposed: creamery foods suggest"
    elif kind == "fdc" and rest:
        what = f"'{food_id}' has no number of FoodData Central; write fdc: and the number, such as fdc:171265"
    else:
        what = f"'{food_id}' is no food id; write {KINDS}; creamery foods search finds one by its name"
    return UnknownFoodError(what)


def _embedded(ndb: str) -> Found | UnknownFoodError:
    try:
        return Found(table.food(ndb), "table")
    except KeyError as error:
        return UnknownFoodError(str(error.args[0]))


def _imported(numbers: Iterable[str]) -> dict[str, Found | UnknownFoodError]:
    """Records of the user's own food library, by number; what it has not is not there."""
    from nutrition.foods.fdc.layout import LibraryError
    from nutrition.foods.fdc.store import Store

    found: dict[str, Found | UnknownFoodError] = {}
    try:
        with Store.open() as store:
            for number in numbers:
                record = store.food(number)
                if record is not None:
                    found[number] = Found(record, "library")
    except LibraryError as damaged:
        return dict.fromkeys(numbers, UnknownFoodError(str(damaged)))
    return found


def _spec(name: str, specs: Mapping[str, FoodRecord]) -> Found | UnknownFoodError:
    if name in specs:
        return Found(specs[name], "spec")
    near = difflib.get_close_matches(name, specs, n=1)
    hint = f"; did you mean spec:{near[0]}?" if near else ""
    return UnknownFoodError(f"the shop has no spec sheet called '{name}'{hint}")
