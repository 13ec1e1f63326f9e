"""What ``creamery prices add`` and ``creamery prices propose`` do."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from costing import terminal
from costing.commands import say, told

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from costing.prices.intake.add import Added
    from costing.prices.intake.mapping import Mapped


@told
def prices_add(folder: Path, file: Path, supplier: str, day: date | None, *, yes: bool, as_json: bool) -> int:
    """Take a supplier's list into a shop."""
    from costing.prices.intake import add

    # Questions are for people: a pipe, or a program that reads JSON, gets the proposal as a file instead.
    asking = not yes and not as_json and sys.stdin.isatty() and sys.stdout.isatty()
    done = add.add(
        folder, file, supplier=supplier, day=day, yes=yes, ask=_ask if asking else None, show=_show if asking else None
    )
    return say([document(done)], done.findings, (block(done),), as_json=as_json)


@told
def prices_propose(folder: Path, file: Path, supplier: str, *, as_json: bool) -> int:
    """Propose how a supplier's lists are read, and add nothing."""
    from costing.prices.intake import add

    done = add.add(folder, file, supplier=supplier, only_propose=True)
    return say([document(done)], done.findings, (block(done),), as_json=as_json)


def _ask(question: str) -> bool:
    return click.confirm(terminal.clean(question), default=False)


def _show(one: Mapped, samples: Sequence[str]) -> None:
    click.echo(proposal(one, samples))


def document(done: Added) -> dict[str, Any]:
    """What became of a list, for programs."""
    found: dict[str, Any] = {
        "state": done.state,
        "supplier": done.supplier,
        "date": done.day,
        "date_from": done.day_from,
        "read_as": done.how,
        "list": done.list_file,
        "called": done.name,
        "original": done.original,
        "mapping": done.mapping_file,
        "goods": done.goods,
        "used": done.used,
        "not_goods": done.not_goods,
    }
    if done.proposal is not None:
        one = done.proposal
        found["proposal"] = {
            "columns": dict(one.columns),
            "decimals": one.decimals,
            "dates": one.dates,
            "currency": one.currency,
            "doubts": list(one.doubts),
            "items": [
                {"item": name, "ingredient": item.ingredient, "score": item.score if item.score >= 0 else None,
                 "confirmed": item.confirmed, "why": item.why, "rivals": list(item.rivals)}
                for name, item in one.items.items()
            ],
        }  # fmt: skip
    return found


def block(done: Added) -> str:
    """The same for people."""
    if done.state == "proposed":
        head = proposal(done.proposal, done.samples) if done.proposal is not None else ""
        return f"{head}\n\nthe proposal: {done.mapping_file}"
    day = done.day.isoformat() if done.day else ""
    name = terminal.clean(done.supplier)
    goods = f"{name}: {done.goods} goods of {day} ({done.day_from}), {done.used} of them used by the shop"
    if done.state == "known":
        return f"{goods}\nnothing was added"
    listed = done.list_file
    if "!" in listed:
        listed = f"{listed}, called {terminal.clean(done.name)}"
    return f"{goods}\n\nthe list:     {listed}\nthe original: {done.original}\nthe mapping:  {done.mapping_file}"


def proposal(one: Mapped, samples: Sequence[str]) -> str:
    """A proposal as tables."""
    columns = [(name, heading, one.reasons.get(name, "")) for name, heading in one.columns.items()]
    columns += [
        ("decimals", one.decimals, one.reasons.get("decimals", "")),
        ("dates", one.dates, one.reasons.get("dates", "")),
        ("currency", one.currency, "where the list does not say"),
    ]
    blocks = [
        terminal.clean(f"How the lists of {one.supplier} would be read"),
        terminal.table(("column", "heading", "why"), columns),
    ]
    if samples:
        blocks.append("\n".join(terminal.clean(sample) for sample in samples))
    if one.items:
        rows = [
            (name, " or ".join((item.ingredient, *item.rivals)), str(item.score) if item.score >= 0 else "", item.why)
            for name, item in one.items.items()
        ]
        blocks.append(terminal.table(("item", "would be", "score", "why"), rows, right=(2,)))
    return "\n\n".join(blocks)
