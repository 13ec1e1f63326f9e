"""Holds the present label of a recipe against an earlier one: must it be printed anew, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from costing import answers, money
from costing.evidence.writer import digits
from costing.findings import Finding
from costing.label_record import kept, reasons
from costing.label_record.causes import Cause, causes
from costing.label_record.compare import Change, changes
from costing.terminal import clean, table

if TYPE_CHECKING:
    from costing.label_record.kept import Kept
    from costing.label_record.reasons import Reason
    from nutrition.law.us import label as law

Json = dict[str, Any]
SHORT = 60
"""letters of a text that stands on one line with what it becomes"""
MOST_MOVED = 12
"""lines that only moved which a terminal shows; JSON has all"""


@dataclass(frozen=True, slots=True)
class Against:
    """A label held against an earlier one.

    Args:
        recipe: key of the recipe.
        title: its title.
        earlier: the earlier label.
        changes: every place whose text or amount differs, each with its reasons.
        causes: everything that differs in how the two came about; empty where the earlier one kept no record.
    """

    recipe: str
    title: str
    earlier: Kept
    changes: tuple[tuple[Change, tuple[Reason, ...]], ...]
    causes: tuple[Cause, ...]

    @property
    def reprint(self) -> bool:
        """Whether a printed text changes."""
        return any(change.printed for change, _ in self.changes)


def hold(label: law.Label, facts: Json, record: Json, earlier: Kept) -> Against:
    """Hold a label against an earlier one.

    Args:
        label: the present label.
        facts: the same as machine-readable answer.
        record: its record, as it would be kept (:func:`costing.label_record.keep.record`).
        earlier: the earlier label.
    """
    now = kept.Label.model_validate(answers.clean(facts))
    present = kept.Record.model_validate(answers.clean(record))
    differs = () if earlier.record is None else causes(earlier.record, present)
    found = []
    codes = "", ""
    if earlier.record is not None and earlier.record.gtin is not None:
        codes = earlier.record.gtin, present.gtin or ""
    for change in changes(earlier.label, now, codes):
        why: tuple[Reason, ...] = ()
        if earlier.record is not None:
            why = reasons.reasons(change, earlier.record, present, differs, label)
        found.append((change, why))
    return Against(label.key, label.title, earlier, tuple(found), differs)


def finding(found: Against) -> Finding:
    """What there is to know: a warning where the label must be printed anew, else a note."""
    where = found.earlier.where
    printed = [change for change, _ in found.changes if change.printed]
    if printed:
        names = ", ".join(dict.fromkeys(change.name for change in printed))
        return Finding("warning", where, f"{found.recipe}: what is printed changes: {names}", "print the label anew")
    if found.changes:
        what = f"{found.recipe}: amounts moved, and every printed text stays"
        return Finding("note", where, what, "the printed labels may be used up; keep the new record beside them")
    return Finding("note", where, f"{found.recipe}: nothing has changed", "")


def document(found: Against) -> Json:
    """The comparison for machines."""
    record = found.earlier.record
    return {
        "file": found.earlier.where,
        "reprint": found.reprint,
        "earlier": None
        if record is None
        else {"as_of": record.as_of, "made_by": record.made_by, "record_version": record.version},
        "printed": [_change(found, change, why) for change, why in found.changes if change.printed],
        "moved": [_change(found, change, why) for change, why in found.changes if not change.printed],
        "causes": [
            {
                "kind": one.kind,
                "what": one.what,
                "was": one.was,
                "now": one.now,
                "where": one.where,
                "ingredient": one.ingredient,
            }
            for one in found.causes
        ],
    }


def _change(found: Against, change: Change, why: tuple[Reason, ...]) -> Json:
    return {
        "key": change.key,
        "name": change.name,
        "column": change.column,
        "was": change.was,
        "now": change.now,
        "amount_was": change.amount_was,
        "amount_now": change.amount_now,
        "unit": change.unit,
        "why": [
            {
                "kind": one.kind,
                "what": one.words,
                "amount": one.amount,
                "where": one.where,
                "causes": [found.causes.index(cause) for cause in one.causes],
            }
            for one in why
        ],
    }


def text(found: Against, locale: str) -> str:
    """The comparison for people."""
    record = found.earlier.record
    head = f"{clean(found.title)} ({found.recipe}) against {clean(found.earlier.where)}"
    if record is not None:
        head += f", of {clean(record.as_of)}"
    blocks = [head]
    printed = [(change, why) for change, why in found.changes if change.printed]
    moved = [(change, why) for change, why in found.changes if not change.printed]
    blocks.append(
        f"PRINT ANEW: {len(printed)} printed text{'s change' if len(printed) > 1 else ' changes'}."
        if printed
        else "Every printed text stays as it is."
        if moved
        else "Nothing has changed."
    )
    if found.causes:
        lines = [
            f"({n}) {one.kind}: {clean(one.words)}{f' [{clean(one.where)}]' if one.where else ''}"
            for n, one in enumerate(found.causes, start=1)
        ]
        blocks.append("\n".join(("What differs behind the label:", *lines)))
    elif record is not None and found.changes:
        blocks.append("Nothing that is kept in the record differs; prices play no part in a label.")
    blocks += [_told(found, change, why, locale) for change, why in printed]
    if moved:
        rows = [
            (
                _place(change),
                change.now,
                _amount(change.amount_was, change.unit, locale),
                _amount(change.amount_now, change.unit, locale),
                _because(found, why[0]) if why else "",
            )
            for change, why in moved[:MOST_MOVED]
        ]
        blocks.append(table(("only moved underneath", "printed", "was", "is", "mostly"), rows, right=(2, 3)))
        if len(moved) > MOST_MOVED:
            blocks.append(f"and {len(moved) - MOST_MOVED} more; --json has them all")
    return "\n\n".join(blocks)


def _because(found: Against, one: Reason) -> str:
    """A reason with the numbers of its causes."""
    numbers = ", ".join(str(found.causes.index(cause) + 1) for cause in one.causes)
    what = clean(one.what) or (clean(one.causes[0].words) if len(one.causes) == 1 else one.kind)
    return f"{what} ({numbers})" if numbers else what


def _told(found: Against, change: Change, why: tuple[Reason, ...], locale: str) -> str:
    if change.column or (len(change.was) < SHORT and len(change.now) < SHORT):
        lines = [f"{_place(change)}: {clean(change.was) or 'nothing'} → {clean(change.now) or 'nothing'}"]
    else:
        lines = [f"{_place(change)}:", f"    was  {clean(change.was)}", f"    is   {clean(change.now)}"]
    if change.moved and change.column:
        was, now = (_amount(one, change.unit, locale) for one in (change.amount_was, change.amount_now))
        lines[0] += f"   (unrounded {was} → {now} {change.unit})"
    for one in why:
        places = digits(change.unit, change.amount_now)
        by = "" if one.amount is None else f"{_signed(one.amount, locale, places)} {change.unit}  "
        lines.append(f"    {by}{_because(found, one)}")
    return "\n".join(lines)


def _place(change: Change) -> str:
    return f"{change.name}, {change.column}" if change.column else change.name


def _amount(value: float | None, unit: str, locale: str) -> str:
    if not unit:
        return ""
    return "unknown" if value is None else money.number(value, locale, digits(unit, value) + 1)


def _signed(value: float, locale: str, places: int) -> str:
    return ("+" if value >= 0 else "−") + money.number(abs(value), locale, places)
