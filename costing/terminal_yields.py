"""Where the weight and the money of a batch went, as plain text: steps, the finished food, and what trials say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import money
from costing.terminal import around, clean, grams, sized, spread, table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.results import PartResult, RecipeAnswer
    from costing.trials import Comparison


def text(
    answer: RecipeAnswer, currency: str, locale: str, trials: Sequence[Comparison] = (), *, used: bool = False
) -> str:
    """A recipe's yield, for people.

    Args:
        answer: the recipe's answer.
        currency: the shop's currency.
        locale: the shop's locale.
        trials: assumed beside measured.
        used: whether the answer was worked out with what trials measured.
    """
    blocks = [f"{clean(answer.title)} ({answer.recipe}){':' if answer.size != 1 else ''}{sized(answer, locale)}"]
    for place, part in enumerate(answer.parts):
        pair = answer.ranges.get(f"parts.{place}.out.g")
        blocks.append(_part(part, answer.recipe, currency, locale, around(pair, locale, 0)))
    blocks.extend(_finished(answer, locale))
    blocks.extend(spread(answer, locale, "\n".join(blocks)))
    if trials:
        blocks.append(_trials(trials, answer.recipe, currency, locale, used=used))
    return "\n\n".join(blocks)


def _part(part: PartResult, recipe: str, currency: str, locale: str, pair: str) -> str:
    whose = f", from {clean(part.recipe)}" if part.recipe != recipe else ""
    rows = [
        (
            str(step.step),
            step.verb,
            step.free_figure or step.name,
            grams(step.in_g, locale),
            grams(step.out_g, locale),
            grams(step.vapour_g, locale),
            grams(step.discarded_g, locale),
            grams(step.saved_g, locale),
            money.show(step.money_in, currency, locale),
            money.show(step.money_out, currency, locale),
        )
        for step in part.steps
    ]
    heads = ("step", "verb", "", "in", "out", "boiled off", "thrown away", "saved", "money in", "money out")
    kilo = f", {money.show(1000 * part.cost / part.out_g, currency, locale)} a kg" if part.out_g > 0 else ""
    return (
        f"{clean(part.name)}{whose}: {grams(part.out_g, locale)}{pair}{kilo}\n"
        + table(heads, rows, right=(0, *range(3, len(heads))))
    )  # fmt: skip


def _finished(answer: RecipeAnswer, locale: str) -> list[str]:
    """Density, air and alcohol of the finished food, with the cautions about alcohol."""
    said = []
    if answer.cost is not None:
        batch = answer.cost.batch
        if batch.mix_density is not None:
            said.append(f"mix {money.number(batch.mix_density, locale, 3)} g/mL")
        if batch.overrun is not None:
            said.append(f"overrun {money.percent(100 * batch.overrun, locale)}")
        if batch.weight_per_gallon_lb is not None:
            said.append(f"{money.number(batch.weight_per_gallon_lb, locale, 2)} lb a gallon")
    label = answer.label
    cautions = []
    if label is not None:
        if label.alcohol_by_weight_pct > 0:
            pair = around(answer.ranges.get("alcohol.by_weight_pct"), locale, 2)
            weight, volume = (
                money.percent(share, locale, 2) for share in (label.alcohol_by_weight_pct, label.alcohol_by_volume_pct)
            )
            said.append(f"alcohol {weight}{pair} by weight, {volume} by volume")
        for note in (one for one in label.notes if one.about == "alcohol"):
            cautions.append(f"{note.level}: {clean(note.what)}" + (f" [{note.rule}]" if note.rule else ""))
            if note.mend:
                cautions.append(f"    to mend: {clean(note.mend)}")
    return ["\n".join((f"Finished: {', '.join(said)}.", *cautions))] if said else []


def _trials(found: Sequence[Comparison], recipe: str, currency: str, locale: str, *, used: bool) -> str:
    unit = found[0].unit or "container"
    rows = []
    for one in found:
        m, said = one.measurement, one.measurement.summary
        whose = f"{m.recipe}: " if m.recipe != recipe else ""
        rows.append(
            (
                f"{whose}{m.part}",
                f"{m.step} {m.name or m.verb}",
                _share(one.assumed, locale),
                _share(said.mean, locale),
                "" if said.count == 1 else f"{_share(said.low, locale)} to {_share(said.high, locale)}",
                str(said.count),
                "" if said.deviation is None else _share(said.deviation, locale),
                "" if said.interval is None else " to ".join(_share(end, locale) for end in said.interval),
                _more(one, currency, locale),
            )
        )
    heads = (
        "weighed",
        "step",
        "assumed",
        "measured",
        "range",
        "trials",
        "std. deviation",
        "95 % interval of the mean",
        f"a {clean(unit)} costs",
    )
    taken = (
        "The figures above take the measured means."
        if used
        else "The figures above take what is assumed; --use-trials takes the measured means."
    )
    return (
        "Trials: weight after a step in percent of the weight before it; the last column, what it costs more or less "
        f"as measured.\n{table(heads, rows, right=range(2, len(heads)))}\n{taken}"
    )


def _share(ratio: float | None, locale: str) -> str:
    return money.percent(None if ratio is None else 100 * ratio, locale)


def _more(one: Comparison, currency: str, locale: str) -> str:
    if one.problem is not None:
        return "cannot be"
    # A tenth of a cent a container is money over a year.
    shown = money.show(one.difference, currency, locale, money.digits_of(currency) + 1)
    return f"+{shown}" if one.difference and money.rounded(one.difference, 6) > 0 else shown
