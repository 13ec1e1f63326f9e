"""Household measures and portions of a download: food_portion.csv with measure_unit.csv.

>>> words(1.0, "cup", "", "sliced"), words(1.0, "undetermined", "", "cup, whipped"), words(None, "", "1 cup", "10205")
('1 cup, sliced', '1 cup, whipped', '1 cup')
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fdc import rows
from nutrition.foods.fdc.foods import NOWHERE, Foods
from nutrition.foods.fdc.tally import Tally

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from nutrition.foods.fdc.download import Download
    from nutrition.foods.fdc.rows import Batch, Reading
    from nutrition.foods.fdc.writing import Files

FILE = "food_portion.csv"
COLUMNS = {
    **{"fdc_id": rows.INT, "amount": rows.FLOAT, "measure_unit_id": rows.TEXT, "portion_description": rows.TEXT},
    **{"modifier": rows.TEXT, "gram_weight": rows.FLOAT},
}
OPTIONAL = frozenset(COLUMNS) - {"fdc_id", "gram_weight"}
MOST = 1e5
"""No portion weighs more, g."""
NOTHING = frozenset({"", "undetermined", "quantity not specified"})


def read(download: Download, foods: Foods, files: Mapping[int, Files], reading: Reading, tallies: list[Tally]) -> None:
    """Read the portions into the values files; a download without them is one.

    Raises:
        DownloadError: a file cannot be read.
        NotSoundError: a cell that cannot be read the fast way.
        sqlite3.Error: a values file cannot be written.
    """
    if FILE not in download.sizes:
        return
    units = _units(download, reading, tallies)
    tally = Tally(FILE)
    tallies.append(tally)
    count = np.zeros(len(foods.ids), np.int32)
    for batch in rows.batches(download, FILE, COLUMNS, tally, reading, OPTIONAL):
        places = foods.places(batch.ints["fdc_id"])
        elsewhere = foods.elsewhere(batch.ints["fdc_id"])
        for n, (text, grams, foreign) in enumerate(_each(batch, units)):
            place, example = int(places[n]), f"fdc_id {batch.ints['fdc_id'][n]}"
            if place == NOWHERE and elsewhere[n]:
                tally.leave("of foods that are left out", 1)
            elif place == NOWHERE:
                tally.refuse("of a food that food.csv does not list", 1, example)
            elif foreign:
                tally.refuse("not in UTF-8", 1, example)
            elif not (0 < grams <= MOST):
                tally.refuse("no weight in grams", 1, example)
            elif not text:
                tally.leave("portions without a name", 1)
            else:
                row = (int(foods.ids[place]), int(count[place]), text, grams)
                files[int(foods.kinds[place])].values.execute("INSERT INTO measure VALUES (?, ?, ?, ?)", row)
                count[place] += 1
                tally.store(1)


def _units(download: Download, reading: Reading, tallies: list[Tally]) -> dict[str, str]:
    """Names of units by their ids."""
    if "measure_unit.csv" not in download.sizes:
        return {}
    tally = Tally("measure_unit.csv")
    tallies.append(tally)
    found: dict[str, str] = {}
    for batch in rows.batches(download, "measure_unit.csv", {"id": rows.TEXT, "name": rows.TEXT}, tally, reading):
        for id_, name in zip(batch.texts["id"].to_pylist(), batch.texts["name"].to_pylist(), strict=True):
            if id_.strip() in found:
                tally.refuse("an id twice", 1, f"id {id_}")
                continue
            found[id_.strip()] = name.strip()
            tally.store(1)
    return found


def _each(batch: Batch, units: Mapping[str, str]) -> Iterator[tuple[str, float, bool]]:
    """For each row its words, its weight and whether it cannot be read."""
    columns = (
        *(batch.floats["amount"].tolist(), batch.texts["measure_unit_id"].to_pylist()),
        *(batch.texts["portion_description"].to_pylist(), batch.texts["modifier"].to_pylist()),
        *(batch.floats["gram_weight"].tolist(), (batch.foreign if batch.foreign is not None else np.zeros(batch.rows))),
    )
    for amount, unit, description, modifier, grams, foreign in zip(*columns, strict=True):
        text = words(amount if math.isfinite(amount) else None, units.get(unit.strip(), ""), description, modifier)
        yield text, grams, bool(foreign)


def words(amount: float | None, unit: str, description: str, modifier: str) -> str:
    """A portion as people read it; empty where nothing says what it is.

    Args:
        amount: how many of the unit.
        unit: the unit; "undetermined" where the modifier names it, as in SR Legacy.
        description: the whole portion in words, as in the survey.
        modifier: what kind of unit; in the survey a code, which is left out.
    """
    unit, description, modifier = unit.strip()[:200], description.strip()[:200], modifier.strip()[:200]
    if description.lower() not in NOTHING:
        return description
    if description or modifier.isdigit():
        modifier = ""
    if unit.lower() in NOTHING:
        unit, modifier = modifier, ""
    if not unit:
        return ""
    return f"{1.0 if amount is None or amount <= 0 else amount:g} {unit}{f', {modifier}' if modifier else ''}"
