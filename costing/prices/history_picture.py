"""A history of prices as a picture: steps over time, one line for each supplier's item, named at its end.

Every line has a dash and a mark of its own besides its colour, so that the picture says the same in grey. A price holds
until the next one; one in another currency moves with the rate, without a mark where no list came. The broad band
behind is what the shop would have paid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from costing.flow import palette
from costing.flow.picture import Picture, Point, Shape, Text, cut, plain, rectangle
from costing.money import digits_of, show
from costing.prices.history import changed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.prices.history import History

WIDE, HIGH = 640.0, 340.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 430.0, 74.0, 262.0
LINES = 6
"""Lines with a dash and a name of their own; further ones are thin and grey."""
INKS = (palette.PINE, palette.RUST, "3F7F86", "8A6A1F", "5A4A78", palette.QUIET)
DASHES = ((), (7.0, 3.0), (2.0, 2.0), (9.0, 2.5, 2.0, 2.5), (4.0, 4.0), (12.0, 4.0))
MARK = 3.4
THICK = 1.6
BAND = 7.0
SMALL, USUAL, LARGE = 9.0, 10.0, 15.0
_WHOLE = ((1.0,), (2.0,), (2.5,), (5.0,), (10.0,))


@dataclass(frozen=True, slots=True)
class _Line:
    name: str
    points: tuple[tuple[date, float], ...]
    lists: frozenset[date] = frozenset()
    """the days on which a list had it"""


@dataclass(frozen=True, slots=True)
class _Plot:
    """Where days and money stand."""

    first: date
    last: date
    low: float
    high: float

    def x(self, day: date) -> float:
        days = max((self.last - self.first).days, 1)
        return LEFT + (RIGHT - LEFT) * (day - self.first).days / days

    def y(self, money: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * (money - self.low) / (self.high - self.low)


def picture(found: History, currency: str, locale: str, until: date, *, freight: bool = False) -> Picture | None:
    """The picture of a history.

    Args:
        found: the history.
        currency: the shop's.
        locale: how numbers are written there.
        until: the last day; prices hold until then.
        freight: whether what the shop would have paid counts freight.

    Returns:
        The picture; None where no price is known in the shop's currency.
    """
    lines = _lines(found)
    paid = _Line("", tuple((one.date, one.home) for one in found.paid if one.home is not None))
    every = [money for line in (*lines, paid) for _, money in line.points]
    if not every:
        return None
    days = [day for line in (*lines, paid) for day, _ in line.points]
    ticks = _ticks(min(every), max(every))
    first, last = min(days), max(until, *days)
    plot = _Plot(first, last if last > first else first + timedelta(days=1), ticks[0], ticks[-1])
    shapes: list[Shape] = []
    texts: list[Text] = [
        Text(20.0, 30.0, cut(plain(found.name), 400.0, LARGE, "bold"), LARGE, "bold", palette.INK),
        Text(20.0, 48.0, f"{currency} for a {found.unit} as bought; a price holds until the next one{_moves(found)}",
             USUAL, colour=palette.QUIET),
    ]  # fmt: skip
    _axes(plot, ticks, sorted({*days, until}), currency, locale, shapes, texts)
    shapes += _steps(plot, paid.points, palette.MADE[0], BAND, (), "what the shop would have paid")
    for at, line in enumerate(lines):
        ink, dash, thick = (INKS[at], DASHES[at], THICK) if at < LINES else (palette.LINE, (), 0.8)
        shapes += _steps(plot, line.points, ink, thick, dash, line.name)
        if at < LINES:
            shapes += [
                Shape(_mark(at, plot.x(day), plot.y(money)), ink) for day, money in line.points if day in line.lists
            ]
    _names(plot, lines[:LINES], locale, shapes, texts)
    shapes.append(Shape(rectangle(LEFT, HIGH - 36.0, 26.0, BAND), palette.MADE[0]))
    key = "what the shop would have paid" + (", with freight" if freight else "")
    key += f"; thin lines: {len(lines) - LINES} more items" if lines[LINES:] else ""
    texts.append(Text(LEFT + 32.0, HIGH - 29.5, key, SMALL, colour=palette.QUIET))
    return Picture(WIDE, HIGH, tuple(shapes), tuple(texts), f"Prices of {plain(found.name)}", _said(found, currency))


def _said(found: History, currency: str) -> str:
    known = [one for one in found.paid if one.home is not None]
    if not known:
        return f"Prices of {found.name} on every list."
    return (
        f"A {found.unit} of {found.name} cost {known[0].home:.2f} {currency} on {known[0].date.isoformat()} and "
        f"{known[-1].home:.2f} {currency} from {known[-1].date.isoformat()} on."
    )


def _moves(found: History) -> str:
    return "; steps without a mark: the rate" if any(one.home is not None for one in found.rated) else ""


def _lines(found: History) -> list[_Line]:
    """One line for each supplier's item, the cheapest pack of each day; those seen last and most come first."""
    best: dict[tuple[str, str], dict[date, float]] = {}
    for one in (*found.entries, *found.rated):
        if one.home is not None:
            days = best.setdefault((one.supplier, one.item), {})
            days[one.date] = min(one.home, days.get(one.date, one.home))
    lists: dict[tuple[str, str], set[date]] = {key: set() for key in best}
    for one in found.entries:
        lists.get((one.supplier, one.item), set()).add(one.date)
    named = sorted(best, key=lambda key: (-max(lists[key]).toordinal(), -len(lists[key]), key))
    return [_Line(f"{key[0]}: {key[1]}", tuple(sorted(best[key].items())), frozenset(lists[key])) for key in named]


