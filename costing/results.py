"""What the engine found out about a recipe: plain values for the sheets, the terminal and the JSON answers.

Weights are grams, volumes millilitres, money is in the shop's currency, shares run 0 to 1 and ``_pct`` 0 to 100.
``*_range`` is (5th, 95th percentile) where draws were taken, else None.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from costing.findings import Finding
    from nutrition.composition import Composition
    from nutrition.law.us.label import Label
    from nutrition.product import Product

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class StepResult:
    """What one step did. ``money_in`` is what was in the pot plus what the step put in; ``money_out`` what stayed.

    ``in_g = out_g + vapour_g + discarded_g + saved_g``; ``lost_value`` is the as-bought value discarded.
    """

    part: str
    step: int
    verb: str
    name: str
    where: str
    text: str
    in_g: float
    out_g: float
    vapour_g: float
    discarded_g: float
    saved_g: float
    money_in: float
    money_out: float
    lost_value: float
    out_ml: float
    runs: int = 0
    free_figure: str = ""
    """what ``weigh`` worked out, in words (``loses 13.2 %``), empty if nothing"""


@dataclass(frozen=True, slots=True)
class PartResult:
    """A part: its steps, and what came out of it."""

    name: str
    recipe: str
    steps: tuple[StepResult, ...]
    out_g: float
    out_ml: float
    composition: Composition
    cost: float
    used_share: float


@dataclass(frozen=True, slots=True)
class Filled:
    """Containers of one kind that a batch fills."""

    container: str
    count: int
    fill_g: float
    fill_ml: float
    declared_ml: float


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of the cost. ``kind``: ``ingredient``, ``packaging``, ``labour``, ``overhead`` or ``saved`` (negative).

    ``bought_g`` is the weight bought (None where it is not weighed), ``used_g`` the weight that went into pots;
    ``amount`` says in words how much (``4 each``, ``37 min``).
    """

    item: str
    kind: str
    cost: float
    amount: str = ""
    bought_g: float | None = None
    used_g: float | None = None
    per_kg: float | None = None
    supplier: str = ""
    pack: str = ""
    price: float | None = None
    price_date: date | None = None
    where: str = ""
    freight: float = 0.0
    """how much of ``cost`` is freight; 0 where the shop does not count it"""


@dataclass(frozen=True, slots=True)
class LossLine:
    """What one loss took: vapour and discarded weight, and the as-bought value of what was discarded.

    ``verb`` may also be ``buy`` (the unusable share) and ``fill`` (what filled no container).
    """

    part: str
    step: int
    verb: str
    vapour_g: float
    discarded_g: float
    value: float


@dataclass(frozen=True, slots=True)
class ChannelResult:
    """What one way of selling leaves per container. ``price_for_target`` is None where no price can meet it."""

    name: str
    price: float
    fees: float
    cost: float
    margin: float
    margin_pct: float | None
    markup_pct: float | None
    target_pct: float | None
    price_for_target: float | None
    batch_margin: float


@dataclass(frozen=True, slots=True)
class Batch:
    """Where the weight of a batch went. ``rest_g`` filled no container; ``containers`` counts the whole ones."""

    in_g: float
    out_g: float
    vapour_g: float
    discarded_g: float
    saved_g: float
    containers: int
    rest_g: float
    container: str
    fill_g: float
    fill_ml: float
    runs: int
    overrun: float | None
    mix_density: float | None
    """g/mL of the mix that was churned"""
    weight_per_gallon_lb: float | None


@dataclass(frozen=True, slots=True)
class Cost:
    """Money by kind; ``saved`` is a credit (zero or below). The kinds add up to ``total``."""

    ingredients: float
    packaging: float
    labour: float
    overhead: float
    saved: float
    total: float


@dataclass(frozen=True, slots=True)
class OtherContainer:
    """A further kind of container that the batch fills; ``cost`` is for one of them."""

    container: str
    containers: int
    fill_g: float
    fill_ml: float
    cost: Cost


@dataclass(frozen=True, slots=True)
class CostAnswer:
    """What a recipe costs and what selling it leaves."""

    recipe: str
    title: str
    currency: str
    as_of: date
    batch: Batch
    cost: Cost
    per_container: Cost
    per_serving: Cost
    lines: tuple[CostLine, ...]
    lost: tuple[LossLine, ...]
    channels: tuple[ChannelResult, ...]
    bought_value: float
    lost_value: float
    in_containers_value: float
    saved_value: float
    also: tuple[OtherContainer, ...] = ()
    freight: tuple[float, float] | None = None
    """how much of the cost of a batch and of a container is freight; None where the shop does not count it"""


@dataclass(frozen=True, slots=True)
class Driver:
    """An assumption, where it is written, and its share of the spread of a container's cost, 0 to 100."""

    what: str
    where: str
    share_pct: float


@dataclass(frozen=True, slots=True)
class RecipeAnswer:
    """Everything about one recipe. A house base that is only made has no ``cost`` per container and no ``label``."""

    recipe: str
    title: str
    parts: tuple[PartResult, ...]
    filled: tuple[Filled, ...]
    cost: CostAnswer | None
    label: Label | None
    findings: tuple[Finding, ...] = ()
    ranges: Mapping[str, Pair] = field(default_factory=dict)
    """dotted path of a figure to its 5th and 95th percentile, where draws were taken"""
    drivers: tuple[Driver, ...] = ()
    impossible_share: float = 0.0
    """share of the draws that no kitchen could do, 0 to 1"""
    size: float = 1.0
    """by what the recipe's amounts were multiplied"""
    product: Product | None = None
    """what one container of the first kind holds, from which the label is made"""
