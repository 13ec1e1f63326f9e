"""``strain``: takes things out with the liquid they hold; what they gave stays.

Solubles that a thing has given pass into the liquid before it is taken out. The liquid it holds is a share of its
weight as added, or what is left of the weight caught. After cooling, ``fat`` can be lifted off; after browning,
``solids`` can be strained out of the fat.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from costing.kitchen.bench import SLACK, Outcome
from costing.kitchen.density import weight
from costing.kitchen.money import discard
from costing.kitchen.picking import pick
from costing.kitchen.pot import ADDED, FAT, INSOLUBLES, SOLUBLES
from costing.kitchen.saving import STRAINED, save

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from costing.kitchen.bench import Bench
    from costing.kitchen.pot import Pot
    from costing.shop.steps import Strain

    Floats = NDArray[np.float64]

FREE = "holding"
FAT_LAYER, BROWNED_SOLIDS = "fat", "solids"


def do(step: Strain, pot: Pot, bench: Bench) -> Outcome:
    """Strain.

    Args:
        step: what comes out, what it holds and gives, whether it is saved.
        pot: the pot before.
        bench: for ranges, defaults and errors.

    Returns:
        The pot without it.

    Raises:
        KitchenError: something that has dissolved or melted cannot be strained out; more liquid held than there is.
    """
    before = pot
    pot = _give(step, pot, bench)
    share = np.zeros((len(pot.tags), bench.draws.count, 5))
    solid = np.zeros((len(pot.tags), bench.draws.count))
    for name, figure in step.out.items():
        wanted = bench.draws.full(1.0) if figure is None else bench.draws.of(figure)
        bench.require((wanted >= 0) & (wanted <= 1), f"{bench.shown(wanted * 100)} % of {name} cannot be taken out")
        if name in (FAT_LAYER, BROWNED_SOLIDS) and name not in {n for tag in pot.tags for n in tag.names}:
            share = np.maximum(share, _layer(name, wanted, pot, bench))
            continue
        chosen = _solid(name, pot, bench)
        share = np.maximum(share, (chosen * wanted)[:, :, None])
        solid = np.maximum(solid, chosen * wanted)
    share = np.maximum(share, _held(step, pot, share, _as_added(before, solid), bench)[:, :, None])
    rest, out = pot.split_fractions(share)
    steeped = {
        (tag.ingredient, tag.groups) for i, tag in enumerate(before.tags) if not tag.loose and (solid[i] >= 1).all()
    }
    rest = replace(rest, steeped=rest.steeped | frozenset(steeped))
    bench.require(rest.grams() > SLACK, "nothing is left in the pot", "strain out less")
    if step.save:
        kept, out = save(out, [rest], step.worth, bench, step.save, STRAINED)
        out = replace(out, steeped=frozenset())
        return Outcome(kept[0].tidied(), saved={step.save: (out.tidied(), step.label)})
    (rest,), gone = discard(out, [rest])
    return Outcome(rest.tidied(), gone=gone)


def _give(step: Strain, pot: Pot, bench: Bench) -> Pot:
    """Let solubles pass from what is strained out into the liquid, as loose pieces of the same ingredient."""
    gives = np.zeros((len(pot.tags), bench.draws.count))
    for i, tag in enumerate(pot.tags):
        if tag.loose or tag.names.isdisjoint(step.out) or "held" in tag.marks:
            continue
        common = bench.materials[tag.ingredient].strained
        gives[i] = bench.figure("extracts", step.extracts, common.extracts if common else 0.0)
    if not gives.any():
        return pot
    bench.require(
        np.asarray(((gives >= 0) & (gives <= 1)).all(axis=0)), "more than 100 % of the solubles cannot be given"
    )
    share = np.zeros((*gives.shape, 5))
    share[:, :, SOLUBLES] = gives
    left, given = pot.split_fractions(share)
    # What a thing gives carries no money away from it until the thing itself is thrown away.
    some = [i for i in range(len(pot.tags)) if gives[i].any()]
    given = replace(
        given,
        tags=tuple(replace(pot.tags[i], state="liquid", names=frozenset()).marked("given") for i in some),
        mass=given.mass[some],
        ledgers=given.ledgers[some],
        kept=given.kept[some],
    )
    return left.joined(given)


def _solid(name: str, pot: Pot, bench: Bench) -> Floats:
    chosen = pick((name,), pot, bench)
    firm = chosen * pot.where(lambda tag: not tag.loose)
    if not firm.any():
        raise bench.error(
            f"{name} has dissolved or melted and cannot be strained out",
            "strain out what is solid; if it stays solid in the pot, say state: solid in ingredients.yaml",
        )
    return firm


def _layer(name: str, wanted: Floats, pot: Pot, bench: Bench) -> Floats:
    if name == FAT_LAYER and not pot.cooled:
        raise bench.error("fat can only be lifted off once it is firm", "cool the pot before this step")
    if name == BROWNED_SOLIDS and not pot.browned:
        raise bench.error("there are no browned solids to strain out", "cook it with how: brown before this step")
    share = np.zeros((len(pot.tags), bench.draws.count, 5))
    loose = pot.where(lambda tag: tag.loose) * wanted
    for fraction in (FAT,) if name == FAT_LAYER else (SOLUBLES, INSOLUBLES):
        share[:, :, fraction] = loose
    return share


def _as_added(before: Pot, solid: Floats) -> Floats:
    """Weight as added of the things taken, g, ``(pieces, draws)``, before they gave anything."""
    out = np.zeros_like(solid)
    out[: len(before.tags)] = before.ledgers[:, :, ADDED] * solid[: len(before.tags)]
    return out


def _held(step: Strain, pot: Pot, share: Floats, as_added: Floats, bench: Bench) -> Floats:
    """What share of the liquid goes along, ``(pieces, draws)``."""
    loose = pot.where(lambda tag: tag.loose)
    flows = [i for i, tag in enumerate(pot.tags) if tag.loose]
    liquid = weight((pot.mass[flows] * (1.0 - share[flows])).sum(axis=0))
    if FREE not in bench.given and step.caught is not None:
        caught = bench.sized(step.caught)
        things = weight((pot.mass * share).sum(axis=0))
        bench.require(
            caught >= things * (1 - SLACK),
            f"what was caught weighs {bench.shown(caught)} g, less than the things alone ({bench.shown(things)} g)",
            "weigh again, or let them give more (extracts)",
        )
        holds = np.maximum(caught - things, 0.0)
    elif FREE in bench.given or step.holding is not None:
        holds = bench.figure(FREE, step.holding) * as_added.sum(axis=0)
    else:
        holds = bench.draws.full(0.0)
        forms: set[str] = set()
        for i, tag in enumerate(pot.tags):
            if not as_added[i].any() or "held" in tag.marks:
                continue
            common = bench.materials[tag.ingredient].strained
            if common is not None:
                forms.add(common.form)
                holds = holds + as_added[i] * common.holding
        if as_added.any():
            bench.note(
                "note",
                f"nothing says how much liquid goes along; {bench.shown(holds)} g is common for "
                f"{' and '.join(sorted(forms)) or 'such things'}",
                "weigh what is caught and write caught, or holding",
            )
    bench.require(
        holds <= liquid + SLACK * (1 + liquid),
        f"{bench.shown(holds)} g of liquid would go along and there are only {bench.shown(liquid)} g",
        "lower holding",
    )
    goes = np.divide(np.minimum(holds, liquid), liquid, out=np.zeros_like(liquid), where=liquid > 0)
    out: Floats = loose * goes
    return out
