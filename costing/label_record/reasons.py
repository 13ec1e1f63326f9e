"""Why a line moved: what each ingredient's share owes to its amount, to its food record and to what the kitchen did.

The share of an ingredient is ``added x food record x what is left of it``, where added is the weight as it went in of
what stayed: what a pot or a machine keeps of everything alike moves no label. Taken in this order, the difference of
two shares falls into three parts without a rest, of three kinds of causes: recipe, food record, kitchen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from nutrition.law.us import calories
from nutrition.law.us.tables import held, rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from costing.label_record.causes import Cause
    from costing.label_record.compare import Change
    from costing.label_record.kept import Food, LineEvidence, Record
    from nutrition.law.us.label import Label

ENOUGH = 0.02
"""of all that moved a line: a smaller part is no reason worth naming"""
MOST_CAUSES = 4
"""causes that one reason names"""
LABEL_WORDS: Mapping[str, frozenset[str]] = {
    "title": frozenset({"recipe"}),
    "bar code": frozenset(),
    "contains": frozenset({"recipe", "ingredient", "rule", "program"}),
    "name of the food": frozenset(
        {"recipe", "food record", "ingredient", "shop", "choice", "size or trials", "rule", "program"}
    ),
    "ingredients": frozenset({"recipe", "ingredient", "choice", "size or trials", "shop", "rule", "program"}),
    "net quantity": frozenset({"recipe", "shop", "rule", "program"}),
    "servings per container": frozenset({"recipe", "shop", "choice", "rule", "program"}),
    "serving size": frozenset({"recipe", "shop", "choice", "size or trials", "rule", "program"}),
    "not a significant source": frozenset({"recipe", "food record", "ingredient", "choice", "rule", "program"}),
    "place of business": frozenset({"shop", "program"}),
    "shared equipment": frozenset({"rule", "program"}),
    "bioengineered": frozenset({"recipe", "ingredient", "rule", "program"}),
}
"""which kinds of causes can change a text that is no amount"""
TABLES: Mapping[str, tuple[str, ...]] = {
    "contains": ("allergen", "tree_nuts"),
    "name of the food": ("identity", "food_names", "nonfat", "bulky", "solids", "yolk", "fruit", "fat_", "undried"),
    "ingredients": ("class_names", "minor", "sulphites", "preservatives", "fat_names", "allergen"),
    "net quantity": ("volume_units", "net_quantity"),
    "servings per container": ("reference_amounts", "columns", "rounding", "label_measures"),
    "serving size": ("reference_amounts", "columns", "rounding", "label_measures", "densities"),
    "not a significant source": ("insignificant", "rounding"),
    "shared equipment": ("allergen", "tree_nuts", "fish", "crustacean"),
    "bioengineered": ("bioengineered",),
}
"""tables of rules that such a text hangs on, by how their names begin"""
CHOICES: Mapping[str, frozenset[str]] = {
    "calories": frozenset({"energy"}),
    "juice concentrated in the kitchen": frozenset({"added_sugars"}),
    "compound ingredients": frozenset({"ingredients"}),
    "milk ingredients": frozenset({"ingredients"}),
    "closing clause": frozenset({"ingredients"}),
    "water boiled off": frozenset({"ingredients"}),
    "vitamins and minerals below 2 %": frozenset({"vitamin or mineral"}),
}
"""what a choice can change, by key or by group of lines, where it is not everything"""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason of a change.

    Args:
        kind: as of its causes.
        what: in words, without its causes; empty where they say it all.
        amount: by how much it moved the line, in its unit and column; None where it is no amount.
        causes: what differs; none where nothing in the records explains it.
    """

    kind: str
    what: str
    amount: float | None
    causes: tuple[Cause, ...] = ()

    @property
    def words(self) -> str:
        """The whole in words."""
        said = "; ".join(cause.words for cause in self.causes[:MOST_CAUSES])
        more = len(self.causes) - MOST_CAUSES
        said += f"; and {more} more" if more > 0 else ""
        return f"{self.what}: {said}" if self.what and said else self.what or said

    @property
    def where(self) -> str:
        """File and line, or table, of the first cause."""
        return self.causes[0].where if self.causes else ""


def reasons(change: Change, was: Record, now: Record, causes: Sequence[Cause], label: Label) -> tuple[Reason, ...]:
    """Why one place of a label changed or moved, the strongest reason first.

    Args:
        change: the place.
        was: the earlier record.
        now: the present one.
        causes: everything that differs between the two.
        label: the present label, for its rules.
    """
    causes = [one for one in causes if one.kind != "choice" or _decides(one.what, change.key)]
    if not change.column:
        return tuple(_of_words(change, causes))
    before, after = was.evidence.nutrients.get(change.key), now.evidence.nutrients.get(change.key)
    found: list[Reason] = []
    if before is not None and after is not None and change.moved:
        scale = _scale(change, label, now)
        found = list(_of_shares(change, before, after, was, now, causes, scale))
        if change.amount_was is None or change.amount_now is None:
            # The middle of what is possible says what it comes from, and is no amount.
            found = [replace(one, amount=None) for one in found]
    found += _of_rules(change, was, causes, label, moved=change.moved)
    if not found:
        found = [Reason(c.kind, "", None, (c,)) for c in causes if c.kind in ("choice", "program")]
    return tuple(found)


