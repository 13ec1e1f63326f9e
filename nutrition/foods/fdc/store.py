"""The user's library of imported foods: records by FDC id and by NDB number, and search by words.

>>> with Store.open() as store:
...     store.food(0) is None
True
"""

from __future__ import annotations

import contextlib
import sqlite3
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

from nutrition.foods import places
from nutrition.foods.fdc import layout
from nutrition.foods.fdc.facts import SOURCE, Facts
from nutrition.foods.fdc.kinds import KINDS, NAMES, kind
from nutrition.foods.fdc.layout import LibraryError, Part
from nutrition.foods.fdc.nutrients import Known, Problem, identify
from nutrition.foods.fdc.printed import GRAMS, MILLILITRES, MOST_SERVING_G
from nutrition.foods.hit import Hit
from nutrition.foods.record import FoodRecord, Measure
from nutrition.foods.words import words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

PIECE = struct.Struct("<Bd")
DETAILS = {
    "brand_owner": "brand owner",
    "brand_name": "brand",
    "gtin_upc": "gtin",
    "ingredients": "ingredients",
    "household_serving_fulltext": "household serving",
    "branded_food_category": "category",
}
"""What a record tells of a branded food, by USDA's columns."""
MOST_PIECES = 2000
SEARCH = """
SELECT food.id, food.called, food.more
FROM (SELECT rowid AS place FROM words WHERE words MATCH ? LIMIT ?) AS found
JOIN food ON food.place = found.place ORDER BY food.place
"""
"""Foods lie in the order in which they are shown, and the index gives them in that order, so nothing is ranked."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A food that a search may show: FDC id, name with its maker, source, kind, NDB number and USDA food group."""

    id: int
    name: str
    source: str
    kind: str
    ndb: str
    group: str


class _Files:
    """One part, opened."""

    def __init__(self, folder: Path, part: Part) -> None:
        self.part = part
        self._place = folder / part.values
        self._values: sqlite3.Connection | None = None
        self._known: Mapping[int, Known | Problem] | None = None
        self.names = layout.reading(folder / part.names)

    @property
    def values(self) -> sqlite3.Connection:
        """The file of values, opened when a record is asked for: a search needs only names."""
        if self._values is None:
            self._values = layout.reading(self._place)
        return self._values

    def known(self) -> Mapping[int, Known | Problem]:
        """What each code of this part means."""
        if self._known is None:
            rows = self.values.execute("SELECT code, id, number, name, unit FROM nutrient")
            found = ((code, identify(*map(str, rest))) for code, *rest in rows)
            self._known = {code: one for code, one in found if one is not None}
        return self._known

    def facts(self, id_: int) -> Facts | None:
        """What the part says of a food."""
        row = self.names.execute("SELECT called, more FROM food WHERE id = ?", (id_,)).fetchone()
        if row is None:
            return None
        name, _ = _apart(row[0], 2)
        ndb, category, published = _apart(row[1], 3)
        amounts, problems = self._amounts(id_)
        brand = self._brand(id_)
        details = {words_: brand[column] for column, words_ in DETAILS.items() if brand.get(column)}
        serving, unit = self._serving(brand)
        if brand.get("serving_size"):
            details["serving"] = f"{float(brand['serving_size']):g} {brand['serving_size_unit']}"
        measures = self._measures(id_)
        if serving is not None and unit in GRAMS and "household serving" in details:
            measures += (Measure(details["household serving"], serving),)
        return Facts(
            id=id_,
            kind=self.part.kind,
            name=name,
            release=self.part.release,
            published=published,
            group=category if category.isdigit() and len(category) == 4 else "",
            ndb=ndb,
            amounts=amounts,
            measures=measures,
            details=details,
            problems=problems,
            serving_g=serving if unit in GRAMS else None,
            by_volume=unit in MILLILITRES,
        )

    def _amounts(self, id_: int) -> tuple[tuple[tuple[Known, float], ...], tuple[str, ...]]:
        row = self.values.execute("SELECT held FROM amounts WHERE id = ?", (id_,)).fetchone()
        held = bytes(row[0]) if row else b""
        if len(held) % PIECE.size or len(held) > PIECE.size * MOST_PIECES:
            raise LibraryError(f"the food library is damaged at food {id_}; import the download again")
        found, problems = [], []
        for code, amount in PIECE.iter_unpack(held):
            one = self.known().get(code)
            if isinstance(one, Known):
                found.append((one, amount))
            elif one is not None:
                problems.append(one.what)
        return tuple(found), tuple(problems)

    def _measures(self, id_: int) -> tuple[Measure, ...]:
        rows = self.values.execute("SELECT text, grams FROM measure WHERE id = ? ORDER BY seq", (id_,))
        return tuple(Measure(str(text), float(grams)) for text, grams in rows)

    def _brand(self, id_: int) -> dict[str, str]:
        """What is known of a branded food, by USDA's columns; nothing for other foods."""
        row = self.values.execute("SELECT facts FROM brand WHERE id = ?", (id_,)).fetchone()
        return dict(zip(layout.BRAND, _apart(row[0], len(layout.BRAND)), strict=True)) if row else {}

    @staticmethod
    def _serving(brand: Mapping[str, str]) -> tuple[float | None, str]:
        """The serving of a packaged food, and its unit in small letters; no serving where it makes no sense."""
        serving = float(brand.get("serving_size") or 0.0)
        return serving if 0 < serving <= MOST_SERVING_G else None, brand.get("serving_size_unit", "").lower()

    def close(self) -> None:
        """Close both files."""
        self.names.close()
        if self._values is not None:
            self._values.close()


