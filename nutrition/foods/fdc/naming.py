"""Writes the names of foods in the order in which a search shows them, and the index of their words.

Short names stand first ("HEAVY CREAM" before a cake that holds some), then newer ones. Of several versions of one
package, told by its GTIN, only the newest is found by words; the others can still be had by their ids.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from nutrition.foods.fdc.brands import Brands
    from nutrition.foods.fdc.foods import Foods
    from nutrition.foods.fdc.writing import Files

STRETCH = 50_000
INSERT = "INSERT INTO food VALUES (?, ?, ?, ?, ?, ?, ?, ?)"


def write(foods: Foods, kind: int, brands: Brands, files: Files, told: Callable[[int], None]) -> int:
    """Write the names of one kind, and give how many.

    Args:
        foods: the list of foods.
        kind: the place of the kind.
        brands: owners and GTINs.
        files: where to.
        told: is told of every stretch, in foods.

    Raises:
        sqlite3.Error: the file cannot be written.
    """
    import pyarrow as pa
    import pyarrow.compute as pc

    places = np.flatnonzero(foods.kinds == kind)
    names = foods.names if len(places) == len(foods.ids) else foods.names.take(pa.array(places))
    date = np.array(_ranks(foods.dates[1]), np.int64)[foods.dates[0][places]] if len(places) else places
    shown = _newest(brands.gtins[places], date, foods.ids[places])
    length = np.asarray(pc.utf8_length(names))
    order = np.lexsort((-foods.ids[places], -date, length, ~shown))
    # The texts go out in stretches, so that they are never in memory twice.
    owners = (*brands.owners[1], "")
    group = [foods.groups.get(text.strip(), "") for text in foods.categories[1]]
    for start in range(0, len(order), STRETCH):
        part = order[start : start + STRETCH]
        where = places[part]
        ids = foods.ids[where].tolist()
        files.names.executemany(
            INSERT,
            zip(
                *(range(start + 1, start + 1 + len(part)), ids, names.take(pa.array(part)).to_pylist()),
                [owners[n] for n in brands.owners[0][where].tolist()],
                [foods.ndb.get(id_, "") for id_ in ids],
                [group[n] for n in foods.categories[0][where].tolist()],
                [foods.dates[1][n] for n in foods.dates[0][where].tolist()],
                shown[part].tolist(),
                strict=True,
            ),
        )
        told(len(part))
    files.names.execute("INSERT INTO words (rowid, text) SELECT place, name || ' ' || owner FROM food WHERE shown")
    files.names.execute("CREATE UNIQUE INDEX food_id ON food (id)")
    files.names.execute("CREATE INDEX food_ndb ON food (ndb) WHERE ndb <> ''")
    return len(places)


def _ranks(texts: Sequence[str]) -> list[int]:
    order = {text: rank for rank, text in enumerate(sorted(set(texts)))}
    return [order[text] for text in texts]


def _newest(gtins: NDArray[np.int64], date: NDArray[np.int64], ids: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether each food is the newest of its GTIN; foods without one are."""
    shown = np.ones(len(gtins), bool)
    order = np.lexsort((ids, date, gtins))
    same = (gtins[order][1:] == gtins[order][:-1]) & (gtins[order][1:] != 0)
    shown[order[:-1][same]] = False
    return shown
