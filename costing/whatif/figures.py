"""The figures that stand in the steps of recipes, and the words by which somebody can name one.

A figure is named by its key (``overrun``, ``loses``, ``yield``), or by a thing that a step adds, trims or strains, and
if that is not enough by where it stands: ``loses of base``, ``yield of duck fat``, ``sugar in base``, ``loses of base
step 2``, ``loses of quince/base step 2``. What answers to that is a part, a verb, a name or label of the step, what it
saves or what it works on.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final

from pydantic import TypeAdapter, ValidationError

from costing.amounts import Amount, Figure, Kind, Labour
from costing.findings import ShopError
from costing.kitchen.verbs import FREE
from costing.shop.building import explained, nearest
from costing.whatif.changes import Change, refused, same

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from costing.shop.models import Part, Recipe, ShopModel
    from costing.shop.steps import Step

KEYS: Final[dict[str, dict[str, tuple[str, ...]]]] = {
    "cook": {"loses": ("loses", "loss"), "to": ("to",), "temperature": ("temperature",), "hold": ("hold",)},
    "reduce": {"to": ("to",), "temperature": ("temperature",), "hold": ("hold",)},
    "render": {"yields": ("yields", "yield"), "purity": ("purity",)},
    "press": {"yields": ("yields", "yield"), "fat": ("fat",), "fibre": ("fibre",)},
    "soak": {"uptake": ("uptake",), "hold": ("hold",)},
    "strain": {"holding": ("holding",), "caught": ("caught",), "extracts": ("extracts",), "worth": ("worth",)},
    "lose": {"amount": ("lose", "loses", "loss")},
    "weigh": {"weight": ("weigh", "weight")},
    "cool": {"to": ("to",), "within": ("within",), "hold": ("hold",)},
    "churn": {"overrun": ("overrun",), "filled": ("filled",), "leaves": ("leaves",)},
    "fill": {"net": ("net",)},
}
"""Verb, field of its model, and the words for it."""
THINGS: Final = {"add": "things", "fold": "things", "trim": "things", "strain": "out"}
"""Verbs that hold a figure for each thing, and the field that holds them."""
EXCLUSIVE: Final = {
    "loses": ("to",),
    "holding": ("caught",),
    "caught": ("holding",),
    "overrun": ("filled",),
    "filled": ("overrun",),
}
"""Figures that take the place of others: who gives one does not have the other."""
BEYOND: Final = frozenset({"uptake", "holding", "overrun"})
"""Shares that may pass the whole."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a figure stands.

    Args:
        recipe: key of the recipe.
        part: name of the part.
        number: of the step, from 1.
        step: the step.
        field: of the step's model.
        thing: in a field that holds one figure for each thing, which; else empty.
        settled: a weighing after the step settles the figure.
    """

    recipe: str
    part: str
    number: int
    step: Step
    field: str
    thing: str = ""
    settled: bool = False

    @property
    def value(self) -> Any:
        """What stands there now; None where the recipe leaves it out."""
        found = getattr(self.step, self.field)
        return found.get(self.thing) if self.thing else found

    @property
    def verb(self) -> str:
        """The verb of its step."""
        return str(self.step.verb)  # type: ignore[attr-defined]

    @property
    def words(self) -> tuple[str, ...]:
        """The words for the figure itself."""
        if self.field == "labour":
            return ("labour",)
        if not self.thing:
            return KEYS[self.verb][self.field]
        return (self.thing, self.verb) if self.verb == "trim" else (self.thing,)

    @property
    def named(self) -> str:
        """How to name it so that nothing else is meant."""
        return f"{self.words[0]} of {self.recipe}/{self.part} step {self.number}"

    def answers(self, key: str, where: str) -> bool:
        """Whether it is what somebody names.

        Args:
            key: the word for the figure.
            where: where it stands, may be empty.
        """
        if same(key) not in {same(one) for one in self.words}:
            return False
        return not where or same(where) in self._places()

    def _places(self) -> set[str]:
        of = getattr(self.step, "of", ())
        out = [self.part, self.verb, self.step.name, self.thing, *of]
        out += [getattr(self.step, "label", None), getattr(self.step, "save", None)]
        out += [f"{self.part}{comma} {word}" for comma in ("", ",") for word in (self.verb, f"step {self.number}")]
        out += [self.recipe, *(f"{self.recipe}/{one}" for one in out if one)]
        return {same(one) for one in out if one}


def places(recipe: Recipe) -> Iterator[Place]:
    """Every figure of a recipe that stands in it or could."""
    for part in recipe.parts:
        for number, step in enumerate(part.steps, start=1):
            yield from _of_step(recipe.key, part, number, step)


def _of_step(recipe: str, part: Part, number: int, step: Step) -> Iterator[Place]:
    verb: str = step.verb  # type: ignore[attr-defined]
    settled = _weighed(part, number)
    for name in KEYS.get(verb, {}):
        taken = any(getattr(step, other, None) is not None for other in EXCLUSIVE.get(name, ()))
        if getattr(step, name) is not None or not taken:
            yield Place(recipe, part.name, number, step, name, settled=settled and FREE.get(verb) in (name, None))
    if verb in THINGS:
        for thing in getattr(step, THINGS[verb]):
            yield Place(recipe, part.name, number, step, THINGS[verb], thing)
    if step.labour is not None:
        yield Place(recipe, part.name, number, step, "labour")


def _weighed(part: Part, number: int) -> bool:
    """Whether the scale speaks after a step, so that its free figure no longer counts."""
    verb: str = part.steps[number - 1].verb
    after = next((step.verb for step in part.steps[number:] if step.verb != "note"), "")
    return verb in FREE and after == "weigh"


def family(model: ShopModel, key: str) -> tuple[Recipe, ...]:
    """A recipe and the house bases that it uses, itself first."""
    made = {one.makes: one for one in model.recipes.values() if one.makes and one.key != key}
    found = {key: model.recipes[key]}
    waiting = [model.recipes[key]]
    while waiting:
        recipe = waiting.pop()
        own = {part.name for part in recipe.parts}
        for part in recipe.parts:
            for step in part.steps:
                for name in getattr(step, "things", None) or ():
                    base = made.get(name) if name not in own else None
                    if base is not None and base.key not in found:
                        found[base.key] = base
                        waiting.append(base)
    return tuple(found.values())


def find(change: Change, model: ShopModel, keys: Sequence[str]) -> tuple[Place, ...]:
    """The figures that a change means, at most one in each recipe with its house bases.

    Args:
        change: the change.
        model: the shop.
        keys: the recipes that are asked about.

    Returns:
        The places; none where no recipe has such a figure.

    Raises:
        ShopError: it could mean several in one recipe.
    """
    every = {key: [place for one in family(model, key) for place in places(one)] for key in keys}
    for word, where in readings(change.target):
        found: dict[tuple[str, str, int, str, str], Place] = {}
        for key, known in every.items():
            meant = [place for place in known if place.answers(word, where)]
            # What stands in the recipe comes before what could stand there.
            meant = [place for place in meant if place.value is not None] or (meant if where else [])
            if len(meant) > 1 and change.factor is None:
                # A weight is for what is put in, and no share that is trimmed off.
                meant = [place for place in meant if _can_be(place, change, model.currency)] or meant
            if len(meant) > 1:
                ways = '", "'.join(f"{place.named}={change.value}" for place in meant[:4])
                what = f"'{change.target}' could mean {len(meant)} figures of {key}"
                raise refused(what, f'say which: "{ways}"')
            for place in meant:
                found[place.recipe, place.part, place.number, place.field, place.thing] = place
        if found:
            return tuple(found.values())
    return ()


def readings(target: str) -> Iterator[tuple[str, str]]:
    """How a target can be split into a figure and its place.

    >>> list(readings("yield of duck fat"))
    [('yield of duck fat', ''), ('yield', 'duck fat')]
    """
    yield target, ""
    low = target.casefold()
    for between in (" of ", " in "):
        at = low.find(between)
        while at >= 0:
            yield target[:at], target[at + len(between) :]
            at = low.find(between, at + 1)


def known_words(model: ShopModel, keys: Sequence[str]) -> list[str]:
    """Every word for a figure that stands in some recipes."""
    found = (place for key in keys for one in family(model, key) for place in places(one) if place.value is not None)
    return list(dict.fromkeys(word for place in found for word in place.words))


def moved(place: Place, change: Change, currency: str) -> Step:
    """The step with the figure changed.

    Args:
        place: where the figure stands.
        change: what it should be.
        currency: the shop's, for what something is worth.

    Raises:
        ShopError: the value cannot be.
    """
    if place.settled:
        what = f"{change.target} has no effect: the weighing after that step settles it"
        raise refused(what, f'change what was weighed: "weigh of {place.recipe}/{place.part}=…"')
    now = place.value
    if change.factor is None:
        new = _read(place, change, currency)
    elif place.field == "temperature" or (place.verb == "cool" and place.field == "to"):
        raise refused(f"{change.target} is a temperature, which has no share", _say(change))
    elif now is None:
        raise refused(f"nothing is written for {change.target}, so it cannot change by {change.value}", _say(change))
    else:
        new = scaled(now, change, share=place.field not in BEYOND)
    if place.thing:
        new = {**getattr(place.step, place.field), place.thing: new}
    return place.step.model_copy(update={place.field: new})


def _say(change: Change) -> str:
    return f'say what it should be: "{change.target}=…"'


def _read(place: Place, change: Change, currency: str) -> Any:
    """A value out of its text, by the same rules as in a recipe."""
    value: Any = {place.thing: change.value} if place.thing else change.value
    adapter = _adapter(type(place.step), place.field)
    try:
        new = adapter.validate_python(value, context={"currency": currency})
    except ValidationError as wrong:
        what, mend = explained(wrong.errors(include_url=False)[0], place.words[0])
        raise refused(f"{change.target}: {what}", mend) from None
    return new[place.thing] if place.thing else new


def _can_be(place: Place, change: Change, currency: str) -> bool:
    """Whether a figure can be what a change says."""
    try:
        _read(place, change, currency)
    except ShopError:
        return False
    return True


@functools.cache
def _adapter(step: type[Step], field: str) -> TypeAdapter[Any]:
    """The checks of one field of a step's model."""
    info = step.model_fields[field]
    kind: Any = Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation
    return TypeAdapter(kind)


