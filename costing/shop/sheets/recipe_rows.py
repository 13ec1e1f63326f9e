"""The sheet of recipes: a row for each step, or for each thing of a step, becomes parts and steps."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from costing.shop.building import nearest
from costing.shop.sheets import grids, plan
from costing.shop.sheets.step_rows import StepRows, node
from costing.shop.yaml_lines import Group, Listing, Text

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.shop.sheets.headed import Headed, Row


class Steps:
    """The rows of the sheet of recipes, one after the other.

    Args:
        shells: file of each recipe to its entries but for its parts, which are filled in.
        reading: the sheets.
    """

    def __init__(self, shells: dict[str, Group], reading: Headed) -> None:
        self.shells = shells
        self.reading = reading
        self.by_name = {grids.low(file.removeprefix("recipes/").removesuffix(".yaml")): file for file in shells}
        for file, shell in shells.items():
            title = shell.get("title")
            if isinstance(title, Text):
                self.by_name.setdefault(grids.low(title.text), file)
        self.file = ""
        self.part = ""
        self.step: StepRows | None = None
        self.number = ""
        self.highest: dict[tuple[str, str], int] = {}
        self.told: set[str] = set()

    def take(self, row: Row) -> None:
        """Follow one row."""
        if "recipe" in row.cells and not self._recipe(row):
            return
        tell = self.reading.teller(self.file or "recipes")
        if not self.file:
            if "" not in self.told:
                tell(row.line, "nothing says whose step this is", "write the recipe's short name under 'recipe'")
            self.told.add("")
            return
        part = " ".join(row.cells.get("part", self.part).split())
        if not part:
            tell(row.line, "nothing says in which part this step is", "write the part's name under 'part'")
            return
        if part != self.part:
            self.close()
            self.part = part
        group = self._part(part, row)
        self._step(row, tell)
        for column, key in (("part label", "label"), ("part rest", "rest")):
            if column in row.cells:
                at = row.at[column]
                before = group.entries.setdefault(key, (at, Text(at, row.cells[column])))[1]
                if isinstance(before, Text) and before.text != row.cells[column]:
                    tell(at, f"'{part}' has another {column} already, '{before.text}'", "keep one of them")

    def _recipe(self, row: Row) -> bool:
        name = row.cells["recipe"]
        file = self.by_name.get(grids.low(name))
        if file != self.file:
            self.close()
            self.file, self.part = file or "", ""
        if file is None:
            if name not in self.told:
                mend = nearest(name, self.by_name, f"add it to the sheet {plan.FLAVOURS}")
                what = f"there is no recipe '{name}' on the sheet {plan.FLAVOURS}"
                self.reading.teller("recipes")(row.at["recipe"], what, mend)
            self.told.add(name)
            self.told.add("")
            return False
        return True

    def _part(self, part: str, row: Row) -> Group:
        shell = self.shells[self.file]
        _, parts = shell.entries.setdefault("parts", (row.place("part"), Group(row.place("part"))))
        assert isinstance(parts, Group)
        _, group = parts.entries.setdefault(part, (row.place("part"), Group(row.place("part"))))
        assert isinstance(group, Group)
        group.entries.setdefault("steps", (row.place("part"), Listing(row.place("part"))))
        return group

    def _step(self, row: Row, tell: Callable[[int, str, str], None]) -> None:
        verb, number = grids.low(row.cells.get("verb", "")), row.cells.get("step", "")
        cells = {
            key: text
            for key, text in row.cells.items()
            if key not in ("recipe", "part", "step", "verb", "part label", "part rest")
        }
        if not cells and not verb:
            return
        same = self.step is not None and number == self.number and (not verb or (number and verb == self.step.verb))
        if number and not same:
            self._in_order(row, number, tell)
        if not same:
            self.close()
            if not verb:
                tell(row.line, "nothing says what is done in this step", "choose a verb under 'verb'")
                return
            self.step = StepRows(verb, row.place("verb"))
            self.number = number
        assert self.step is not None
        self.step.rows.append((cells, {key: row.at[key] for key in cells}))

    def _in_order(self, row: Row, number: str, tell: Callable[[int, str, str], None]) -> None:
        plain = re.fullmatch(r"[0-9]{1,6}", number)
        if not plain:
            tell(row.at["step"], f"'{number}' is not the number of a step", "write 1, 2, 3, or leave it empty")
            return
        highest = self.highest.get((self.file, self.part), 0)
        if int(number) <= highest:
            what = f"step {number} of {self.part} stands below step {highest}"
            tell(row.at["step"], what, "steps are taken in the order of their rows; put the rows in order, or renumber")
        self.highest[self.file, self.part] = max(highest, int(number))

    def close(self) -> None:
        """A step has ended."""
        if self.step is not None:
            parts = self.shells[self.file].get("parts")
            assert isinstance(parts, Group)
            group = parts.get(self.part)
            assert isinstance(group, Group)
            steps = group.get("steps")
            assert isinstance(steps, Listing)
            steps.items.append(node(self.step, self.reading.teller(self.file)))
        self.step, self.number = None, ""
