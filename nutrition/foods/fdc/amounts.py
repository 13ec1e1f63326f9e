"""The amounts of a download, food_nutrient.csv, into the values files: a row for each food, nine bytes an amount.

The file lists the amounts of one food after another, so that each stretch of one food becomes one row at once; a
food that comes again later, in a file of another order, gets the rest added to its row.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nutrition.foods.fdc import rows
from nutrition.foods.fdc.foods import NOWHERE, Foods
from nutrition.foods.fdc.kinds import KINDS
from nutrition.foods.fdc.nutrients import MOST, Known, Problem, identify
from nutrition.foods.fdc.store import MOST_PIECES
from nutrition.foods.fdc.tally import Tally

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from nutrition.foods.fdc.download import Download
    from nutrition.foods.fdc.rows import Batch, Reading
    from nutrition.foods.fdc.writing import Files

FILE = "food_nutrient.csv"
COLUMNS = {"fdc_id": rows.INT, "nutrient_id": rows.INT, "amount": rows.FLOAT}
NUTRIENT_COLUMNS = {"id": rows.TEXT, "name": rows.TEXT, "unit_name": rows.TEXT, "nutrient_nbr": rows.TEXT}
PIECE = np.dtype([("code", "u1"), ("amount", "<f8")])
HIGHEST_ID = 100_000
UNLISTED, UNFOLLOWED, ODD, KNOWN = range(4)


@dataclass(frozen=True, slots=True)
class Codes:
    """What each nutrient id of the download is.

    Args:
        status: by id: not listed, listed but none of ours, ours but with another name or unit, or known.
        code: by id, the code that the library uses.
        most: by code, the greatest amount that can be.
        rows: the library's table of nutrients.
        problems: in words, what is wrong with nutrients of ours.
    """

    status: NDArray[np.uint8]
    code: NDArray[np.uint8]
    most: NDArray[np.float64]
    rows: tuple[tuple[int, str, str, str, str], ...]
    problems: tuple[str, ...]


def codes(download: Download, reading: Reading, tallies: list[Tally]) -> Codes:
    """Read nutrient.csv.

    Raises:
        DownloadError: it cannot be read.
    """
    tally = Tally("nutrient.csv")
    tallies.append(tally)
    status = np.zeros(HIGHEST_ID + 2, np.uint8)
    code = np.zeros(HIGHEST_ID + 2, np.uint8)
    most = np.full(256, np.inf)
    kept: list[tuple[int, str, str, str, str]] = []
    problems: list[str] = []
    for batch in rows.batches(download, "nutrient.csv", NUTRIENT_COLUMNS, tally, reading):
        columns = (batch.texts[name].to_pylist() for name in ("id", "nutrient_nbr", "name", "unit_name"))
        for id_, number, name, unit in zip(*columns, strict=True):
            place = int(id_) if id_.isascii() and id_.isdigit() and len(id_) <= 6 else 0
            if not 0 < place <= HIGHEST_ID or status[place] != UNLISTED:
                tally.refuse("a nutrient id twice or none", 1, f"id {id_}")
                continue
            found = identify(id_, number, name, unit)
            status[place] = KNOWN if isinstance(found, Known) else UNFOLLOWED if found is None else ODD
            if isinstance(found, Known):
                code[place] = len(kept) + 1
                most[code[place]] = MOST / found.high
                kept.append((len(kept) + 1, id_, number, name, unit))
                tally.store(1)
            elif isinstance(found, Problem):
                problems.append(found.what)
                tally.refuse("a nutrient whose number, name or unit is not the known one", 1, f"id {id_}")
            else:
                tally.leave("nutrients that are not followed", 1)
    return Codes(status, code, most, tuple(kept), tuple(problems))


def read(
    download: Download,
    foods: Foods,
    known: Codes,
    files: Mapping[int, Files],
    reading: Reading,
    tallies: list[Tally],
) -> None:
    """Read food_nutrient.csv into the values files.

    Args:
        download: where it is.
        foods: the list of foods.
        known: what its nutrient ids are.
        files: for each wanted kind, by its place among the kinds, its files.
        reading: how files are read.
        tallies: are added to.

    Raises:
        DownloadError: it cannot be read.
        NotSoundError: a cell that cannot be read the fast way.
        sqlite3.Error: a values file cannot be written.
    """
    tally = Tally(FILE)
    tallies.append(tally)
    held = np.zeros(len(foods.ids), np.int32)
    for place in files:
        files[place].values.executemany("INSERT INTO nutrient VALUES (?, ?, ?, ?, ?)", known.rows)
    for batch in rows.batches(download, FILE, COLUMNS, tally, reading):
        _store(batch, foods, known, files, held, tally)


def _store(
    batch: Batch,
    foods: Foods,
    known: Codes,
    files: Mapping[int, Files],
    held: NDArray[np.int32],
    tally: Tally,
) -> None:
    ids, amounts = batch.ints["fdc_id"], batch.floats["amount"]
    number = batch.ints["nutrient_id"]
    number = np.where((number < 0) | (number > HIGHEST_ID), HIGHEST_ID + 1, number)
    heads = np.flatnonzero(np.diff(ids, prepend=NOWHERE - 1))
    lengths = np.diff(heads, append=len(ids))
    places = foods.places(ids[heads])
    good = _sound(batch, foods, known, number, (heads, lengths, places), tally)
    if not good.all():
        kept = np.add.reduceat(good, heads, dtype=np.int64)
        ids, amounts, number = ids[good], amounts[good], number[good]
        some = kept > 0
        lengths, places = kept[some], places[some]
        heads = np.cumsum(lengths) - lengths
    if not len(heads):
        return
    pieces = np.empty(len(ids), PIECE)
    pieces["code"], pieces["amount"] = known.code[number], amounts
    stretches = _Stretches(memoryview(pieces.tobytes()), heads * PIECE.itemsize, (heads + lengths) * PIECE.itemsize)
    # Where a food has come before, be it in this batch, its row is there already.
    again = held[places] > 0
    if np.any(np.diff(places) <= 0):
        first = np.zeros(len(places), bool)
        first[np.unique(places, return_index=True)[1]] = True
        again |= ~first
    kinds = foods.kinds[places]
    for kind in np.unique(kinds):
        new = np.flatnonzero((kinds == kind) & ~again)
        files[int(kind)].values.executemany(
            "INSERT INTO amounts VALUES (?, ?)", zip(foods.ids[places[new]].tolist(), stretches.each(new), strict=True)
        )
    np.add.at(held, places, lengths.astype(np.int32))
    tally.store(len(ids))
    for n in np.flatnonzero(again):
        refused = _add(files[int(kinds[n])], int(foods.ids[places[n]]), stretches.one(int(n)))
        tally.store(-refused)
        tally.refuse("more amounts than any food has", refused, f"fdc_id {foods.ids[places[n]]}")


@dataclass(frozen=True, slots=True)
class _Stretches:
    raw: memoryview
    starts: NDArray[np.int64]
    ends: NDArray[np.int64]

    def each(self, which: NDArray[np.int64]) -> list[memoryview]:
        # A food that is all in one batch and has more than any food has is cut short, and counted below.
        raw = self.raw
        return [raw[a:b] for a, b in zip(self.starts[which].tolist(), self.ends[which].tolist(), strict=True)]

    def one(self, which: int) -> bytes:
        return bytes(self.raw[int(self.starts[which]) : int(self.ends[which])])


def _add(files: Files, id_: int, more: bytes) -> int:
    """Add to a food's row; gives how many amounts found no room."""
    row = files.values.execute("SELECT held FROM amounts WHERE id = ?", (id_,)).fetchone()
    before = bytes(row[0]) if row else b""
    room = max(0, MOST_PIECES * PIECE.itemsize - len(before))
    files.values.execute("REPLACE INTO amounts VALUES (?, ?)", (id_, before + more[:room]))
    return len(more[room:]) // PIECE.itemsize


