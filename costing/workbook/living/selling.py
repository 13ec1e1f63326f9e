"""What each way of selling leaves, by formulas: on a flavour's sheet, on Margins, and on the opening sheet.

The formulas are those of :mod:`costing.selling.terms`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from costing.workbook.cost import channel_table, channel_values, container_of
from costing.workbook.flavours import best_channel
from costing.workbook.living import cells
from costing.workbook.living.cells import at
from costing.workbook.text import capital, place
from costing.workbook.values import NA, Formula, Mark, Value

if TYPE_CHECKING:
    from costing.results import ChannelResult, CostAnswer
    from costing.workbook.living.cost import Section, Written
    from costing.workbook.living.inputs import Inputs


MOST = 2000
"""Characters that a formula says of a label; formulas have an end."""


def write(section: Section) -> None:
    """The channels of one flavour."""
    sheet, answer = section.sheet, section.answer
    thing = container_of(answer)
    sheet.heading(f"What each way of selling leaves, for a {thing}")
    table = channel_table(sheet, thing)
    sheet.heads(table)
    section.done.span = (sheet.row, sheet.row + len(answer.channels) - 1)
    for channel in answer.channels:
        section.done.channels[channel.name] = sheet.row
        sheet.line(table, [capital(channel.name), *_formulas(section, channel)])


def _formulas(section: Section, channel: ChannelResult) -> list[Value]:
    facts, inputs, row = section.facts, section.inputs, section.sheet.row
    where, each = facts.units[channel.name]
    units = f"({cells.there(each)})"
    names = inputs.channel[channel.name]
    own, target, share, fixed = inputs.own[facts.recipe, channel.name], names["target"], names["share"], names["fixed"]
    price, fees, cost, margin, wanted = (at(column, row) for column in (3, 4, 5, 6, 10))
    count = at(3, section.kind_rows[where])
    extras, needed = _extras(section.inputs, names, inputs.cones.get(channel.name, {}))
    paid = names["paid"]
    burden = f"+IF({paid}<1,{cost}*(1/{paid}-1),0)"
    left = f"ROUND(1-{share}-{target},12)"
    shown = shown_values(channel)
    listed = f"IF(COUNT({names['price']})=1,{names['price']},{cells.UNKNOWN})"
    asked = f"({cost}/{paid}+{fixed}+{extras})/{left}"
    return [
        Formula(
            f'IF({margin}="unknown","unknown",IF({margin}<0,"sells at a loss",'
            f"IF(ISNUMBER({target}),IF(ISNUMBER({wanted}),"
            f'IF(ROUND({wanted}-{price},2)<=0,"meets its target","below its target"),'
            f'"no price meets the target"),"no target set")))',
            verdict(channel),
        ),
        cells.follows(f"IF(COUNT({own})=1,{own},{listed})*{names['kept']}", shown[0]),
        cells.given(f"{price}*{share}+{fixed}+{extras}{burden}", [share, fixed, *needed], shown[1]),
        cells.follows(f"{at(8, section.kind_rows[where])}/{units}", shown[2]),
        cells.follows(f"{price}-{fees}-{cost}", shown[3]),
        cells.follows(f"IF({price}>0,{margin}/{price},{cells.NONE})", shown[4]),
        cells.follows(f"IF(ISNUMBER({cost}),IF({cost}>0,{margin}/{cost},{cells.NONE}),{cells.NONE})", shown[5]),
        Formula(f"IF(ISNUMBER({target}),{target},{cells.NONE})", shown[6]),
        cells.follows(f'IF(ISNUMBER({target}),IF({left}>0,MAX(0,{asked}),"no price can"),{cells.NONE})', shown[7]),
        cells.follows(f"{margin}*{count}*{units}*{paid}", shown[8]),
    ]


def _extras(inputs: Inputs, names: dict[str, str], cone: dict[str, float]) -> tuple[str, list[str]]:
    """What goes out with a unit besides its own price and cost, and the inputs that it takes."""
    parts, needed = [names["further"]], []
    for item, many in cone.items():
        price, pieces = inputs.price[f"each {item}"], inputs.pack[f"each {item}"]
        parts.append(f"{cells.number(many)}*{price}/{pieces}")
        needed += [price, pieces]
    return "+".join(parts), needed


def shown_values(channel: ChannelResult) -> list[float | str]:
    """The figures of a channel as its cells show them."""
    out: list[float | str] = []
    for value in channel_values(channel):
        assert isinstance(value, float | int | str | Mark)
        out.append(value.value if isinstance(value, Mark) else value)
    if channel.target_pct is not None and not math.isfinite(channel.cost) and channel.price_for_target is not None:
        out[7] = "unknown"
    return out


def verdict(channel: ChannelResult) -> str:
    """What the figures of a channel come to, in words."""
    if not math.isfinite(channel.margin):
        return "unknown"
    if channel.margin < 0:
        return "sells at a loss"
    if channel.target_pct is None:
        return "no target set"
    if channel.price_for_target is None:
        return "no price meets the target"
    return "meets its target" if round(channel.price_for_target - channel.price, 2) <= 0 else "below its target"


def on_margins(written: Written, channel: ChannelResult) -> list[Value]:
    """The row of a channel on Margins, from the words on: what stands on the flavour's sheet."""
    row = written.channels[channel.name]
    shown = [verdict(channel), *shown_values(channel)]
    return [Formula(place(written.sheet, at(column, row)), one) for column, one in enumerate(shown, 2)]


