"""Writes the names of foods in the order in which a search shows them, and the index of their words.

Short names stand first ("HEAVY CREAM" before a cake that holds some), then newer ones. Of several versions of one
package, told by its GTIN, only the newest is found by words; the others can still be had by their ids.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fdc import layout
from nutrition.foods.fdc.brands import joined
from nutrition.foods.fdc.foods import NDB_FILES
from nutrition.foods.fdc.kinds import KINDS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from nutrition.foods.fdc.brands import Brands
    from nutrition.foods.fdc.foods import Foods
    from nutrition.foods.fdc.writing import Files

STRETCH = 50_000
INSERT = "INSERT INTO food VALUES (?, ?, ?, ?)"


def write(foods: Foods, kind: int, brands: Brands, files: Files) -> int:
    """Write the names of one kind, and give how many.

    Args:
        foods: the list of foods.
        kind: the place of the kind.
        brands: owners and GTINs.
        files: where to.

    Raises:
        sqlite3.Error: the file cannot be written.
    """
    import pyarrow as pa
    import pyarrow.compute as pc

    places = np.flatnonzero(foods.kinds == kind)
    date = np.array(_ranks(foods.dates[1]), np.int64)[foods.dates[0][places]] if len(places) else places
    shown = _newest(brands.gtins[places], date, foods.ids[places])
    length = np.asarray(pc.utf8_length(foods.names))[places]
    order = np.lexsort((-foods.ids[places], -date, length, ~shown))
    # Two million branded foods need not be asked for numbers that only a few plain ones have.
    ndb = foods.ndb if KINDS[kind].name in NDB_FILES else {}
    more = _more(foods, places, ndb)
    # The texts go out in stretches, so that they are never in memory twice.
    for start in range(0, len(order), STRETCH):
        part = order[start : start + STRETCH]
        where = pa.array(places[part])
        owner = brands.owners.take(where)
        called = joined([foods.names.take(where), owner])
        row = (range(start + 1, start + 1 + len(part)), foods.ids[places[part]].tolist(), called.to_pylist())
        files.names.executemany(INSERT, zip(*row, [more[n] for n in part.tolist()], strict=True))
    by_ndb = [(ndb[id_], id_) for id_ in foods.ids[places].tolist() if id_ in ndb] if ndb else []
    files.names.executemany("INSERT INTO ndb VALUES (?, ?)", sorted(by_ndb))
    last = int(shown.sum())
    files.names.execute("INSERT INTO words (rowid, text) SELECT place, called FROM food WHERE place <= ?", (last,))
    files.names.execute(layout.NAMES_INDEX)
    return len(places)


def _more(foods: Foods, places: NDArray[np.int64], ndb: Mapping[int, str]) -> list[str]:
    """NDB number, food group and date of each food; few texts, shared by many."""
    group = [foods.groups.get(text.strip(), "") for text in foods.categories[1]]
    dates = [text.replace(layout.MARK, " ") for text in foods.dates[1]]
    pairs = foods.categories[0][places].astype(np.int64) * max(1, len(dates)) + foods.dates[0][places]
    distinct, inverse = np.unique(pairs, return_inverse=True)
    tails = [
        f"{layout.MARK}{group[int(n) // max(1, len(dates))]}{layout.MARK}{dates[int(n) % max(1, len(dates))]}"
        for n in distinct
    ]
    if not ndb:
        return [tails[n] for n in inverse.tolist()]
    ids = foods.ids[places].tolist()
    return [ndb.get(id_, "") + tails[n] for id_, n in zip(ids, inverse.tolist(), strict=True)]


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
