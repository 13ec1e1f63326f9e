"""Walks through a recipe before anything is cooked: names, their order, shares, measures, containers, machines, roles.

What only the pot can tell (is there so much water, does the strainer hold so much) is the kitchen's matter.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from costing import measures
from costing.amounts import Amount, Kind
from costing.findings import Finding, Level
from costing.shop.building import nearest
from costing.shop.steps import Add, Churn, Cook, Cool, Fill, Fold, NoteStep, Press, Render, Soak, Step, Strain, Trim

if TYPE_CHECKING:
    from costing.shop.models import Part, Recipe, ShopModel
    from costing.shop.reader import Reading

SLACK: Final = 1e-9
LAYERS: Final = ("fat", "solids")
"""What ``strain`` may take out without its being a thing: firm fat after ``cool``, solids after browning."""


class Shelf:
    """What every recipe of a shop can reach.

    Args:
        model: the shop.
        reading: what could not be read of it.
    """

    def __init__(self, model: ShopModel, reading: Reading) -> None:
        self.model = model
        self.reading = reading
        self.bases = {recipe.makes: recipe for recipe in model.recipes.values() if recipe.makes}
        self._inside: dict[str, frozenset[str]] = {}

    def inside(self, base: str) -> frozenset[str]:
        """Every name that answers in a house base."""
        if base not in self._inside:
            self._inside[base] = frozenset((base,))  # stops a circle, which is told of elsewhere
            walk = _Walk(self.bases[base], self)
            for _ in walk.findings():
                pass
            self._inside[base] = frozenset((base, *walk.pot))
        return self._inside[base]

    def hides(self, name: str) -> bool:
        """Whether a name may stand in what could not be read."""
        return self.reading.hides("ingredients", name) or self.reading.hides("bases", name)


def findings(recipe: Recipe, shelf: Shelf) -> Iterator[Finding]:
    """What is wrong with a recipe.

    Args:
        recipe: the recipe.
        shelf: ingredients, house bases and equipment that it may use.
    """
    return _Walk(recipe, shelf).findings()


@dataclass(slots=True)
class _Made:
    """A part or a saved thing: the names that answer in it, and how much of it has been used."""

    inside: frozenset[str]
    shares: float = 0.0
    all_at: str = ""


@dataclass(slots=True)
class _Walk:
    """One recipe from its first step to its last."""

    recipe: Recipe
    shelf: Shelf
    made: dict[str, _Made] = field(default_factory=dict)
    pot: set[str] = field(default_factory=set)

    def findings(self) -> Iterator[Finding]:
        """All findings of the recipe."""
        yield from self._names()
        for part in self.recipe.parts:
            self.pot = set()
            filled = False
            for step in part.steps:
                if filled and not isinstance(step, (Cool, NoteStep)):
                    yield _error(step, "this step stands after 'fill'", "only cool and note may follow it")
                yield from self._step(step, part)
                filled = filled or isinstance(step, Fill)
            self.made[part.name] = _Made(frozenset((*self.pot, part.name)))
        yield from self._end()
        yield from self._prices()

    def _names(self) -> Iterator[Finding]:
        """One set of names for ingredients, parts, saved things and house bases."""
        model = self.shelf.model
        own: dict[str, str] = {}
        for part in self.recipe.parts:
            own[part.name] = part.where
            if part.name in model.ingredients:
                yield _clash(part.where, part.name, "an ingredient", "the part")
            base = self.shelf.bases.get(part.name)
            if base is not None and base is not self.recipe:
                yield _clash(part.where, part.name, "a house base", "the part")
        for part in self.recipe.parts:
            for step in part.steps:
                name = getattr(step, "save", None)
                if name is None:
                    continue
                if name in model.ingredients or name in own or name in self.shelf.bases:
                    kind = "an ingredient" if name in model.ingredients else "a part or saved thing or house base"
                    yield _clash(step.at("save"), name, kind, "what is saved")
                own.setdefault(name, step.where)

    def _step(self, step: Step, part: Part) -> Iterator[Finding]:
        yield from self._labour(step)
        if isinstance(step, (Add, Fold)):
            for name, amount in step.things.items():
                yield from self._thing(name, amount, step, part)
            of_pot = sum(a.figure.low for a in step.things.values() if a.kind is Kind.OF_POT)
            if of_pot >= 1:
                yield _error(step, f"the shares of the pot add up to {of_pot * 100:g} %", "they must leave room")
        elif isinstance(step, Trim):
            yield from self._in_pot(step.things, step)
        elif isinstance(step, (Render, Press, Soak)):
            yield from self._in_pot(step.of, step)
        elif isinstance(step, Strain):
            yield from self._in_pot((name for name in step.out if name not in LAYERS), step)
            yield from _one_of(step, holding=step.holding, caught=step.caught)
            if step.worth is not None and not step.save:
                yield _error(step, "'worth' is for what is saved, and nothing is", "add save: with a name")
        elif isinstance(step, Cook):
            yield from _one_of(step, loses=step.loses, to=step.to)
        elif isinstance(step, Churn):
            yield from self._churn(step)
        elif isinstance(step, Fill):
            yield from self._fill(step, part)
        self._keep(step)

    def _keep(self, step: Step) -> None:
        if isinstance(step, (Render, Press, Strain)) and step.save:
            self.made.setdefault(step.save, _Made(frozenset((*self.pot, step.save))))
        if isinstance(step, (Render, Press)) and step.label:
            self.pot.add(step.label)

    def _thing(self, name: str, amount: Amount, step: Step, part: Part) -> Iterator[Finding]:
        model = self.shelf.model
        where = step.at(name)
        if name in self.made:
            self.pot.update((name, *self.made[name].inside))
            yield from self._share(name, amount, where)
        elif name in model.ingredients:
            self.pot.add(name)
            yield from self._measure(name, amount, where)
        elif name in (later := self._later()):
            mend = f"move '{name}' above '{part.name}'" if later[name] != part.name else "a part cannot hold itself"
            yield Finding("error", where, f"'{name}' is used before it is made", mend)
            self.pot.add(name)
        elif name in self.shelf.bases:
            base = self.shelf.bases[name]
            if base is self.recipe:
                yield Finding("error", where, f"'{name}' is what this recipe makes", "a house base cannot hold itself")
            else:
                self.pot.update(self.shelf.inside(name))
                yield from self._share(name, amount, where)
        else:
            self.pot.add(name)
            if not self.shelf.hides(name):
                known = (*model.ingredients, *self.made, *self.shelf.bases)
                mend = nearest(name, known, "add it to ingredients.yaml, or make it in a part above")
                yield Finding("error", where, f"there is no ingredient or part called '{name}'", mend)

    def _later(self) -> dict[str, str]:
        """Names that are made by a later step, each with its part."""
        found: dict[str, str] = {}
        for part in self.recipe.parts:
            if part.name not in self.made:
                found.setdefault(part.name, part.name)
            for step in part.steps:
                name = getattr(step, "save", None)
                if name and name not in self.made:
                    found.setdefault(name, part.name)
        return found

    def _share(self, name: str, amount: Amount, where: str) -> Iterator[Finding]:
        """A share of something made; everything that is used of it must be there."""
        if amount.kind is Kind.COUNT:
            what = f"{name} is made here and has no '{amount.unit}'"
            yield Finding("error", where, what, "write a weight, a volume, a share such as 50 %, or all")
        made = self.made.get(name)
        if made is None or amount.kind not in (Kind.SHARE, Kind.ALL):
            return
        if made.all_at:
            what = f"nothing is left of '{name}': all of it is used in line {made.all_at.rpartition(':')[2]}"
            yield Finding("error", where, what, f"write a share in place of 'all' in {made.all_at}")
        if amount.kind is Kind.ALL:
            made.all_at = made.all_at or where
            if made.shares >= 1 - SLACK and not made.shares > 1 + SLACK:
                yield Finding("error", where, f"nothing is left of '{name}'", "lower the shares used before")
            return
        made.shares += amount.figure.low
        if made.shares > 1 + SLACK:
            what = f"{made.shares * 100:g} % of '{name}' is used in all, more than there is"
            yield Finding("error", where, what, "lower the shares so that they do not pass 100 %")

    def _measure(self, name: str, amount: Amount, where: str) -> Iterator[Finding]:
        """An amount of an ingredient, which its food must be able to weigh."""
        model = self.shelf.model
        if amount.kind in (Kind.SHARE, Kind.ALL):
            what = f"'{amount.text}' of {name}: a share can only be taken of a part or a saved thing"
            yield Finding("error", where, what, "write a weight or a measure; for a share of the pot, 0.3 % of pot")
        one = model.ingredients[name]
        record = model.foods.get(one.food)
        if record is None or amount.kind not in (Kind.VOLUME, Kind.COUNT):
            return
        try:
            measures.weigh(amount, one, record)
        except measures.MeasureError as missing:
            yield Finding("error", where, missing.what, missing.mend)

    def _in_pot(self, names: Iterable[str], step: Step) -> Iterator[Finding]:
        for name in names:
            if name in self.pot or self.shelf.hides(name):
                continue
            known = name in self.shelf.model.ingredients or name in self.made
            what = f"'{name}' is not in the pot here" if known else f"there is no '{name}' in the pot"
            listed = ", ".join(sorted(self.pot)) or "nothing"
            mend = nearest(name, self.pot, f"in the pot are: {listed}")
            yield Finding("error", step.at(name), what, mend)

    def _churn(self, step: Churn) -> Iterator[Finding]:
        yield from _one_of(step, overrun=step.overrun, filled=step.filled)
        if step.overrun is None and step.filled is None:
            yield _error(step, "nothing says how much air goes in", "add overrun: 30 %, or filled: 420 g")
        if step.machine is not None:
            yield from self._known(step.machine, "machines", self.shelf.model.machines, step, "machine")

    def _fill(self, step: Fill, part: Part) -> Iterator[Finding]:
        if part is not self.recipe.parts[-1]:
            yield _error(step, "'fill' stands in a part that is not the last", "only the last part is filled and sold")
        seen: set[str] = set()
        for place, filling in enumerate(step.container):
            name = filling.container
            yield from self._known(name, "containers", self.shelf.model.containers, step, "container")
            if name in seen:
                yield _error(step, f"'{name}' is filled twice", "put both into one entry", name)
            seen.add(name)
            if filling.count is not None and filling.share is not None:
                yield _error(step, f"'{name}' has both a count and a share", "keep one of them", name)
            if filling.count is None and filling.share is None and place < len(step.container) - 1:
                what = f"'{name}' would take everything, and others follow"
                yield _error(step, what, "give it a count or a share; only the last takes the rest", name)
        total = sum(filling.share.low for filling in step.container if filling.share is not None)
        if total > 1 + SLACK:
            yield _error(step, f"the shares of the containers add up to {total * 100:g} %", "they cannot pass 100 %")

    def _labour(self, step: Step) -> Iterator[Finding]:
        wages = self.shelf.model.wages
        if step.by is not None:
            yield from self._known(step.by, "wages", wages, step, "role", "by")
            if step.labour is None:
                yield _error(step, f"'by: {step.by}' says who, and nothing says how long", "add labour: 12 min")
        if step.labour is None:
            return
        if not wages and not self.shelf.reading.hides("wages", ""):
            yield _error(step, "there is labour and no wage", "add wages: {kitchen: 21.50 per hour} to shop.yaml")
        verbs = {other.verb for part in self.recipe.parts for other in part.steps}
        for per, verb in (("run", "churn"), ("container", "fill")):
            if step.labour.per == per and verb not in verbs:
                what = f"labour per {per}, and the recipe has no '{verb}'"
                yield _error(step, what, "write it for the batch, such as 12 min", "labour")

    def _known(
        self, name: str, section: str, there: Mapping[str, object], step: Step, what: str, key: str = ""
    ) -> Iterator[Finding]:
        if name not in there and not self.shelf.reading.hides(section, name):
            has = f"shop.yaml has: {', '.join(there)}" if there else f"add it to shop.yaml under {section}"
            yield _error(step, f"there is no {what} called '{name}'", nearest(name, there, has), key or name)

    def _end(self) -> Iterator[Finding]:
        fills = [step for part in self.recipe.parts for step in part.steps if isinstance(step, Fill)]
        where = self.recipe.parts[-1].where if self.recipe.parts else self.recipe.where
        if not fills and not self.recipe.makes:
            what = "the recipe neither fills a container nor makes a house base"
            mend = "end the last part with '- fill: {container: pint}', or write 'makes: house base' at the top"
            yield Finding("error", where, what, mend)
        if fills and self.recipe.makes:
            what = f"the recipe fills containers and makes '{self.recipe.makes}'"
            yield Finding("error", self.recipe.at("makes"), what, "keep one: either 'fill' or 'makes'")
        for again in fills[1:]:
            yield _error(again, "the recipe fills twice", "put all containers into one fill, as a list")

    def _prices(self) -> Iterator[Finding]:
        channels = self.shelf.model.channels
        for name in self.recipe.prices:
            if name not in channels and not self.shelf.reading.hides("channels", name):
                mend = nearest(name, channels, "add it to shop.yaml under channels")
                yield Finding("error", self.recipe.at(name), f"there is no channel called '{name}'", mend)


def _error(step: Step, what: str, mend: str, name: str = "", level: Level = "error") -> Finding:
    return Finding(level, step.at(name), what, mend)


def _clash(where: str, name: str, kind: str, this: str) -> Finding:
    return Finding("error", where, f"'{name}' is {kind} too", f"they share one set of names; rename {this}")


def _one_of(step: Step, **given: object) -> Iterator[Finding]:
    """Two figures of which one follows from the other."""
    first, second = given
    if given[first] is not None and given[second] is not None:
        yield _error(step, f"'{first}' and '{second}' are both given", "keep one; the other follows from it", second)
