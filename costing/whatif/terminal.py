"""What-ifs as plain text: tables whose columns line up, and bars that need no colour."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from costing import money
from costing.terminal import KINDS, clean, grams, table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from costing.shop.models import ShopModel
    from costing.whatif.effect import Contribution, Effect, Target
    from costing.whatif.sides import Side, Sides
    from costing.whatif.tables import Cell, Table
    from costing.whatif.tornado import Bar, Tornado

HALF: Final = 20
"""Columns of a bar on each side of the middle."""
SMALL: Final = 1e-9


class Teller:
    """Says figures in the currency and the locale of a shop.

    Args:
        model: the shop.
    """

    def __init__(self, model: ShopModel) -> None:
        self.currency = model.currency
        self.locale = model.locale

    def money(self, value: float | Decimal | None) -> str:
        """An amount, a dash where there is none; what nobody knows is unknown."""
        return money.show(value, self.currency, self.locale)

    def change(self, value: float | None) -> str:
        """A difference, with its sign; nothing where there is none to speak of."""
        if value is None or math.isnan(value):
            return self.money(value)
        shown = money.show(abs(value), self.currency, self.locale)
        if shown == money.show(0.0, self.currency, self.locale) and abs(value) > SMALL:
            shown = money.show(abs(value), self.currency, self.locale, digits=money.digits_of(self.currency) + 2)
        return shown if abs(value) <= SMALL else f"{'+' if value > 0 else '-'}{shown}"

    def percent(self, value: float | Decimal | None) -> str:
        """A percentage, a dash where there is none; what nobody knows is unknown."""
        return money.percent(value, self.locale)

    # Prices of another day ----------------------------------------------------------------------------------------

    def effects(self, found: Sequence[Effect], title: str) -> list[str]:
        """What other prices do to flavours.

        Args:
            found: the flavours.
            title: which prices are compared.
        """
        if not found:
            return []
        costs = table(
            ("flavour", "container", "before", "after", "difference", "most of it"),
            [
                (
                    one.title,
                    one.container,
                    self.money(_or_unknown(one.before)),
                    self.money(_or_unknown(one.after)),
                    self.change(math.nan if one.difference is None else one.difference),
                    ", ".join(f"{each.name} {self.change(each.adds)}" for each in one.contributions[:2]),
                )
                for one in found
            ],
            right=(2, 3, 4),
        )
        blocks = [clean(title), costs]
        if any(one.contributions for one in found):
            blocks.append(self._contributions(found))
        missed = [(one, target) for one in found for target in one.targets if not target.met]
        if missed:
            blocks.append(self._missed(missed))
        else:
            blocks.append("Every flavour meets its target margin in every channel that has one.")
        return blocks

    def _contributions(self, found: Sequence[Effect]) -> str:
        digits = money.digits_of(self.currency)
        least = 0.5 * 10.0**-digits
        rows: list[tuple[str, ...]] = []
        for one in found:
            large = [each for each in one.contributions if abs(each.adds) >= least]
            small = [each.adds for each in one.contributions if abs(each.adds) < least]
            lines = [
                (each.name, self._unit(each.before, each), self._unit(each.after, each), self.change(each.adds))
                for each in large
            ]
            if small:
                lines.append((f"{len(small)} other{'s' if len(small) > 1 else ''}", "", "", self.change(sum(small))))
            rows += [(one.title if not i else "", *line) for i, line in enumerate(lines)]
        heads = ("flavour", "because of", "a kg or piece before", "after", "adds to a container")
        return table(heads, rows, right=(2, 3, 4))

    def _unit(self, price: float, of: Contribution) -> str:
        """The price of a kilogram, or of a piece with two more decimals."""
        digits = money.digits_of(self.currency) + (2 if of.kind == "packaging" else 0)
        return money.show(price, self.currency, self.locale, digits=digits)

    def _missed(self, missed: Sequence[tuple[Effect, Target]]) -> str:
        return table(
            ("not at its target", "channel", "", "margin before", "after", "target", "price", "new price"),
            [
                (
                    one.title,
                    each.channel,
                    "falls below" if each.falls_below else _state(each),
                    self.percent(_or_unknown(each.before_pct)),
                    money.percent_below(
                        math.nan if each.after_pct is None else each.after_pct, each.target_pct, self.locale
                    ),
                    self.percent(each.target_pct),
                    self.money(each.price),
                    "none is enough"
                    if each.new_price is None and each.after_pct is not None
                    else self.money(_or_unknown(each.new_price)),
                )
                for one, each in missed
            ],
            right=(3, 4, 5, 6, 7),
        )

    # Side by side -------------------------------------------------------------------------------------------------

    def sides(self, found: Sides) -> list[str]:
        """A recipe as it is beside what it might be."""
        before, after = found.before, found.after
        name = before.cost.batch.container
        rows = []
        for kind in KINDS:
            was, now = (float(getattr(one.cost.per_container, kind)) for one in (before, after))
            rows.append((f"{kind}, a {name}", self.money(was), self.money(now), self.change(now - was)))
        one, two = before.cost.batch, after.cost.batch
        count = two.containers - one.containers
        rows.append(("containers a batch", str(one.containers), str(two.containers), f"{count:+d}" if count else "0"))
        rows.append((f"weight of a {name}", grams(one.fill_g, self.locale), grams(two.fill_g, self.locale), ""))
        blocks = [
            f"If {', '.join(clean(change) for change in found.changes)}:",
            table(("what", "as it is", "if so", "difference"), rows, right=(1, 2, 3)),
            self._channels((("as it is", before), ("if so", after))),
        ]
        if found.alone:
            lines = [
                (each.change, self.money(each.per_container), self.change(each.difference)) for each in found.alone
            ]
            heads = ("each change by itself", f"a {name}", "difference")
            blocks.append(table(heads, lines, right=(1, 2)))
        return [one for one in blocks if one] + self._drawn((before, after))

    def side(self, one: Side) -> list[str]:
        """A recipe as it is."""
        name = one.cost.batch.container
        rows = [(f"{kind}, a {name}", self.money(float(getattr(one.cost.per_container, kind)))) for kind in KINDS]
        blocks = [table(("what", "as it is"), rows, right=(1,)), self._channels((("as it is", one),))]
        return [block for block in blocks if block] + self._drawn((one,))

    def _channels(self, sides: Sequence[tuple[str, Side]]) -> str:
        names = dict.fromkeys(channel.name for _, one in sides for channel in one.cost.channels)
        rows = []
        for name in names:
            for i, (word, one) in enumerate(sides):
                found = one.channel(name)
                likely = one.chance.get(name)
                if found is None:
                    rows.append((name if not i else "", word, *["–"] * 6))
                    continue
                rows.append(
                    (
                        name if not i else "",
                        word,
                        self.money(one.written.get(name)),
                        self.money(found.margin),
                        money.percent_below(found.margin_pct, found.target_pct, self.locale),
                        self.percent(found.target_pct),
                        self.money(_as_unknown(one.new_price.get(name), found.margin)),
                        self.percent(_as_unknown(likely.chance_pct if likely else None, found.margin)),
                    )
                )
        heads = ("channel", "", "price", "margin", "margin %", "target %", "new price", "chance to meet it")
        return table(heads, rows, right=range(2, 8)) if rows else ""

    def _drawn(self, sides: Sequence[Side]) -> list[str]:
        draws = [each.draws for one in sides for each in one.chance.values()]
        if not draws:
            return []
        if max(draws) == 1:
            return ["No figure here is a range, so the chance is 0 or 100 %."]
        return [f"The chance: the share of {max(draws):,} draws of the recipe's ranges in which the target is met."]

    # A tornado ----------------------------------------------------------------------------------------------------

    def tornado(self, found: Tornado) -> list[str]:
        """Bars, the longest first; ``-`` is what a fall of the figure does, ``+`` what a rise does."""
        share = f"{found.by * 100:g}%"
        shown = [bar for bar in found.bars if bar.size > SMALL or bar.down is None or bar.up is None]
        longest = max((bar.size for bar in shown), default=0.0)
        rows = [
            (bar.figure.what, self.change(bar.down), self.change(bar.up), _bar(bar, longest) if longest else "")
            for bar in shown
        ]
        heads = (f"margin, {found.channel}: {self.money(found.margin)}", f"-{share}", f"+{share}", "less | more margin")
        blocks = [table(heads, rows, right=(1, 2))]
        if any(bar.down is None or bar.up is None for bar in shown):
            blocks.append("–: cannot be made in a kitchen.")
        still = [bar.figure.what for bar in found.bars if bar not in shown]
        if still:
            what = f"Nothing moves the margin in: {'; '.join(clean(one) for one in still)}."
            blocks.append(f"{what} A batch sells whole containers, and these bring no more and no fewer.")
        return blocks

    # A table over one or two figures ------------------------------------------------------------------------------

    def table(self, found: Table) -> list[str]:
        """A table: the margin in every place, as money and as a percentage."""
        target = "" if found.target_pct is None else f"; * meets the target of {self.percent(found.target_pct)}"
        head = f"Margin, {clean(found.channel)}{target}"
        never = ["–: cannot be made in a kitchen."] if any(cell.cost is None for cell in found.cells) else []
        first = found.axes[0]
        if len(found.axes) == 1:
            rows = [(cell.values[0], self.money(cell.cost), self._cell(cell, found)) for cell in found.cells]
            return [head, table((first.target, "cost of a container", "margin"), rows, right=(0, 1, 2)), *never]
        second = found.axes[1]
        wide = len(second.values)
        lines = [found.cells[i : i + wide] for i in range(0, len(found.cells), wide)]
        corner = f"{first.target} \\ {second.target}"
        body = [
            (value, *(self._cell(cell, found) for cell in line))
            for value, line in zip(first.values, lines, strict=True)
        ]
        return [head, table((corner, *second.values), body, right=range(wide + 1)), *never]

    def _cell(self, cell: Cell, found: Table) -> str:
        if cell.margin is None:
            return "–"
        from costing.whatif.effect import reached

        if math.isnan(cell.margin):
            return f"{self.money(cell.margin)} "
        met = found.target_pct is not None and reached(cell.margin_pct, found.target_pct)
        share = money.percent_below(cell.margin_pct, found.target_pct, self.locale)
        return f"{self.money(cell.margin)} {share}{'*' if met else ' '}"


def _or_unknown(value: float | Decimal | None) -> float | Decimal:
    return math.nan if value is None else value


def _state(target: Target) -> str:
    """What there is to say of a target that is not met now, and did not fall below by these prices."""
    if target.after_pct is None:
        return "not known"
    return "was not known" if target.before_pct is None else "was below"


def _as_unknown(value: float | Decimal | None, margin: float) -> float | Decimal | None:
    """A figure that hangs on a margin: where that is unknown, so is this."""
    return math.nan if value is None and math.isnan(margin) else value


def _bar(bar: Bar, longest: float) -> str:
    """A bar of both effects on both sides of a middle.

    The shorter of two on one side lies over the longer.
    """
    left, right = [" "] * HALF, [" "] * HALF
    ends = sorted(
        ((abs(value), value, mark) for value, mark in ((bar.down, "-"), (bar.up, "+")) if value), reverse=True
    )
    for size, value, mark in ends:
        columns = max(1, round(size / longest * HALF)) if size > SMALL else 0
        for i in range(columns):
            if value > 0:
                right[i] = mark
            else:
                left[HALF - 1 - i] = mark
    return f"{''.join(left)}|{''.join(right)}".rstrip()
