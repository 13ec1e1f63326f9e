"""What branded_food.csv says: makers, GTINs, ingredients and servings of branded foods."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fdc import layout, rows
from nutrition.foods.fdc.foods import NOWHERE, Foods
from nutrition.foods.fdc.tally import Tally

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pyarrow as pa
    from numpy.typing import NDArray

    from nutrition.foods.fdc.download import Download
    from nutrition.foods.fdc.rows import Batch, Reading
    from nutrition.foods.fdc.writing import Files

FILE = "branded_food.csv"
TEXTS = (
    *("brand_owner", "brand_name", "gtin_upc", "ingredients", "serving_size_unit"),
    *("household_serving_fulltext", "branded_food_category"),
)
COLUMNS = {"fdc_id": rows.INT, "serving_size": rows.FLOAT} | dict.fromkeys(TEXTS, rows.TEXT)
OPTIONAL = frozenset(COLUMNS) - {"fdc_id"}
INSERT = "INSERT INTO brand VALUES (?, ?)"
LONGEST = 100_000
LONGEST_OWNER = 200
"""So much of an owner's name is shown and searched."""
MOST = 1e5


@dataclass(frozen=True, slots=True)
class Brands:
    """What the list of names needs of branded foods, by their places in the list of foods.

    Args:
        owners: the brands' owners, empty where there is none.
        gtins: GTINs as numbers, 0 where there is none.
    """

    owners: pa.StringArray
    gtins: NDArray[np.int64]


def none(foods: Foods) -> Brands:
    """No branded foods."""
    import pyarrow as pa

    return Brands(pa.repeat("", len(foods.ids)), np.zeros(len(foods.ids), np.int64))


def read(download: Download, foods: Foods, files: Files, reading: Reading, tallies: list[Tally]) -> Brands:
    """Read branded_food.csv into the values file.

    Raises:
        DownloadError: it cannot be read.
        NotSoundError: a cell that cannot be read the fast way.
        sqlite3.Error: the values file cannot be written.
    """
    import pyarrow as pa
    import pyarrow.compute as pc

    tally = Tally(FILE)
    tallies.append(tally)
    owners: list[pa.StringArray] = []
    row = np.full(len(foods.ids), NOWHERE)
    gtins = np.zeros(len(foods.ids), np.int64)
    seen = np.zeros(len(foods.ids), bool)
    for whole in rows.batches(download, FILE, COLUMNS, tally, reading, OPTIONAL):
        places, good = _sound(whole, foods, seen, tally)
        where = np.flatnonzero(good)
        batch, places = (whole if len(where) == whole.rows else _taken(whole, where)), places[where]
        row[places] = tally.stored + np.arange(len(places))
        tally.store(len(places))
        seen[places] = True
        texts = batch.texts
        owner = texts["brand_owner"]
        long = (pc.max(pc.binary_length(owner)).as_py() or 0) > LONGEST_OWNER
        owners.append(pc.utf8_slice_codeunits(owner, 0, LONGEST_OWNER) if long else owner)
        gtins[places] = _gtins(texts["gtin_upc"])
        serving = batch.floats["serving_size"]
        # A serving that is no amount is none; the food stands all the same.
        good = np.isfinite(serving) & (serving > 0) & (serving < MOST)
        sizes = pa.array(np.where(good, serving, np.nan), from_pandas=True).cast(pa.string())
        facts = joined([sizes if name == "serving_size" else texts[name] for name in layout.BRAND])
        files.values.executemany(INSERT, zip(batch.ints["fdc_id"].tolist(), facts.to_pylist(), strict=True))
    every = pa.concat_arrays([*owners, pa.array([""])])
    return Brands(every.take(pa.array(np.where(row == NOWHERE, len(every) - 1, row))), gtins)


def _sound(
    batch: Batch, foods: Foods, seen: NDArray[np.bool_], tally: Tally
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """The places of a batch's foods in the list of foods, and which rows can be taken."""
    import pyarrow.compute as pc

    ids = batch.ints["fdc_id"]
    places = foods.places(ids)
    good = places != NOWHERE
    left = ~good & foods.elsewhere(ids)
    tally.leave("of foods that are left out", int(left.sum()))
    _refuse(tally, "of a food that food.csv does not list", ids, ~good & ~left)
    twice = good & seen[places]
    inside = places[good]
    if len(np.unique(inside)) < len(inside):
        first = np.zeros(len(ids), bool)
        first[np.unique(np.where(good, places, NOWHERE), return_index=True)[1]] = True
        twice |= good & ~first
    _refuse(tally, "an id twice", ids, twice)
    good &= ~twice
    if batch.foreign is not None:
        _refuse(tally, "not in UTF-8", ids, good & batch.foreign)
        good &= ~batch.foreign
    long = good & (np.asarray(pc.binary_length(batch.texts["ingredients"])) > LONGEST)
    _refuse(tally, "ingredients that are too long", ids, long)
    return places, good & ~long


def _refuse(tally: Tally, why: str, ids: NDArray[np.int64], which: NDArray[np.bool_]) -> None:
    if which.any():
        tally.refuse(why, int(which.sum()), f"fdc_id {ids[which][0]}")


def _taken(batch: Batch, where: NDArray[np.int64]) -> Batch:
    import pyarrow as pa

    return rows.Batch(
        len(where),
        {name: column[where] for name, column in batch.ints.items()},
        {name: column[where] for name, column in batch.floats.items()},
        {name: column.take(pa.array(where)) for name, column in batch.texts.items()},
    )


def joined(columns: Sequence[pa.StringArray]) -> pa.StringArray:
    """Texts of several columns in one, so that they can be taken apart again; nothing for nulls."""
    import pyarrow.compute as pc

    def together(parts: Sequence[pa.StringArray]) -> pa.StringArray:
        return pc.binary_join_element_wise(*parts, layout.MARK, null_handling="replace", null_replacement="")

    whole = together(columns)
    # Counted in the bytes of all texts together, which takes next to no time.
    marks = np.count_nonzero(np.frombuffer(whole.buffers()[2] or b"", np.uint8) == ord(layout.MARK))
    if marks != len(whole) * (len(columns) - 1):
        # Only who means harm writes this sign into a name.
        whole = together([pc.replace_substring(one, layout.MARK, " ") for one in columns])
    return whole


def _gtins(texts: pa.StringArray) -> NDArray[np.int64]:
    """GTINs as numbers, so that 00012345678905 and 12345678905 are one; 0 where the text is none."""
    import pyarrow as pa
    import pyarrow.compute as pc

    plain = pc.utf8_trim_whitespace(texts)
    digits = pc.match_substring_regex(plain, "^[0-9]{6,14}$")
    return np.asarray(pc.if_else(digits, plain, "0").cast(pa.int64()))