def _ticks(low: float, high: float) -> list[float]:
    """Round amounts around two."""
    room = (high - low) or high * 0.1
    rough = room * 1.25 / 4
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(one * size for (one,) in _WHOLE if one * size >= rough * 0.999)
    first = math.floor((low - room * 0.08) / step)
    last = math.ceil((high + room * 0.08) / step)
    return [at * step for at in range(max(first, 0), max(last, first + 1) + 1)]


def _axes(
    plot: _Plot,
    ticks: Sequence[float],
    days: Sequence[date],
    currency: str,
    locale: str,
    shapes: list[Shape],
    texts: list[Text],
) -> None:
    step = ticks[1] - ticks[0]
    digits = max(digits_of(currency), -math.floor(math.log10(step) + 1e-9) + (0 if _round(step) else 1), 0)
    for money in ticks:
        y = plot.y(money)
        shapes.append(Shape(rectangle(LEFT, y - 0.25, RIGHT - LEFT, 0.5), palette.LINE))
        texts.append(Text(LEFT - 6.0, y + 3.2, show(money, currency, locale, digits), SMALL, colour=palette.INK,
                          anchor="end"))  # fmt: skip
    shapes.append(Shape(rectangle(LEFT, BOTTOM - 0.5, RIGHT - LEFT, 1.0), palette.QUIET))
    taken = -math.inf
    for day in days:
        x = plot.x(day)
        shapes.append(Shape(rectangle(x - 0.4, BOTTOM, 0.8, 4.0), palette.QUIET))
        if x - taken >= 56.0:
            texts.append(Text(x, BOTTOM + 15.0, day.isoformat(), SMALL, colour=palette.INK, anchor="middle"))
            taken = x


def _round(step: float) -> bool:
    """Whether a step has one figure that is not zero."""
    size = 10.0 ** math.floor(math.log10(step) + 1e-9)
    return abs(step / size - round(step / size)) < 1e-6


