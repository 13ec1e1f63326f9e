"""Steps in plain words, one function for each verb: what to do, how hot, how long, how much comes out.

What must be read from afar (temperatures, times, weights) is strong.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from costing.amounts import Kind
from costing.batch_sheet import amounts
from costing.batch_sheet.content import Run

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from costing.amounts import Amount, Figure
    from costing.batch_sheet.content import Words
    from costing.kitchen.bench import FilledPots
    from costing.kitchen.brew import StepRecord
    from costing.shop.models import Machine

    Bits = Iterable[str | tuple[str, bool]]

_HEADS = {
    "add": "Weigh in:",
    "trim": "Trim",
    "cook": "Heat",
    "reduce": "Boil down",
    "render": "Render",
    "press": "Press",
    "soak": "Soak",
    "strain": "Strain",
    "lose": "Empty the pot:",
    "weigh": "Weigh",
    "cool": "Cool",
    "churn": "Churn",
    "fold": "Fold in",
    "fill": "Fill",
    "note": "Note:",
    "rest": "At the very end, throw away",
}
_COOKING = {"simmer": "Simmer", "bake": "Bake", "toast": "Toast", "brown": "Brown"}
_OPEN = "the pot; neither temperature nor time is written."
_LAYERS = {"fat": "the firm fat", "solids": "the browned solids"}


@dataclass(frozen=True, slots=True)
class Scene:
    """What a sentence may lean on.

    Args:
        record: what the step did.
        before_ml: volume of the pot before it.
        size: by what the amounts of this recipe are multiplied; for a house base the share of its batch that is made.
        locale: how numbers are written.
        machines: of the shop.
        filled: containers that the batch fills.
    """

    record: StepRecord
    before_ml: float
    size: float
    locale: str
    machines: Mapping[str, Machine]
    filled: tuple[FilledPots, ...]

    def grams(self, value: float) -> str:
        """A weight for a kitchen scale."""
        return amounts.grams(value, self.locale)

    def about(self, value: float) -> str:
        """A weight to expect: whole grams from 10 g on."""
        return f"{amounts.plain(value, self.locale, 0 if value >= 10 else 1)} g"

    @property
    def vapour(self) -> float:
        """g"""
        return float(self.record.vapour_g[0])

    @property
    def discarded(self) -> float:
        """g"""
        return float(self.record.discarded_g[0])

    @property
    def saved(self) -> float:
        """g"""
        return float(self.record.saved_g[0])

    @property
    def runs(self) -> int:
        """Machine runs, at least one."""
        return 1 if self.record.runs is None else max(1, round(float(self.record.runs[0])))


def words(step: Any, verb: str, scene: Scene) -> Words:
    """What to do in a step: its name if it has one, its verb in plain words, and what that asks.

    Args:
        step: the step, None for what the engine added itself.
        verb: its verb.
        scene: what the sentence may lean on.
    """
    named = step.name if step is not None else None
    verb_words = _verb(step, verb)
    runs = [Run(f"{_capital(named)}:", True), Run(f" {verb_words[:1].lower()}{verb_words[1:]}")] if named else []
    runs = runs or [Run(verb_words, True)]
    said = [Run(*one) if isinstance(one, tuple) else Run(one) for one in _SENTENCES[verb](step, scene)]
    joined: list[Run] = []
    for run in (*runs, *((Run(" "), *said) if said else ())):
        if joined and joined[-1].strong == run.strong:
            joined[-1] = Run(joined[-1].text + run.text, run.strong)
        elif run.text:
            joined.append(run)
    return tuple(joined)


def _verb(step: Any, verb: str) -> str:
    if verb == "cook" and step.how:
        return _COOKING[step.how]
    if verb == "cook" and step.temperature is None:
        return "Cook"
    return _HEADS[verb]


def _strong(text: str) -> tuple[str, bool]:
    return (text, True)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _list(names: Iterable[str]) -> str:
    found = list(names)
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}"


def _share(name: str, written: Amount | Figure | None, scene: Scene) -> str:
    """A share as written, or as the scale has settled it since; empty for a weight, which says nothing of its own."""
    settled = scene.record.free_figure
    if settled.startswith(f"{name} ") and settled.endswith("%"):
        return settled.removeprefix(f"{name} ")
    if written is None or getattr(written, "kind", Kind.SHARE) is not Kind.SHARE:
        return ""
    return written.text


def _add(step: Any, scene: Scene) -> Bits:  # noqa: ARG001  every verb takes the same two
    return ()


def _fold(step: Any, scene: Scene) -> Bits:  # noqa: ARG001
    yield "by hand, with no more air:"


def _trim(step: Any, scene: Scene) -> Bits:
    kept = [f"{name}{f', keep {share.text}' if share is not None else ''}" for name, share in step.things.items()]
    yield f"{_list(kept)}. About {scene.about(scene.discarded)} comes off."


def _hot(step: Any, scene: Scene) -> Bits:
    """How hot and how long."""
    if step.temperature is not None:
        yield from ("to ", _strong(amounts.temperature(step.temperature, scene.locale, "up")))
    if step.hold is not None:
        yield from (", hold " if step.temperature is not None else "for ", _strong(step.hold.text))


def _cook(step: Any, scene: Scene) -> Bits:
    if step.how and step.temperature is not None:
        yield from ("at ", _strong(amounts.temperature(step.temperature, scene.locale, "up")))
        if step.hold is not None:
            yield from (" for ", _strong(step.hold.text))
    else:
        yield from _hot(step, scene)
    yield "." if step.temperature is not None else "; no temperature is written." if step.hold is not None else _OPEN
    if step.to is not None and step.loses is None:
        yield from _until(step.to, scene)
    elif scene.vapour > 0:
        said = _share("loses", step.loses, scene)
        leaves = "is lost" if step.how in ("bake", "toast", "brown") else "boils off"
        yield f" About {scene.about(scene.vapour)} {leaves}{f' ({said})' if said else ''}."


def _until(to: Amount, scene: Scene) -> Bits:
    if to.kind is Kind.BRIX:
        yield from (" Until it has ", _strong(to.text), ".")
    elif to.kind is Kind.WEIGHT:
        yield from (" Until it weighs ", _strong(scene.grams(to.figure.mid * scene.size)), ".")
    else:
        yield f" Until {to.text} is left."


def _reduce(step: Any, scene: Scene) -> Bits:
    to: Amount = step.to
    if to.kind is Kind.BRIX:
        yield from ("to ", _strong(to.text))
    elif to.kind is Kind.WEIGHT:
        yield from ("to ", _strong(scene.grams(to.figure.mid * scene.size)))
    elif to.kind is Kind.VOLUME_SHARE:
        now = amounts.volume(float(scene.record.out_ml[0]), scene.locale)
        yield from ("to ", _strong(to.text), ": from about ", amounts.volume(scene.before_ml, scene.locale))
        yield from (" to about ", _strong(now), ", both cold")
    else:
        yield from ("to ", _strong(_share("keeps", to, scene)), " of its weight")
    if step.temperature is not None:
        yield from (", at ", _strong(amounts.temperature(step.temperature, scene.locale, "up")))
    if step.hold is not None:
        yield from (", over about ", _strong(step.hold.text))
    yield f". About {scene.about(scene.vapour)} boils off."


def _render(step: Any, scene: Scene) -> Bits:
    said = _share("yields", step.yields, scene)
    yield f"{_list(step.of)} over low heat until the fat has run out{f': {said} of its weight' if said else ''}."
    yield from _aside("the crisp rest", step.save, scene)


def _press(step: Any, scene: Scene) -> Bits:
    said = _share("yields", step.yields, scene)
    yield f"{_list(step.of)}{f': {said} runs off as juice' if said else ' until the juice has run off'}."
    yield from _aside("the pulp", step.save, scene)


def _aside(what: str, save: str | None, scene: Scene) -> Bits:
    """What becomes of what was taken out."""
    weight = scene.saved if save else scene.discarded
    if weight <= 0:
        return
    if save:
        yield from (f" Keep {what}, about {scene.about(weight)}, as ", _strong(save), ".")
    else:
        yield f" Throw {what} away, about {scene.about(weight)}."


def _soak(step: Any, scene: Scene) -> Bits:
    yield f"{_list(step.of)}"
    if step.hold is not None:
        yield from (" for ", _strong(step.hold.text))
    yield f". They take up {_share('uptake', step.uptake, scene)} of their weight."


def _strain(step: Any, scene: Scene) -> Bits:
    things = [
        f"{figure.text + ' of ' if figure is not None else ''}{_LAYERS.get(name, name)}"
        for name, figure in step.out.items()
    ]
    yield f"out {_list(things)}."
    yield from _aside("what comes out", step.save, scene)


def _lose(step: Any, scene: Scene) -> Bits:  # noqa: ARG001
    yield f"about {scene.about(scene.discarded)} sticks to it and to the tools."


def _weigh(step: Any, scene: Scene) -> Bits:  # noqa: ARG001
    yield from ("the pot, without its own weight. The recipe counts on ", _strong(scene.grams(_out(scene))), ".")


def _out(scene: Scene) -> float:
    return float(scene.record.out_g[0])


def _cool(step: Any, scene: Scene) -> Bits:
    points = sorted(step.by_points.items(), key=lambda item: -item[0].mid)
    for point, time in points:
        yield from ("to ", _strong(amounts.temperature(point, scene.locale, "down")), " within ", _strong(time.text))
        yield ", "
    yield from ("to ", _strong(amounts.temperature(step.to, scene.locale, "down")))
    if step.within is not None:
        yield from (" within ", _strong(step.within.text), " in all." if points else ".")
    else:
        yield "; no time is written, so write down how long it takes."
    if step.hold is not None:
        yield from (" Then hold ", _strong(step.hold.text), ".")


def _churn(step: Any, scene: Scene) -> Bits:
    machine = scene.machines.get(step.machine) if step.machine else None
    weight = scene.grams(float(scene.record.in_g[0]) / scene.runs)
    volume = amounts.millilitres(scene.before_ml / scene.runs, scene.locale)
    where = f"in the {step.machine}" if step.machine else "in one go"
    if machine is not None and scene.runs > 1:
        yield from (f"{where} in ", _strong(f"{scene.runs} runs of {weight}"), f" ({volume}) of mix each")
    else:
        yield from (f"{where}: ", _strong(f"{weight} ({volume})"), " of mix")
        yield from (" in ", _strong("1 run")) if machine is not None else ()
    if machine is not None and machine.run is not None:
        yield f", {machine.run.text}{' each' if scene.runs > 1 else ''}"
    yield "."
    if step.filled is not None:
        first = scene.filled[0].container.name if scene.filled else "container"
        yield from (" Air: until a full ", first, " weighs ", _strong(step.filled.text), " without its tub.")
    elif step.overrun is not None:
        yield from (" Air: ", _strong(f"{step.overrun.text} overrun"), ".")
    stays = scene.discarded / scene.runs
    if stays > 0:
        yield f" About {scene.about(stays)} stays in the machine{' each run' if scene.runs > 1 else ''}."


def _fill(step: Any, scene: Scene) -> Bits:
    for n, one in enumerate(scene.filled):
        lead = ", then " if n else ""
        count = amounts.plural(round(float(one.count[0])), one.container.name, scene.locale)
        each = f"{scene.grams(float(one.grams[0]))} ({amounts.millilitres(float(one.ml[0]), scene.locale)})"
        yield from (lead, _strong(count), " with ", _strong(each), " each")
    yield "."
    rest = scene.saved if step.rest == "save" else scene.discarded
    if rest > 0:
        yield f" About {scene.about(rest)} is left over: {'keep it' if step.rest == 'save' else 'throw it away'}."


def _note(step: Any, scene: Scene) -> Bits:  # noqa: ARG001
    yield str(step.text)


def _rest(step: Any, scene: Scene) -> Bits:  # noqa: ARG001
    yield f"what no step has used: about {scene.about(scene.discarded)}."


_SENTENCES: Mapping[str, Callable[[Any, Scene], Bits]] = {
    "add": _add,
    "trim": _trim,
    "cook": _cook,
    "reduce": _reduce,
    "render": _render,
    "press": _press,
    "soak": _soak,
    "strain": _strain,
    "lose": _lose,
    "weigh": _weigh,
    "cool": _cool,
    "churn": _churn,
    "fold": _fold,
    "fill": _fill,
    "note": _note,
    "rest": _rest,
}
