"""The list of foods of a download, food.csv, with their NDB numbers, held in memory while the import runs.

Two million foods take about 150 MB: their ids, kinds and dates as numbers, their names as one block of text.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fdc import rows
from nutrition.foods.fdc.download import DownloadError
from nutrition.foods.fdc.kinds import KINDS, Kind
from nutrition.foods.fdc.tally import Tally

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import pyarrow as pa
    from numpy.typing import NDArray

    from nutrition.foods.fdc.download import Download
    from nutrition.foods.fdc.rows import Batch, Reading

COLUMNS = {
    "fdc_id": rows.INT,
    "data_type": rows.TEXT,
    "description": rows.TEXT,
    "food_category_id": rows.TEXT,
    "publication_date": rows.TEXT,
}
OPTIONAL = frozenset({"food_category_id", "publication_date"})
NDB_FILES = {"sr-legacy": "sr_legacy_food.csv", "foundation": "foundation_food.csv"}
NOWHERE = -1
HIGHEST = 2**40
"""No FDC id is above this (they run to some millions)."""
LONGEST = 2000
MOST_BYTES = 1_000_000_000
"""All names together take less (those of two million foods some 100 MB)."""


@dataclass(slots=True)
class Words:
    """Texts of which many rows share a few, as numbers."""

    texts: list[str] = field(default_factory=list)
    _places: dict[str, int] = field(default_factory=dict)

    def places(self, found: pa.StringArray) -> NDArray[np.int32]:
        """The number of each text."""
        coded = found.dictionary_encode()
        mine = [self._place(text) for text in coded.dictionary.to_pylist()]
        return np.array(mine, np.int32)[coded.indices.to_numpy(zero_copy_only=False)] if mine else np.zeros(0, np.int32)

    def _place(self, text: str) -> int:
        place = self._places.get(text)
        if place is None:
            place = self._places[text] = len(self.texts)
            self.texts.append(text)
        return place


@dataclass(frozen=True, slots=True)
class Foods:
    """Foods of the kinds that are wanted, in the order of their ids.

    Args:
        ids: FDC ids, rising.
        kinds: for each its place in :data:`nutrition.foods.fdc.kinds.KINDS`.
        names: descriptions.
        categories: numbers of category texts, and those.
        dates: numbers of publication dates, and those.
        ndb: NDB numbers by FDC id.
        groups: USDA food group codes by category id.
    """

    ids: NDArray[np.int64]
    kinds: NDArray[np.int8]
    names: pa.StringArray
    categories: tuple[NDArray[np.int32], Sequence[str]]
    dates: tuple[NDArray[np.int32], Sequence[str]]
    ndb: Mapping[int, str]
    groups: Mapping[str, str]
    others: NDArray[np.int64]

    def places(self, ids: NDArray[np.int64]) -> NDArray[np.int64]:
        """The place of each id in the list, :data:`NOWHERE` where it is not there."""
        if not len(self.ids):
            return np.full(len(ids), NOWHERE)
        near = np.minimum(np.searchsorted(self.ids, ids), len(self.ids) - 1)
        return np.where(self.ids[near] == ids, near, NOWHERE)

    def elsewhere(self, ids: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Whether each id is one of food.csv that nobody wanted."""
        if not len(self.others):
            return np.zeros(len(ids), bool)
        near = np.minimum(np.searchsorted(self.others, ids), len(self.others) - 1)
        return np.asarray(self.others[near] == ids)

    def release(self) -> str:
        """The newest publication date."""
        numbers, texts = self.dates
        return max((texts[number] for number in np.unique(numbers)), default="")


