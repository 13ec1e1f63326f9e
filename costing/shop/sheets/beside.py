"""What lies beside the contents of a shop: how its suppliers' lists are read, and the lists as they came.

In a folder it is part of ``prices``; a workbook has no place for it, so it lies in a folder beside it that bears the
workbook's name.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from costing.findings import Finding, ShopError
from costing.shop import sources

PRICES: Final = "prices"
MAPPINGS: Final = "mappings"
RECEIVED: Final = "received"


def home(place: Path) -> Path:
    """The folder that holds both.

    Args:
        place: the shop, a folder or a workbook; one that ends in .xlsx need not be there yet.

    >>> home(Path("my-shop")).as_posix(), home(Path("shops/my-shop.xlsx")).name
    ('my-shop/prices', 'my-shop-prices')
    """
    if place.is_dir() or (not place.is_file() and place.suffix.casefold() != ".xlsx"):
        return place / PRICES
    real = place.resolve()  # a link and what it leads to are one shop
    return real.with_name(f"{real.stem}-{PRICES}")


def found(place: Path) -> dict[str, bytes]:
    """Its files, by their names in the folder that holds them.

    Args:
        place: the shop.

    Raises:
        ShopError: one cannot be read.
    """
    contents: dict[str, bytes] = {}
    for name in (MAPPINGS, RECEIVED):
        folder = home(place) / name
        try:
            files = sorted(folder.iterdir()) if folder.is_dir() else []
            for file in files:
                if file.is_file() and not file.is_symlink() and not file.name.startswith((".", "~")):
                    contents[f"{name}/{file.name}"] = file.read_bytes()
        except OSError as wrong:
            what = f"it cannot be read ({sources.reason(wrong)})"
            raise ShopError((Finding("error", str(folder), what, "check who may read it"),)) from wrong
    return contents
