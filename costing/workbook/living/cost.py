"""The cost of a flavour by formulas: from the inputs to the total, a container, a serving and every channel.

What only the engine can work out (weights used, containers filled, volumes, what saved things take along) stands in
cells that say *locked*.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from costing.workbook import cost as plain
from costing.workbook.cost import KINDS, container_of, filled_words, share_of
from costing.workbook.formats import number
from costing.workbook.living import cells, selling
from costing.workbook.living.cells import at
from costing.workbook.values import NA, NONE, Column, Formula, Value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.results import CostAnswer, CostLine, Filled
    from costing.workbook.grid import Sheet
    from costing.workbook.living.facts import Facts, Stream
    from costing.workbook.living.inputs import Inputs


@dataclass(slots=True)
class Written:
    """Where the figures of a flavour stand, for the sheets that bring flavours together.

    Args:
        sheet: name of its sheet.
        kinds: field of :class:`~costing.results.Cost` to the cell of a container's money of that kind.
        total: the cell of a container's cost.
        channels: channel to its row.
        span: first and last row of the channels.
    """

    sheet: str
    kinds: dict[str, str] = field(default_factory=dict)
    total: str = ""
    channels: dict[str, int] = field(default_factory=dict)
    span: tuple[int, int] = (0, 0)


def unknown(value: object) -> bool:
    """Whether a figure of the engine is none."""
    return value is None or (isinstance(value, float) and not math.isfinite(value))


class Section:
    """Writes the section of one flavour.

    Args:
        sheet: the flavour's sheet.
        answer: its cost.
        facts: what the engine says.
        inputs: names of the inputs.
    """

    def __init__(self, sheet: Sheet, answer: CostAnswer, facts: Facts, inputs: Inputs) -> None:
        self.sheet = sheet
        self.answer = answer
        self.facts = facts
        self.inputs = inputs
        self.done = Written(sheet.name)
        self.rows: dict[str, list[int]] = {name: [] for _, name, _ in KINDS}
        self.subtotal: dict[str, int] = {}
        self.kind_rows: list[int] = []
        self.sum_row = 0

    def write(self, filled: Sequence[Filled]) -> int:
        """Write it; returns the row of its heading."""
        sheet = self.sheet
        start = sheet.section("Cost")
        key = sheet.row
        plain._figures(sheet, self.answer, filled)
        self._kinds(filled)
        if any(one.shares is not None for one in self.facts.credits):
            self._shares_of_credits()
        self._lines()
        self._again(filled, key)
        if self.answer.channels:
            selling.write(self)
        sheet.paragraph(
            "Cells from “What it costs” on follow the sheet Inputs. The sections below stay as the engine wrote them."
        )
        return start

    # What the engine works out

    def _kinds_table(self) -> tuple[Column, ...]:
        return (
            Column("Container", 1),
            Column("", 2),
            Column("Filled (whole)", 3, number(0)),
            Column("Weight of one (g)", 4, number(1)),
            Column("Volume of one (mL)", 5, number(1)),
            Column("Servings in one", 6, number(2)),
            Column("Part of the batch in one", 7, "0.000%"),
            Column("Cost of one", 8, self.sheet.formats.money),
        )

    def _kinds(self, filled: Sequence[Filled]) -> None:
        self.sheet.heading("Containers (the engine works out the first figures; locked)")
        self.sheet.heads(self._kinds_table())
        self.kind_rows = [self.sheet.row + i for i in range(len(self.facts.kinds))]
        self._kind_lines(filled, costs=[None] * len(self.facts.kinds))

    def _kind_lines(self, filled: Sequence[Filled], costs: Sequence[Value]) -> None:
        first, last = self.kind_rows[0], self.kind_rows[-1]
        everything = f"SUMPRODUCT({at(3, first)}:{at(3, last)},{at(5, first)}:{at(5, last)})"
        volume = sum(kind.count * kind.ml for kind in self.facts.kinds)
        for i, (kind, one, each) in enumerate(zip(self.facts.kinds, filled, costs, strict=True)):
            row = self.kind_rows[i]
            part = Formula(f"IF({everything}>0,{at(5, row)}/{everything},0)", kind.ml / volume if volume > 0 else 0.0)
            self.sheet.line(
                self._kinds_table(),
                [
                    kind.name,
                    "locked",
                    kind.count,
                    one.fill_g,
                    kind.ml,
                    self.facts.servings if i == 0 else NA,
                    part,
                    each,
                ],
            )

    @property
    def part(self) -> str:
        """The cell with what part of the batch is in one container of the first kind."""
        return at(7, self.kind_rows[0])

    def _shares_of_credits(self) -> None:
        sheet = self.sheet
        sheet.heading("What saved things carry of each purchase (locked; the engine follows the money)")
        table = (
            Column("Item", 1),
            Column("", 2),
            *(Column(one.name, 3 + i, "0.0000%") for i, one in enumerate(self.facts.credits)),
        )
        sheet.heads(table)
        self._credit_rows: dict[str, int] = {}
        for stream in self.facts.streams:
            if any((one.shares or {}).get(stream.name) for one in self.facts.credits):
                self._credit_rows[stream.name] = sheet.row
                shares: list[Value] = [
                    NA if one.shares is None else one.shares.get(stream.name, 0.0) for one in self.facts.credits
                ]
                sheet.line(table, [stream.name, "locked", *shares])
        self._constant = sheet.row
        money = tuple(Column(c.head, c.at, sheet.formats.fine_money if c.at > 2 else "") for c in table)
        sheet.line(
            money, ["What the recipe says they are worth", "locked", *(one.constant for one in self.facts.credits)]
        )

    # Line by line

    def _table(self) -> tuple[Column, ...]:
        formats, thing = self.sheet.formats, container_of(self.answer)
        return (
            Column("Item", 1, wrap=True),
            Column("Of", 2, wrap=True),
            Column("Bought", 3, number(2)),
            Column("Used (g), locked", 4, number(1)),
            Column("Price of a kg, piece, hour", 5, formats.fine_money),
            Column("Cost, batch", 6, formats.money),
            Column(f"Cost, {thing}", 7, formats.fine_money),
            Column("Cost, serving", 8, formats.fine_money),
            Column("Share of cost", 9, formats.percent),
            Column("Pack as written", 10, wrap=True),
            Column("Price dated", 12, formats.date),
            Column("Supplier", 13, over=1),
        )

    def _lines(self) -> None:
        sheet, answer = self.sheet, self.answer
        sheet.heading("What it costs")
        sheet.heads(self._table())
        by_kind = {kind: [line for line in answer.lines if line.kind == kind] for kind, _, _ in KINDS}
        counts = {kind: 2 if kind == "overhead" else len(lines) for kind, lines in by_kind.items()}
        # The total stands below all lines and their subtotals.
        self.sum_row = sheet.row + sum(count + 1 for count in counts.values() if count)
        for kind, name, title in KINDS:
            if not counts[kind]:
                continue
            self.rows[name] = [sheet.row + i for i in range(counts[kind])]
            self.subtotal[name] = sheet.row + counts[kind]
            getattr(self, f"_{name}")(by_kind[kind])
            own = self._own_rows(name)
            each: float = getattr(answer.per_container, name)
            row = sheet.row
            for_one = (
                cells.total(7, own, each) if name == "packaging" else cells.follows(f"{at(6, row)}*{self.part}", each)
            )
            whole: float = getattr(answer.cost, name)
            sheet.line(
                self._table(),
                [
                    title,
                    NONE,
                    NONE,
                    NONE,
                    NONE,
                    cells.total(6, self.rows[name], whole),
                    for_one,
                    self._serving(row, getattr(answer.per_serving, name)),
                    self._share(row, whole),
                    NONE,
                    NONE,
                    NONE,
                ],
                "sub",
            )
            self.done.kinds[name] = at(7, row)
        row = sheet.row
        assert row == self.sum_row
        totals = [
            cells.plus([at(column, self.subtotal[name]) for _, name, _ in KINDS if name in self.subtotal], shown)
            for column, shown in (
                (6, answer.cost.total),
                (7, answer.per_container.total),
                (8, answer.per_serving.total),
            )
        ]
        self.done.total = at(7, row)
        sheet.line(
            self._table(),
            ["Total", NONE, NONE, NONE, NONE, *totals, self._share(row, answer.cost.total), NONE, NONE, NONE],
            "total",
        )

    def _own_rows(self, name: str) -> list[int]:
        rows = self.rows[name]
        return rows[: len(self.facts.kinds[0].made_of)] if name == "packaging" else rows

    def _serving(self, row: int, shown: float) -> Formula:
        return cells.follows(f"{at(7, row)}/{at(6, self.kind_rows[0])}", shown)

    def _share(self, row: int, money: float) -> Formula:
        total = at(6, self.sum_row)
        found = share_of(money, self.answer.cost.total)
        shown = found if isinstance(found, float) else "unknown" if found is None else "–"
        return cells.follows(f"IF({total}>0,{at(6, row)}/{total},{cells.NONE})", shown)

    def _line(
        self, first: Sequence[Value], cost: Value, line: CostLine | None, money: float, each: str, shown: float
    ) -> None:
        """One line: its first five values, its cost, and what of that falls on a container."""
        row = self.sheet.row
        for_one: list[Value] = [NA, NA]
        if each:
            for_one = [cells.follows(each, shown), self._serving(row, shown / self.facts.servings)]
        source: list[Value] = [NA, NA, NA]
        if line is not None:
            source = [line.pack or NA, line.price_date or NA, line.supplier or NA]
        self.sheet.line(self._table(), [*first, cost, *for_one, self._share(row, money), *source])

    def _by_volume(self, money: float) -> tuple[str, float]:
        volume = sum(kind.count * kind.ml for kind in self.facts.kinds)
        part = self.facts.kinds[0].ml / volume if volume > 0 else 0.0
        return f"{at(6, self.sheet.row)}*{self.part}", money * part

    def _bought(self, stream: Stream, grams: float) -> Value:
        usable = self.inputs.usable.get(stream.name)
        if usable is None or not stream.net_g:
            return grams
        fixed = stream.whole_g + stream.shared_g
        text = f"{cells.number(stream.net_g)}/{usable}" + (f"+{cells.number(fixed)}" if fixed else "")
        return cells.given(text, [usable], grams)

    def _ingredients(self, lines: Sequence[CostLine]) -> None:
        for line, stream in zip(lines, self.facts.streams, strict=True):
            row = self.sheet.row
            price, pack = self.inputs.price[line.item], self.inputs.pack[line.item]
            kg = "unknown" if line.per_kg is None else line.per_kg
            bought = self._bought(stream, line.bought_g or 0.0)
            words = "g" if isinstance(bought, Formula) else "g, locked"
            words = f"{words}; {line.amount}" if line.amount else words
            rate = cells.given(f"{price}/{pack}*1000", [price, pack], kg)
            money = cells.follows(f"{at(3, row)}*{at(5, row)}/1000", line.cost)
            self._line(
                [line.item, words, bought, line.used_g, rate], money, line, line.cost, *self._by_volume(line.cost)
            )

    def _packaging(self, lines: Sequence[CostLine]) -> None:
        wanted = [(place, item, each) for place, kind in enumerate(self.facts.kinds) for item, each in kind.made_of]
        for line, (place, item, each) in zip(lines, wanted, strict=True):
            row, kind = self.sheet.row, self.facts.kinds[place]
            price, pieces = self.inputs.price[f"each {item}"], self.inputs.pack[f"each {item}"]
            count = at(3, self.kind_rows[place])
            number_of = Formula(f"{cells.number(each)}*{count}", each * kind.count)
            made = each * kind.count
            rate = cells.given(f"{price}/{pieces}", [price, pieces], line.cost / made if made else 0.0)
            money = cells.follows(f"{at(3, row)}*{at(5, row)}", line.cost)
            own = (f"IF({count}>0,{at(6, row)}/{count},0)", line.cost / kind.count if kind.count else 0.0)
            self._line([item, "each", number_of, NA, rate], money, line, line.cost, *(own if place == 0 else ("", 0.0)))

    def _labour(self, lines: Sequence[CostLine]) -> None:
        for i, (line, one) in enumerate(zip(lines, self.facts.minutes, strict=True)):
            row = self.sheet.row
            minutes, wage = self.inputs.minutes[self.facts.recipe, i], self.inputs.wage[one.role]
            taken = cells.given(minutes, [minutes], one.minutes)
            hourly = cells.given(wage, [wage], line.cost / one.minutes * 60 if one.minutes else 0.0)
            money = cells.follows(f"{at(3, row)}*{at(5, row)}/60", line.cost)
            self._line(
                [line.item, f"min, {one.role}", taken, NA, hourly], money, line, line.cost, *self._by_volume(line.cost)
            )

    def _overhead(self, lines: Sequence[CostLine]) -> None:
        told = {line.item: line.cost for line in lines}
        inputs = self.inputs.overhead
        batch = told.get("overhead per batch", 0.0)
        money = cells.given(inputs["per batch"], [inputs["per batch"]], batch)
        self._line(["overhead per batch", "1 batch", NA, NA, NA], money, None, batch, *self._by_volume(batch))
        share = told.get("overhead on labour", 0.0)
        labour = at(6, self.subtotal["labour"]) if "labour" in self.subtotal else "0"
        money = cells.given(f"{inputs['of labour']}*{labour}", [inputs["of labour"]], share)
        self._line(["overhead on labour", "share of labour", NA, NA, NA], money, None, share, *self._by_volume(share))

    def _saved(self, lines: Sequence[CostLine]) -> None:
        costs = {stream.name: row for stream, row in zip(self.facts.streams, self.rows["ingredients"], strict=True)}
        for i, (line, one) in enumerate(zip(lines, self.facts.credits, strict=True)):
            money: Value = line.cost
            words = "g kept, locked; credit locked: its worth meets the pot's money"
            if one.shares is not None:
                words = "g kept, locked"
                terms = [at(3 + i, self._constant)]
                terms += [f"{at(6, costs[name])}*{at(3 + i, self._credit_rows[name])}" for name in one.shares]
                money = cells.follows(f"-({'+'.join(terms)})", line.cost)
            self._line([line.item, words, NA, line.used_g, NA], money, None, line.cost, *self._by_volume(line.cost))

    # Figures that stand above what they come from

    def _again(self, filled: Sequence[Filled], key: int) -> None:
        sheet, answer = self.sheet, self.answer
        after = sheet.row
        sheet.row = key
        thing = container_of(answer)
        money, total = sheet.formats.money, self.sum_row
        sheet.strip(
            [
                ("A batch makes", filled_words(answer, filled), ""),
                ("Prices as of", answer.as_of, sheet.formats.date),
                ("Cost of a batch", Formula(at(6, total), answer.cost.total), money),
                (f"Cost of a {thing}", Formula(at(7, total), answer.per_container.total), money),
                ("Cost of a serving", Formula(at(8, total), answer.per_serving.total), money),
            ]
        )
        sheet.row = self.kind_rows[0]
        self._kind_lines(filled, [self._cost_of_one(i) for i in range(len(self.facts.kinds))])
        sheet.row = after

    def _cost_of_one(self, i: int) -> Formula:
        if i == 0:
            return Formula(at(7, self.sum_row), self.answer.per_container.total)
        before = sum(len(kind.made_of) for kind in self.facts.kinds[:i])
        rows = self.rows["packaging"][before : before + len(self.facts.kinds[i].made_of)]
        shared = "+".join(at(6, row) for name, row in self.subtotal.items() if name != "packaging")
        row = self.kind_rows[i]
        packed = "+".join(at(6, one) for one in rows) or "0"
        text = f"({shared})*{at(7, row)}+IF({at(3, row)}>0,({packed})/{at(3, row)},0)"
        return cells.follows(text, self.answer.also[i - 1].cost.total)