def read(download: Download, wanted: Sequence[Kind], reading: Reading, tallies: list[Tally]) -> Foods:
    """Read food.csv and the files of NDB numbers.

    Args:
        download: the download.
        wanted: the kinds that are wanted.
        reading: how files are read.
        tallies: are added to.

    Raises:
        DownloadError: a file cannot be read.
        NotSoundError: a cell that cannot be read the fast way.
    """
    import pyarrow as pa

    tally = Tally("food.csv")
    tallies.append(tally)
    categories, dates, types = Words(), Words(), Words()
    kept: list[tuple[NDArray[np.int64], NDArray[np.int8], NDArray[np.int32], NDArray[np.int32]]] = []
    names, others = [], []
    for batch in rows.batches(download, "food.csv", COLUMNS, tally, reading, OPTIONAL):
        ids, good = _sound(batch, tally)
        numbers = types.places(batch.texts["data_type"])
        kinds = np.array([_place(text, wanted) for text in types.texts], np.int8)[numbers]
        for number in np.unique(numbers[good & (kinds < 0)]):
            tally.leave(types.texts[number][:40] or "no data type", int(np.sum(good & (numbers == number))))
        others.append(ids[good & (kinds < 0)])
        take = np.flatnonzero(good & (kinds >= 0))
        where = pa.array(take)
        names.append(batch.texts["description"].take(where))
        kept.append(
            (
                ids[take],
                kinds[take],
                categories.places(batch.texts["food_category_id"].take(where)),
                dates.places(batch.texts["publication_date"].take(where)),
            )
        )
    if not kept:
        raise DownloadError("food.csv has no rows")
    ids, kinds, category, date = (np.concatenate(column) for column in zip(*kept, strict=True))
    order = np.argsort(ids, kind="stable")
    twice = np.zeros(len(ids), bool)
    twice[1:] = ids[order][1:] == ids[order][:-1]
    if twice.any():
        tally.refuse("an id twice", int(twice.sum()), f"fdc_id {ids[order][twice][0]}")
        order = order[~twice]
    tally.store(len(order))
    if sum(part.nbytes for part in names) > MOST_BYTES:
        raise DownloadError("the names in food.csv are too long to be names of foods")
    text = pa.concat_arrays(names)
    names.clear()
    if len(order) != len(ids) or np.any(np.diff(order) < 0):
        text = text.take(pa.array(order))
    return Foods(
        ids[order],
        kinds[order],
        text,
        (category[order], categories.texts),
        (date[order], dates.texts),
        _ndb(download, wanted, reading, tallies),
        _groups(download, reading),
        np.unique(np.concatenate(others)),
    )


def _sound(batch: Batch, tally: Tally) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """The ids of a batch, and which of its rows can be taken."""
    import pyarrow.compute as pc

    ids = batch.ints["fdc_id"]
    bad = (ids <= 0) | (ids > HIGHEST)
    tally.refuse("no fdc_id", int(bad.sum()))
    good = ~bad
    if batch.foreign is not None:
        odd = good & batch.foreign
        tally.refuse("not in UTF-8", int(odd.sum()), f"fdc_id {ids[odd][0]}" if odd.any() else "")
        good &= ~batch.foreign
    long = good & (np.asarray(pc.binary_length(batch.texts["description"])) > LONGEST)
    tally.refuse("a name that is too long", int(long.sum()), f"fdc_id {ids[long][0]}" if long.any() else "")
    return ids, good & ~long


def _place(data_type: str, wanted: Sequence[Kind]) -> int:
    return next((n for n, kind in enumerate(KINDS) if kind.data_type == data_type and kind in wanted), NOWHERE)


def _ndb(download: Download, wanted: Sequence[Kind], reading: Reading, tallies: list[Tally]) -> dict[int, str]:
    """NDB numbers by FDC id."""
    found: dict[int, str] = {}
    for kind in wanted:
        name = NDB_FILES.get(kind.name)
        if name is None or name not in download.sizes:
            continue
        tally = Tally(name)
        tallies.append(tally)
        for batch in rows.batches(download, name, {"fdc_id": rows.INT, "NDB_number": rows.INT}, tally, reading):
            for id_, number in zip(batch.ints["fdc_id"].tolist(), batch.ints["NDB_number"].tolist(), strict=True):
                if id_ <= 0 or not 0 < number < 1_000_000:
                    tally.refuse("no NDB number", 1, f"fdc_id {id_}")
                elif id_ in found:
                    tally.refuse("an id twice", 1, f"fdc_id {id_}")
                else:
                    found[id_] = f"{number:05d}"
                    tally.store(1)
    return found


def _groups(download: Download, reading: Reading) -> dict[str, str]:
    """USDA food group codes by the ids that food.csv gives."""
    if "food_category.csv" not in download.sizes:
        return {}
    wanted = {"id": rows.TEXT, "code": rows.TEXT}
    found: dict[str, str] = {}
    for batch in rows.batches(download, "food_category.csv", wanted, Tally(""), reading):
        for id_, code in zip(batch.texts["id"].to_pylist(), batch.texts["code"].to_pylist(), strict=True):
            if code.strip().isascii() and code.strip().isdigit() and len(code.strip()) <= 4:
                found.setdefault(id_.strip(), code.strip().zfill(4))
    return found
