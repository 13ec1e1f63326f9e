"""The cost of a flavour by formulas: from the kitchen and the inputs to a container, a serving and every channel."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from costing.workbook import look
from costing.workbook.cost import KINDS, container_of, filled_words, share_of
from costing.workbook.formats import number
from costing.workbook.living import cells, selling
from costing.workbook.living.cells import at
from costing.workbook.living.terms import Term
from costing.workbook.text import plural
from costing.workbook.values import NA, NONE, Column, Formula, Value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.results import CostAnswer, CostLine, Filled
    from costing.workbook.grid import Sheet
    from costing.workbook.living.facts import Facts
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
        kinds_at: first and last row of the containers.
        state_at: row and column of the cell that says whether what does not follow is up to date.
    """

    sheet: str
    kinds: dict[str, str] = field(default_factory=dict)
    total: str = ""
    channels: dict[str, int] = field(default_factory=dict)
    span: tuple[int, int] = (0, 0)
    kinds_at: tuple[int, int] = (0, 0)
    state_at: tuple[int, int] = (0, 0)

    def changed(self, sheet: Sheet, count: str) -> None:
        """Say above everything whether the sections that do not follow are still those of the figures."""
        row, column = self.state_at
        sheet.put(
            column, Formula(f'IF({count}=0,"as written","out of date")', "as written"), look.TONES["strip"], row=row
        )


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
        self.freight: dict[str, list[str]] = {}
        """the input of a supplier's freight to the cells of what a container has of that supplier"""

    def write(self, filled: Sequence[Filled]) -> int:
        """Write it; returns the row of its heading."""
        sheet = self.sheet
        start = sheet.section("Cost")
        key = sheet.row
        sheet.strip(self._strip(filled, 0))
        self._kinds()
        self._lines()
        self._again(filled, key)
        if self.answer.channels:
            selling.write(self)
        sheet.paragraph(
            "All of this follows the sheet Inputs and the framed cells of the section Yield. What waste costs and the "
            "label stay as they were written."
        )
        return start

    # Containers

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

    def _kinds(self) -> None:
        self.sheet.heading("Containers")
        self.sheet.heads(self._kinds_table())
        self.kind_rows = [self.sheet.row + i for i in range(len(self.facts.kinds))]
        self._kind_lines(costs=[None] * len(self.facts.kinds))

    def _volume(self) -> float:
        return sum(kind.count.value * kind.ml.value for kind in self.facts.kinds)

    def _kind_lines(self, costs: Sequence[Value]) -> None:
        first, last = self.kind_rows[0], self.kind_rows[-1]
        counts, volumes = f"{at(3, first)}:{at(3, last)}", f"{at(5, first)}:{at(5, last)}"
        everything = f"SUMPRODUCT({counts},{volumes})"
        many, volume = 2 * len(self.facts.kinds), self._volume()
        for i, (kind, each) in enumerate(zip(self.facts.kinds, costs, strict=True)):
            row = self.kind_rows[i]
            part = cells.follows(
                f"IF(AND(COUNT({counts},{volumes})={many},{everything}*{at(3, row)}>0),{at(5, row)}/{everything},"
                f"{cells.UNKNOWN})",
                kind.ml.value / volume if volume * kind.count.value > 0 else math.nan,
            )
            self.sheet.line(
                self._kinds_table(),
                [
                    kind.name,
                    "from the kitchen",
                    cells.kitchen(kind.count),
                    cells.kitchen(kind.grams),
                    cells.kitchen(kind.ml),
                    cells.kitchen(self.facts.servings) if i == 0 else NA,
                    part,
                    each,
                ],
            )

    @property
    def part(self) -> str:
        """The cell with what part of the batch is in one container of the first kind."""
        return at(7, self.kind_rows[0])

    # Line by line

    def _table(self) -> tuple[Column, ...]:
        formats, thing = self.sheet.formats, container_of(self.answer)
        return (
            Column("Item", 1, wrap=True),
            Column("Of", 2, wrap=True),
            Column("Bought", 3, number(2)),
            Column("Used (g)", 4, number(1)),
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
        counts = {kind: len(lines) for kind, lines in by_kind.items()}
        # Both kinds of overhead, and all that may be saved, have a line even where they come to nothing now.
        counts |= {"overhead": 2, "saved": len(self.facts.credits)}
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
            for_one = [cells.follows(each, shown), self._serving(row, shown / self.facts.servings.value)]
        source: list[Value] = [NA, NA, NA]
        if line is not None:
            source = [line.pack or NA, line.price_date or NA, line.supplier or NA]
            if each and line.supplier in self.inputs.freight:
                self.freight.setdefault(self.inputs.freight[line.supplier], []).append(at(7, row))
        self.sheet.line(self._table(), [*first, cost, *for_one, self._share(row, money), *source])

    def _by_volume(self, money: float) -> tuple[str, float]:
        volume = self._volume()
        first = self.facts.kinds[0]
        part = first.ml.value / volume if volume * first.count.value > 0 else math.nan
        return f"{at(6, self.sheet.row)}*{self.part}", money * part

    def _ingredients(self, lines: Sequence[CostLine]) -> None:
        streams = {stream.name: stream for stream in self.facts.streams}
        for line in lines:
            row, stream = self.sheet.row, streams[line.item]
            price, pack = self.inputs.price[line.item], self.inputs.pack[line.item]
            kg = "unknown" if line.per_kg is None else line.per_kg
            words = f"g; {line.amount}" if line.amount else "g"
            rate = cells.given(f"{price}/{pack}*1000", [price, pack], kg)
            money = cells.follows(f"{at(3, row)}*{at(5, row)}/1000", line.cost)
            grams = [cells.kitchen(stream.bought), cells.kitchen(stream.used)]
            self._line([line.item, words, *grams, rate], money, line, line.cost, *self._by_volume(line.cost))

    def _packaging(self, lines: Sequence[CostLine]) -> None:
        wanted = [(place, item, each) for place, kind in enumerate(self.facts.kinds) for item, each in kind.made_of]
        for line, (place, item, each) in zip(lines, wanted, strict=True):
            row, many = self.sheet.row, self.facts.kinds[place].count.value
            price, pieces = self.inputs.price[f"each {item}"], self.inputs.pack[f"each {item}"]
            count = at(3, self.kind_rows[place])
            made = each * many
            number_of = cells.follows(f"{cells.number(each)}*{count}", made)
            rate = cells.given(f"{price}/{pieces}", [price, pieces], self.inputs.each[item])
            money = cells.follows(f"{at(3, row)}*{at(5, row)}", line.cost)
            own = (f"IF({count}>0,{at(6, row)}/{count},{cells.UNKNOWN})", line.cost / many if many else math.nan)
            self._line([item, "each", number_of, NA, rate], money, line, line.cost, *(own if place == 0 else ("", 0.0)))

    def _labour(self, lines: Sequence[CostLine]) -> None:
        for line, one in zip(lines, self.facts.minutes, strict=True):
            row = self.sheet.row
            minutes, wage = self.inputs.minutes[one.key], self.inputs.wage[one.role]
            whole = one.each * one.times.value
            taken = cells.given(f"{minutes}*{cells.there(one.times)}", [minutes], whole)
            hourly = cells.given(wage, [wage], line.cost / whole * 60 if whole else 0.0)
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

    def _saved(self, lines: Sequence[CostLine]) -> None:  # noqa: ARG002  all that may be saved has a line
        for one in self.facts.credits:
            credit = 0.0 - one.money.value
            money = cells.follows(f"-{cells.there(one.money)}", credit)
            grams = cells.kitchen(one.grams)
            self._line([one.name, "g kept", NA, grams, NA], money, None, credit, *self._by_volume(credit))

    # Figures that stand above what they come from

    def _strip(self, filled: Sequence[Filled], total: int) -> list[tuple[str, Value, str]]:
        answer, facts, formats = self.answer, self.facts, self.sheet.formats
        thing, money, first = container_of(answer), formats.money, facts.kinds[0]
        pounds = f"{cells.there(first.grams)}/{cells.there(first.ml)}*3785.411784/453.59237"
        pairs: list[tuple[str, Value, str]] = [
            ("A batch makes", self._words(filled), ""),
            ("Prices as of", answer.as_of, formats.date),
            ("Cost of a batch", Formula(at(6, total), answer.cost.total) if total else NA, money),
            (f"Cost of a {thing}", Formula(at(7, total), answer.per_container.total) if total else NA, money),
            ("Cost of a serving", Formula(at(8, total), answer.per_serving.total) if total else NA, money),
            (f"Weight of a {thing} (g)", cells.kitchen(first.grams), number(0)),
            (f"Volume of a {thing} (mL)", cells.kitchen(first.ml), number(0)),
            ("Overrun", NA if facts.overrun is None else cells.kitchen(facts.overrun), formats.percent),
            ("Machine runs", cells.kitchen(facts.made.runs) if not facts.made.runs.is_(0.0) else NA, number(0)),
            ("Mix density (g/mL)", NA if facts.mix_density is None else cells.kitchen(facts.mix_density), number(3)),
            ("Weight of a gallon (lb)", cells.follows(pounds, answer.batch.weight_per_gallon_lb or 0.0), number(2)),
        ]
        if answer.freight and total:
            each = [f"({'+'.join(rows)})*{name}/(1+{name})" for name, rows in self.freight.items()]
            money_in = cells.follows("+".join(each) or "0", answer.freight[1])
            pairs.insert(5, (f"Freight in a {thing}", money_in, money))
        elif answer.freight:
            pairs.insert(5, (f"Freight in a {thing}", NA, money))
        if facts.made.ok:
            ok = cells.there(Term(facts.made.ok, 0.0))
            pairs.append(("Can it be made?", Formula(f'IF({ok}="ok","yes","no: see Yield")', "yes"), ""))
        return pairs

    def _words(self, filled: Sequence[Filled]) -> Formula:
        """What a batch makes, in words that follow."""
        parts = []
        for kind in self.facts.kinds:
            one, many = plural(1, kind.name).removeprefix("1"), plural(2, kind.name).removeprefix("2")
            count = cells.there(kind.count)
            parts.append(f'TEXT({count},"0")&IF({count}=1,{cells.quoted(one)},{cells.quoted(many)})')
        counts = [cells.there(kind.count) for kind in self.facts.kinds]
        text = '&" and "&'.join(parts)
        return Formula(
            f"IF(COUNT({','.join(counts)})={len(counts)},{text},{cells.UNKNOWN})", filled_words(self.answer, filled)
        )

    def _again(self, filled: Sequence[Filled], key: int) -> None:
        sheet = self.sheet
        after, sheet.row = sheet.row, key
        pairs = [*self._strip(filled, self.sum_row), ("Waste and label below", NONE, "")]
        self.done.state_at = (key + 1, len(pairs))
        self.done.kinds_at = (self.kind_rows[0], self.kind_rows[-1])
        sheet.strip(pairs)
        sheet.row = self.kind_rows[0]
        self._kind_lines([self._cost_of_one(i) for i in range(len(self.facts.kinds))])
        sheet.row = after

    def _cost_of_one(self, i: int) -> Formula:
        if i == 0:
            return Formula(at(7, self.sum_row), self.answer.per_container.total)
        before = sum(len(kind.made_of) for kind in self.facts.kinds[:i])
        rows = self.rows["packaging"][before : before + len(self.facts.kinds[i].made_of)]
        shared = "+".join(at(6, row) for name, row in self.subtotal.items() if name != "packaging")
        row = self.kind_rows[i]
        packed = "+".join(at(6, one) for one in rows) or "0"
        text = f"({shared})*{at(7, row)}+({packed})/{at(3, row)}"
        return cells.follows(text, self.answer.also[i - 1].cost.total)