def _apart(text: object, count: int) -> list[str]:
    """Texts that lie in one column.

    Raises:
        LibraryError: they are not so many.
    """
    parts = str(text).split(layout.MARK)
    if len(parts) != count:
        raise LibraryError("the food library is damaged; import the download again")
    return parts


class Store:
    """An open library; a library that nobody has made yet is one without foods."""

    def __init__(self, files: tuple[_Files, ...]) -> None:
        self._files = files

    @classmethod
    def open(cls, folder: Path | None = None) -> Store:
        """The library in a folder, the user's own if none is named.

        Raises:
            LibraryError: it is damaged.
        """
        folder = places.library() if folder is None else folder
        order = {one.name: place for place, one in enumerate(KINDS)}
        with contextlib.ExitStack() as opened:
            files = []
            for part in sorted(layout.parts(folder), key=lambda part: order[part.kind]):
                one = _Files(folder, part)
                opened.callback(one.close)
                files.append(one)
            opened.pop_all()
        return cls(tuple(files))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the library."""
        for one in self._files:
            one.close()

    @property
    def parts(self) -> tuple[Part, ...]:
        """What was imported, plainest kind first."""
        return tuple(one.part for one in self._files)

    def facts(self, fdc_id: int | str) -> Facts | None:
        """What the library says of a food, None where it has none of that id.

        Raises:
            LibraryError: the library is damaged.
        """
        text = str(fdc_id).strip()
        if not (text.isascii() and text.isdigit() and len(text) <= 18):
            return None
        try:
            return next((found for one in self._files if (found := one.facts(int(text))) is not None), None)
        except (sqlite3.Error, ValueError) as error:
            raise LibraryError("the food library is damaged; import the download again") from error

    def food(self, fdc_id: int | str) -> FoodRecord | None:
        """The record of a food, None where the library has none of that id.

        Args:
            fdc_id: FoodData Central's id, without ``fdc:``.

        Raises:
            LibraryError: the library is damaged.
        """
        found = self.facts(fdc_id)
        return None if found is None else found.record()

    def by_ndb(self, ndb: str) -> FoodRecord | None:
        """The record with an NDB number: a Foundation food before one of SR Legacy, None where there is neither.

        Args:
            ndb: the number, five digits.

        Raises:
            LibraryError: the library is damaged.
        """
        for one in self._files:
            row = one.names.execute("SELECT id FROM ndb WHERE ndb = ?", (ndb.strip().zfill(5),)).fetchone()
            if row is not None:
                return self.food(row[0])
        return None

    def search(self, text: str, limit: int = 20, kinds: Iterable[str] = NAMES) -> list[Hit]:
        """Foods whose names (and makers) hold all the words, plainest kind first, in each kind shortest names first.

        Args:
            text: words; beginnings of words and plurals are found too.
            limit: how many at most.
            kinds: which kinds.

        Raises:
            LibraryError: the library is damaged.
        """
        hits: list[Hit] = []
        wanted = frozenset(kinds)
        for one in self._files:
            if one.part.kind in wanted and (room := limit - len(hits)) > 0:
                hits += [Hit(f"fdc:{row.id}", row.name, row.source) for row in self._found(one, text, room)]
        return hits

    def candidates(self, text: str, most: int, kinds: Iterable[str]) -> list[Candidate]:
        """Foods whose names hold all the words, so many of each kind, for whoever puts them in an order of his own.

        Raises:
            LibraryError: the library is damaged.
        """
        wanted = frozenset(kinds)
        return [row for one in self._files if one.part.kind in wanted for row in self._found(one, text, most)]

    @staticmethod
    def _found(one: _Files, text: str, most: int) -> list[Candidate]:
        # Each word stands in quotes of its own and holds letters and digits only: nothing of it is query syntax.
        whole = " AND ".join(f'"{word}"' for word in words(text))
        begun = " AND ".join(f'"{word}"*' for word in words(text))
        if not whole:
            return []
        try:
            rows = one.names.execute(SEARCH, (whole, most)).fetchall()
            if len(rows) < most:
                # Words that only begin so come after whole ones, and cost more to find.
                seen = {row[0] for row in rows}
                more = one.names.execute(SEARCH, (begun, most)).fetchall()
                rows = [*rows, *(row for row in more if row[0] not in seen)][:most]
        except sqlite3.Error as error:
            raise LibraryError("the food library is damaged; import the download again") from error
        return [
            Candidate(id_, title(*_apart(called, 2)), source(one.part, id_), one.part.kind, *_apart(more, 3)[:2])
            for id_, called, more in rows
        ]


def title(name: str, owner: str) -> str:
    """A food's name with its maker, as a list of foods shows it.

    >>> title("HEAVY CREAM", "Some Dairy"), title("Cream, fluid", "")
    ('HEAVY CREAM (Some Dairy)', 'Cream, fluid')
    """
    return f"{name or 'a food without a name'} ({owner})" if owner else name


def source(part: Part, id_: int) -> str:
    """Source, release and number of a food, as its record says."""
    return f"{SOURCE}, {kind(part.kind).words}{f', release {part.release}' if part.release else ''}, FDC {id_}"
