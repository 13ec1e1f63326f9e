"""Answers as plain text for a terminal: tables whose columns line up, money and numbers in the shop's locale.

Names come from files that other people write, so anything that a terminal would obey is taken out of them.

>>> print(table(("flavour", "cost"), [("quince", "$4.20"), ("fig", "$12.00")], right=(1,)))
flavour    cost
-------  ------
quince    $4.20
fig      $12.00
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

from costing import money
from costing.findings import place

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from costing.findings import Finding
    from costing.results import CostAnswer, OtherContainer, Pair, RecipeAnswer
    from nutrition.law.us.exemption import Exemption
    from nutrition.law.us.label import Label, NutrientLine

WIDEST = 48
"""Columns of text are cut to this width; JSON and the workbook have them whole."""


def clean(text: str) -> str:
    """Text without what a terminal would obey or that would break a line.

    >>> clean("a\\x1b[31mb\\nc")
    'a[31mb c'
    """
    spaced = text.replace("\n", " ").replace("\t", " ")
    # Cc, Cf, Cs: controls, marks that turn the writing direction, lone surrogates. The joiner of emoji may stay.
    return "".join(c for c in spaced if c == "\u200d" or unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Zl", "Zp"))


def width(text: str) -> int:
    """How many columns a terminal gives to a text.

    >>> width("fig"), width("é"), width("無花果")
    (3, 1, 6)
    """
    return sum(
        0 if unicodedata.category(c) in ("Mn", "Me", "Cf") else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def _cut(text: str) -> str:
    if width(text) <= WIDEST:
        return text
    kept = ""
    for c in text:
        if width(kept + c) >= WIDEST:
            break
        kept += c
    return kept.rstrip() + "…"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[int] = ()) -> str:
    """A table with a line below its heads.

    Args:
        heads: one for each column.
        rows: as many texts each.
        right: columns that are set to the right, by place from 0.

    Returns:
        Its lines, without one at the end.
    """
    cells = [tuple(heads), *(tuple(_cut(clean(cell)) for cell in row) for row in rows)]
    widths = [max(width(row[i]) for row in cells) for i in range(len(heads))]
    to_right = frozenset(right)
    ruled = [cells[0], tuple("-" * w for w in widths), *cells[1:]]
    return "\n".join(
        "  ".join(_set(row[i], widths[i], i in to_right) for i in range(len(row))).rstrip() for row in ruled
    )


def _set(text: str, columns: int, to_right: bool) -> str:
    space = " " * (columns - width(text))
    return space + text if to_right else text + space


def findings(found: Iterable[Finding]) -> str:
    """Findings, errors first, one or two lines each."""
    order = {"error": 0, "warning": 1, "note": 2}
    lines = []
    for one in (known.shown() for known in sorted(found, key=lambda f: order[f.level])):
        lines.append(f"{one.level}: {clean(one.where)}: {clean(one.what)}")
        if one.mend:
            lines.append(f"    to mend: {clean(one.mend)}")
    return "\n".join(lines)


def cost(answer: RecipeAnswer, locale: str, remarks: str = "") -> str:
    """What a recipe costs, for people: its lines, its totals, its losses, and what each channel leaves.

    Args:
        answer: the recipe's answer; must have a cost.
        locale: the shop's locale.
        remarks: what is to be said of the prices of channels.
    """
    found = answer.cost
    if found is None:
        return (
            f"{clean(answer.title)} ({answer.recipe})\n"
            "It fills no container, so it has a cost only in the flavours that use it; `creamery yield` shows it."
        )
    batch = found.batch
    blocks = [
        f"{clean(found.title)} ({found.recipe}), prices of {found.as_of.isoformat()}",
        _batch(answer, locale),
        _lines(found, locale),
        _totals(answer, found, locale),
    ]
    if found.channels:
        blocks.append(_channels(answer, found, locale) + (f"\n\n{remarks}" if remarks else ""))
    blocks.extend(spread(answer, locale, "\n".join(blocks[3:])))
    lost = [loss for loss in found.lost if loss.discarded_g > 0 or loss.vapour_g > 0]
    if lost:
        blocks.append(_lost(found, locale))
    if batch.saved_g > 0:
        blocks.append(f"Saved for later: {grams(batch.saved_g, locale)}.")
    blocks.extend(_other(other, found.currency, locale) for other in found.also)
    return "\n\n".join(blocks)


def _batch(answer: RecipeAnswer, locale: str) -> str:
    found = answer.cost
    assert found is not None
    b = found.batch
    filled = ", ".join(
        f"{money.number(one.count, locale)} × {clean(one.container)} of {grams(one.fill_g, locale)}"
        for one in answer.filled
    )
    parts = [f"One batch: {grams(b.in_g, locale)} in, {filled or grams(b.out_g, locale)} out"]
    parts.append(f"{grams(b.vapour_g, locale)} boiled off, {grams(b.discarded_g, locale)} thrown away")
    if b.overrun is not None:
        parts.append(f"overrun {money.percent(100 * b.overrun, locale, 0)}")
    return "; ".join(parts) + "." + sized(answer, locale)


def sized(answer: RecipeAnswer, locale: str) -> str:
    """What is said of a batch that is larger or smaller than the recipe's, with a space before; else nothing."""
    if answer.size == 1.0:
        return ""
    return f" Amounts are {money.number(answer.size, locale, 2 if answer.size < 10 else 1)} times those of the recipe."


