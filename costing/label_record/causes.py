"""What differs between an earlier label's record and the present one: recipe, ingredients, food records, shop, rules.

Prices play no part: nothing of them is in a record.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nutrition.law.us.provisions import provisions
from nutrition.nutrients import nutrient

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from costing.label_record.kept import Food, PartSaid, Record, StepSaid

KINDS = (
    *("recipe", "food record", "ingredient", "shop", "choice", "size or trials", "rule", "day"),
    "program",
)
"""in the order in which a person should look at them"""
MOST_VALUES = 6
"""nutrients of a changed food record that are named"""


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that differs.

    Args:
        kind: one of :data:`KINDS`.
        what: in words, without what it was and is.
        was: as it was; empty for what is new.
        now: as it is; empty for what is gone.
        where: file and line, or the table.
        ingredient: whose amount, entry or record it is; empty where it is no single ingredient's.
        amount: it is how much of that ingredient goes into a pot.
    """

    kind: str
    what: str
    was: str
    now: str
    where: str = ""
    ingredient: str = ""
    amount: bool = False

    @property
    def words(self) -> str:
        """The whole in words: ``base, step 1 (add), sugar: 350 g → 400 g``."""
        if not self.was and not self.now:
            return self.what
        return f"{self.what}: {self.was or 'not there'} → {self.now or 'gone'}"


def causes(was: Record, now: Record) -> tuple[Cause, ...]:
    """Everything that differs, in the order of :data:`KINDS`.

    Args:
        was: the earlier record.
        now: the present one.
    """
    found = [
        *_recipes(was, now),
        *_foods(was, now),
        *_ingredients(was, now),
        *(c for name in _names(was.shop, now.shop) for c in _shop(name, was, now)),
        *(
            Cause("choice", name, was.choices.get(name, ""), now.choices.get(name, ""))
            for name in _names(was.choices, now.choices)
            if was.choices.get(name) != now.choices.get(name)
        ),
        *_asking(was, now),
        *_rules(was, now),
    ]
    return tuple(sorted(found, key=lambda one: KINDS.index(one.kind)))


def _names(was: Iterable[str], now: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*now, *was)))


def _fields(
    kind: str, head: str, was: Mapping[str, str], now: Mapping[str, str], where: str, ingredient: str = ""
) -> Iterable[Cause]:
    for name in _names(was, now):
        if was.get(name) != now.get(name):
            yield Cause(kind, f"{head}{name}", was.get(name, ""), now.get(name, ""), where, ingredient)


def _shop(name: str, was: Record, now: Record) -> Iterable[Cause]:
    yield from _fields("shop", f"{name}: ", was.shop.get(name, {}), now.shop.get(name, {}), "shop.yaml")


# Recipes -----------------------------------------------------------------------------------------------------------


def _recipes(was: Record, now: Record) -> Iterable[Cause]:
    for key in _names(was.recipes, now.recipes):
        old, new = was.recipes.get(key), now.recipes.get(key)
        if old is None or new is None:
            there = new or old
            assert there is not None
            words = ("", "used") if old is None else ("used", "")
            yield Cause("recipe", f"the recipe {key}", *words, there.where)
            continue
        yield from _fields("recipe", "", old.said, new.said, new.where)
        parts, before = {part.name: part for part in new.parts}, {part.name: part for part in old.parts}
        for name in _names(before, parts):
            yield from _part(
                name, before.get(name), parts.get(name), new.where, set(now.ingredients) | set(was.ingredients)
            )


def _part(name: str, was: PartSaid | None, now: PartSaid | None, where: str, ingredients: set[str]) -> Iterable[Cause]:
    if was is None or now is None:
        yield Cause("recipe", f"the part {name}", *(("", "made") if was is None else ("made", "")), where)
        return
    yield from _fields("recipe", f"{name}: ", was.said, now.said, where)
    for place, (old, new) in enumerate(_paired(was.steps, now.steps), start=1):
        at = new or old
        assert at is not None
        head = f"{name}, step {place} ({at.verb})"
        if old is None or new is None:
            said = ", ".join(f"{key} {value}".strip() for key, value in at.said.items()) or "there"
            yield Cause("recipe", head, *(("", said) if old is None else (said, "")), at.where)
            continue
        puts_in = new.verb in ("add", "fold")
        for key in _names(old.said, new.said):
            if old.said.get(key) != new.said.get(key):
                whose = key if key in ingredients and puts_in else ""
                values = old.said.get(key, ""), new.said.get(key, "")
                yield Cause("recipe", f"{head}, {key}", *values, new.where, whose, bool(whose))


def _paired(was: list[StepSaid], now: list[StepSaid]) -> Iterable[tuple[StepSaid | None, StepSaid | None]]:
    """Steps of the same verb beside each other, in their order; what has no partner stands alone."""
    from difflib import SequenceMatcher

    for tag, i1, i2, j1, j2 in SequenceMatcher(
        a=[s.verb for s in was], b=[s.verb for s in now], autojunk=False
    ).get_opcodes():
        if tag == "equal":
            yield from zip(was[i1:i2], now[j1:j2], strict=True)
        else:
            yield from ((None, step) for step in now[j1:j2])
            yield from ((step, None) for step in was[i1:i2])