def on_opening(written: Written, cost: CostAnswer, first: str, kinds: tuple[str, ...]) -> list[Value]:
    """A flavour on the opening sheet: containers, money by kind, the total, the first channel, the best."""
    first_kind, last_kind = written.kinds_at
    counts = place(written.sheet, f"{at(3, first_kind)}:{at(3, last_kind)}")
    many = f"IF(COUNT({counts})={last_kind - first_kind + 1},SUM({counts}),{cells.UNKNOWN})"
    out: list[Value] = [Formula(many, cost.batch.containers)]
    for name in kinds:
        shown: float = getattr(cost.per_container, name)
        out.append(Formula(place(written.sheet, written.kinds[name]), shown) if name in written.kinds else shown)
    out.append(Formula(place(written.sheet, written.total), cost.per_container.total))
    by_name = {channel.name: channel for channel in cost.channels}
    main = by_name.get(first)
    if main is None:
        out += [NA, NA, NA]
    else:
        row, shown_main = written.channels[first], shown_values(main)
        out += [Formula(place(written.sheet, at(column, row)), shown_main[k]) for column, k in ((3, 0), (6, 3), (7, 4))]
    if not cost.channels:
        return [*out, NA, NA]
    names, shares = (
        place(written.sheet, f"{at(column, written.span[0])}:{at(column, written.span[1])}") for column in (1, 7)
    )
    best = best_channel(cost.channels)
    return [
        *out,
        Formula(
            f"IF(COUNT({shares})>0,INDEX({names},MATCH(MAX({shares}),{shares},0)),{cells.NONE})",
            capital(best.name) if best else "–",
        ),
        Formula(f"IF(COUNT({shares})>0,MAX({shares}),{cells.NONE})", (best.margin_pct or 0.0) / 100 if best else "–"),
    ]


def label_on_opening(written: Written, told: list[Value]) -> list[Value]:
    """Calories, allergens and state of a label on the opening sheet, as long as the recipe is as it is written."""
    calories, allergens, state = told
    if not (isinstance(calories, str) and isinstance(state, str)):
        return told
    row, column = written.state_at
    state = state if len(state) <= MOST else f"{state[: MOST - 1]}…"
    same = f'{place(written.sheet, at(column, row))}="as written"'
    return [
        Formula(f'IF({same},{cells.quoted(calories)},"out of date")', calories),
        allergens,
        Formula(f'IF({same},{cells.quoted(state)},"out of date: make it again")', state),
    ]
