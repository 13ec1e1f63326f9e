"""What ``creamery margins`` does: asks the shop, and says the answer as text or as JSON."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from costing import answers, commands
from costing.findings import Finding
from costing.selling import month, sales, text
from costing.terminal import clean

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from pathlib import Path

    from costing.desk import Shop
    from costing.results import RecipeAnswer
    from costing.selling.month import Month, Row
    from costing.selling.sales import Sale


@commands.told
def margins(folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool) -> int:
    """What flavours leave in every way of selling, and the month that breaks even.

    Args:
        folder: the shop.
        recipes: those asked for; none means all.
        as_of: the day for prices.
        as_json: whether to answer in JSON.

    Returns:
        The exit code.
    """
    from costing.desk import Shop

    shop = Shop.open(folder, as_of)
    found = shop.answers(commands.keys_of(shop, recipes))
    sold = sales.all_sales(shop, found)
    paid = month.month(sold, sales.fixed_costs(shop), shares(shop))
    findings = (*commands.gathered(shop, found, labels=False), *notes(shop, found, sold))
    if as_json:
        document = answers.document(results(found, sold), findings) | {"month": month_facts(paid, shop)}
        commands.say_json(document)
        return 1 if commands.has_errors(findings) else 0
    head = f"{clean(shop.model.name)}, prices of {shop.day}: what each way of selling leaves"
    blocks = [head, *text.blocks(sold, paid, shop.model)] if sold else ["Nothing is sold yet."]
    return commands.say((), findings, blocks, as_json=False)


def shares(shop: Shop) -> dict[str, float]:
    """Channel to its share of the ice cream, for those that say one."""
    return {name: one.sells for name, one in shop.model.channels.items() if one.sells is not None}


def notes(shop: Shop, found: Iterable[RecipeAnswer], sold: Sequence[Sale]) -> tuple[Finding, ...]:
    """What is worth knowing about an answer beyond the findings of the shop."""
    out = []
    unknown = dict.fromkeys(one.recipe for one in sold if one.machine_hours is None and one.containers)
    for key in unknown:
        what = "nobody says how long its machine runs, so nothing is known for a machine hour"
        mend = "give the churn step a machine, and the machine its time: run: 22 min"
        out.append(Finding("note", shop.model.recipes[key].where, what, mend))
    selling = {one.recipe for one in sold}
    for answer in found:
        if answer.cost is not None and answer.recipe not in selling:
            what = "no channel sells any container that it fills"
            out.append(Finding("note", shop.model.recipes[answer.recipe].where, what, "add a channel for one of them"))
    return tuple(out)


def results(found: Iterable[RecipeAnswer], sold: Sequence[Sale]) -> list[answers.Json]:
    """One for each recipe that fills a container, with its channels in the shop's order."""
    return [
        {
            "recipe": answer.recipe,
            "title": answer.title,
            "currency": answer.cost.currency,
            "as_of": answer.cost.as_of,
            "channels": [_sale(one) for one in sold if one.recipe == answer.recipe],
        }
        for answer in found
        if answer.cost is not None
    ]


def _sale(one: Sale) -> answers.Json:
    out = dataclasses.asdict(one)
    del out["recipe"], out["title"]
    return {"name": out.pop("channel"), **out.pop("leaves"), **out}


def month_facts(found: Month, shop: Shop) -> answers.Json:
    """The month that breaks even; None for everything that no number is enough for."""
    return {
        "currency": shop.model.currency,
        "fixed_costs": found.fixed_costs,
        "alone": [_row(one) for one in found.alone] if shop.model.fixed_costs else [],
        "mix": [_row(one) for one in found.mix] if shop.model.fixed_costs else [],
        "mix_in_all": _row(found.whole) if found.whole and shop.model.fixed_costs else None,
    }


def _row(one: Row) -> answers.Json:
    return dataclasses.asdict(one)
