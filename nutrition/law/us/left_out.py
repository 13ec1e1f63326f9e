"""Lines that may be left off a panel: "Not a significant source of ...", 21 CFR 101.9(c), and the simplified form, (f).

A full panel may leave a line out where its paragraph allows it, and says so beneath: the *shortened* form. A food with
insignificant amounts of eight or more of the fifteen nutrients of (f) may have the *simplified* form: calories, total
fat, sodium, total carbohydrate and protein always, of the others those that are more than insignificant. Its statement
is wanted only where further nutrients are printed or a claim is made, (f)(4) (from memory).

Where a panel has two columns both must allow it: what is left out is left out of both.

>>> said(["saturated_fat", "trans_fat", "vitamin_d"])
'Not a significant source of saturated fat, trans fat, and vitamin D.'
>>> said(["iron", "dietary_fiber"])
'Not a significant source of dietary fiber and iron.'
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from nutrition.law.us import daily_values
from nutrition.law.us.tables import nano, rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date

    from nutrition.law.us.label import NutrientLine
    from nutrition.law.us.options import Options

PER_100: Final = 100.0


def enough() -> int:
    """So many insignificant amounts make a food fit for the simplified form, 21 CFR 101.9(f).

    >>> enough()
    8
    """
    return int(rows("simplified.csv")[0]["amount"])


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What a panel leaves out.

    Args:
        form: ``all``, ``shortened`` or ``simplified``: the form that the food may have of those asked for.
        keys: lines that the panel does not print, in its order.
        text: the statement beneath; empty where none is wanted.
        rules: the paragraphs.
        insignificant: every nutrient of (f) that is insignificant in every column, in the panel's order.
        why: why the form asked for cannot be had, in words; empty where it can.
    """

    form: str
    keys: tuple[str, ...] = ()
    text: str = ""
    rules: tuple[str, ...] = ()
    insignificant: tuple[str, ...] = ()
    why: str = ""

    @property
    def may_be_simplified(self) -> bool:
        """Whether the food has enough insignificant amounts for the simplified form."""
        return len(self.insignificant) >= enough()


def left_out(
    lines: Iterable[NutrientLine], columns: Iterable[str], options: Options, on: date | None = None
) -> LeftOut:
    """What the panel of a food leaves out.

    Args:
        lines: every line of its full panel.
        columns: ``serving`` and ``container`` as printed.
        options: ``lines``, ``claims`` and ``further`` decide.
        on: the day whose daily values apply.

    Returns:
        The lines and the statement.
    """
    by_key = {line.key: line for line in lines}
    shown = tuple(columns)
    table = {row["key"]: row for row in rows("insignificant.csv")}
    small = tuple(key for key, row in table.items() if _below(by_key, key, row, "insignificant_below", shown, on))
    if options.lines == "all":
        return LeftOut("all", insignificant=small)
    if options.lines == "simplified":
        return _simplified(table, small, options)
    if options.claims:
        why = "a nutrition claim keeps the lines that it is about; all stand until it is known which"
        return LeftOut("all", insignificant=small, why=why)
    keys = tuple(
        key for key, row in table.items() if row["by"] and _below(by_key, row["by"], row, "left_out_below", shown, on)
    )
    if not keys:
        return LeftOut("all", insignificant=small, why="no line is small enough to be left out")
    return LeftOut("shortened", keys, said(keys), _rules(table, keys), small)


def _simplified(table: Mapping[str, Mapping[str, str]], small: tuple[str, ...], options: Options) -> LeftOut:
    if len(small) < enough():
        why = f"the simplified form wants {enough()} insignificant amounts, and there are {len(small)}"
        return LeftOut("all", insignificant=small, why=why)
    keys = tuple(key for key in small if table[key]["simplified"] != "always" and key not in options.further)
    wanted = options.claims or any(key not in table for key in options.further)
    return LeftOut("simplified", keys, said(keys) if wanted else "", ("21 CFR 101.9(f)",), small)


def _below(
    lines: Mapping[str, NutrientLine],
    key: str,
    row: Mapping[str, str],
    limit: str,
    columns: tuple[str, ...],
    on: date | None,
) -> bool:
    """Whether the most that a line can be stays below a limit in every column."""
    line = lines.get(key)
    if line is None:
        return False
    most = {"serving": line.per_serving_high, "container": line.per_container_high}
    below = float(row[limit])
    if row["of"] == "per cent":
        below = below / PER_100 * daily_values.daily_values(on)[key].amount
    return all(nano(most[column]) < nano(below) for column in columns)


def _rules(table: Mapping[str, Mapping[str, str]], keys: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(table[key]["rule"] for key in keys))


def said(keys: Iterable[str]) -> str:
    """The statement for lines that are left out, named in the panel's order; empty for none.

    >>> said([])
    ''
    """
    wanted = frozenset(keys)
    names = [row["name"] for row in rows("insignificant.csv") if row["key"] in wanted]
    if not names:
        return ""
    *most, last = names
    and_ = ", and " if len(most) > 1 else " and "
    return f"Not a significant source of {', '.join(most)}{and_ if most else ''}{last}."
