"""How sure: for every printed figure its way to the next rounding step, what else could be printed, and the band."""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.evidence.documents import pct
from costing.evidence.writer import digits
from costing.workbook.formats import number
from costing.workbook.values import NA, NONE, Column, Value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from costing.evidence.gather import Evidence, Figure, Line
    from costing.evidence.sure import Sure
    from costing.workbook.grid import Sheet
    from nutrition.law.us.next_step import Step

NAME = "How sure"
WIDTHS = (26, 20, 10, 14, 7, 10, 6, 9, 8, 12, 9, 8, 12, 10, 10, 10, 10, 50, 11, 10, 10, 34)
FARTHEST = 10.0
"""times the amount: a way so far says nothing as a per cent"""


def write(sheet: Sheet, proofs: Sequence[Evidence]) -> int:
    """Write the sheet.

    Args:
        sheet: a new sheet with :data:`WIDTHS`.
        proofs: the evidence of each label, with how sure it is.

    Returns:
        The row of its heads.
    """
    sheet.title(NAME, "How far every printed figure is from its next step, and what else could be printed.")
    sheet.paragraph(_method(proofs))
    heads = (
        ("Flavour", ""), ("Line", ""), ("Column", ""), ("Printed", ""), ("%DV", '0"%"'), ("Unrounded", "#"),
        ("Unit", ""), ("Less by", "+"), ("in %", "0.0"), ("prints", ""), ("More by", "+"), ("in %", "0.0"),
        ("prints", ""), ("Likely from", "#"), ("to", "#"), ("Possible from", "#"), ("to", "#"),
        ("Could be printed", ""), ("Group, 101.9(g)", ""), ("at least", "#"), ("at most", "#"),
        ("A laboratory's result", ""),
    )  # fmt: skip
    tables = {
        places: tuple(
            Column(
                head,
                at,
                number(places + (fmt == "+")) if fmt in ("#", "+") else fmt,
                align="right" if head in ("Printed", "prints") else "",
            )
            for at, (head, fmt) in enumerate(heads, start=1)
        )
        for places in (1, 2)
    }
    head = sheet.heads(tables[2])
    for proof in proofs:
        for line in proof.lines.values():
            found = {one.column: one for one in proof.sure.of(line.origin.key)} if proof.sure is not None else {}
            for figure in line.figures:
                one = found.get(figure.column)
                values = _figure(proof, line, figure, one)
                sheet.line(
                    tables[digits(line.origin.unit, line.origin.total.high)],
                    values,
                    "warn" if _open(line, one) else "body",
                )
    sheet.filter(head, len(heads))
    return head


def _method(proofs: Sequence[Evidence]) -> str:
    most = max((proof.sure.draws for proof in proofs if proof.sure is not None), default=1)
    drawn = (
        f"Chances are shares of {most:,} draws of what recipes give as ranges, at the best values of the foods. "
        if most > 1
        else "No ranges were drawn from. "
    )
    return (
        f"{drawn}What is not known of a food is a width without chances: a text that only it allows is possible. "
        "The band is that of 21 CFR 101.9(g), held against the likely amounts. Coloured rows print otherwise in more "
        "than one of twenty draws, or may leave the band."
    )


def _open(line: Line, one: Sure | None) -> bool:
    if not line.line.print_ready:
        return True
    if one is None:
        return False
    other = sum(could.likely or 0.0 for could in one.could if not could.now)
    return other > 0.05 or (one.verdict not in ("in", "no band") and not one.by_rounding)


def _figure(proof: Evidence, line: Line, figure: Figure, one: Sure | None) -> list[Value]:
    value = figure.amount.value
    name = "Added Sugars" if line.origin.key == "added_sugars" else line.line.name
    start: list[Value] = [
        proof.label.title,
        name,
        figure.column,
        NA if line.left_out else figure.text or None,
        NA if figure.percent is None or line.left_out else figure.percent,
        value,
        line.origin.unit,
    ]
    return [*start, *_way(figure.step, value), *_chances(one)]


def _way(step: Step[str] | None, value: float | None) -> list[Value]:
    if step is None or value is None:
        return [NA] * 6
    out: list[Value] = []
    for distance, to in ((step.down(value), step.below), (step.up(value), step.above)):
        share = pct(distance, value)
        far = share is None or share > 100 * FARTHEST
        out += [NA if distance is None else distance, NA if far else share, to or NA]
    return out


def _chances(one: Sure | None) -> list[Value]:
    if one is None:
        return [NA] * 9
    likely: list[Value] = [NA, NA] if one.likely is None else list(one.likely)
    band = one.band
    ends: list[Value] = [NA, NA, NA]
    if band is not None:
        ends = [
            band.group,
            NA if band.at_least is None else band.at_least,
            NA if band.at_most is None else band.at_most,
        ]
    return [*likely, *one.reach, texts(one), *ends, verdict(one)]


def texts(one: Sure) -> Value:
    """What could be printed, with its chances, the likeliest first."""
    amounts: dict[str, float | None] = {}
    for could in one.could:
        before = amounts.get(could.text, 0.0)
        amounts[could.text] = None if could.likely is None or before is None else before + could.likely
    said = []
    for text, share in sorted(amounts.items(), key=lambda pair: -(pair[1] or 0.0)):
        said.append(f"{text} {100 * share:.1f} %" if share else f"{text} possible")
    return ", ".join(said) if len(said) > 1 else NONE


def verdict(one: Sure) -> Value:
    """What a laboratory's result would be, in words."""
    if one.band is None:
        return NA
    if one.band.group == "record":
        return "the record of added sugars answers"
    words = {"in": "in the band", "below": "below", "above": "above", "below and above": "below, or above"}
    said = words.get(one.verdict, one.verdict)
    if one.by_rounding:
        return f"{said}, by rounding alone"
    if one.verdict == "in" and one.widest not in ("in", "no band"):
        return f"{said}; possibly {words[one.widest]}"
    return said
