"""What of a container bears its label: ``label: {wrap: 11.4 in x 3.3 in, lid: 3.8 in}`` of ``shop.yaml``.

``wrap`` is the printed paper around a round tub, without rims; ``panel`` a flat label; ``lid`` the top of a round lid,
beside one of them or alone. ``main panel: 12 sq in`` says how large the side is that a flat label is stuck on,
``available: 50 sq in`` how much of the container could bear labeling at all, printed or not, and
``lot space: 1.3 in x 0.35 in`` leaves an empty box for lot and date.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pydantic import Field, PlainValidator, model_validator

from costing import lengths, units
from costing.amounts import Figure
from costing.digits import UnreadableError
from costing.lengths import Area, Length, Size
from costing.shop import fields as f
from costing.shop import words
from costing.shop.yaml_lines import Group
from nutrition.law.us import label_space

if TYPE_CHECKING:
    from costing.results import RecipeAnswer
    from costing.shop.building import Builder
    from costing.shop.models import ShopModel
    from nutrition.law.us.label_space import LabelSpace

EXAMPLE = "label: {wrap: 11.4 in x 3.3 in, lid: 3.8 in}"


def holds(text: object) -> Figure:
    """What a container holds, mL, which is its net quantity too: by fluid measure, not by weight.

    Args:
        text: ``1 pint``, ``473 mL``.

    Raises:
        UnreadableError: it is no volume; a weight is told so with the paragraph (21 CFR 101.7(a), (b), from memory).

    >>> holds("1 pint").mid
    473.176473
    """
    try:
        return words.positive(units.volume(text))
    except UnreadableError as refused:
        try:
            weight = units.weight(text)
        except UnreadableError:
            raise refused from None
        fluid = f"{weight.text.removesuffix('oz').strip()} fl oz" if weight.text.endswith(" oz") else "473 mL"
        raise UnreadableError(
            f"'{weight.text}' is a weight, and frozen desserts are sold by fluid measure [21 CFR 101.7]",
            f"write the volume that the label says, such as 1 pint or {fluid}",
        ) from None


class LabelPlace(f.Checked):
    """Where a container's label is printed, as the shop measured it."""

    wrap: Annotated[Size, PlainValidator(lengths.size)] | None = None
    panel: Annotated[Size, PlainValidator(lengths.size)] | None = None
    lid: Annotated[Length, PlainValidator(lengths.length)] | None = None
    main_panel: Annotated[Area, PlainValidator(lengths.area)] | None = Field(default=None, alias="main panel")
    available: Annotated[Area, PlainValidator(lengths.area)] | None = None
    """everything on the container that could bear labeling, printed or not"""
    lot_space: Annotated[Size, PlainValidator(lengths.size)] | None = Field(default=None, alias="lot space")
    """an empty box for lot and date"""

    @model_validator(mode="after")
    def _one_kind(self) -> LabelPlace:
        if self.wrap is not None and self.panel is not None:
            raise UnreadableError("it has a wrap and a panel", "keep the one that the label is printed on")
        if self.wrap is None and self.panel is None and self.lid is None:
            raise UnreadableError("nothing says where the label is printed", f"write {EXAMPLE}")
        return self

    @property
    def space(self) -> LabelSpace:
        """The room that it gives."""
        lid = self.lid.inches if self.lid is not None else 0.0
        if self.wrap is not None:
            found = label_space.wrap(self.wrap.width_in, self.wrap.height_in, lid)
        elif self.panel is not None:
            found = label_space.rectangle(self.panel.width_in, self.panel.height_in, lid)
        else:
            found = label_space.top(lid)
        if self.main_panel is not None:
            found = found.with_main_panel(self.main_panel.sq_in)
        return found if self.available is None else found.with_available(self.available.sq_in)


def known(builder: Builder, container: Group) -> Group:
    """The entries of a container, those of its ``label`` without any that nobody knows, which are told.

    Args:
        builder: takes findings.
        container: the container's entries.
    """
    entry = container.entries.get("label")
    if entry is None or not isinstance(entry[1], Group):
        return container
    allowed = [info.alias or name for name, info in LabelPlace.model_fields.items()]
    entries = builder.known_keys(entry[1], allowed, "label")
    others = {key: one for key, one in container.entries.items() if key != "label"}
    if not entries and entry[1].entries:
        return Group(container.line, others)
    return Group(container.line, {**others, "label": (entry[0], Group(entry[1].line, dict(entries)))})


def space_of(model: ShopModel, answer: RecipeAnswer) -> LabelSpace | None:
    """The room on the first container that a recipe fills, which is the one that its label is for.

    Args:
        model: the shop.
        answer: the recipe's answer.

    Returns:
        The room; None where the recipe fills nothing, or nobody said how large the container's label is.
    """
    container = model.containers.get(answer.filled[0].container) if answer.filled else None
    if container is None or container.label is None:
        return None
    # A label may be smaller than its tub, and the law counts what could bear one.
    return container.label.space.with_available(label_space.least_surface(container.holds.mid))
