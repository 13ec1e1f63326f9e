"""How fast a cooked mix is chilled: what a recipe writes, against FDA's Food Code, 3-501.14 (from memory).

From 135 to 70 F within two hours, and to 41 F within six in all. The code is a model that states take over, and a
pasteurised mix follows state law and the Pasteurized Milk Ordinance besides, so what passes these limits is a warning
and never an error; and a written limit that is looser than the code does not say how fast the mix really cooled.
Time is counted from the end of the heat, not from 135 F, which is a little stricter.

>>> [limit.words for limit in limits()]
['135 to 70 F within 2 h', '135 to 41 F within 6 h in all']
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from costing.findings import Finding
from costing.safety.heat import celsius
from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Iterator

    from costing.safety.pots import Heat
    from costing.shop.steps import Cool

EXAMPLE = "cool: {to: 40 F, within: 4 h, by: {70 F: 2 h}}"
STATE_LAW = "a pasteurised mix follows state law and the Pasteurized Milk Ordinance, which may ask for more"


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit of cooling, counted from where the mix leaves its heat.

    Args:
        to_c: the temperature to reach, degrees C.
        limit_s: within how long, s.
        words: both, as one says them.
        rule: the paragraph.
    """

    to_c: float
    limit_s: float
    words: str
    rule: str


@functools.cache
def limits() -> tuple[Limit, ...]:
    """The limits, the warmest first; the last is where cold food is kept."""
    found = (
        Limit(celsius(row["to_f"]), float(row["limit_s"]), row["words"], row["rule"]) for row in rows("cooling.csv")
    )
    return tuple(sorted(found, key=lambda limit: -limit.to_c))


def cold_c() -> float:
    """Where cold food is kept, degrees C.

    >>> cold_c()
    5.0
    """
    return limits()[-1].to_c


def cold_words() -> str:
    """The same, as one says it.

    >>> cold_words()
    '41 F'
    """
    return f"{round(cold_c() * 1.8 + 32, 6):g} F"


@dataclass(frozen=True, slots=True)
class Chill:
    """How far a pot has come on its way from the heat into the cold.

    Args:
        heat: the last heat, None once the pot is cold.
        warm: the cooling step that left it warmer than cold food is kept, as its place and its words.
        clock: s since the heat; None: a step before did not say.
        points: (degrees C, s since the heat, whether the step writes it as a way point) that were written so far.
    """

    heat: Heat | None = None
    warm: tuple[str, str] | None = None
    clock: float | None = 0.0
    points: tuple[tuple[float, float, bool], ...] = ()

    @property
    def open(self) -> bool:
        """Whether it has still to be made cold."""
        return self.heat is not None or self.warm is not None

    def cooled(self, step: Cool) -> Chill:
        """What it is after a cooling step."""
        after = self._timed(step)
        if round(step.to.high, 9) <= cold_c():
            return Chill()
        held = 0.0 if step.hold is None else step.hold.high
        clock = None if after.clock is None else after.clock + held
        return replace(after, warm=(step.where, step.to.text), clock=clock)

    def _timed(self, step: Cool) -> Chill:
        if self.clock is None:
            return self
        started = self.clock
        points = [(round(t.high, 9), started + s.high, True) for t, s in step.by_points.items()]
        if step.within is None:
            clock = None if self.heat is not None else started
            return replace(self, clock=clock, points=(*self.points, *points))
        # Where a step ends warm, its end is a way point of the whole.
        warm = round(step.to.high, 9) > cold_c()
        points.append((round(step.to.high, 9), started + step.within.high, warm))
        return replace(self, clock=started + step.within.high, points=(*self.points, *points))


def findings(step: Cool, chill: Chill) -> Iterator[Finding]:
    """What is to be said of a cooling step of a pot with milk or egg.

    Args:
        step: the step.
        chill: how far the pot had come before it.
    """
    if not chill.open:
        return
    if chill.heat is not None and step.within is None:
        what = f"nothing says how fast this is cooled; {_all_words()} ({limits()[0].rule})"
        yield Finding("warning", step.where, what, f"write within: and by:, such as {EXAMPLE}; {STATE_LAW}")
        return
    after = chill._timed(step)
    if after.clock is None:
        return  # told at the step before
    told = False
    for limit in reversed(limits()):
        late = _late(limit, after)
        if late is not None:
            told = True
            what = f"{late}, and the limit is {limit.words} ({limit.rule})"
            yield Finding("warning", step.where, what, f"cool faster, in shallower pans or over ice; {STATE_LAW}")
    if told:
        return
    for limit in limits()[:-1]:
        if not any(t <= limit.to_c and s <= limit.limit_s for t, s, _ in after.points) and _reaches(limit, after):
            what = f"nothing says whether this keeps to the first limit, {limit.words} ({limit.rule})"
            yield Finding("note", step.where, what, f"write the way point too, such as {EXAMPLE}")


def unfinished(chill: Chill, what: str) -> Iterator[Finding]:
    """What is to be said of a pot that goes on before it is cold.

    Args:
        chill: how far it has come.
        what: to where it goes on, to follow "colder".
    """
    if chill.warm is not None:
        where, to = chill.warm
        said = f"this cools only to {to}, and nothing says that it is colder {what}"
        mend = f"cool it to {cold_words()} or below first; {STATE_LAW}"
        yield Finding("warning", where, said, mend)
    elif chill.heat is not None:
        said = f"nothing says how this is cooled after the heat and {what}"
        yield Finding("warning", chill.heat.where, said, f"add {EXAMPLE}")


def _all_words() -> str:
    return " and ".join(limit.words for limit in limits())


def _reaches(limit: Limit, chill: Chill) -> bool:
    """Whether what is written comes as far down as a limit asks."""
    return any(t <= limit.to_c for t, _, _ in chill.points)


def _late(limit: Limit, chill: Chill) -> str | None:
    """How what is written is looser than a limit, None where it is not known to be.

    A mix that may take four hours to 40 F may well be at 70 F after two: of the way there only way points tell.
    """
    last = limit is limits()[-1]
    down = [(s, told) for t, s, told in chill.points if t <= limit.to_c]
    if any(s <= limit.limit_s for s, _ in down):
        return None
    times = [s for s, told in down if told or last]
    # Still above the limit's temperature at a way point that is later than its time.
    times += [s for t, s, told in chill.points if t > limit.to_c and s > limit.limit_s and (told or last)]
    return f"this may take {_hours(min(times))}" if times else None


def _hours(seconds: float) -> str:
    return f"{round(seconds / 3600, 2):g} h"
