"""Evidence for people at a terminal: what ``creamery label --why`` says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing import money
from costing.evidence import text_line
from costing.evidence.documents import PLACES
from costing.evidence.writer import Writer
from costing.terminal import clean, table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.evidence.gather import Evidence, Name


def why(found: Evidence, keys: Sequence[str], locale: str) -> str:
    """What stands behind some figures of a label.

    Args:
        found: the evidence.
        keys: nutrient keys, or ``ingredients``, ``contains``, ``name``, ``serving``, ``net_quantity``.
        locale: the shop's locale.
    """
    writer = Writer(found, locale)
    said = {
        "ingredients": _ingredients,
        "contains": _contains,
        "name": _name,
        "serving": _serving,
        "net_quantity": _net_quantity,
    }
    head = f"{clean(found.label.title)} ({found.label.key})"
    blocks = [head]
    for key in keys:
        blocks += said[key](writer) if key in said else text_line.blocks(writer, found.lines[key])
    return "\n\n".join(block for block in blocks if block)


def _ingredients(w: Writer) -> list[str]:
    rows: list[tuple[str, ...]] = []

    def add(name: Name, depth: int) -> None:
        entry = name.entry
        why = "steeped and taken out" if entry.given_only else "2 % clause" if entry.minor else ""
        sources = (
            "; ".join(f"{one.ingredient}: {one.food}" for one in name.sources)
            if not any(sub.sources for sub in name.sub)
            else ""
        )
        weight = money.number(entry.grams, w.locale, 2) if entry.grams > 0 else ""
        share = w.percent(entry.share_pct / 100) if entry.grams > 0 else ""
        rows.append(("  " * depth + entry.name, weight, share, why, sources))
        for sub in name.sub:
            add(sub, depth + 1)

    for name in w.found.names:
        add(name, 0)
    heads = ("ingredient, heaviest first", "g as added", "of the food", "", "from")
    sources = {
        f"{one.food}: {clean(one.name)} ({clean(one.source)})": None for name in w.found.names for one in name.sources
    }
    return [
        f"Ingredient statement, by weight as added to a container, 21 CFR 101.4:\n{clean(w.found.label.ingredients)}",
        table(heads, rows, right=(1, 2)),
        "\n".join(sources),
        _words(w, "ingredients"),
    ]


def _contains(w: Writer) -> list[str]:
    rows = [
        (one.text, ", ".join(one.by) or "written on the food itself", ", ".join(one.taken_out))
        for one in w.found.allergens
    ]
    said = clean(w.found.label.contains) or "No major allergen is declared."
    heads = ("allergen", "brought by", "of which nothing is left, and still declared")
    blocks = [f"{said}\nFD&C Act 403(w): what ever touched the food counts, strained out or not."]
    return [*blocks, table(heads, rows) if rows else "", _words(w, "contains")]


def _name(w: Writer) -> list[str]:
    name = w.found.label.name
    rows = [
        (
            test.what,
            "unknown" if test.value is None else money.number(test.value, w.locale, 2),
            f"at {'most' if test.at_most else 'least'} {money.number(test.limit, w.locale, 2)}",
            test.unit,
            {True: "met", False: "not met", None: "unknown"}[test.met],
            test.for_name,
            test.rule,
        )
        for test in name.tests
    ]
    heads = ("test", "found", "limit", "unit", "result", "for", "rule")
    wanted = "" if name.wanted == name.allowed else f" (wanted: {clean(name.wanted)})"
    notes = "\n".join(clean(note) for note in name.notes)
    return [
        f"Name of the food: {clean(name.text)}{wanted}",
        table(heads, rows, right=(1,)) if rows else "No standard of identity stands behind this name.",
        notes,
        _words(w, "name"),
    ]


def _serving(w: Writer) -> list[str]:
    serving, product = w.found.label.serving, w.found.product
    density = money.number(product.net_g / product.net_ml, w.locale, 4)
    count = money.number(serving.per_container, w.locale, 3)
    lines = [
        f"Serving size: {serving.measure} ({serving.grams_text}); {serving.per_container_text} a container",
        f"{serving.rule}",
        f"A container holds {money.number(product.net_g, w.locale, 2)} g in "
        f"{money.number(product.net_ml, w.locale, 1)} mL, air included: {density} g/mL.",
        f"A serving weighs {money.number(serving.grams, w.locale, 2)} g unrounded; a container holds {count} of them.",
        f"Columns: {', '.join(serving.columns)}.",
    ]
    return ["\n".join(lines), _words(w, "serving")]


def _net_quantity(w: Writer) -> list[str]:
    product = w.found.product
    lines = [
        f"Net quantity: {w.found.label.net_quantity}",
        f"21 CFR 101.7: declared are {money.number(product.declared_ml, w.locale, 1)} mL, "
        f"which the shop writes as {clean(product.declared_text)}.",
    ]
    if w.found.answer.filled:
        first = w.found.answer.filled[0]
        lines.append(
            f"A {clean(first.container)} is filled with {money.number(first.fill_ml, w.locale, 1)} mL, "
            f"{money.number(first.fill_g, w.locale, 1)} g."
        )
    return ["\n".join(lines), _words(w, "net_quantity")]


def _words(w: Writer, what: str) -> str:
    """The texts that a place could print over the draws."""
    sure = w.found.sure
    if sure is None or sure.looked < 2:
        return ""
    lines = []
    for one in sure.words:
        if one.place in PLACES[what]:
            if len(one.texts) == 1:
                lines.append(f"{one.place}: the same in all of {sure.looked} draws")
            else:
                lines += [
                    f"{one.place}, {w.percent(share)} of {sure.looked} draws: {clean(t)}" for t, share in one.texts
                ]
    return "\n".join(lines)
