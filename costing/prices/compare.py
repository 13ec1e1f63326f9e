"""What a usable gram costs at every supplier, with what bringing it costs, and what each supplier asks for an order.

Prices are compared as the list has them and with freight, both apart. ``landed`` is with freight, whether the shop
counts it in its costs or not; where nobody knows the freight there is no landed price, and nothing is made up in its
place. The usable share and the yield in use are the ingredient's, whoever sells it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from costing import terminal
from costing.findings import Finding
from costing.money import number, percent
from costing.money import show as shown
from costing.prices import in_use, rates, show
from costing.prices.book import PriceBook, Priced

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from costing.prices.book import PricedEach
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.shop.suppliers import Supplier

Json = dict[str, Any]


def things(model: ShopModel, day: date, names: Sequence[str] = ()) -> list[Json]:
    """Everything that is bought, with all offers beside each other.

    Args:
        model: the shop.
        day: whose prices count.
        names: the things asked for; none means all that the shop buys.

    Returns:
        One document each: ``name``, ``kind``, ``rule`` (``fixed``, ``cheapest`` or ``newest``), ``usable`` and
        ``in_use`` (weight over weight bought), and ``offers``, the one in use first.

    Raises:
        ShopError: the shop knows no such thing.
    """
    book = PriceBook(model, day)
    bare = PriceBook(replace(model, count_freight=False), day) if model.count_freight else book
    listed = show.entries(model, day, names)
    usable = {name: book.usable(one) for name, one in model.ingredients.items()}
    uses = in_use.uses(model, usable)
    out = []
    for entry in listed:
        name, bought = entry["name"], entry["kind"] == "ingredient"
        if entry.get("from"):
            continue
        offers = _offers(book, name, bought=bought)
        # Where freight counts, who has not stated it is not taken, and is compared all the same.
        known = {(one.where, one.pack, one.price) for one in offers}
        waiting = [o for o in _offers(bare, name, bought=bought) if (o.where, o.pack, o.price) not in known]
        if not names and not any(one.supplier for one in (*offers, *waiting)):
            continue
        share = in_use.share(uses.get(name, ()))
        out.append(
            {
                "name": name,
                "kind": entry["kind"],
                "rule": _rule(model, name),
                "usable": usable[name] if bought else None,
                "in_use": share,
                "uses": [
                    {"recipe": one.recipe, "part": one.part, "verbs": list(one.verbs), "share": one.share}
                    for one in uses.get(name, ())
                    if one.verbs
                ],
                "offers": [
                    *(_offer(model, day, one, share, used=not at) for at, one in enumerate(offers)),
                    *(_offer(model, day, one, share, used=False) for one in waiting),
                ],
            }
        )
    return out


def _offers(book: PriceBook, name: str, *, bought: bool) -> Sequence[Priced | PricedEach]:
    return book.offers(name) if bought else book.item_offers(name)


def _rule(model: ShopModel, name: str) -> str:
    entry = model.ingredients.get(name)
    return "fixed" if entry and entry.supplier else str((entry.prefer if entry else None) or model.prefer)


def _offer(model: ShopModel, day: date, one: Priced | PricedEach, share: float | None, *, used: bool) -> Json:
    asked = next((s for name, s in model.suppliers.items() if name.casefold() == one.supplier.casefold()), None)
    found: Json = {
        "supplier": one.supplier,
        "item": one.item if isinstance(one, Priced) else one.name,
        "used": used,
        "pack": one.pack,
        "price": one.price,
        "currency": one.currency,
        "rate": None if one.currency == model.currency else rates.worth(model.rates, one.currency, day),
        "price_date": one.date,
        "where": one.where,
        "freight_share": one.freight,
        "freight_at_most": asked.most if asked else None,
    }
    plain = 1.0 + one.counted
    landed = None if one.freight is None else 1.0 + one.freight
    if isinstance(one, Priced):
        each, usable = 1000.0 * one.per_gram / plain, 1000.0 * one.per_usable_gram / plain
        in_pot = None if share is None else each / share
        return found | {
            "per_kg": each,
            "per_usable_kg": usable,
            "per_kg_in_use": in_pot,
            "landed_per_usable_kg": None if landed is None else usable * landed,
            "landed_per_kg_in_use": None if landed is None or in_pot is None else in_pot * landed,
        }
    piece = one.per_each / plain
    return found | {"per_each": piece, "landed_per_each": None if landed is None else piece * landed}


def landed(offer: Json) -> float | None:
    """The price with freight by which offers are compared, for a usable kilogram or a piece."""
    value: float | None = offer.get("landed_per_usable_kg", offer.get("landed_per_each"))
    return value


def plain(offer: Json) -> float:
    """The same without freight."""
    value: float = offer["per_usable_kg"] if "per_usable_kg" in offer else offer["per_each"]
    return value


def suppliers(model: ShopModel, answers: Iterable[RecipeAnswer]) -> list[Json]:
    """Everyone who sells to the shop, and what they ask for an order.

    Args:
        model: the shop.
        answers: of its recipes, as they are.

    Returns:
        One document each. ``round`` is what one batch of every recipe buys there, without freight, and
        ``rounds_to_minimum`` how many of these the minimum order takes.
    """
    spent: dict[str, float] = {}
    for answer in answers:
        for line in answer.cost.lines if answer.cost else ():
            if line.supplier:
                spent[line.supplier] = spent.get(line.supplier, 0.0) + line.cost - line.freight
    known = {name.casefold(): one for name, one in model.suppliers.items()}
    names = dict.fromkeys((*sorted({row.supplier for row in model.prices}, key=str.casefold),))
    return [_supplier(name, known.get(name.casefold()), spent.get(name, 0.0)) for name in names]


def _supplier(name: str, one: Supplier | None, spent: float) -> Json:
    least = one.minimum_order if one else None
    return {
        "name": name,
        "kind": "supplier",
        "freight_per_order": one.freight.per_order if one and one.freight else None,
        "freight_of_order": one.freight.share if one and one.freight else None,
        "free_from": one.free_from if one else None,
        "usual_order": one.usual_order if one else None,
        "minimum_order": least,
        "order_every_days": one.order_every if one else None,
        "freight_share": one.share if one else None,
        "freight_at_most": one.most if one else None,
        "freight_per_month": one.monthly if one else None,
        "round": spent,
        "rounds_to_minimum": least / spent if least is not None and spent > 0 else None,
    }


def findings(found: Sequence[Json], model: ShopModel) -> list[Finding]:
    """What the comparison shows: a supplier who is cheaper with freight, and freight that nobody has stated."""
    out: list[Finding] = []
    unknown: dict[str, None] = {}
    for entry in found:
        offers = entry["offers"]
        unknown |= dict.fromkeys(one["supplier"] for one in offers if one["supplier"] and one["freight_share"] is None)
        known = [one for one in offers if landed(one) is not None]
        if entry["rule"] != "cheapest" or model.count_freight or len(known) < 2 or landed(offers[0]) is None:
            continue
        best = min(known, key=lambda one: landed(one) or 0.0)
        used, less = landed(offers[0]) or 0.0, landed(best) or 0.0
        if less < used * (1 - 1e-9):
            money = [shown(one, model.currency, model.locale) for one in (less, used)]
            what = (
                f"with freight, {entry['name']} is cheaper from {best['supplier']}: {money[0]} against {money[1]} "
                f"{'a usable kg' if entry['kind'] == 'ingredient' else 'a piece'}"
            )
            mend = "write 'count freight: yes' in shop.yaml, or fix the supplier in its entry"
            out.append(Finding("note", best["where"], what, mend))
    if unknown:
        names = ", ".join(unknown)
        what = f"what bringing an order costs is not known of {names}; their prices are compared without it"
        mend = "write 'freight' under 'suppliers' in shop.yaml, such as 'freight: 18 per order', or 'freight: none'"
        out.append(Finding("note", model.at("suppliers"), what, mend))
    return out


def text(found: Sequence[Json], asked: Sequence[Json], model: ShopModel) -> tuple[str, ...]:
    """The same as tables for people."""
    heads = ("thing", "supplier", "pack", "price", "since", "usable kg, piece", "freight", "with freight", "kg in use")
    rows: list[tuple[str, ...]] = []
    for entry in found:
        name = entry["name"]
        for offer in entry["offers"]:
            rows.append((name, *_cells(offer, model)))
            name = "  or"
        if not entry["offers"]:
            rows.append((name, "no price", *("",) * (len(heads) - 2)))
    blocks = [terminal.table(heads, rows, right=(3, 5, 6, 7, 8))] if rows else []
    notes = _yields(found, model)
    if notes:
        blocks.append(notes)
    if asked:
        blocks.append(_asked(asked, model))
    said = "Costs count freight." if model.count_freight else "Costs leave freight out; 'count freight: yes' counts it."
    blocks.append(f"Freight is spread by value over a usual order. {said}")
    return tuple(blocks)


def _cells(offer: Json, model: ShopModel) -> tuple[str, ...]:
    if not offer["supplier"]:
        return ("free", "", "", "", "", "", "", "")
    digits = None if "per_kg" in offer else 4
    freight, most = offer["freight_share"], offer["freight_at_most"]
    return (
        f"{offer['supplier']}: {offer['item']}",
        offer["pack"],
        shown(offer["price"], offer["currency"], model.locale),
        offer["price_date"].isoformat(),
        shown(plain(offer), model.currency, model.locale, digits),
        _share(freight, most, model),
        "not known" if landed(offer) is None else shown(landed(offer), model.currency, model.locale, digits),
        _in_use(offer, model),
    )


def _in_use(offer: Json, model: ShopModel) -> str:
    value = offer.get("landed_per_kg_in_use")
    value = offer.get("per_kg_in_use") if value is None else value
    return "" if value is None else shown(value, model.currency, model.locale)


def _share(value: float | None, most: float | None, model: ShopModel) -> str:
    if value is not None:
        return percent(100 * value, model.locale)
    return "not known" if most is None else f"at most {percent(100 * most, model.locale)}"


def _yields(found: Sequence[Json], model: ShopModel) -> str:
    lines = []
    for entry in found:
        said = [
            f"{percent(100 * use['share'], model.locale)} in {use['recipe']} ({', '.join(use['verbs'])})"
            for use in entry["uses"]
        ]
        if said:
            lines.append(f"Of {terminal.clean(entry['name'])} as bought, there is in use: {', '.join(said)}.")
    return "\n".join(lines)


def _asked(asked: Sequence[Json], model: ShopModel) -> str:
    def money(value: float | None) -> str:
        return "" if value is None else shown(value, model.currency, model.locale)

    heads = ("supplier", "freight", "of a usual order", "share", "a month", "minimum order", "one batch of each buys")
    rows = []
    for one in asked:
        per, part = one["freight_per_order"], one["freight_of_order"]
        bits = [percent(100 * part, model.locale)] if part else []
        bits += [f"{money(per)} an order"] if per else []
        least = money(one["minimum_order"])
        if one["rounds_to_minimum"] is not None:
            least += f" ({number(one['rounds_to_minimum'], model.locale, 1)} ×)"
        rows.append(
            (
                one["name"],
                "not known" if per is None else " + ".join(bits) or "none",
                money(one["usual_order"]),
                _share(one["freight_share"], one["freight_at_most"], model),
                money(one["freight_per_month"]),
                least,
                money(one["round"]),
            )
        )
    return terminal.table(heads, rows, right=(2, 3, 4, 5, 6))
