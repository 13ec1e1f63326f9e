"""Walks a recipe from its first step to its last, and follows milk and egg through its pots.

Parts, saved things and house bases carry what they hold, the last heat that counts, and how far they have cooled.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from costing.findings import Finding
from costing.safety import cooling
from costing.safety.cooling import Chill
from costing.safety.heat import Standing, Verdict, judge
from costing.safety.pots import STRICT, Heat, Held, Late, Pot, State, holds_milk_or_egg
from costing.shop.steps import Add, Churn, Cook, Cool, Fill, Fold, Press, Reduce, Render, Strain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.safety.pots import ItemKey
    from costing.shop.models import Recipe, ShopModel
    from costing.shop.steps import Step


@dataclass(frozen=True, slots=True)
class HeatCheck:
    """One heat of milk or egg, for the batch sheet.

    Args:
        part: the part that is heated.
        step: number of the step in it, from 1.
        temperature_c: least temperature written, degrees C; None: none is written.
        hold_s: least hold written, s; None: none is written.
        qualifies: whether it counts as pasteurising; None: that cannot be told.
        rule: paragraph.
        why: the verdict in words.
        recipe: key of the recipe in which it stands, which for a house base is not the one asked for.
        where: file and line.
        holds: the ingredients with milk or egg that are in the pot.
    """

    part: str
    step: int
    temperature_c: float | None
    hold_s: float | None
    qualifies: bool | None
    rule: str
    why: str = ""
    recipe: str = ""
    where: str = ""
    holds: tuple[str, ...] = ()


@dataclass(slots=True, eq=False)
class Walked:
    """What a walk through a recipe has found.

    Args:
        recipe: the recipe.
        pot: what is filled, or handed on as house base.
        found: findings about steps that stand whatever happens later.
        checks: every heat of a pot with milk or egg.
        unwritten: heats without a figure in which something raw was.
        bases: the house bases that it takes from.
    """

    recipe: Recipe
    pot: Pot = field(default_factory=Pot)
    found: list[Finding] = field(default_factory=list)
    checks: list[HeatCheck] = field(default_factory=list)
    unwritten: list[Heat] = field(default_factory=list)
    bases: list[Walked] = field(default_factory=list)


class Kitchen:
    """A shop's recipes, each walked once.

    Args:
        model: the checked shop.
    """

    def __init__(self, model: ShopModel) -> None:
        self.model = model
        self._walked: dict[str, Walked] = {}
        self._carries: dict[str, bool] = {}
        self._open: set[str] = set()

    @cached_property
    def bases(self) -> Mapping[str, Recipe]:
        """House bases by name."""
        return {recipe.makes: recipe for recipe in self.model.recipes.values() if recipe.makes}

    @cached_property
    def users(self) -> Mapping[str, tuple[Recipe, ...]]:
        """Name of a house base to the recipes that put it into a pot."""
        found: dict[str, dict[str, Recipe]] = {}
        for recipe in self.model.recipes.values():
            for part in recipe.parts:
                for step in part.steps:
                    if isinstance(step, (Add, Fold)):
                        for name in step.things:
                            if name in self.bases and self.bases[name].key != recipe.key:
                                found.setdefault(name, {})[recipe.key] = recipe
        return {name: tuple(those.values()) for name, those in found.items()}

    def carries(self, name: str) -> bool:
        """Whether an ingredient holds milk or egg."""
        if name not in self._carries:
            one = self.model.ingredients.get(name)
            self._carries[name] = one is not None and holds_milk_or_egg(one)
        return self._carries[name]

    def walk(self, recipe: Recipe) -> Walked:
        """What a recipe does to milk and egg; its house bases are walked first, however many stand on each other."""
        pending = [recipe]
        while pending:
            one = pending[-1]
            below = [] if one.key in self._walked else [base for base in self._below(one) if base.key not in self._open]
            if below:
                self._open.add(one.key)  # stops a circle, which is told of elsewhere
                pending.extend(below)
                continue
            pending.pop()
            if one.key not in self._walked:
                done = self._walked[one.key] = Walked(one)
                _Walk(self, one, done).through()
        return self._walked[recipe.key]

    def _below(self, recipe: Recipe) -> list[Recipe]:
        """House bases that a recipe names and that have not been walked yet."""
        steps = (step for part in recipe.parts for step in part.steps if isinstance(step, (Add, Fold)))
        named = dict.fromkeys(name for step in steps for name in step.things if name in self.bases)
        found = (self.bases[name] for name in named)
        return [base for base in found if base.key != recipe.key and base.key not in self._walked]

    def walked(self, recipe: Recipe) -> Walked:
        """The same for a house base in the middle of a walk; in a circle it holds nothing."""
        return self._walked.get(recipe.key) or Walked(recipe)


@dataclass(slots=True)
class _Walk:
    kitchen: Kitchen
    recipe: Recipe
    done: Walked
    shelf: dict[str, Pot] = field(default_factory=dict)
    pot: Pot = field(default_factory=Pot)
    part: str = ""

    def through(self) -> None:
        for part in self.recipe.parts:
            self.pot, self.part = Pot(), part.name
            for number, step in enumerate(part.steps, start=1):
                self._step(step, number)
            self.shelf[part.name] = self.pot.copy()
        self.done.pot = self.pot

    def _step(self, step: Step, number: int) -> None:
        if isinstance(step, (Add, Fold)):
            self._join(step, number)
        elif isinstance(step, Cook):
            self._heat(step, number, judge(step.temperature, step.hold, oven=step.how in ("bake", "toast")))
        elif isinstance(step, Reduce):
            self._heat(step, number, judge(step.temperature, step.hold))
        elif isinstance(step, Render):
            self._heat(step, number, judge(None, None))
        elif isinstance(step, Cool):
            self._cool(step)
        elif isinstance(step, Churn):
            self._cold_enough("churned")
            self.pot.churned = True
            self.pot.change([replace(item, churned=True) for item in self.pot.items.values()])
        elif isinstance(step, Fill):
            self._cold_enough("filled")
        if isinstance(step, (Render, Press, Strain)) and step.save:
            self.shelf.setdefault(step.save, self.pot.copy())

    def _join(self, step: Add | Fold, number: int) -> None:
        """Put ingredients and made things in; their order within the step does not matter."""
        came: dict[ItemKey, str] = {}
        heats = [self.pot.heat]
        for name in step.things:
            made = self._made(name)
            if made is None:
                if self.kitchen.carries(name):
                    one = self.kitchen.model.ingredients[name]
                    state = State.READY if one.ready_to_eat else State.RAW
                    item = Held(name, one.kind in STRICT, step.at(name), self.part, number, state)
                    came[item.key] = name
                    self.pot.put(item)
                continue
            if not made.items:
                continue  # a cooked fruit does not make a mix of what it is put into
            heats.append(made.heat)
            for item in made.items.values():
                came[item.key] = name
                self.pot.put(item)
            if isinstance(step, Fold) and self.pot.churned:
                self._folded(name, made.chill)
            elif made.chill.open and not self.pot.chill.open:
                self.pot.chill = made.chill
        heat = next((one for one in reversed(heats) if one is not None), None)
        self.pot.heat = heat
        if heat is not None:
            self._late(heat, came, step, number)

    def _late(self, heat: Heat, came: Mapping[ItemKey, str], step: Step, number: int) -> None:
        changed = []
        for item in self.pot.items.values():
            if item.state < State.SHORT or item.late is not None:
                continue
            if item.key in came:
                thing = came[item.key]
                late = Late(heat, thing, self.part, number, step.at(thing))
            else:
                late = Late(heat, item.name, item.part, item.step, item.where)
            changed.append(replace(item, late=late))
        self.pot.change(changed)

    def _made(self, name: str) -> Pot | None:
        """A part or saved thing of this recipe, or a house base; None for an ingredient."""
        if name in self.shelf:
            return self.shelf[name]
        if name in self.kitchen.model.ingredients:
            return None
        base = self.kitchen.bases.get(name)
        if base is None or base.key == self.recipe.key:
            return None
        below = self.kitchen.walked(base)
        if not any(below is one for one in self.done.bases):
            self.done.bases.append(below)
        return below.pot

    def _heat(self, step: Cook | Reduce | Render, number: int, verdict: Verdict) -> None:
        heat = Heat(self.recipe.key, self.part, number, step.where, verdict)
        if verdict.standing is Standing.COUNTS:
            self.pot.heat = heat
        self.pot.chill = Chill(heat)
        if not self.pot.items:
            return
        temperature = None if isinstance(step, Render) else step.temperature
        hold = None if isinstance(step, Render) else step.hold
        self.done.checks.append(
            HeatCheck(
                self.part,
                number,
                None if temperature is None else temperature.low,
                None if hold is None else hold.low,
                verdict.qualifies,
                verdict.rule,
                verdict.why,
                self.recipe.key,
                step.where,
                tuple(dict.fromkeys(item.name for item in self.pot.items.values())),
            )
        )
        raw = any(item.state > State.OVEN for item in self.pot.items.values())
        if raw and verdict.standing is Standing.UNKNOWN:
            self.done.unwritten.append(heat)
        self.pot.change([item.heated(heat) for item in self.pot.items.values()])

    def _cool(self, step: Cool) -> None:
        if self.pot.items and not self.pot.churned:
            self.done.found.extend(cooling.findings(step, self.pot.chill))
        self.pot.chill = self.pot.chill.cooled(step)

    def _cold_enough(self, what: str) -> None:
        """Tell where a pot with milk or egg is churned or filled before it is cold."""
        chill, self.pot.chill = self.pot.chill, Chill()
        if self.pot.churned or not self.pot.items:
            return
        self.done.found.extend(cooling.unfinished(chill, f"before the mix is {what}"))

    def _folded(self, name: str, chill: Chill) -> None:
        """Tell where a cooked thing with milk or egg is folded in before it is cold; bakes are dry."""
        if chill.heat is None or chill.heat.verdict.standing is not Standing.OVEN:
            self.done.found.extend(cooling.unfinished(chill, f"before {name} is folded in"))
