"""The drawn panels of a shop: in the room that its containers have, or as somebody asks for them, and their files."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from pathlib import Path

    from costing.results import RecipeAnswer
    from costing.shop.models import ShopModel
    from nutrition.panel.drawing import Drawing


@dataclass(frozen=True, slots=True)
class PanelWish:
    """How somebody wants panels drawn.

    Args:
        form: a form of the panel by its name; chosen by the room if empty.
        width_in: width, inches; None: what the container's label has.
        height_in: height, inches; None: what the container's label has.
        area_sq_in: area available to bear labeling, square inches; None: that of the container's label.
    """

    form: str = ""
    width_in: float | None = None
    height_in: float | None = None
    area_sq_in: float | None = None

    @property
    def is_for_another_place(self) -> bool:
        """The room was given, so the panel is not for the container's own label."""
        return any(given is not None for given in (self.width_in, self.height_in, self.area_sq_in))


AS_IT_FITS = PanelWish()


def draw(model: ShopModel, answer: RecipeAnswer, wish: PanelWish = AS_IT_FITS) -> Drawing:
    """The panel of a recipe's label.

    Args:
        model: the shop, which knows how large the container's label is.
        answer: the recipe's answer, with a label.
        wish: what somebody wants.

    Raises:
        ShopError: the law does not allow that form, nothing fits, or a text cannot be set; carries the finding.
    """
    from costing.shop.label_places import space_of
    from nutrition.panel import layout
    from nutrition.panel.room import PanelError

    assert answer.label is not None
    try:
        return layout.panel(
            answer.label,
            wish.width_in,
            wish.height_in,
            form=wish.form,
            space=space_of(model, answer),
            area_sq_in=wish.area_sq_in,
        )
    except PanelError as error:
        raise ShopError((Finding("error", answer.recipe, str(error), error.mend),)) from error
    except ValueError as error:
        raise ShopError((Finding("error", answer.recipe, str(error), "change what the label says"),)) from error


def files(answer: RecipeAnswer, drawing: Drawing, folder: Path, *, picture: bool = True) -> dict[Path, bytes | str]:
    """The files of a drawn panel.

    Args:
        answer: the recipe's answer, with a label.
        drawing: its panel.
        folder: where they will go.
        picture: a PNG at 600 dots to the inch too.

    Returns:
        Path to contents, of an SVG and a PDF file, and of a PNG.
    """
    from nutrition.panel import pdf, png, svg

    assert answer.label is not None
    found, stem = answer.label, folder / answer.label.key
    made: dict[Path, bytes | str] = {
        stem.with_name(f"{found.key}.svg"): svg.text(drawing, f"Nutrition Facts, {found.title}"),
        stem.with_name(f"{found.key}.pdf"): pdf.data(drawing, title=found.title),
    }
    if picture:
        made[stem.with_name(f"{found.key}.png")] = png.data(drawing)
    return made


def as_json(drawing: Drawing) -> dict[str, object]:
    """A drawn panel for the JSON answer: its form, its paragraph, the size of its box in inches, and notes."""
    wide, high = drawing.box
    return {
        "form": drawing.form,
        "rule": drawing.rule,
        "width_in": round(wide / 72, 4),
        "height_in": round(high / 72, 4),
        "proof": drawing.proof,
        "notes": list(drawing.notes),
    }


def said(drawing: Drawing) -> str:
    """A drawn panel in a line, for the terminal."""
    wide, high = drawing.box
    proof = ", a PROOF and not for print" if drawing.proof else ""
    return f"panel: {drawing.form}, {wide / 72:.2f} x {high / 72:.2f} in [{drawing.rule}]{proof}"
