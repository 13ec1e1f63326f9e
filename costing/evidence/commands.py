"""What ``creamery label`` does about evidence: ``--why``, and the refusal of ``--final``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from costing import asking
from costing.evidence import asked
from costing.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from costing.asking import Wanted
    from costing.desk import Shop
    from costing.evidence.gather import Evidence
    from costing.results import RecipeAnswer


def gathered(
    shop: Shop, answers: Iterable[RecipeAnswer], wanted: Wanted, *, sure: bool = True
) -> Mapping[str, Evidence]:
    """The evidence of some labels, by recipe.

    Args:
        shop: their shop.
        answers: their answers, each with a label.
        wanted: how they were asked about.
        sure: whether to work out how sure they are; with draws, unless ``wanted`` says no ranges.
    """
    from costing.evidence.gather import gather
    from costing.evidence.sure import DRAWS, how_sure

    those = tuple(answers)
    hows, _ = asking.each(shop, tuple(one.recipe for one in those), wanted, ranges=False) if those else ({}, ())
    draws = 1 if wanted.ranges is False else DRAWS
    out = {}
    for one in those:
        how = hows[one.recipe]
        out[one.recipe] = gather(shop, one, how, how_sure(shop, one, how, draws=draws) if sure else None)
    return out


def keys_meant(texts: Sequence[str], answers: Iterable[RecipeAnswer]) -> tuple[str, ...]:
    """What ``--why`` asks about, by key; ``all`` is everything on the labels.

    Raises:
        click.BadParameter: nothing on the labels is called that.
    """
    labels = [one.label for one in answers if one.label is not None]
    nutrients = tuple(dict.fromkeys(line.key for label in labels for line in label.nutrients))
    out: dict[str, None] = {}
    for text in texts:
        try:
            key = asked.meant(text, nutrients)
        except ValueError as wrong:
            raise click.BadParameter(str(wrong), param_hint="--why") from None
        out |= dict.fromkeys((*nutrients, *asked.PLACES) if key == asked.ALL else (key,))
    return tuple(out)


def not_final(answers: Iterable[RecipeAnswer], places: Mapping[str, str]) -> tuple[Finding, ...]:
    """Why labels cannot go to the printer: one error for each that is not ready for print.

    Args:
        answers: the answers.
        places: recipe to its file.
    """
    out = []
    for one in answers:
        label = one.label
        if label is None or label.print_ready:
            continue
        reasons = [
            f"{'Added Sugars' if line.key == 'added_sugars' else line.name} is not settled"
            for line in label.nutrients
            if not line.print_ready
        ]
        reasons += [note.what for note in label.notes if note.level == "error"]
        why = "; ".join(reasons) or "it has open findings"
        mend = "see the warnings, or leave out --final for a proof"
        out.append(Finding("error", places.get(one.recipe, one.recipe), f"not ready for print: {why}", mend))
    return tuple(out)