def _decides(choice: str, key: str) -> bool:
    """Whether a choice can change a place of the label."""
    group = next((row["group"] for row in rows("nutrient_lines.csv") if row["key"] == key), "")
    return choice not in CHOICES or bool({key, group} & CHOICES[choice])


def _scale(change: Change, label: Label, now: Record) -> float:
    return label.serving.grams / now.net_g if change.column == "serving" else 1.0


# Words -------------------------------------------------------------------------------------------------------------


def _of_words(change: Change, causes: Sequence[Cause]) -> Iterable[Reason]:
    allowed = LABEL_WORDS.get(change.key)
    tables = TABLES.get(change.key, ())
    found: list[Cause] = []
    provisions: list[Cause] = []
    for cause in causes:
        if allowed is not None and cause.kind not in allowed:
            continue
        if change.key == "contains" and not _about_allergens(cause):
            continue
        if cause.kind == "rule" and not cause.where.startswith(("law/", "kitchen/", "foods/")):
            provisions.append(cause)
        elif cause.kind != "rule" or not tables or cause.where.rpartition("/")[2].startswith(tables):
            found.append(cause)
    if change.key == "place of business":
        found = [cause for cause in found if cause.what.startswith("business: ") or cause.kind == "program"]
    if change.key == "bar code":
        yield Reason("recipe", "the number of the recipe", None)
    # A title is printed above the name of the food, and changes nothing else.
    found = [one for one in found if (change.key == "title") == (one.kind == "recipe" and one.what == "title")]
    if change.key == "shared equipment":
        yield Reason("shop", "what else runs on the same machine, and what is in it", None)
    # A provision names itself in any case; it is a reason here only where nothing nearer is.
    yield from (Reason(cause.kind, "", None, (cause,)) for cause in found or provisions)


def _about_allergens(cause: Cause) -> bool:
    """Whether a cause can bring an allergen or take it away: an ingredient that comes or goes, or its entry."""
    if cause.kind == "ingredient":
        return cause.amount or cause.what.endswith(("allergens", "highly refined"))
    return cause.kind != "recipe" or not (cause.was and cause.now)


# Amounts -----------------------------------------------------------------------------------------------------------


def _of_shares(
    change: Change,
    before: LineEvidence,
    after: LineEvidence,
    was: Record,
    now: Record,
    causes: Sequence[Cause],
    scale: float,
) -> Iterable[Reason]:
    """Reasons out of what each ingredient's share owes to its amount, its record and the kitchen."""
    old, new = _brings(before), _brings(after)
    old_g, new_g = ({share.ingredient: share.added_g for share in one.shares} for one in (before, after))
    by_amount: dict[str, float] = {}
    by_record: dict[str, float] = {}
    by_kitchen: dict[str, float] = {}
    for name in dict.fromkeys((*new, *old)):
        q0, q1 = old.get(name, 0.0), new.get(name, 0.0)
        a0, a1 = old_g.get(name, 0.0), new_g.get(name, 0.0)
        grown = q0 * a1 / a0 if a0 > 0 else q1
        by_amount[name] = grown - q0
        changed = _ratio(change.key, name, was, now)
        then = q1 if changed is None else grown * changed
        by_record[name] = then - grown
        by_kitchen[name] = q1 - then
    whole = sum(abs(d) for part in (by_amount, by_record, by_kitchen) for d in part.values())
    # What the law does to the whole food is no ingredient's; it follows from them.
    found = [
        *_by_amount(by_amount, causes),
        *_by_record(by_record, causes),
        *_by_kitchen(by_kitchen, causes),
    ]
    found = [one for one in found if abs(one.amount or 0.0) >= ENOUGH * whole and one.amount]
    for one in sorted(found, key=lambda one: -abs(one.amount or 0.0)):
        yield replace(one, amount=(one.amount or 0.0) * scale)


def _brings(line: LineEvidence) -> dict[str, float]:
    """What each ingredient brings; of an unknown amount the middle of its bounds."""
    return {
        share.ingredient: (share.per_container_low + share.per_container_high) / 2
        if share.per_container is None
        else share.per_container
        for share in line.shares
    }


