"""The whole label of a recipe's first container: what the shop says of it, handed to :mod:`nutrition.package`.

What keeps it from being drawn comes back as findings by file and line; then nothing of it is written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from costing.findings import Finding
from costing.shop import gtins, label_places

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from nutrition.law.us.label_space import LabelSpace
    from nutrition.package.content import Content
    from nutrition.package.label import WholeLabel

MADE_BY = "made by"
"""What the maker's own line needs no words for, 21 CFR 101.5(c)."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What came of drawing a whole label.

    Args:
        files: path to contents; none where it could not be drawn.
        findings: what keeps it from being drawn, or what there is to know.
        facts: for the JSON answer, empty where it could not be drawn.
    """

    files: Mapping[Path, bytes | str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


def draw(model: ShopModel, answer: RecipeAnswer, folder: Path, form: str = "") -> Drawn:
    """The whole label of a recipe as files: a PDF with all its sheets, and an SVG for each.

    Args:
        model: the shop.
        answer: the recipe's answer, which has a label.
        folder: where the files will go.
        form: the form of Nutrition Facts that somebody wants, chosen by the room if empty.
    """
    from nutrition.package import files, label
    from nutrition.package.refusals import CannotDrawError

    recipe = model.recipes[answer.recipe]
    space = label_places.space_of(model, answer)
    try:
        whole = label.draw(content(model, answer), space, form)
    except CannotDrawError as refused:
        where = model.at("address") if refused.rule == "21 CFR 101.5" else recipe.where
        rule = f" [{refused.rule}]" if refused.rule else ""
        return Drawn(findings=(Finding("error", where, f"{refused.what}{rule}", refused.mend),))
    except ValueError as refused:  # of the panel
        return Drawn(findings=(Finding("error", recipe.where, str(refused), getattr(refused, "mend", "")),))
    stem = f"{answer.recipe}-label"
    written: dict[Path, bytes | str] = {folder / f"{stem}.pdf": files.pdf(whole)}
    for name, text in files.svgs(whole).items():
        written[folder / f"{stem}{f'-{name}' if name else ''}.svg"] = text
    return Drawn(written, () if space is not None else (_unknown(model, answer),), _facts(whole, space))


def _unknown(model: ShopModel, answer: RecipeAnswer) -> Finding:
    container = model.containers[answer.filled[0].container]
    what = f"nothing says how large the label of '{container.name}' is, so labels are drawn as large as they come"
    return Finding("note", container.where, what, f"add {label_places.EXAMPLE}")


def content(model: ShopModel, answer: RecipeAnswer) -> Content:
    """What the whole label says.

    Args:
        model: the shop.
        answer: the recipe's answer, which has a label.

    Raises:
        CannotDrawError: the address is missing, or a text holds letters that the type cannot set.
    """
    from nutrition.package.content import Business
    from nutrition.package.content import content as of

    assert answer.label is not None
    container = model.containers[answer.filled[0].container]
    line = MADE_BY if model.business is None else str(model.business.line)
    business = Business(model.name, model.address, "" if line == MADE_BY else line.capitalize())
    lot = None if container.label is None else container.label.lot_space
    number = gtins.of(model.recipes[answer.recipe], container.name)
    return of(answer.label, business, number, None if lot is None else (lot.width_in, lot.height_in))


def _facts(whole: WholeLabel, space: LabelSpace | None) -> dict[str, Any]:
    return {
        "sheets": [
            {"name": one.name, "width_in": one.trim[2] / 72.0, "height_in": one.trim[3] / 72.0} for one in whole.sheets
        ],
        "size_known": space is not None,
        "main_panel_sq_in": whole.main_panel_sq_in,
        "available_sq_in": None if space is None else space.available_sq_in,
        "net_quantity_least_in": whole.net_quantity.inches,
        "net_quantity_least": whole.net_quantity.text,
        "panel": {"form": whole.form, "rule": whole.rule} if whole.form else None,
        "text_pt": round(whole.text_size, 3),
        "bar_code": None
        if whole.symbol is None
        else {"symbol": whole.symbol.symbol, "digits": whole.symbol.shortest, "magnification": whole.magnification},
        "proof": whole.proof,
        "notes": list(whole.notes),
    }


def other_form(facts: Mapping[str, Any], recipe: str, form: str) -> tuple[Finding, ...]:
    """A note where the whole label has not the form of the panel that is drawn by itself.

    Args:
        facts: from :class:`Drawn`.
        recipe: whose label it is.
        form: of the panel by itself.
    """
    panel = facts["panel"]
    if panel is None or panel["form"] == form:
        return ()
    what = (
        f"on the whole label Nutrition Facts are {panel['form']} [{panel['rule']}], and by themselves {form}: "
        "beside that there is no place for ingredients and address"
    )
    return (Finding("note", recipe, what, "the file of the panel alone is not what stands on the label"),)


def words(facts: Mapping[str, Any], title: str) -> str:
    """A line for the terminal about a label that was drawn.

    Args:
        facts: from :class:`Drawn`.
        title: of the flavour.
    """
    first = facts["sheets"][0]
    code = facts["bar_code"]
    bars = (
        f"{code['symbol']} {code['digits']} at {100 * code['magnification']:.0f} %" if code else "no bar code (no gtin)"
    )
    proof = "; a PROOF, not for print" if facts["proof"] else ""
    sheets = " and a lid" if len(facts["sheets"]) > 1 else ""
    return (
        f"{title}: {first['name']} of {first['width_in']:g} in x {first['height_in']:g} in{sheets}, text of "
        f"{facts['text_pt']:g} pt, net quantity at least {facts['net_quantity_least']} high, {bars}{proof}"
    )