def _lines(found: CostAnswer, locale: str) -> str:
    return table(
        ("item", "kind", "amount", "supplier", "cost"),
        [
            (
                line.item,
                line.kind,
                line.amount or (grams(line.bought_g, locale) if line.bought_g is not None else ""),
                line.supplier,
                money.show(line.cost, found.currency, locale),
            )
            for line in found.lines
        ],
        right=(2, 4),
    )


def _other(other: OtherContainer, currency: str, locale: str) -> str:
    each = money.show(other.cost.total, currency, locale)
    number = money.number(other.containers, locale)
    if not other.containers:
        return f"Also 0 × {clean(other.container)}: none is full, so what one costs is unknown."
    return f"Also {number} × {clean(other.container)} of {grams(other.fill_g, locale)}, at {each} each."


KINDS = ("ingredients", "packaging", "labour", "overhead", "saved", "total")


def _totals(answer: RecipeAnswer, found: CostAnswer, locale: str) -> str:
    heads = ("cost of", *KINDS)
    digits = money.digits_of(found.currency)
    rows = []
    for what, path, those in (
        ("a batch", "cost", found.cost),
        (f"a {found.batch.container or 'container'}", "per_container", found.per_container),
        ("a serving", "per_serving", found.per_serving),
    ):
        cells = [money.show(getattr(those, kind), found.currency, locale) for kind in KINDS]
        cells[-1] += around(answer.ranges.get(f"{path}.total"), locale, digits)
        rows.append((what, *cells))
    return table(heads, rows, right=range(1, len(heads))) + _freight(found, locale)


def _freight(found: CostAnswer, locale: str) -> str:
    if found.freight is None:
        return ""
    batch, each = (money.show(one, found.currency, locale) for one in found.freight)
    return f"\nOf this, freight: {batch} a batch, {each} a {clean(found.batch.container or 'container')}."


def _channels(answer: RecipeAnswer, found: CostAnswer, locale: str) -> str:
    digits = money.digits_of(found.currency)
    return table(
        (
            "channel",
            "price",
            "fees",
            "margin",
            "margin %",
            "markup %",
            "target %",
            "price for target",
            "a batch leaves",
        ),
        [
            (
                channel.name,
                money.show(channel.price, found.currency, locale),
                money.show(channel.fees, found.currency, locale),
                money.show(channel.margin, found.currency, locale)
                + around(answer.ranges.get(f"channels.{channel.name}.margin"), locale, digits),
                money.percent_below(channel.margin_pct, channel.target_pct, locale),
                money.percent(channel.markup_pct, locale),
                money.percent(channel.target_pct, locale),
                money.show(channel.price_for_target, found.currency, locale),
                money.show(channel.batch_margin, found.currency, locale),
            )
            for channel in found.channels
        ],
        right=range(1, 9),
    )


def _lost(found: CostAnswer, locale: str) -> str:
    return table(
        ("lost in", "step", "verb", "boiled off", "thrown away", "worth as bought"),
        [
            (
                loss.part,
                str(loss.step) if loss.step else "",
                loss.verb,
                grams(loss.vapour_g, locale),
                grams(loss.discarded_g, locale),
                money.show(loss.value, found.currency, locale),
            )
            for loss in found.lost
            if loss.discarded_g > 0 or loss.vapour_g > 0
        ],
        right=(1, 3, 4, 5),
    )


_BRACKETS = re.compile(r" \([^()\n]+ to [^()\n]+\)")
SMALLEST_SHARE = 0.5
"""per cent of the spread below which an assumption is not worth a line"""


def around(pair: Pair | None, locale: str, digits: int) -> str:
    """A range behind its figure, with a space before; nothing where there is none, or where both ends print the same.

    >>> around((4.31, 4.62), "en_US", 2), around(None, "en_US", 2), around((1.001, 1.002), "en_US", 2)
    (' (4.31 to 4.62)', '', '')
    """
    if pair is None:
        return ""
    low, high = (money.number(end, locale, digits) for end in pair)
    return "" if low == high else f" ({low} to {high})"