def _by_amount(moved: Mapping[str, float], causes: Sequence[Cause]) -> Iterable[Reason]:
    """An ingredient whose own amount was changed; for the others, that they share the container otherwise."""
    rest = 0.0
    for name, amount in moved.items():
        own = [c for c in causes if c.amount and c.ingredient == name]
        if own:
            # That the ingredient is used at all stands in the recipe too; one of the two is enough.
            said = [c for c in own if c.kind != "ingredient"] or own
            yield Reason(said[0].kind, name, amount, tuple(said))
        else:
            rest += amount
    others = [c for c in causes if c.kind in ("recipe", "shop", "size or trials")]
    if others:
        yield Reason(others[0].kind, "the others take another share of the container", rest, tuple(others))
    else:
        yield from _unexplained(causes, rest)


def _by_record(moved: Mapping[str, float], causes: Sequence[Cause]) -> Iterable[Reason]:
    for name, amount in moved.items():
        own = [c for c in causes if c.kind == "food record" and c.ingredient == name]
        if own:
            yield Reason("food record", name, amount, tuple(own))


def _by_kitchen(moved: Mapping[str, float], causes: Sequence[Cause]) -> Iterable[Reason]:
    rest = 0.0
    for name, amount in moved.items():
        own = [c for c in causes if c.kind == "ingredient" and c.ingredient == name and not c.amount]
        if own:
            yield Reason("ingredient", name, amount, tuple(own))
        else:
            rest += amount
    steps = [c for c in causes if c.kind == "recipe" and not c.amount]
    steps += [c for c in causes if c.kind in ("shop", "size or trials")]
    tables = [c for c in causes if c.kind == "rule" and c.where.startswith(("kitchen/", "foods/"))]
    found = steps or tables or [c for c in causes if c.kind == "recipe"]
    if found:
        yield Reason(found[0].kind, "more or less of it is lost on the way", rest, tuple(found))
    else:
        yield from _unexplained(causes, rest)


def _unexplained(causes: Sequence[Cause], amount: float) -> Iterable[Reason]:
    chosen = tuple(c for c in causes if c.kind == "choice")
    if chosen:
        yield Reason("choice", "", amount, chosen)
        return
    program = tuple(c for c in causes if c.kind == "program")
    what = "" if program else "nothing that is kept in the record; another version of the program may be it"
    yield Reason("program", what, amount, program)


def _ratio(key: str, name: str, was: Record, now: Record) -> float | None:
    """How many times as much of a nutrient the food record has now; None where it had none, and now has some."""
    old, new = was.ingredients.get(name), now.ingredients.get(name)
    if old is None or new is None:
        return 1.0
    before, after = was.foods.get(old.food), now.foods.get(new.food)
    if before is None or after is None or before.sha256 == after.sha256:
        return 1.0
    one, other = _held(before, key), _held(after, key)
    if one is None or other is None or one <= 0:
        return 1.0 if one == other else None
    return other / one


def _held(food: Food, key: str) -> float | None:
    """What 100 g of a food hold of a line of the panel."""
    if key == "energy":
        use = {**calories.factors("B"), "alcohol": calories.factors("custom")["alcohol"]}
        parts = [(factor, _held(food, part)) for part, factor in use.items()]
        return None if any(held is None for _, held in parts) else sum(f * (h or 0.0) for f, h in parts)
    # Added sugars are a matter of the ingredient's entry; they move with its sugars.
    values = food.per_100g.get("total_sugars" if key == "added_sugars" else key)
    if values is None:
        return 0.0
    low, best, high = values
    return (low + high) / 2 if best is None else best


# Rules -------------------------------------------------------------------------------------------------------------


def _of_rules(change: Change, was: Record, causes: Sequence[Cause], label: Label, *, moved: bool) -> Iterable[Reason]:
    """A rule is the reason where the present amount would print the earlier way by the rules of the earlier day."""
    if not change.printed:
        return
    days = [c for c in causes if c.kind in ("day", "rule")]
    if not days:
        return
    then = _then(change, was, label)
    if then is not None and then != change.now:
        yield Reason("rule", f"by the rules of {was.rules_of or 'then'} it would print {then}", None, tuple(days))
    elif not moved:
        yield Reason("rule", "", None, tuple([c for c in days if c.kind == "rule"] or days))


def _then(change: Change, was: Record, label: Label) -> str | None:
    """What the present amount prints by the rules of the earlier day; None where these are not held here."""
    from costing.label_record.keep import rules
    from nutrition.law.us.next_step import printing

    try:
        day = None if was.rules_of is None else held(date.fromisoformat(was.rules_of))
    except ValueError:
        return None
    if change.amount_now is None or not math.isfinite(change.amount_now):
        return None
    if any(rules(day).get(name) != found for name, found in was.rules.items() if name.startswith("law/")):
        return None
    text, percent = printing(replace(label, as_of=day), change.key)(max(0.0, change.amount_now))
    return text if percent is None else f"{text} ({percent}%)"