def _steps(
    plot: _Plot, points: Sequence[tuple[date, float]], ink: str, thick: float, dash: Sequence[float], said: str
) -> list[Shape]:
    """A line that stays until the next price and then goes up or down, in dashes."""
    out: list[Shape] = []
    corners: list[Point] = []
    for day, money in points:
        x, y = plot.x(day), plot.y(money)
        if corners:
            corners.append((x, corners[-1][1]))
        corners.append((x, y))
    if points:
        corners.append((RIGHT, corners[-1][1]))
    for (x0, y0), (x1, y1) in pairwise(corners):
        across = y0 == y1
        length = abs(x1 - x0) if across else abs(y1 - y0)
        for begin, end in _dashes(length, dash):
            if across:
                path = rectangle(x0 + begin - (0 if dash else thick / 2), y0 - thick / 2,
                                 end - begin + (0 if dash else thick), thick)  # fmt: skip
            else:
                top = min(y0, y1)
                path = rectangle(x0 - thick / 2, top + begin, thick, end - begin)
            out.append(Shape(path, ink, said=said))
    return out


def _dashes(length: float, dash: Sequence[float]) -> list[tuple[float, float]]:
    if not dash:
        return [(0.0, length)]
    out, at, turn = [], 0.0, 0
    while at < length:
        end = min(at + dash[turn % len(dash)], length)
        if turn % 2 == 0:
            out.append((at, end))
        at, turn = end, turn + 1
    return out


def _mark(kind: int, x: float, y: float) -> tuple[tuple[Point, ...], ...]:
    """A mark of its own for every line: square, diamond, triangle, its reverse, bar, cross bar."""
    m = MARK
    corners: Sequence[Point]
    match kind % 6:
        case 0:
            corners = [(x - m, y - m), (x + m, y - m), (x + m, y + m), (x - m, y + m)]
        case 1:
            corners = [(x, y - 1.4 * m), (x + 1.4 * m, y), (x, y + 1.4 * m), (x - 1.4 * m, y)]
        case 2:
            corners = [(x, y - 1.3 * m), (x + 1.3 * m, y + m), (x - 1.3 * m, y + m)]
        case 3:
            corners = [(x - 1.3 * m, y - m), (x + 1.3 * m, y - m), (x, y + 1.3 * m)]
        case 4:
            corners = [(x - 0.6 * m, y - 1.4 * m), (x + 0.6 * m, y - 1.4 * m), (x + 0.6 * m, y + 1.4 * m),
                       (x - 0.6 * m, y + 1.4 * m)]  # fmt: skip
        case _:
            corners = [(x - 1.4 * m, y - 0.6 * m), (x + 1.4 * m, y - 0.6 * m), (x + 1.4 * m, y + 0.6 * m),
                       (x - 1.4 * m, y + 0.6 * m)]  # fmt: skip
    return tuple((corner,) for corner in corners)


def _names(plot: _Plot, lines: Sequence[_Line], locale: str, shapes: list[Shape], texts: list[Text]) -> None:
    """The name of every line at its end, apart from each other, with how far it has come."""
    apart = 25.0
    wanted = sorted(range(len(lines)), key=lambda at: plot.y(lines[at].points[-1][1]))
    place = TOP - apart
    places: dict[int, float] = {}
    for at in wanted:
        place = max(plot.y(lines[at].points[-1][1]), place + apart)
        places[at] = place
    over = max(0.0, place + 12.0 - (BOTTOM + 12.0))
    for at, y in places.items():
        top = max(y - over, TOP - 6.0)
        line = lines[at]
        supplier, _, item = line.name.partition(": ")
        x = RIGHT + 14.0
        shapes.append(Shape(_mark(at, x, top - 3.0), INKS[at]))
        share = changed(line.points[-1][1] / line.points[0][1] - 1.0, locale) if len(line.points) > 1 else ""
        shown = plain(f"{supplier}  {share}".strip())
        texts.append(Text(x + 9.0, top, cut(shown, WIDE - x - 24.0, SMALL, "bold"), SMALL, "bold", palette.INK))
        texts.append(Text(x + 9.0, top + 11.0, cut(plain(item), WIDE - x - 24.0, SMALL), SMALL, colour=palette.QUIET))
