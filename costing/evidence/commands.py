"""What ``creamery label`` does about evidence: ``--why``, and the refusal of ``--final``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from costing import asking
from costing.evidence import asked
from costing.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from costing.asking import Wanted
    from costing.desk import Shop
    from costing.evidence.gather import Evidence
    from costing.results import RecipeAnswer

Json = dict[str, Any]


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


def records(shop: Shop, answers: Iterable[RecipeAnswer], wanted: Wanted) -> Mapping[str, Json]:
    """The records to keep beside some labels, by recipe (:mod:`costing.label_record.keep`)."""
    from costing.label_record import keep

    those = tuple(answers)
    hows, _ = asking.each(shop, tuple(one.recipe for one in those), wanted, ranges=False) if those else ({}, ())
    found = gathered(shop, those, wanted, sure=False)
    return {key: keep.record(shop, proof, hows[key]) for key, proof in found.items()}


def against(
    answers: Iterable[RecipeAnswer],
    results: Iterable[Json],
    kept: Mapping[str, Json],
    place: Path,
    locale: str,
) -> tuple[list[str], tuple[Finding, ...]]:
    """Labels held against earlier ones; the comparison goes into the results too.

    Args:
        answers: the answers, each with a label.
        results: their machine-readable answers.
        kept: their records, by recipe.
        place: the folder or the file of the earlier labels.
        locale: the shop's locale.

    Returns:
        What is said for people, and what there is to know.

    Raises:
        ShopError: an earlier label cannot be read.
    """
    from costing.label_record import against as holding
    from costing.label_record import kept as earlier

    those = tuple(answers)
    found, findings = earlier.read(place, tuple(one.recipe for one in those))
    blocks = []
    told = []
    for one, result in zip(those, results, strict=True):
        if one.label is not None and one.recipe in found:
            held = holding.hold(one.label, result, kept[one.recipe], found[one.recipe])
            result["against"] = holding.document(held)
            blocks.append(holding.text(held, locale))
            told.append(holding.finding(held))
    return blocks, (*findings, *told)


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


def not_final(shop: Shop, answers: Iterable[RecipeAnswer]) -> tuple[Finding, ...]:
    """Why labels cannot go to the printer: one error for each that is not ready for print.

    A label without a whole name and place of business is none either, 21 CFR 101.5.

    Args:
        shop: their shop.
        answers: the answers.
    """
    from costing import around

    lacks = [note.what for note in around.address(shop.model) if note.level != "note"]
    out = []
    for one in answers:
        label = one.label
        if label is None:
            continue
        reasons = [
            f"{'Added Sugars' if line.key == 'added_sugars' else line.name} is not settled"
            for line in label.nutrients
            if not line.print_ready
        ]
        reasons += [note.what for note in label.notes if note.level == "error"]
        if not reasons and not label.print_ready:
            reasons = ["it has open findings"]
        reasons += lacks
        if reasons:
            what = f"not ready for print: {'; '.join(reasons)}"
            mend = "see the warnings, or leave out --final for a proof"
            out.append(Finding("error", shop.model.recipes[one.recipe].where, what, mend))
    return tuple(out)
