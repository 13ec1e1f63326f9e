"""What waste costs, as a picture: the flow of a batch from purchases through parts to containers.

>>> from costing.desk import Shop
>>> from nutrition.resources import tree
>>> flow = draw(Shop.open(str(tree("examples") / "quillfeather")), "quince")
>>> flow.svg.startswith("<?xml"), flow.png()[:4] == b"\\x89PNG"
(True, True)
>>> flow.weighed.picture.title
'Where the weight goes: Duck fat caramel & brandied quince'
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from costing.desk import Asked, Shop
    from costing.flow.graph import Graph
    from costing.flow.picture import Picture


@dataclass(frozen=True)
class Flow:
    """The flow of a batch, drawn when it is first asked for.

    Args:
        graph: purchases, parts, containers and ends, with what goes from one to another.
        currency: ISO code of its values.
        locale: how amounts are written.
        by: what the thickness of a band shows.
    """

    graph: Graph
    currency: str
    locale: str
    by: Literal["value", "mass"] = "value"

    @property
    def weighed(self) -> Flow:
        """The same with bands as thick as they are heavy."""
        return replace(self, by="mass")

    @property
    def drawn_by(self) -> Literal["value", "mass"]:
        """What bands show in fact: weight where a price is missing, or nothing costs anything."""
        return self.by if self.graph.priced and self.graph.totals().bought > 0 else "mass"

    @cached_property
    def picture(self) -> Picture:
        """The drawing."""
        from costing.flow.layout import picture
        from costing.flow.words import Words

        return picture(self.graph, Words(self.currency, self.locale, self.drawn_by))

    @cached_property
    def svg(self) -> str:
        """The drawing as an SVG document."""
        from costing.flow import svg

        return svg.text(self.picture)

    def png(self, dots: float = 144.0) -> bytes:
        """The drawing as the bytes of a PNG file.

        Args:
            dots: pixels to the inch.
        """
        from costing.flow import png

        return png.data(self.picture, dots)


def draw(shop: Shop, key: str, how: Asked | None = None, *, by: Literal["value", "mass"] = "value") -> Flow:
    """The flow of a batch of a recipe.

    Args:
        shop: the shop.
        key: the recipe.
        how: size of the batch, and whether trials stand in for what the recipe assumes; None: as it is written.
        by: what the thickness of a band shows, as-bought value or weight.

    Raises:
        KeyError: no such recipe.
        ShopError: the recipe cannot be made; carries the finding.
    """
    from costing.findings import ShopError
    from costing.flow.edges import graph
    from costing.kitchen.bench import KitchenError
    from costing.kitchen.run import NOTHING
    from costing.purchases import Purchasing

    measured = NOTHING
    if how is not None and how.trials:
        from costing import trials

        measured = trials.measured(shop.model, None)
    try:
        brew = shop.brew(key, size=1.0 if how is None else how.size, measured=measured)
    except KitchenError as problem:
        raise ShopError((problem.finding,)) from problem
    bought = Purchasing(shop.pantry, shop.book).bought(brew.used)
    made = graph(brew, bought, shop.model.recipes)
    return Flow(made, shop.model.currency, shop.model.locale, by)
