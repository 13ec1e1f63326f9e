"""The steps of a recipe, one checked model for each verb; :mod:`costing.kitchen` has one module for each."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, PlainValidator

from costing.amounts import Figure, Labour
from costing.shop import fields as f
from costing.shop import words

__all__ = ["VERBS", "AnyStep", "Labour", "Step"]

Names = Annotated[tuple[str, ...], PlainValidator(words.names)]
"""One name or a list of names, as text."""


class Step(f.Placed):
    """What every step may carry.

    Args:
        labour: time it takes.
        by: whose time, a role in the shop's wages; the first role if none.
        name: a name for trials and sheets.
        note: words for the batch sheet.
    """

    labour: Annotated[Labour, PlainValidator(words.labour)] | None = None
    by: f.Words | None = None
    name: f.Words | None = None
    note: f.Words | None = None


class Add(Step):
    """Ingredients or parts made earlier go into the pot."""

    verb: Literal["add"]
    things: dict[str, f.AnyAmount]


class Trim(Step):
    """Takes off what is not eaten; None stands for the food record's own share."""

    verb: Literal["trim"]
    things: dict[str, f.Share | None]


class Cook(Step):
    """Water leaves by heat; alcohol and vitamins by their tables."""

    verb: Literal["cook"]
    loses: f.ShareOrWeight | None = None
    to: f.Target | None = None
    temperature: f.Temperature | None = None
    hold: f.Duration | None = None
    how: Literal["simmer", "bake", "toast", "brown"] | None = None


class Reduce(Step):
    """Only water and alcohol leave, down to a share, a volume share, a weight or a Brix."""

    verb: Literal["reduce"]
    to: f.Target
    temperature: f.Temperature | None = None
    hold: f.Duration | None = None


class Render(Step):
    """Melts fat out of tissue; ``purity`` is the share of what is rendered that is fat, all of it if not said."""

    verb: Literal["render"]
    of: Names
    yields: f.ShareOrWeight
    purity: f.SomeShare | None = None
    label: f.Words | None = None
    save: f.Words | None = None


class Press(Step):
    """Squeezes liquid out; ``fat`` and ``fibre`` say what share of these goes along, none by default."""

    verb: Literal["press"]
    of: Names
    yields: f.ShareOrWeight
    label: f.Words | None = None
    save: f.Words | None = None
    fat: f.Share | None = None
    fibre: f.Share | None = None


class Soak(Step):
    """Solids take up liquid as it is; uptake is a share of the solids' weight."""

    verb: Literal["soak"]
    of: Names
    uptake: f.Ratio
    hold: f.Duration | None = None


class Strain(Step):
    """Takes things out with the liquid they hold.

    Args:
        out: thing to share taken (None: all of it); ``fat`` after cool and ``solids`` after browning are things too.
        holding: liquid held, as a share of the things' weight as added.
        caught: what was caught altogether, weighed.
        extracts: share of the things' solubles that passes into the liquid.
        save: name under which what is caught is kept.
        label: the common name under which the saved part stands on the label.
        worth: money per kg that the saved part carries, in the shop's currency; None: its share by weight.
    """

    verb: Literal["strain"]
    out: dict[str, f.Share | None]
    holding: f.Ratio | None = None
    caught: f.Weight | None = None
    extracts: f.Share | None = None
    save: f.Words | None = None
    label: f.Words | None = None
    worth: f.PerKg | None = None


class Lose(Step):
    """Some of everything sticks to the pot."""

    verb: Literal["lose"]
    amount: f.ShareOrWeight


class Weigh(Step):
    """The scale is right: the free figure of the step before follows from it."""

    verb: Literal["weigh"]
    weight: f.SomeWeight


class Cool(Step):
    """Chilling, ageing or hardening; ``by`` holds way points, temperature in degrees C to seconds."""

    verb: Literal["cool"]
    to: f.Temperature
    within: f.Duration | None = None
    by_points: Annotated[dict[Figure, Figure], PlainValidator(words.cooling_points)] = Field(default_factory=dict)
    hold: f.Duration | None = None


class Churn(Step):
    """Air goes in; what stays in the machine is lost, for each run."""

    verb: Literal["churn"]
    machine: f.Words | None = None
    overrun: f.Ratio | None = None
    filled: f.SomeWeight | None = None
    leaves: f.Weight | None = None


class Fold(Step):
    """Mix-ins after churning: they take their own volume and no air."""

    verb: Literal["fold"]
    things: dict[str, f.AnyAmount]


class Filling(f.Checked):
    """One kind of container to fill: with a count, or a share of the batch, or (the last) the rest."""

    container: f.Words
    count: f.Count | None = None
    share: f.Share | None = None


class Fill(Step):
    """Whole containers; what fills none is discarded unless saved under the name ``rest``."""

    verb: Literal["fill"]
    container: tuple[Filling, ...]
    net: f.WeightOrVolume | None = None
    rest: Literal["save", "discard"] = "discard"


class NoteStep(Step):
    """Words for the batch sheet."""

    verb: Literal["note"]
    text: f.Words


AnyStep = Annotated[
    Add | Trim | Cook | Reduce | Render | Press | Soak | Strain | Lose | Weigh | Cool | Churn | Fold | Fill | NoteStep,
    Field(discriminator="verb"),
]

VERBS: dict[str, type[Step]] = {
    "add": Add,
    "trim": Trim,
    "cook": Cook,
    "reduce": Reduce,
    "render": Render,
    "press": Press,
    "soak": Soak,
    "strain": Strain,
    "lose": Lose,
    "weigh": Weigh,
    "cool": Cool,
    "churn": Churn,
    "fold": Fold,
    "fill": Fill,
    "note": NoteStep,
}