# Foods and ingredients ---------------------------------------------------------------------------------------------


def _foods(was: Record, now: Record) -> Iterable[Cause]:
    for name in _names(was.ingredients, now.ingredients):
        old, new = was.ingredients.get(name), now.ingredients.get(name)
        if old is None or new is None:
            continue
        before, after = was.foods.get(old.food), now.foods.get(new.food)
        where = f"ingredients.yaml: {name}"
        if old.food != new.food:
            yield Cause("food record", f"the food record of {name}", old.food, new.food, where, name)
        elif before is not None and after is not None and before.sha256 != after.sha256:
            values = _values(before, after)
            sized = list(_sizes(name, before, after, where))
            yield from sized
            if not values and not sized:
                words = f"the food record of {name} ({new.food}), its name or source"
                was_called, now_called = (f"{one.name}, {one.source}" for one in (before, after))
                yield Cause("food record", words, was_called, now_called, where, name)
            for key, one, other in values[:MOST_VALUES]:
                words = f"{new.food} ({name}), {nutrient(key).name.lower()} in 100 g"
                yield Cause("food record", words, one, other, where, name)
            if len(values) > MOST_VALUES:
                more = f"{new.food} ({name}): {len(values) - MOST_VALUES} further values"
                yield Cause("food record", more, "", "", where, name)


def _sizes(name: str, was: Food, now: Food, where: str) -> Iterable[Cause]:
    """Measures and refuse: they say how much of the food an amount of the recipe is."""
    for text in _names(was.measures, now.measures):
        one, other = was.measures.get(text), now.measures.get(text)
        if one != other:
            yield Cause("food record", f"{name}, {text}", _said(one, "g"), _said(other, "g"), where, name, True)
    if was.refuse != now.refuse:
        before, after = (None if share is None else 100 * share for share in (was.refuse, now.refuse))
        what = f"{name}, what is not eaten of it"
        yield Cause("food record", what, _said(before, "%"), _said(after, "%"), where, name, True)


def _said(value: float | None, unit: str) -> str:
    return "" if value is None else f"{value:.6g} {unit}"


def _values(was: Food, now: Food) -> list[tuple[str, str, str]]:
    """Nutrients whose values differ, those of the panel first, as (key, was, now)."""
    from nutrition.law.us.rounding import lines
    from nutrition.nutrients import keys

    printed = [key for key in lines() if key in keys()]
    out = []
    for key in dict.fromkeys((*printed, *keys())):
        one, other = was.per_100g.get(key), now.per_100g.get(key)
        if one != other:
            unit = nutrient(key).unit
            out.append((key, _amount(one, unit), _amount(other, unit)))
    return out


def _amount(values: tuple[float, float | None, float] | None, unit: str) -> str:
    if values is None:
        return ""
    low, best, high = values
    if best is None:
        return f"unknown, {low:.6g} to {high:.6g} {unit}"
    return f"{best:.6g} {unit}" if low == high else f"{best:.6g} {unit} ({low:.6g} to {high:.6g})"


def _ingredients(was: Record, now: Record) -> Iterable[Cause]:
    for name in _names(was.ingredients, now.ingredients):
        old, new = was.ingredients.get(name), now.ingredients.get(name)
        if old is None or new is None:
            # The recipe says so too, but an ingredient may come in by way of a part.
            words = ("", "used") if old is None else ("used", "")
            yield Cause("ingredient", name, *words, f"ingredients.yaml: {name}", name, True)
        else:
            where = f"ingredients.yaml: {name}"
            yield from _fields("ingredient", f"{name}, ", old.said, new.said, where, ingredient=name)


# Rules -------------------------------------------------------------------------------------------------------------


def _asking(was: Record, now: Record) -> Iterable[Cause]:
    if was.size != now.size:
        yield Cause("size or trials", "batches at once", f"{was.size:g}", f"{now.size:g}", "--batches, --for")
    if was.trials != now.trials:
        words = {True: "as trials measured", False: "as the recipe assumes"}
        yield Cause("size or trials", "figures", words[was.trials], words[now.trials], "--use-trials")
    elif was.measured != now.measured:
        yield from _fields("size or trials", "weighed in trials: ", was.measured, now.measured, "trials")


def _rules(was: Record, now: Record) -> Iterable[Cause]:
    if was.as_of != now.as_of:
        yield Cause("day", "the day of the label", was.as_of, now.as_of, "--as-of")
    known = {one.key: one for one in provisions()}
    for key in now.provisions:
        if key not in was.provisions and key in known:
            one = known[key]
            yield Cause("rule", f"{one.title}, in force since then: {one.what}", "", "", one.rule)
    for key in was.provisions:
        if key not in now.provisions:
            title = known[key].title if key in known else key
            yield Cause("rule", f"{title}: no longer in force, or not yet", "", "", "provisions")
    for name in _names(was.rules, now.rules):
        if was.rules.get(name) != now.rules.get(name):
            yield Cause("rule", f"the table {name} says something else", "", "", name)
    if was.made_by != now.made_by:
        yield Cause("program", "the program", was.made_by, now.made_by)
