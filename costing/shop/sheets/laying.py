"""The contents of a shop laid out as the rows of its sheets; the inverse of :mod:`costing.shop.sheets.reading`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from costing.findings import Finding, ShopError
from costing.shop import channels
from costing.shop.sheets import plan, said, step_rows
from costing.shop.sheets.papers import INGREDIENTS, SHOP
from costing.shop.yaml_lines import Group, Listing, Text
from nutrition.foods import pins, spec

if TYPE_CHECKING:
    from collections.abc import Iterator

    from costing.shop.sheets.papers import Papers
    from costing.shop.yaml_lines import Node

Cells = dict[str, str]

SETTINGS: Final = {
    "name": "The shop's name",
    "address": "Stands on the label: street; town, state and ZIP code",
    "currency": "Three letters, such as USD",
    "locale": "How numbers are shown: language and country",
    "law": "Whose label law counts",
    "as of": "The day whose prices count, such as 2026-01-05; today's if empty",
    "price endings": "Last digits of selling prices: .49; .99",
    "label": "What you choose for labels: closing clause: 1 %; lines: shortened",
    "business": "For the small-business exemption: total sales: 310000 per year; people: 6",
    "prefer": "Whose price counts: cheapest (usable gram) or newest",
    "count freight": "yes: freight, as on the sheet Suppliers, is part of what things cost",
}
"""Settings that are offered even where a shop does not use them."""
_SECTIONS: Final = {
    "machines": plan.MACHINES,
    "containers": plan.CONTAINERS,
    "channels": plan.CHANNELS,
    "suppliers": plan.SUPPLIERS,
}


def rows(papers: Papers) -> dict[str, list[Cells]]:
    """The rows of every sheet, by sheet; in each the texts by heading.

    Args:
        papers: the contents of a shop that has been checked.

    Raises:
        ShopError: something has no place on the sheets.
    """
    root = papers.roots.get(SHOP, Group(1))
    found: dict[str, list[Cells]] = {plan.SHOP: [], plan.COSTS: []}
    settings: dict[str, str] = dict.fromkeys(SETTINGS, "")
    for key, (_, node) in root.entries.items():
        if isinstance(node, Text) and node.empty:
            continue
        if key in plan.GROUPS and isinstance(node, Group):
            found[plan.COSTS] += [
                {"kind": key, "name": name, "amount": said.write(value, "auto")}
                for name, (_, value) in node.entries.items()
            ]
        elif key not in _SECTIONS:
            settings[key] = said.write(node, plan.SHOP_STYLES.get(key, "auto"))
    for key, value in settings.items():
        cells = {"setting": key, "value": value, plan.REMARKS: SETTINGS.get(key, "")}
        found[plan.SHOP].append({head: text for head, text in cells.items() if text})
    for section, name in _SECTIONS.items():
        found[name] = _entries(root.get(section), name)
    found[plan.INGREDIENTS] = _entries(papers.roots.get(INGREDIENTS), plan.INGREDIENTS)
    found[plan.FLAVOURS] = [
        _row(key, recipe, plan.FLAVOURS, ("parts",)) for key, recipe in papers.below("recipes").items()
    ]
    found[plan.RECIPES] = [row for key, recipe in papers.below("recipes").items() for row in _steps(key, recipe)]
    for kind, folder, first, keys, lists in (
        (plan.SPECS, "specs", "spec", spec.KEYS, spec.LISTS),
        (plan.PINS, "pins", "pin", pins.KEYS, pins.LISTED),
    ):
        found[kind] = [
            row for name, sheet in papers.below(folder).items() for row in food_rows({first: name}, sheet, keys, lists)
        ]
    for name, folder in ((plan.PRICES, "prices/"), (plan.TRIALS, "trials/")):
        found[name] = [
            {**{key: text for key, text in cells.items() if text}, "list": file[len(folder) :].removesuffix(".csv")}
            for file, listed in sorted(papers.lists.items())
            if file.startswith(folder)
            for _, cells in listed
        ]
    return found


def _entries(node: Node | None, name: str) -> list[Cells]:
    return [_row(key, inner, name) for key, (_, inner) in node.entries.items()] if isinstance(node, Group) else []


def _row(key: str, node: Node, name: str, left_out: tuple[str, ...] = ()) -> Cells:
    sheet = plan.plans()[name]
    entries = dict(node.entries) if isinstance(node, Group) else {}
    if name == plan.CHANNELS:
        channels._join_stall(entries)
    cells = {sheet.columns[0].head: key}
    heads = {column.head: column for column in sheet.columns}
    for entry, (_, value) in entries.items():
        if entry in left_out or (isinstance(value, Text) and value.empty):
            continue
        if entry not in heads:
            what = f"'{entry}' of {key} has no column on the sheet {name}"
            raise ShopError((Finding("error", name, what, "take it out, or stay with the folder"),))
        cells[entry] = said.write(value, heads[entry].style)
    return cells


def _steps(key: str, recipe: Group) -> Iterator[Cells]:
    parts = recipe.get("parts")
    for name, (_, part) in parts.entries.items() if isinstance(parts, Group) else ():
        steps = part.get("steps") if isinstance(part, Group) else part
        first = {}
        for entry, head in (("label", "part label"), ("rest", "part rest")):
            value = part.get(entry) if isinstance(part, Group) else None
            if isinstance(value, Text) and not value.empty:
                first[head] = value.text
        for number, step in enumerate(steps.items if isinstance(steps, Listing) else (), 1):
            for cells in step_rows.rows(step) if isinstance(step, Group) else ():
                yield {"recipe": key, "part": name, "step": str(number), **cells, **first}
                first = {}


def food_rows(first: Cells, sheet: Group, keys: tuple[str, ...], lists: tuple[str, ...]) -> Iterator[Cells]:
    """The rows of one spec sheet or pin.

    Args:
        first: what every row begins with.
        sheet: its entries.
        keys: those that it may have.
        lists: those that hold several things.
    """
    for key, (_, value) in sheet.entries.items():
        if key.casefold() == "values" and isinstance(value, Group):
            for nutrient, (_, amount) in value.entries.items():
                yield {**first, "entry": nutrient, "value": said.write(amount, "auto")}
        elif not (isinstance(value, Text) and value.empty):
            plain = " ".join(key.casefold().split())
            assert plain in keys
            style: said.Style = "list" if plain in lists else "auto"
            yield {**first, "entry": key, "value": said.write(value, style)}
