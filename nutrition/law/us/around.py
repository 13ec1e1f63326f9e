"""What a label needs to know beyond the food: who makes it, how it is sold, what else runs on the same machines.

>>> Maker("Quillfeather Creamery", ("12 Ropewalk", "Port Ellery, ME 04999")).people is None
True
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Maker:
    """A business; what nobody said is None.

    Args:
        name: its corporate name.
        address: lines of its address.
        line: ``made by``, ``manufactured for`` or ``distributed by``.
        street_in_directory: its street stands in a current city or telephone directory.
        total_sales_usd: sales of everything to consumers in a year, USD.
        food_sales_usd: sales of food to consumers in a year, USD.
        people: full-time people or their equivalent.
        notice: a yearly notice is filed with FDA.
    """

    name: str = ""
    address: tuple[str, ...] = ()
    line: str = "made by"
    street_in_directory: bool = False
    total_sales_usd: float | None = None
    food_sales_usd: float | None = None
    people: float | None = None
    notice: bool = False


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another flavour that runs on the same machine.

    Args:
        machine: the machine.
        title: the flavour.
        allergens: everything it ever touches, as written in the shop.
    """

    machine: str
    title: str
    allergens: frozenset[str]


@dataclass(frozen=True, slots=True)
class Around:
    """What stands around one product.

    Args:
        maker: the business.
        units: units of the product sold in the United States in a year, None where nobody said.
        direct: every way of selling it sells to consumers; None where nobody said how it is sold.
        scoops: it is sold in scoops too.
        only_scoops: it is sold in no other way.
        neighbours: what else runs on its machines.
    """

    maker: Maker = Maker()
    units: float | None = None
    direct: bool | None = None
    scoops: bool = False
    only_scoops: bool = False
    neighbours: tuple[Neighbour, ...] = ()
