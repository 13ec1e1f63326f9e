"""The month that breaks even: containers by channel, for a range of flavours, and for a mix of channels.

A channel's row takes every flavour in equal volumes. In the mix each channel sells its share of the ice cream by volume
(``sells: 60 %``), so that pints and tubs can stand beside each other; where all sell one kind of container that is
the share of containers. A channel with no ``sells`` is not in the mix, and shares count in proportion.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.selling import break_even

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from costing.selling.sales import Sale

MIX = "the mix"


@dataclass(frozen=True, slots=True)
class Row:
    """What a channel must sell in a month.

    Args:
        channel: its name.
        container: the kind, several with commas between.
        share: of the ice cream, 0 to 1.
        margin_per_litre: what a litre leaves, in the shop's currency.
        containers: how many must go out, not rounded; None where no number is enough.
        litres: the same as volume filled.
        machine_hours: hours that the machine churns for them, None where nobody knows.
    """

    channel: str
    container: str
    share: float
    margin_per_litre: float
    containers: float | None
    litres: float | None
    machine_hours: float | None


@dataclass(frozen=True, slots=True)
class Month:
    """Break-even months: each channel alone, the parts of the mix, and all of it (None without ``sells``)."""

    fixed_costs: float
    alone: tuple[Row, ...]
    mix: tuple[Row, ...]
    whole: Row | None


@dataclass(frozen=True, slots=True)
class _Litre:
    """One litre of a channel, all flavours in equal volumes."""

    channel: str
    container: str
    margin: float
    containers: float
    hours: float | None


def month(sales: Sequence[Sale], fixed: float, shares: Mapping[str, float]) -> Month:
    """The months that break even.

    Args:
        sales: flavours in their channels.
        fixed: fixed costs of a month.
        shares: channel to its share of the ice cream, for those in the mix.
    """
    litres = [_litre(channel, sales) for channel in dict.fromkeys(one.channel for one in sales)]
    alone = tuple(_row(one, 1.0, break_even.volume(fixed, one.margin)) for one in litres)
    mixed = [one for one in litres if shares.get(one.channel, 0.0) > 0]
    if not mixed:
        return Month(fixed, alone, (), None)
    whole = sum(shares[one.channel] for one in mixed)
    parts = [shares[one.channel] / whole for one in mixed]
    hours = [one.hours for one in mixed if one.hours is not None]
    all_of_it = _Litre(
        MIX,
        ", ".join(dict.fromkeys(one.container for one in mixed)),
        break_even.mean([one.margin for one in mixed], parts),
        break_even.mean([one.containers for one in mixed], parts),
        break_even.mean(hours, parts) if len(hours) == len(mixed) else None,
    )
    volume = break_even.volume(fixed, all_of_it.margin)
    mix = (_row(one, part, None if volume is None else volume * part) for one, part in zip(mixed, parts, strict=True))
    return Month(fixed, alone, tuple(mix), _row(all_of_it, 1.0, volume))


def _litre(channel: str, sales: Sequence[Sale]) -> _Litre:
    those = [one for one in sales if one.channel == channel]
    each = [1000.0 / one.container_ml for one in those]
    hours = [
        None if one.machine_hours is None else one.machine_hours / one.containers * many
        for one, many in zip(those, each, strict=True)
    ]
    known = [one for one in hours if one is not None]
    return _Litre(
        channel,
        ", ".join(dict.fromkeys(one.container for one in those)),
        sum(one.per_container.margin * many for one, many in zip(those, each, strict=True)) / len(those),
        sum(each) / len(those),
        sum(known) / len(those) if len(known) == len(hours) else None,
    )


def _row(litre: _Litre, share: float, volume: float | None) -> Row:
    return Row(
        litre.channel,
        litre.container,
        share,
        litre.margin,
        None if volume is None else volume * litre.containers,
        volume,
        None if volume is None or litre.hours is None else volume * litre.hours,
    )
