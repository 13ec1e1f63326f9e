"""The sheets of a shop become the entries and rows that its files would hold, each with the place of its cell."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from costing.shop import pricelists, triallists
from costing.shop.building import nearest
from costing.shop.sheets import grids, plan, said
from costing.shop.sheets.papers import INGREDIENTS, SHOP, Papers
from costing.shop.sheets.step_rows import StepRows, node
from costing.shop.sources import Report
from costing.shop.yaml_lines import Group, Listing, Text
from nutrition.foods import pins, spec

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from costing.shop.sheets.grids import Grid
    from costing.shop.sheets.plan import Column, Plan

LOOKED_AT: Final = 20
"""Rows in which headings are looked for."""
_UNIT: Final = re.compile(r"(.+?)\s*(?:,\s*(\S+(?: \S+)?)|\(\s*([^()]+?)\s*\)|\[\s*([^\[\]]+?)\s*\])")
_NUMBER: Final = re.compile(r"-?[0-9][0-9.,/ ]*")
_FILE_NAME: Final = re.compile(r"(?![.~#])[^/\\:*?\"<>|\x00-\x1f]{1,100}(?<![~. ])")
_RESERVED: Final = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])", re.IGNORECASE)


class SheetReport(Report):
    """Findings that name sheet and cell.

    A place is the file that a folder would have, then sheet and cell, so that a recipe is known by it.

    Args:
        file: the workbook's name.
    """

    __slots__ = ("columns", "file", "homes", "names")

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file
        self.names: dict[int, str] = {}
        self.homes: dict[str, int] = {}
        self.columns: dict[str, dict[str, int]] = {}

    def where(self, file: str, line: int, column: str = "") -> str:
        """File, sheet and cell of a place."""
        sheet, cell = grids.cell(line)
        if sheet not in self.names:  # the first line of a file, for what is about the whole of it
            if file not in self.homes:
                return f"{self.file}[{_sheet_of(file)}]"
            sheet, cell = grids.cell(self.homes[file])
        at = self.columns.get(file.partition("/")[0], {}).get(column)
        if at is not None:
            row = int(re.sub("[A-Z]+", "", cell))
            cell = grids.cell(grids.line(sheet, row, at))[1]
        return f"{file}:{self.names[sheet]}!{cell}"


def _sheet_of(file: str) -> str:
    homes = {"shop.yaml": plan.SHOP, "ingredients.yaml": plan.INGREDIENTS, "recipes": plan.FLAVOURS}
    homes |= {"prices": plan.PRICES, "trials": plan.TRIALS, "specs": plan.SPECS, "pins": plan.PINS}
    return homes.get(file, homes.get(file.partition("/")[0], file))


@dataclass(slots=True)
class _Row:
    """One row: texts and places by heading."""

    line: int
    cells: dict[str, str] = field(default_factory=dict)
    at: dict[str, int] = field(default_factory=dict)

    def place(self, head: str) -> int:
        return self.at.get(head, self.line)


def papers(found: list[Grid], report: SheetReport) -> Papers:
    """The contents of a shop.

    Args:
        found: the sheets.
        report: takes what is wrong.
    """
    return _Reading(found, report).papers()


class _Reading:
    def __init__(self, found: list[Grid], report: SheetReport) -> None:
        self.report = report
        self.grids = {grids.low(grid.name): grid for grid in found}
        self.all = [grid.name for grid in found]
        self.result = Papers()
        report.names.update({grid.number: grid.name for grid in found})

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

    # Sheets ------------------------------------------------------------------------------------------------------

    def _teller(self, file: str) -> Callable[[int, str, str], None]:
        return lambda line, what, mend: self.report.add(self.report.where(file, line), what, mend)

    def _rows(self, name: str, file: str) -> Iterator[_Row]:
        """The rows of a sheet below its headings."""
        sheet = plan.plans()[name]
        grid = self.grids.get(grids.low(name))
        tell = self._teller(file)
        if grid is None:
            if sheet.needed:
                others = [one for one in self.all if grids.low(one) not in map(grids.low, plan.plans())]
                mend = nearest(name, others, f"add a sheet '{name}'; creamery new --workbook shows one")
                what = f"the workbook has no sheet '{name}'"
                self.report.add(self.report.file, what, mend.replace("did you mean", "rename the sheet; is it"))
            return
        for line, what, mend in grid.wrong:
            tell(line, what, mend)
        head = self._head(grid, sheet, tell)
        if head is None:
            return
        at, columns, units = head
        self.report.homes.setdefault(file, grid.line(at, 1))
        self.report.columns[file.partition("/")[0]] = {column.head: place for place, column in columns.items()}
        for number, cells in grid.rows:
            if number <= at:
                continue
            row = _Row(grid.line(number, min(columns)))
            for place, text in cells.items():
                if place in columns and columns[place].head != plan.REMARKS:
                    head_name = columns[place].head
                    unit = units.get(place)
                    row.cells[head_name] = f"{text} {unit}" if unit and _NUMBER.fullmatch(text) else text
                    row.at[head_name] = grid.line(number, place)
                elif place not in columns:
                    mend = f"write its heading into row {at}, or take it out"
                    tell(grid.line(number, place), "the cell stands under no heading", mend)
            if row.cells:
                yield row

    def _head(
        self, grid: Grid, sheet: Plan, tell: Callable[[int, str, str], None]
    ) -> tuple[int, dict[int, Column], dict[int, str]] | None:
        """Row of the headings, columns by place, units that headings carry."""
        known = {column.head for column in sheet.columns}
        best: tuple[int, int, dict[int, str]] = (0, 0, {})
        for number, cells in grid.rows[:LOOKED_AT]:
            score = len({grids.low(_heading(text, known)[0]) for text in cells.values()} & known)
            if score > best[0]:
                best = (score, number, cells)
        score, number, cells = best
        listed = ", ".join(column.head for column in sheet.columns if column.head != plan.REMARKS)
        if not grid.rows:
            if sheet.needed:
                tell(grid.line(1, 1), f"the sheet '{sheet.name}' is empty", f"its headings are: {listed}")
            return None
        if score < min(2, len(known)):
            tell(grid.line(1, 1), f"the sheet '{sheet.name}' has no row of headings", f"the headings are: {listed}")
            return None
        columns: dict[int, Column] = {}
        units: dict[int, str] = {}
        strange = []
        for place, text in cells.items():
            head, unit = _heading(text, known)
            if head not in known:
                strange.append((place, text))
            elif any(column.head == head for column in columns.values()):
                tell(grid.line(number, place), f"the heading '{head}' stands here twice", "keep one of them")
            else:
                columns[place] = sheet.column(head)
                if unit:
                    units[place] = unit
        missing = [head for head in known if head not in {column.head for column in columns.values()}]
        for place, text in strange:
            mend = nearest(text, missing, f"the headings are: {listed}; your own words go under '{plan.REMARKS}'")
            tell(grid.line(number, place), f"there is no heading '{text}' on this sheet", mend)
            # Its cells are passed over: what is wrong is the heading.
            columns[place] = plan.Column(plan.REMARKS)
        first = sheet.columns[0].head
        if first in missing and not strange:
            tell(grid.line(number, 1), f"the heading '{first}' is missing", f"the headings are: {listed}")
        return (number, columns, units) if first not in missing else None

    def _entries(self, name: str, file: str) -> Group:
        """A sheet with one row for each entry."""
        sheet = plan.plans()[name]
        first = sheet.columns[0].head
        tell = self._teller(file)
        found = Group(1)
        for row in self._rows(name, file):
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

    def _group(self, row: _Row, sheet: Plan, tell: Callable[[int, str, str], None]) -> Group:
        group = Group(row.place(sheet.columns[0].head))
        for column in sheet.columns[1:]:
            if column.head in row.cells:
                at = row.at[column.head]
                group.entries[column.head] = (at, said.read(row.cells[column.head], at, column.style, tell))
        return group

    # The shop ----------------------------------------------------------------------------------------------------

    def _shop(self) -> None:
        tell = self._teller(SHOP)
        root = Group(1)
        for row in self._rows(plan.SHOP, SHOP):
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
        for row in self._rows(plan.COSTS, SHOP):
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

    def _cost(self, row: _Row, root: Group, tell: Callable[[int, str, str], None]) -> None:
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
        for row in self._rows(sheet, folder):
            tell = self._teller(f"{folder}/{name}.yaml")
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
        for row in self._rows(plan.FLAVOURS, "recipes"):
            key = row.cells.get("recipe", "")
            if not self._file_name(key, row.place("recipe"), "recipes"):
                continue
            file = f"recipes/{key}.yaml"
            if file in shells:
                where = grids.cell(self.report.homes[file])[1]
                self._teller(file)(row.line, f"'{key}' stands here twice, first in {where}", "rename one of them")
                continue
            self.report.homes[file] = row.place("recipe")
            shells[file] = self._group(row, sheet, self._teller(file))
        steps = _Steps(shells, self)
        for row in self._rows(plan.RECIPES, "recipes"):
            steps.take(row)
        steps.close()
        self.result.roots |= shells

    # Lists -------------------------------------------------------------------------------------------------------

    def _lists(self, name: str, folder: str, columns: tuple[str, ...]) -> None:
        for row in self._rows(name, folder):
            listed = row.cells.get("list", "") or folder
            if not self._file_name(listed, row.place("list"), folder):
                continue
            cells = {column: " ".join(row.cells.get(column, "").split()) for column in columns}
            self.result.lists.setdefault(f"{folder}/{listed}.csv", []).append((row.line, cells))


class _Steps:
    """The rows of the sheet of recipes, one after the other."""

    def __init__(self, shells: dict[str, Group], reading: _Reading) -> None:
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

    def take(self, row: _Row) -> None:
        """Follow one row."""
        if "recipe" in row.cells and not self._recipe(row):
            return
        tell = self.reading._teller(self.file or "recipes")
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

    def _recipe(self, row: _Row) -> bool:
        name = row.cells["recipe"]
        file = self.by_name.get(grids.low(name))
        if file != self.file:
            self.close()
            self.file, self.part = file or "", ""
        if file is None:
            if name not in self.told:
                mend = nearest(name, self.by_name, f"add it to the sheet {plan.FLAVOURS}")
                what = f"there is no recipe '{name}' on the sheet {plan.FLAVOURS}"
                self.reading._teller("recipes")(row.at["recipe"], what, mend)
            self.told.add(name)
            self.told.add("")
            return False
        return True

    def _part(self, part: str, row: _Row) -> Group:
        shell = self.shells[self.file]
        _, parts = shell.entries.setdefault("parts", (row.place("part"), Group(row.place("part"))))
        assert isinstance(parts, Group)
        _, group = parts.entries.setdefault(part, (row.place("part"), Group(row.place("part"))))
        assert isinstance(group, Group)
        group.entries.setdefault("steps", (row.place("part"), Listing(row.place("part"))))
        return group

    def _step(self, row: _Row, tell: Callable[[int, str, str], None]) -> None:
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

    def _in_order(self, row: _Row, number: str, tell: Callable[[int, str, str], None]) -> None:
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
            steps.items.append(node(self.step, self.reading._teller(self.file)))
        self.step, self.number = None, ""


def _heading(text: str, known: set[str]) -> tuple[str, str]:
    """A heading and the unit that it carries.

    >>> _heading("Capacity, L", {"capacity"}), _heading("usable (%)", {"usable"}), _heading("pack", {"pack"})
    (('capacity', 'L'), ('usable', '%'), ('pack', ''))
    """
    name = grids.low(text)
    if name in known:
        return name, ""
    found = _UNIT.fullmatch(" ".join(text.split()))
    if found and grids.low(found[1]) in known:
        return grids.low(found[1]), found[2] or found[3] or found[4]
    return name, ""
