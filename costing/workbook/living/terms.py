"""Figures that are formulas at the same time: what a cell says, and what it comes to now.

The kitchen of a living workbook is worked out with these. Each operation makes the text of a formula and the figure
that it comes to from the same arguments, so that the two cannot part; what depends on no input stays a plain number.

>>> milk = cell("C5", 900.0, "milk")
>>> loss = (const(1.0) - const(0.02)) * milk
>>> loss.text, loss.value
('0.98*§C5', 882.0)
>>> least(loss, const(500.0)).text
'MIN(0.98*§C5,500.0)'

A cell of the sheet Workings is written ``§C5``; :func:`on` gives it the name of its sheet where it is called from
another one. A cell without a figure holds the word *unknown*, and so does, by the error that it makes, all that
follows from it; that is why ``MIN`` and ``MAX``, which pass over words, get their cells with a zero added.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

HERE = "§"
NOBODY: frozenset[str] = frozenset()
_ATOM, _PRODUCT, _SUM = range(3)


@dataclass(frozen=True, slots=True)
class Term:
    """A figure.

    Args:
        text: the formula, without ``=``.
        value: what it comes to; not a number is unknown.
        needs: inputs that it depends on.
        fixed: no cell stands in it, so that it is a plain number.
        rank: how loosely its text binds.
        cell: it is the name of a single cell.
    """

    text: str
    value: float
    needs: frozenset[str] = field(default=NOBODY)
    fixed: bool = False
    rank: int = _ATOM
    cell: bool = False

    def __add__(self, other: Term) -> Term:
        if self.is_(0.0):
            return other
        if other.is_(0.0):
            return self
        return _made(self, other, f"{self.text}+{other.text}", self.value + other.value, _SUM)

    def __sub__(self, other: Term) -> Term:
        if other.is_(0.0):
            return self
        return _made(self, other, f"{self.text}-{_tight(other, _PRODUCT)}", self.value - other.value, _SUM)

    def __mul__(self, other: Term) -> Term:
        if self.is_(1.0):
            return other
        if other.is_(1.0):
            return self
        if self.is_(0.0) or other.is_(0.0):
            return ZERO
        text = f"{_tight(self, _PRODUCT)}*{_tight(other, _ATOM)}"
        return _made(self, other, text, self.value * other.value, _PRODUCT)

    def __truediv__(self, other: Term) -> Term:
        if other.is_(1.0) or self.is_(0.0):
            return self
        value = self.value / other.value if other.value else math.nan
        return _made(self, other, f"{_tight(self, _PRODUCT)}/{_tight(other, _ATOM)}", value, _PRODUCT)

    def is_(self, number: float) -> bool:
        """Whether it is that number, whatever the inputs are."""
        return self.fixed and self.value == number


@dataclass(frozen=True, slots=True)
class Test:
    """A comparison."""

    text: str
    value: bool
    needs: frozenset[str] = field(default=NOBODY)
    fixed: bool = False


def const(value: float) -> Term:
    """A plain number, with every digit it has.

    >>> const(1e-9).text, const(-2.0).text
    ('1E-09', '(-2.0)')
    """
    return Term(digits(value), float(value), fixed=True)


def digits(value: float) -> str:
    """A number inside a formula; the grammar of formulas knows exponents by a capital letter alone.

    ECMA-376, part 1, 18.17.2.1.
    """
    text = repr(float(value)).replace("e", "E")
    return text if value >= 0 else f"({text})"


ZERO = const(0.0)
ONE = const(1.0)


def cell(at: str, value: float, *needs: str) -> Term:
    """A cell of the workings.

    Args:
        at: where it stands (``C5``).
        value: what it comes to.
        needs: inputs that it depends on.
    """
    return Term(f"{HERE}{at}", value, frozenset(needs), cell=True)


def on(text: str, sheet: str) -> str:
    """A formula as it stands on another sheet; ``sheet`` is the name of the workings with its ``!``."""
    return text.replace(HERE, sheet)


def total(terms: list[Term] | tuple[Term, ...]) -> Term:
    """The sum of many."""
    out = ZERO
    for term in terms:
        out = out + term
    return out


def below(one: Term, other: Term) -> Test:
    """Whether one is less than the other."""
    return _test(one, "<", other, one.value < other.value)


def at_most(one: Term, other: Term) -> Test:
    """Whether one is no more than the other."""
    return _test(one, "<=", other, one.value <= other.value)


def above(one: Term, other: Term = ZERO) -> Test:
    """Whether one is more than the other."""
    return _test(one, ">", other, one.value > other.value)


def either(test: Test, yes: Term, no: Term) -> Term:
    """One where the test holds, the other where it does not."""
    if test.fixed:
        return yes if test.value else no
    chosen = yes if test.value else no
    if yes.text == no.text:
        return yes
    return Term(f"IF({test.text},{yes.text},{no.text})", chosen.value, test.needs | yes.needs | no.needs)


def least(one: Term, other: Term) -> Term:
    """The smaller."""
    return _call("MIN", one, other, _nan_or(min, one, other))


def most(one: Term, other: Term) -> Term:
    """The larger."""
    return _call("MAX", one, other, _nan_or(max, one, other))


def down(one: Term) -> Term:
    """Down to the whole number; of what is not below 0."""
    return _one("ROUNDDOWN({},0)", one, math.floor)


def up(one: Term) -> Term:
    """Up to the whole number; of what is not below 0."""
    return _one("ROUNDUP({},0)", one, math.ceil)


def whole(one: Term) -> Term:
    """To the nearest whole number."""
    return _one("ROUND({},0)", one, round)


def power(one: Term, of: float) -> Term:
    """A cell to some power.

    >>> power(cell("C5", 0.5), 8.0).text
    '§C5^8.0'
    """
    if one.fixed:
        return const(one.value**of)
    return Term(f"{_tight(one, _ATOM)}^{digits(of)}", one.value**of, one.needs, rank=_PRODUCT)


def ratio(part: Term, of: Term) -> Term:
    """Part over whole, 0 where there is no whole."""
    if part.is_(0.0):
        return ZERO
    return either(above(of), part / of, ZERO)


def clip(one: Term) -> Term:
    """Not below 0 and not above 1."""
    return most(least(one, ONE), ZERO)


def _tight(term: Term, rank: int) -> str:
    return f"({term.text})" if term.rank > rank else term.text


def _made(one: Term, other: Term, text: str, value: float, rank: int) -> Term:
    if one.fixed and other.fixed:
        return const(value) if math.isfinite(value) else Term(text, value, rank=rank)
    return Term(text, value, one.needs | other.needs, rank=rank)


def _test(one: Term, sign: str, other: Term, value: bool) -> Test:
    return Test(f"{one.text}{sign}{other.text}", value, one.needs | other.needs, one.fixed and other.fixed)


def _nan_or(pick: object, one: Term, other: Term) -> float:
    if math.isnan(one.value) or math.isnan(other.value):
        return math.nan
    return float(pick(one.value, other.value))  # type: ignore[operator]


def _call(name: str, one: Term, other: Term, value: float) -> Term:
    if one.fixed and other.fixed:
        return const(value)
    if one.text == other.text:
        return one
    parts = ",".join(f"{t.text}+0" if t.cell else t.text for t in (one, other))
    return Term(f"{name}({parts})", value, one.needs | other.needs)


def _one(shape: str, one: Term, work: object) -> Term:
    value = float(work(one.value)) if math.isfinite(one.value) else math.nan  # type: ignore[operator]
    return const(value) if one.fixed else Term(shape.format(one.text), value, one.needs)
