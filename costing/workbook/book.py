"""Puts the workbook together and writes it.

The sheets in order: all flavours, margins, one for each flavour, batch sheets if they are asked for, ingredients,
prices, and the findings if there are any.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from openpyxl.workbook.workbook import Workbook

from costing.workbook import findings as findings_sheet
from costing.workbook import flavour, flavours, ingredients, look, margins, price_history, prices, save, text
from costing.workbook.formats import Formats
from costing.workbook.grid import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date
    from pathlib import Path

    from costing.batch_sheet.content import BatchSheet
    from costing.desk import Shop
    from costing.findings import Finding
    from costing.flow import Flow
    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from costing.workbook.proof.book import Proofs

FIXED = (
    *(flavours.NAME, margins.NAME, "Inputs", "Workings", ingredients.NAME, prices.NAME, price_history.NAME),
    findings_sheet.NAME,
    # Those of costing.workbook.proof, which is loaded only where there is any.
    *("Evidence", "How sure", "Statements", "Added sugars"),
)


def write(
    model: ShopModel,
    day: date,
    answers: Sequence[RecipeAnswer],
    path: Path,
    *,
    replace: bool = False,
    findings: Iterable[Finding] = (),
    flows: Mapping[str, Flow] | None = None,
    batch_sheets: Sequence[BatchSheet] = (),
    living: Shop | None = None,
    proofs: Proofs | None = None,
) -> Path:
    """Write the workbook of a shop.

    Args:
        model: the shop.
        day: the day of the prices; also the day that the file's own time stamps show.
        answers: everything about each recipe, in the order of the tabs.
        path: the file, by custom ending in ``.xlsx``.
        replace: whether an existing file gives way.
        findings: others than those of the answers, of the shop as a whole.
        flows: recipe to the flow of its batch (:func:`costing.flow.draw`), whose pictures then stand on its sheet.
        batch_sheets: what goes on sheets to print for the kitchen (:func:`costing.batch_sheet.writing.sheet`).
        living: the shop at its desk, of which the answers are, where money should follow by formulas from a sheet of
            inputs (:mod:`costing.workbook.living`).
        proofs: what stands behind the labels (:func:`costing.workbook.proof.book.gather`), for sheets of their own and
            for the picture of each panel.

    Returns:
        The path.

    Raises:
        FileExistsError: the file exists, and may not be replaced.
        OSError: it cannot be written; nothing is left behind, and an existing file stays as it was.
        ValueError: it should be living, and the answers are not those of the recipes as they are written.
    """
    if not replace and path.exists():
        # Said before the work is done; said again, for certain, when the file is put in place.
        raise FileExistsError(f"{path} exists already; it is kept unless replacing it is asked for")
    data = render(
        model, day, answers, findings=findings, flows=flows, batch_sheets=batch_sheets, living=living, proofs=proofs
    )
    return save.place(data, path, replace=replace)


def render(
    model: ShopModel,
    day: date,
    answers: Sequence[RecipeAnswer],
    *,
    findings: Iterable[Finding] = (),
    flows: Mapping[str, Flow] | None = None,
    batch_sheets: Sequence[BatchSheet] = (),
    living: Shop | None = None,
    proofs: Proofs | None = None,
) -> bytes:
    """The workbook of a shop as the bytes of a file; for the arguments see :func:`write`."""
    made = build(
        model, day, answers, findings=findings, flows=flows, batch_sheets=batch_sheets, living=living, proofs=proofs
    )
    return save.as_bytes(made, day)


def build(
    model: ShopModel,
    day: date,
    answers: Sequence[RecipeAnswer],
    *,
    findings: Iterable[Finding] = (),
    flows: Mapping[str, Flow] | None = None,
    batch_sheets: Sequence[BatchSheet] = (),
    living: Shop | None = None,
    proofs: Proofs | None = None,
) -> Workbook:
    """The workbook of a shop, not yet written; for the arguments see :func:`write`."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    formats = Formats.of(model.locale, model.currency)
    found = findings_sheet.gather(answers, findings)
    names = tab_names(answers)
    drawn = flows or {}

    wardrobe = look.Wardrobe(workbook)

    def sheet(name: str, widths: Sequence[float], colour: str) -> Sheet:
        made = Sheet(workbook, name, widths, wardrobe, formats)
        made.sheet.sheet_properties.tabColor = colour
        return made

    opening = sheet(flavours.NAME, flavours.WIDTHS, look.PINE)
    margin = sheet(margins.NAME, margins.WIDTHS, look.PINE)
    alive = None
    if living is not None:
        # Seldom asked for, so loaded only then.
        from costing.workbook.living import alive as living_sheets
        from costing.workbook.living import workings

        alive = living_sheets.begin(workbook, sheet, living, answers)
    links = {
        answer.recipe: flavour.write(
            sheet(name, flavour.WIDTHS, look.LINE),
            answer,
            model,
            day,
            flavours.NAME,
            drawn.get(answer.recipe),
            alive.costs(answer) if alive else None,
            alive.yields(answer) if alive else None,
            proofs.panels.get(answer.recipe) if proofs else None,
        )
        for answer, name in zip(answers, names, strict=True)
    }
    live = (alive.opening, alive.base, alive.label) if alive else (None, None, None)
    flavours.write(opening, answers, model, day, links, len(found), *live)
    margins.write(margin, answers, model, day, links, alive.margins if alive else None)
    if alive:
        alive.finish(sheet("Workings", workings.WIDTHS, look.QUIET), (model.name, f"Workings · {formats.day(day)}"))
    if batch_sheets:
        # Seldom asked for, so loaded only then.
        from costing.workbook import batch_sheet

        taken = {*FIXED, *names}
        for content in batch_sheets:
            taken.add(tab := text.sheet_name(f"{batch_sheet.PREFIX}{content.title}", taken))
            batch_sheet.write(sheet(tab, batch_sheet.WIDTHS, look.LINE), content, model, day)
    if proofs is not None and proofs.evidence:
        from costing.workbook.proof import book as proof_sheets

        proof_sheets.write(sheet, proofs, model, day)
    ingredients.write(sheet(ingredients.NAME, ingredients.WIDTHS, look.QUIET), answers, model, day)
    prices.write(sheet(prices.NAME, prices.WIDTHS, look.QUIET), answers, model, day)
    price_history.write(sheet(price_history.NAME, price_history.WIDTHS, look.QUIET), answers, model, day)
    if found:
        findings_sheet.write(sheet(findings_sheet.NAME, findings_sheet.WIDTHS, look.RUST), found, model, day)

    workbook.active = 0
    properties = workbook.properties
    properties.title = text.clean(f"{model.name}: costs and labels")
    properties.subject = f"Costs, margins and labels as of {day.isoformat()}"
    properties.creator = text.clean(model.name)
    properties.lastModifiedBy = text.clean(model.name)
    properties.description = "Figures are calculated, not measured."
    properties.keywords = "cost, margin, yield, Nutrition Facts"
    return workbook


def tab_names(answers: Sequence[RecipeAnswer]) -> tuple[str, ...]:
    """A name for the tab of each recipe: its title as far as a tab can say it, no two alike."""
    taken = set(FIXED)
    names: list[str] = []
    for answer in answers:
        names.append(text.sheet_name(answer.title or answer.recipe, taken))
        taken.add(names[-1])
    return tuple(names)