def scaled(now: Any, change: Change, *, share: bool = True) -> Any:
    """A figure, an amount, a time of labour or a number, times the factor of a change.

    Args:
        now: what it is.
        change: with a factor.
        share: a share may not pass the whole.

    Raises:
        ShopError: the product cannot be.
    """
    factor = change.factor if change.factor is not None else 1.0
    if isinstance(now, Labour):
        return Labour(_times(now.time, factor, change), now.per)
    if isinstance(now, Amount):
        if now.kind is Kind.ALL:
            raise refused(f"{change.target} is 'all', which cannot change by {change.value}", _say(change))
        shares = now.kind in (Kind.SHARE, Kind.OF_POT, Kind.VOLUME_SHARE)
        if now.kind is Kind.BRIX:
            return Amount(now.kind, _times(now.figure, factor, change, 100.0), now.unit)
        return Amount(now.kind, _times(now.figure, factor, change, 1.0 if shares else None), now.unit)
    if isinstance(now, Figure):
        # A figure alone is a share unless it weighs, lasts or warms something, and those are far above 1.
        return _times(now, factor, change, 1.0 if share and 0 < now.high <= 1.0 else None)
    return now * factor


def _times(now: Figure, factor: float, change: Change, most: float | None = None) -> Figure:
    low, high = now.low * factor, now.high * factor
    if most is not None and high > most + 1e-12:
        shown = f"{high * 100 / most:g} %"
        raise refused(f"{change.target} with {change.value} would be {shown}", "no share passes 100 %")
    return Figure(low, high, f"{now.text} {change.value}")


def unknown(change: Change, names: Sequence[str]) -> str:
    """The mend for a target that nobody knows: the nearest one.

    Args:
        change: the change.
        names: what could have been meant.
    """
    return nearest(change.target, names, 'name an ingredient, a step\'s figure ("overrun") or "price[channel]"')
