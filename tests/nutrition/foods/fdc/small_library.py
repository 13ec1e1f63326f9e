"""A library of a few made-up foods, laid out as an import lays it out."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from nutrition.foods.fdc import layout
from nutrition.foods.fdc.layout import Part
from nutrition.foods.fdc.store import PIECE

NUTRIENTS = {
    1: ("1008", "208", "Energy", "KCAL"),
    2: ("1003", "203", "Protein", "G"),
    3: ("1004", "204", "Total lipid (fat)", "G"),
    4: ("1005", "205", "Carbohydrate, by difference", "G"),
    5: ("1051", "255", "Water", "G"),
    6: ("1093", "307", "Sodium, Na", "MG"),
    7: ("1110", "324", "Vitamin D (D2 + D3), International Units", "IU"),
}


@dataclass(frozen=True)
class Food:
    id: int
    name: str
    held: Mapping[int, float] = field(default_factory=dict)
    owner: str = ""
    ndb: str = ""
    category: str = ""
    gtin: str = ""
    ingredients: str = ""
    measures: tuple[tuple[str, float], ...] = ()


def make(folder: Path, kinds: Mapping[str, Iterable[Food]], release: str = "2024-10-31") -> None:
    """Lay out a library of those foods by kind."""
    folder.mkdir(parents=True, exist_ok=True)
    parts = []
    for kind, given in kinds.items():
        foods = list(given)
        part = Part(kind, f"{kind}-names.sqlite", f"{kind}-values.sqlite", release, len(foods))
        with contextlib.closing(sqlite3.connect(folder / part.names)) as names, names:
            names.executescript(layout.NAMES_SCHEMA)
            for place, food in enumerate(foods, 1):
                called, more = (
                    layout.MARK.join((food.name, food.owner)),
                    layout.MARK.join((food.ndb, food.category, release)),
                )
                names.execute("INSERT INTO food VALUES (?, ?, ?, ?)", (place, food.id, called, more))
                names.execute("INSERT INTO words (rowid, text) VALUES (?, ?)", (place, called))
                if food.ndb:
                    names.execute("INSERT INTO ndb VALUES (?, ?)", (food.ndb, food.id))
            names.executescript(layout.NAMES_INDEX)
        with contextlib.closing(sqlite3.connect(folder / part.values)) as values, values:
            values.executescript(layout.VALUES_SCHEMA)
            values.executemany(
                "INSERT INTO nutrient VALUES (?, ?, ?, ?, ?)", [(c, *rest) for c, rest in NUTRIENTS.items()]
            )
            for food in foods:
                held = b"".join(PIECE.pack(code, amount) for code, amount in food.held.items())
                values.execute("INSERT INTO amounts VALUES (?, ?)", (food.id, held))
                rows = [(food.id, seq, text, grams) for seq, (text, grams) in enumerate(food.measures)]
                values.executemany("INSERT INTO measure VALUES (?, ?, ?, ?)", rows)
                if food.owner:
                    facts = dict.fromkeys(layout.BRAND, "") | {
                        "brand_owner": food.owner,
                        "gtin_upc": food.gtin,
                        "ingredients": food.ingredients,
                    }
                    values.execute("INSERT INTO brand VALUES (?, ?)", (food.id, layout.MARK.join(facts.values())))
        parts.append(part)
    layout.replace(folder, parts)