def spread(answer: RecipeAnswer, locale: str, above: str) -> list[str]:
    """Where the ranges of an answer come from: what to weigh next, and what could not be made; else nothing.

    Args:
        answer: about one recipe.
        locale: how numbers are written.
        above: what is printed before it, with ranges in brackets where they are wide enough to be seen.
    """
    if not answer.ranges and not answer.impossible_share:
        return []
    said = []
    if answer.ranges and not _BRACKETS.search(above):
        said.append("What is assumed or was measured moves none of these figures as printed.")
    elif answer.ranges:
        said.append("In brackets: the 5th and 95th percentile over what is assumed or was measured.")
    if answer.impossible_share > 0:
        share = money.percent(100 * answer.impossible_share, locale, 1 if answer.impossible_share >= 0.001 else 2)
        said.append(f"{share} of the draws cannot be made in a kitchen and were left out.")
    blocks = [" ".join(said)]
    worth = [one for one in answer.drivers if one.share_pct >= SMALLEST_SHARE]
    if worth:
        rows = [(one.what, place(one.where), money.percent(one.share_pct, locale, 0)) for one in worth]
        blocks.append(table(("what to weigh next", "where", "share of the spread of cost"), rows, right=(2,)))
    return blocks


def label(found: Label, locale: str, ranges: Mapping[str, Pair] | None = None) -> str:
    """What a label says, for people.

    Args:
        found: the label.
        locale: the shop's locale.
        ranges: of its figures, by their paths in the answer.
    """
    columns = found.serving.columns
    heads = ["nutrient"]
    for column in columns:
        heads += [f"per {column}", "% DV"]
    heads.append("unrounded, per serving")
    printed = [line for line in found.nutrients if line.key not in found.left_out]
    rows = [_nutrient(line, columns, locale, ranges or {}) for line in printed]
    allowed = "" if found.name.allowed == found.name.wanted else f" (wanted: {clean(found.name.wanted)})"
    lines = [
        f"{clean(found.title)} ({found.key})",
        f"Name of the food: {clean(found.name.text) or 'none that the standards allow'}{allowed}",
        f"Net quantity: {found.net_quantity}",
        f"Serving: {found.serving.measure} ({found.serving.grams_text}), "
        f"{found.serving.per_container_text} a container",
        "",
        table(heads, rows, right=range(1, len(heads))),
        found.not_significant,
        "",
        clean(found.ingredients),
        clean(found.contains),
    ]
    if found.exemption is not None:
        lines.append(f"Panel: {panel_needed(found.exemption)}")
    if not found.print_ready:
        lines += ["", "Not ready to print: see the warnings for what is missing."]
    # The others are findings, which are told of for all recipes together.
    for note in (one for one in found.notes if one.level == "note"):
        rule = f" [{note.rule}]" if note.rule else ""
        lines.append(f"{note.level}: {clean(note.what)}{rule}")
        if note.mend:
            lines.append(f"    to mend: {clean(note.mend)}")
    return "\n".join(line for i, line in enumerate(lines) if line or lines[i - 1])


def panel_needed(found: Exemption) -> str:
    """Whether a panel must stand on the container, and why."""
    verdict = f"may be left off ({', '.join(found.rules)})" if found.exempt else "must stand on the container"
    return clean(f"{verdict}: {'; '.join(found.reasons)}")


def _nutrient(line: NutrientLine, columns: Sequence[str], locale: str, ranges: Mapping[str, Pair]) -> tuple[str, ...]:
    # On the panel this line reads "Includes 21g Added Sugars", the amount in its middle.
    cells = ["Added Sugars" if line.key == "added_sugars" else line.name]
    for column in columns:
        dv = line.dv_pct.get(column)
        cells += [line.declared.get(column) or "?", "" if dv is None else f"{dv}%"]
    if line.per_serving is None:
        low, high = (money.number(one, locale, 1) for one in (line.per_serving_low, line.per_serving_high))
        cells.append(f"{low} to {high} {line.unit}")
    else:
        pair = around(ranges.get(f"nutrients.{line.key}.per_serving"), locale, 2)
        cells.append(f"{money.number(line.per_serving, locale, 2)}{pair} {line.unit}")
    return tuple(cells)


def grams(value: float, locale: str) -> str:
    """A weight for people: whole grams, with a decimal below 100 g.

    >>> grams(1234.5, "en_US"), grams(4.25, "en_US")
    ('1,235 g', '4.3 g')
    """
    return f"{money.number(value, locale, 0 if abs(value) >= 100 or abs(value) < 0.05 else 1)} g"
