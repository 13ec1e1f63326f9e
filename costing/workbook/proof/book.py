"""All sheets of evidence together, and what they are made from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.workbook import look
from costing.workbook.proof import lines, statements, sugars, sure

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from costing.desk import Asked, Shop
    from costing.evidence.gather import Evidence
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.grid import Sheet
    from costing.workbook.proof.picture import Picture

NAMES = (lines.NAME, sure.NAME, statements.NAME, sugars.NAME)


@dataclass(frozen=True, slots=True)
class Proofs:
    """What stands behind the labels of a workbook.

    Args:
        evidence: of each label, in the order of the sheets.
        panels: recipe to the picture of its panel.
    """

    evidence: tuple[Evidence, ...]
    panels: Mapping[str, Picture]


def gather(shop: Shop, answers: Sequence[RecipeAnswer], hows: Mapping[str, Asked], *, draws: int) -> Proofs:
    """The evidence and the panels of some answers.

    Args:
        shop: their shop.
        answers: the answers; those without a label are passed over.
        hows: recipe to how it was asked about.
        draws: draws behind the chances, 1 for none.
    """
    from costing import beside
    from costing.evidence.gather import gather as behind
    from costing.evidence.sure import how_sure
    from costing.workbook.proof import picture

    labels = [answer for answer in answers if answer.label is not None and answer.product is not None]
    # Pictures take as long as all the rest, and need nothing of it.
    drawn = beside.start(lambda: {one.recipe: picture.of(shop.model, one) for one in labels})
    found = []
    for answer in labels:
        how = hows[answer.recipe]
        # The sheets have amounts; which words could be printed is told by `creamery label --why`.
        found.append(behind(shop, answer, how, how_sure(shop, answer, how, draws=draws, words=0)))
    panels = {recipe: one for recipe, one in drawn().items() if one is not None}
    return Proofs(tuple(found), panels)


def write(sheet: Callable[[str, Sequence[float], str], Sheet], proofs: Proofs, model: ShopModel, day: date) -> None:
    """Write the sheets.

    Args:
        sheet: makes a sheet of a name, widths and a colour.
        proofs: what stands behind the labels.
        model: the shop.
        day: the day of the labels.
    """
    for one in (lines, sure, statements, sugars):
        made = sheet(one.NAME, one.WIDTHS, look.QUIET)
        head = one.write(made, proofs.evidence)
        foot = f"{one.NAME} · {made.formats.day(day)}"
        made.freeze(f"B{head + 1}")
        made.print_setup(foot=(model.name, foot), repeat=(head, head))
