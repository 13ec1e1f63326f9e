"""One line of the panel for people: its shares, what was lost on the way, its next steps, how sure it is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from costing import money
from costing.evidence.writer import digits
from costing.terminal import clean, table

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from costing.evidence.gather import Figure, Line
    from costing.evidence.losses import Held, Journey
    from costing.evidence.sure import HowSure, Sure
    from costing.evidence.writer import Writer
    from nutrition.law.us.evidence import Amount
    from nutrition.law.us.next_step import Step

UNLIKELY = 0.0005
"""a chance below it is said in words"""
MANY = 5
"""texts from which only the ends are named"""


def blocks(w: Writer, line: Line) -> list[str]:
    """What is said about one line, block by block.

    Args:
        w: writes in the shop's locale.
        line: the line.
    """
    unit, key = line.origin.unit, line.origin.key
    name = "Added Sugars" if key == "added_sugars" else clean(line.line.name)
    printed = [
        f"{figure.text or '?'}{'' if figure.percent is None else f' ({figure.percent}%)'} per {figure.column}"
        for figure in line.figures
    ]
    out = [f"{name}: {', '.join(printed)}\n{line.line.rule}{_left_out(line)}{_method(w, key)}", _shares(w, line)]
    out += [_estimates(line), _ways(w, key, unit), _steps(w, line.figures, unit)]
    if w.found.sure is not None:
        out.append(_sure(w, w.found.sure, key, unit))
    if key == "added_sugars":
        out.append(_record(w))
    return out


def _left_out(line: Line) -> str:
    return "\nThe panel leaves this line out, as the law lets it." if line.left_out else ""


def _method(w: Writer, key: str) -> str:
    return f"\n{w.found.label.calorie_method}" if key == "energy" else ""


def _shares(w: Writer, line: Line) -> str:
    origin, unit = line.origin, line.origin.unit
    part = w.found.label.serving.grams / w.found.product.net_g
    whole = origin.total.value
    rows = []
    nothing = [share for share in origin.shares if share.amount.high <= 0]
    for share in (one for one in origin.shares if one.amount.high > 0):
        of_all = "" if share.amount.value is None or not whole else w.percent(share.amount.value / whole)
        rows.append(
            (
                share.ingredient,
                share.food,
                money.number(share.grams, w.locale, 2),
                w.number(share.amount.value, unit),
                *_bounds(w, share.amount, unit),
                w.number(share.amount.times(part).value, unit),
                of_all,
            )
        )
    if nothing:
        grams = money.number(sum(share.grams for share in nothing), w.locale, 2)
        names = ", ".join(share.ingredient for share in nothing)
        what = nothing[0].ingredient if len(nothing) == 1 else f"{len(nothing)} others: {names}"
        rows.append((what, "none of it", grams, w.number(0.0, unit), "", "", w.number(0.0, unit), ""))
    for one in origin.corrections:
        bounds = _bounds(w, one.amount, unit)
        rows.append((one.what, one.rule, "", w.number(one.amount.value, unit), *bounds, "", ""))
    total = origin.total
    grams = money.number(w.found.product.net_g, w.locale, 2)
    rows.append(
        (
            "together",
            "",
            grams,
            w.number(total.value, unit),
            *_bounds(w, total, unit),
            w.number(total.times(part).value, unit),
            "",
        )
    )
    heads = ("ingredient", "food record", "g in it", f"{unit}, container", "least", "most", "serving", "share")
    sources = dict.fromkeys(f"{share.food}: {clean(share.source)}" for share in origin.shares if share.amount.high > 0)
    return "\n".join((table(heads, rows, right=range(2, 8)), "", *sources))


def _bounds(w: Writer, amount: Amount, unit: str) -> tuple[str, str]:
    ends = w.number(amount.low, unit), w.number(amount.high, unit)
    return ("", "") if ends[0] == ends[1] and amount.value is not None else ends


def _estimates(line: Line) -> str:
    said = [f"{share.ingredient}: {share.estimated}" for share in line.origin.shares if share.estimated]
    return "\n".join(f"estimated: {clean(one)}" for one in said)


def _ways(w: Writer, key: str, unit: str) -> str:
    """What was lost on the way: a line for each ingredient, and beneath what each step took, the most first."""
    method = w.found.label.calorie_key
    rows = []
    steps: dict[str, list[tuple[str, float | None]]] = {}
    for journey in w.found.journeys.values():
        lost = _away(journey, key, method)
        kept = [held for held in journey.kept.values() if held.of(key, method)[2] > 0]
        columns = ([journey.put_in], [held for _, held in lost], kept, [journey.there])
        shown = [_held(w, held, key, unit) for held in columns]
        if (lost or kept) and any(text not in ("", w.number(0.0, unit)) for text in shown[:3]):
            rows.append((journey.ingredient, *shown))
        for step, held in lost:
            steps.setdefault(step, []).append((journey.ingredient, held.of(key, method)[1]))
    if not rows:
        return "Nothing of it that would show is lost on the way."
    heads = ("on the way to a container", "put in", "lost", "kept for later", "in it")
    ordered = sorted(steps.items(), key=lambda one: -sum(value or 0.0 for _, value in one[1]))
    taken = [line for step, those in ordered if (line := _step_line(w, step, those, unit))]
    return "\n".join((table(heads, rows, right=range(1, 5)), "", *taken))


def _step_line(w: Writer, step: str, those: Sequence[tuple[str, float | None]], unit: str) -> str:
    """What one step took of each ingredient, the most first; empty where nothing of it would show."""
    nothing = w.number(0.0, unit)
    ordered = sorted(those, key=lambda one: -(one[1] or 0.0))
    said = [f"{name} {text}" for name, value in ordered if (text := w.number(value, unit)) != nothing]
    if not said:
        return ""
    whole = "unknown" if any(value is None for _, value in those) else w.number(sum(v or 0.0 for _, v in those), unit)
    taken = "some" if whole == "unknown" else f"{whole} {unit}"
    return f"{clean(step)}: {taken}" + (f" ({', '.join(said)})" if len(said) > 1 else f" of {ordered[0][0]}")


def _away(journey: Journey, key: str, method: str) -> list[tuple[str, Held]]:
    out = []
    for one in journey.away:
        if one.held.of(key, method)[2] > 0:
            step = f"{one.part}, step {one.step} ({one.name or one.verb})"
            out.append((f"{step}, {one.how}", one.held))
    return out


def _held(w: Writer, held: Iterable[Held], key: str, unit: str) -> str:
    method = w.found.label.calorie_key
    values = [one.of(key, method)[1] for one in held]
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        return "unknown"
    return w.number(sum(known), unit) if values else ""


def _steps(w: Writer, figures: Sequence[Figure], unit: str) -> str:
    lines = []
    for figure in figures:
        value = figure.amount.value
        if value is None or figure.step is None:
            lines.append(f"per {figure.column}: only known to be {w.amount(figure.amount, unit)}")
            continue
        said = [f"per {figure.column}: {w.amount(figure.amount, unit)}", *_ways_to_go(w, figure.step, value, unit)]
        if figure.percent_step is not None:
            said += _ways_to_go(w, figure.percent_step, value, unit, "%")
        lines.append("; ".join(said))
    return "\n".join(("To the next rounding step:", *lines))


def _ways_to_go(w: Writer, step: Step[Any], value: float, unit: str, after: str = "") -> list[str]:
    out = []
    for distance, word, to in ((step.down(value), "less", step.below), (step.up(value), "more", step.above)):
        if distance is not None and to not in (None, ""):
            share = f" ({w.percent(distance / value)})" if value > 0 and distance < 10 * value else ""
            places = digits(unit, value) + 1
            out.append(f"{money.number(distance, w.locale, places)} {unit} {word}{share} prints {to}{after}")
    return out


def _sure(w: Writer, sure: HowSure, key: str, unit: str) -> str:
    lines = []
    for one in sure.of(key):
        lines.append(f"per {one.column}: {_texts(w, one)}")
        lines.append(f"    {_laboratory(w, one, unit)}")
    draws = money.number(sure.draws, w.locale)
    head = (
        f"How sure, over {draws} draws of what the recipe gives as ranges:"
        if sure.draws > 1
        else "How sure, with no range in the recipe:"
    )
    return "\n".join((head, *lines))


def _texts(w: Writer, one: Sure) -> str:
    """Amounts that could be printed, then per cents that could; each with its chance."""
    said = [_chances(w, [(could.text, could.likely) for could in one.could])]
    if any(could.percent is not None for could in one.could):
        said.append(_chances(w, [(f"{could.percent}%", could.likely) for could in one.could]))
    return "; and ".join(said)


def _chances(w: Writer, texts: Iterable[tuple[str, float | None]]) -> str:
    found: dict[str, float | None] = {}
    for text, share in texts:
        before = found.get(text, 0.0)
        found[text] = None if share is None or before is None else before + share
    drawn = [(text, share) for text, share in found.items() if share]
    possible = [text for text, share in found.items() if not share]
    said = [f"{text} {w.percent(share) if share >= UNLIKELY else 'below 0.1%'}" for text, share in drawn]
    if len(found) == 1 and not possible:
        return f"{drawn[0][0]} always"
    if possible:
        ends = possible[0] if len(possible) == 1 else f"{possible[0]} to {possible[-1]}"
        ends = ", ".join(possible) if len(possible) < MANY else ends
        said.append(f"possible too, by what is not known of the foods: {ends}" if drawn else f"possible: {ends}")
    return ", ".join(said)


def _laboratory(w: Writer, one: Sure, unit: str) -> str:
    band = one.band
    if band is None:
        return "nothing is printed, so no laboratory can say it is wrong"
    if band.group == "record":
        return f"no analysis can tell added sugars from others: the record answers [{band.rule}]"
    ends = one.likely or one.reach
    most = "" if band.at_most is None else f"at most {w.number(band.at_most, unit)} {unit}"
    least = "" if band.at_least is None else f"at least {w.number(band.at_least, unit)} {unit}"
    found = f"{w.number(ends[0], unit)} to {w.number(ends[1], unit)}" if ends[0] != ends[1] else w.number(ends[0], unit)
    verdict = {
        "in": "in the band",
        "below": "below the band",
        "above": "above the band",
        "below and above": "beyond the band at both ends",
    }.get(one.verdict, one.verdict)
    if one.by_rounding:
        verdict += ", by the rounding of the label alone"
    elif one.verdict == "in" and one.widest not in ("in", "no band"):
        verdict += f"; within all that is known of the foods it could be {one.widest} it"
    return f"a laboratory may find {least or most} ({band.group}, {band.rule}); likely {found} {unit}: {verdict}"


def _record(w: Writer) -> str:
    record = w.found.record
    rows = [
        (
            one.ingredient,
            one.food,
            w.number(one.sugars.value, "g"),
            w.number(one.added.value, "g"),
            one.basis,
        )
        for one in record.sweets
    ]
    if record.concentrated.high > 0:
        water = "unknown" if record.water_g is None else f"{w.number(record.water_g, 'g')} g of water"
        added = w.number(record.concentrated.value, "g")
        rows.append(("concentrated juice", "", "", added, f"beyond 100 % juice, beside {water} in the food"))
    rows.append(("together", "", "", w.number(record.total.value, "g"), ""))
    heads = ("record of added sugars", "food record", "g of sugars", "g added", "why")
    return f"{table(heads, rows, right=(2, 3))}\n{record.keep} [{record.rule}]"