def _sound(
    batch: Batch,
    foods: Foods,
    known: Codes,
    number: NDArray[np.int64],
    stretches: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]],
    tally: Tally,
) -> NDArray[np.bool_]:
    """Which amounts can be taken; the others are counted by the first reason against each."""
    ids, amounts = batch.ints["fdc_id"], batch.floats["amount"]
    heads, lengths, places = stretches
    status = known.status[number]
    sound = (
        (places >= 0).all()
        and int(status.min(initial=KNOWN)) == KNOWN
        and bool(np.all((amounts >= 0) & (amounts <= known.most[known.code[number]])))
        and int(lengths.max(initial=0)) <= MOST_PIECES
    )
    good = np.ones(len(ids), bool)
    if sound:
        return good

    def out(which: NDArray[np.bool_], why: str, *, damaged: bool = True) -> None:
        which = which & good
        if not which.any():
            return
        good[which] = False
        if damaged:
            n = int(np.flatnonzero(which)[0])
            tally.refuse(why, int(which.sum()), f"fdc_id {ids[n]}, nutrient {batch.ints['nutrient_id'][n]}")
        else:
            tally.leave(why, int(which.sum()))

    nowhere = places == NOWHERE
    left = nowhere & foods.elsewhere(ids[heads])
    out(np.repeat(left, lengths), "of foods that are left out", damaged=False)
    out(np.repeat(nowhere, lengths), "of a food that food.csv does not list")
    out(status == UNLISTED, "a nutrient that nutrient.csv does not list")
    out(status == UNFOLLOWED, "nutrients that are not followed", damaged=False)
    out(status == ODD, "a nutrient whose number, name or unit is not the known one")
    out(np.isnan(amounts), "no amount given", damaged=False)
    out(np.isinf(amounts), "an amount that is no number")
    out(amounts < 0, "an amount below zero")
    out(amounts > known.most[known.code[number]], "an amount that no food can hold")
    out(np.arange(len(ids)) - np.repeat(heads, lengths) >= MOST_PIECES, "more amounts than any food has")
    return good


def kinds_of(files: Mapping[int, Files]) -> tuple[str, ...]:
    """The names of the kinds that are filled."""
    return tuple(KINDS[place].name for place in files)
