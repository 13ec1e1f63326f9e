"""What-ifs as documents for JSON: unrounded figures, shares as ``_pct`` from 0 to 100, null for what is unknown."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from costing.whatif.effect import Effect
    from costing.whatif.sides import Side, Sides
    from costing.whatif.tables import Table
    from costing.whatif.tornado import Tornado

Json = dict[str, Any]


def effect(found: Effect, currency: str) -> Json:
    """What other prices do to one flavour."""
    return {
        "recipe": found.recipe,
        "title": found.title,
        "currency": currency,
        "container": found.container,
        "before": found.before,
        "after": found.after,
        "difference": found.difference,
        "contributions": [
            {
                "name": one.name,
                "kind": one.kind,
                "adds": one.adds,
                "price_before": one.before,
                "price_after": one.after,
                "per": "kg" if one.kind == "ingredient" else "each",
                "supplier_before": one.supplier_before,
                "supplier_after": one.supplier,
            }
            for one in found.contributions
        ],
        "channels": [
            {
                "name": one.channel,
                "price": one.price,
                "target_pct": one.target_pct,
                "margin_pct_before": one.before_pct,
                "margin_pct_after": one.after_pct,
                "met": one.met,
                "falls_below": one.falls_below,
                "price_for_target": one.price_for_target,
                "new_price": one.new_price,
            }
            for one in found.targets
        ],
    }


def side(one: Side) -> Json:
    """One side of a comparison."""
    batch = one.cost.batch
    return {
        "containers": batch.containers,
        "container": batch.container,
        "fill_g": batch.fill_g,
        "fill_ml": batch.fill_ml,
        "cost": dataclasses.asdict(one.cost.cost),
        "per_container": dataclasses.asdict(one.cost.per_container),
        "channels": [_channel(one, channel.name) for channel in one.cost.channels],
    }


def _channel(one: Side, name: str) -> Json:
    found = one.channel(name)
    assert found is not None
    likely = one.chance.get(name)
    return dataclasses.asdict(found) | {
        "written_price": one.written.get(name),
        "new_price": one.new_price.get(name),
        "chance_pct": likely.chance_pct if likely else None,
        "draws": likely.draws if likely else None,
    }


def sides(found: Sides) -> Json:
    """Before and after."""
    return {
        "if": list(found.changes),
        "before": side(found.before),
        "after": side(found.after),
        "alone": [dataclasses.asdict(one) for one in found.alone],
    }


def tornado(found: Tornado) -> Json:
    """The bars of a tornado, the longest first; the figures are money that the margin gains."""
    return {
        "channel": found.channel,
        "by_pct": 100.0 * found.by,
        "margin": found.margin,
        "bars": [
            {
                "what": bar.figure.what,
                "kind": bar.figure.kind,
                "if": bar.figure.target,
                "down": bar.down,
                "up": bar.up,
            }
            for bar in found.bars
        ],
    }


def table(found: Table) -> Json:
    """A table over one or two figures, place by place, the last figure moving fastest."""
    return {
        "channel": found.channel,
        "target_pct": found.target_pct,
        "axes": [{"if": one.target, "values": list(one.values)} for one in found.axes],
        "cells": [
            {
                "values": list(cell.values),
                "cost_per_container": cell.cost,
                "margin": cell.margin,
                "margin_pct": cell.margin_pct,
            }
            for cell in found.cells
        ],
    }
