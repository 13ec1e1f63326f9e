"""The sheets of a shop become the entries and rows that its files would hold, each with the place of its cell."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from costing.shop import pricelists, triallists
from costing.shop.building import nearest
from costing.shop.sheets import grids, plan, said
from costing.shop.sheets.headed import Headed
from costing.shop.sheets.papers import INGREDIENTS, SHOP, Papers
from costing.shop.sheets.recipe_rows import Steps
from costing.shop.sheets.report import SheetReport
from costing.shop.yaml_lines import Group
from nutrition.foods import pins, spec

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.shop.sheets.grids import Grid
    from costing.shop.sheets.headed import Row
    from costing.shop.sheets.plan import Plan

_FILE_NAME: Final = re.compile(r"(?![.~#])[^/\\:*?\"<>|\x00-\x1f]{1,100}(?<![~. ])")
_RESERVED: Final = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])", re.IGNORECASE)


def papers(found: list[Grid], report: SheetReport) -> Papers:
    """The contents of a shop.

    Args:
        found: the sheets.
        report: takes what is wrong.
    """
    return _Reading(found, report).papers()


class _Reading(Headed):
    def __init__(self, found: list[Grid], report: SheetReport) -> None:
        super().__init__(found, report)
        self.result = Papers()

    def papers(self) -> Papers:
        """Read sheet by sheet."""
        self._shop()
        self.result.roots[INGREDIENTS] = self._entries(plan.INGREDIENTS, INGREDIENTS)
        self._foods(plan.SPECS, "specs", "spec", spec.KEYS, spec.LISTS)
        self._foods(plan.PINS, "pins", "pin", pins.KEYS, pins.LISTED)
        self._recipes()
        for name, kind in ((plan.PRICES, pricelists.KIND), (plan.TRIALS, triallists.KIND)):
            self._lists(name, kind.folder, kind.columns)
        return self.result

    def _entries(self, name: str, file: str) -> Group:
        """A sheet with one row for each entry."""
        sheet = plan.plans()[name]
        first = sheet.columns[0].head
        tell = self.teller(file)
        found = Group(1)
        for row in self.rows(name, file):
            key = " ".join(row.cells.get(first, "").split())
            if not key:
                what = f"the row has no {first}"
                tell(row.line, what, f"write its name under '{first}', or take the row out")
            elif key in found.entries:
                where = grids.cell(found.entries[key][0])[1]
                tell(
                    row.place(first), f"'{key}' stands here twice, first in {where}", "keep one of them, or rename one"
                )
            else:
                found.entries[key] = (row.place(first), self._group(row, sheet, tell))
        return found

    def _group(self, row: Row, sheet: Plan, tell: Callable[[int, str, str], None]) -> Group:
        group = Group(row.place(sheet.columns[0].head))
        for column in sheet.columns[1:]:
            if column.head in row.cells:
                at = row.at[column.head]
                group.entries[column.head] = (at, said.read(row.cells[column.head], at, column.style, tell))
        return group

    # The shop ----------------------------------------------------------------------------------------------------

    def _shop(self) -> None:
        tell = self.teller(SHOP)
        root = Group(1)
        for row in self.rows(plan.SHOP, SHOP):
            key = grids.low(row.cells.get("setting", ""))
            if "value" not in row.cells:
                continue
            if not key:
                tell(row.line, "nothing says what this value is", "write what it sets under 'setting'")
            elif key in root.entries:
                where = grids.cell(root.entries[key][0])[1]
                tell(row.line, f"'{key}' stands here twice, first in {where}", "keep one of them")
            else:
                at = row.at["value"]
                root.entries[key] = (at, said.read(row.cells["value"], at, plan.SHOP_STYLES.get(key, "auto"), tell))
        home = self.report.homes.get(SHOP)
        for row in self.rows(plan.COSTS, SHOP):
            self._cost(row, root, tell)
        for name, section in (
            (plan.MACHINES, "machines"),
            (plan.CONTAINERS, "containers"),
            (plan.CHANNELS, "channels"),
            (plan.SUPPLIERS, "suppliers"),
        ):
            group = self._entries(name, SHOP)
            if group.entries:
                line = next(iter(group.entries.values()))[0]
                root.entries[section] = (line, group)
        if home is not None:
            self.report.homes[SHOP] = home
        self.result.roots[SHOP] = root

    def _cost(self, row: Row, root: Group, tell: Callable[[int, str, str], None]) -> None:
        kind = grids.low(row.cells.get("kind", ""))
        name = " ".join(row.cells.get("name", "").split())
        if not kind or not name:
            missing = "name" if kind else "kind"
            tell(row.line, f"the row has no {missing}", f"the kinds are: {', '.join(plan.GROUPS)}; the name is yours")
            return
        if kind not in plan.GROUPS:
            mend = nearest(kind, plan.GROUPS, f"the kinds are: {', '.join(plan.GROUPS)}")
            tell(row.place("kind"), f"there is no kind '{row.cells['kind']}'", mend)
            return
        _, group = root.entries.setdefault(kind, (row.place("kind"), Group(row.place("kind"))))
        if not isinstance(group, Group):
            tell(row.place("kind"), f"'{kind}' stands on the sheet {plan.SHOP} already", "keep one of them")
        elif name in group.entries:
            tell(row.place("name"), f"'{name}' stands here twice", "keep one of them")
        else:
            at = row.place("amount")
            # Nothing under 'amount' is told by the check of what the entry needs.
            group.entries[name] = (at, said.read(row.cells.get("amount", ""), at, "auto", tell))

    # Specs and pins ----------------------------------------------------------------------------------------------

    def _foods(self, sheet: str, folder: str, first: str, keys: tuple[str, ...], lists: tuple[str, ...]) -> None:
        name = ""
        for row in self.rows(sheet, folder):
            tell = self.teller(f"{folder}/{name}.yaml")
            name = row.cells.get(first, name)
            if not self._file_name(name, row.place(first), folder):
                continue
            file = f"{folder}/{name}.yaml"
            self.report.homes.setdefault(file, row.line)
            root = self.result.roots.setdefault(file, Group(row.line))
            entry = " ".join(row.cells.get("entry", "").split())
            if not entry:
                mend = f"write {', '.join(keys[:3])} or a nutrient under 'entry'"
                tell(row.line, "nothing says what this value is of", mend)
                continue
            at = row.place("value")
            group, key = (root, grids.low(entry)) if grids.low(entry) in keys else (self._values(root, at), entry)
            style: said.Style = "list" if key in lists and group is root else "auto"
            if key in group.entries:
                tell(row.place("entry"), f"'{entry}' stands twice in the sheet of {name}", "keep one of them")
            elif "value" in row.cells:
                group.entries[key] = (at, said.read(row.cells["value"], at, style, tell))

    def _values(self, root: Group, line: int) -> Group:
        _, values = root.entries.setdefault("values", (line, Group(line)))
        return values if isinstance(values, Group) else Group(line)

    def _file_name(self, name: str, line: int, folder: str) -> bool:
        """Whether a short name can be a file's, which it becomes when the workbook is turned into a folder."""
        if _FILE_NAME.fullmatch(name) and not _RESERVED.fullmatch(name.partition(".")[0]):
            return True
        what = f"'{name}' cannot be a short name" if name else "the row has no short name"
        mend = "use letters, digits, spaces and hyphens, such as burnt-sugar"
        self.report.add(self.report.where(folder, line), what, mend)
        return False

    # Recipes -----------------------------------------------------------------------------------------------------

    def _recipes(self) -> None:
        sheet = plan.plans()[plan.FLAVOURS]
        shells: dict[str, Group] = {}
        for row in self.rows(plan.FLAVOURS, "recipes"):
            key = row.cells.get("recipe", "")
            if not self._file_name(key, row.place("recipe"), "recipes"):
                continue
            file = f"recipes/{key}.yaml"
            if file in shells:
                where = grids.cell(self.report.homes[file])[1]
                self.teller(file)(row.line, f"'{key}' stands here twice, first in {where}", "rename one of them")
                continue
            self.report.homes[file] = row.place("recipe")
            shells[file] = self._group(row, sheet, self.teller(file))
        steps = Steps(shells, self)
        for row in self.rows(plan.RECIPES, "recipes"):
            steps.take(row)
        steps.close()
        self.result.roots |= shells

    # Lists -------------------------------------------------------------------------------------------------------

    def _lists(self, name: str, folder: str, columns: tuple[str, ...]) -> None:
        for row in self.rows(name, folder):
            listed = row.cells.get("list", "") or folder
            if not self._file_name(listed, row.place("list"), folder):
                continue
            cells = {column: " ".join(row.cells.get(column, "").split()) for column in columns}
            self.result.lists.setdefault(f"{folder}/{listed}.csv", []).append((row.line, cells))
