"""Where a shop keeps what its suppliers send: in its folder, or in a folder beside its workbook.

Nothing is written before everything is known: texts wait here, and go to their places together with the list.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from costing import files
from costing.findings import Finding, ShopError
from costing.shop import reader
from costing.shop.sheets import beside

if TYPE_CHECKING:
    from collections.abc import Mapping

    from costing.shop.models import ShopModel
    from costing.shop.reader import Reading
    from costing.shop.sheets.changing import Opened

WHAT: Final = "the list"


class Home:
    """The shop as a list is added to it.

    Args:
        place: the shop, a folder or a workbook.

    Raises:
        ShopError: it is a workbook that cannot be read.
    """

    def __init__(self, place: Path) -> None:
        self.place = place
        self.workbook: Opened | None = None
        self.root = place
        self.prices = beside.PRICES
        if place.is_file():
            from costing.shop.sheets.changing import Opened

            self.workbook = Opened(place)
            self.root = self.workbook.place.parent
            self.prices = beside.home(place).name
        self._waiting: dict[str, str] = {}
        self._seen: dict[str, str] = {}

    @property
    def mappings(self) -> str:
        """The folder of the mappings, relative to the root."""
        return f"{self.prices}/{beside.MAPPINGS}"

    @property
    def received(self) -> str:
        """The folder of the lists as they came, relative to the root."""
        return f"{self.prices}/{beside.RECEIVED}"

    @property
    def names(self) -> str:
        """Where the names of things stand, in words."""
        return "on the sheets Ingredients and Containers" if self.workbook else "in ingredients.yaml and the containers"

    def shop(self) -> ShopModel:
        """The shop, as far as a price list needs it: an ingredient without a price does not stand in the way.

        Raises:
            ShopError: its own file or its ingredients cannot be read.
        """
        reading: Reading = self.workbook.reading if self.workbook else reader.everything(self.place)
        needed = (reader.SHOP, reader.INGREDIENTS, *([self.place.name] if self.workbook else ()))
        wrong = tuple(
            one
            for one in reading.findings
            if one.level == "error" and (reading.model is None or one.where.partition(":")[0] in needed)
        )
        if reading.model is None or wrong:
            raise ShopError(wrong or reading.findings)
        return reading.model

    def has_list(self, name: str) -> bool:
        """Whether a list of the shop has this name already."""
        if self.workbook is not None:
            return f"{beside.PRICES}/{name}.csv".casefold() in map(str.casefold, self.workbook.papers.lists)
        path = self.root / beside.PRICES / f"{name}.csv"
        return path.exists() or path.is_symlink()

    # Texts that wait ---------------------------------------------------------------------------------------------

    def there(self, file: str) -> bool:
        """Whether there is a text, or will be."""
        return file in self._waiting or (self.root / file).exists()

    def text(self, file: str) -> str:
        """A text as it is, or will be."""
        if file not in self._waiting:
            self._seen[file] = (self.root / file).read_text(encoding="utf-8-sig")
        return self._waiting.get(file, self._seen.get(file, ""))

    def write(self, file: str, text: str) -> None:
        """Let a text wait for being written.

        Args:
            file: relative to the root.
            text: what it is to hold.
        """
        self._waiting[file] = text

    def keep(self) -> None:
        """Write what waits.

        Raises:
            ShopError: it cannot be; nothing is then.
        """
        new, over = self._files()
        files.write_all(new, over=over)
        self._waiting.clear()

    def put(self, contents: Mapping[Path, bytes | str], written: bytes | None = None) -> None:
        """Write new files, what waits, and last the workbook: all of it, or nothing.

        Args:
            contents: path to what is written there.
            written: the workbook as it is to be, where the shop is one.

        Raises:
            ShopError: something cannot be written; nothing is then.
        """
        new, over = self._files()
        if self.workbook is not None and written is not None:
            self.workbook.replace(written, WHAT, {**new, **contents}, over)
        else:
            files.write_all({**new, **contents}, over=over)
        self._waiting.clear()

    def _files(self) -> tuple[dict[Path, bytes | str], dict[Path, bytes | str]]:
        new: dict[Path, bytes | str] = {}
        over: dict[Path, bytes | str] = {}
        for file, text in self._waiting.items():
            path = self.root / file
            if file not in self._seen:
                new[path] = text
            elif path.read_text(encoding="utf-8-sig") != self._seen[file]:
                what = "the file was changed while the list was read; nothing was written"
                raise ShopError((Finding("error", file, what, "add the list again"),))
            else:
                over[path] = text
        return new, over
