"""The rows of a sheet under its headings, wherever on the sheet these stand."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from costing import findings
from costing.shop.building import nearest
from costing.shop.sheets import grids, plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from costing.shop.sheets.grids import Grid
    from costing.shop.sheets.plan import Column, Plan
    from costing.shop.sheets.report import SheetReport

LIKE: Final = 0.6
"""Share of a sheet's headings by which one of another name is known."""
_UNIT: Final = re.compile(r"(.+?)\s*(?:,\s*(\S+(?: \S+)?)|\(\s*([^()]+?)\s*\)|\[\s*([^\[\]]+?)\s*\])")
_TIME: Final = re.compile(r"(?<=\d{4}-\d\d-\d\d) [0-9:.]+$")
_NUMBER: Final = re.compile(r"-?[0-9][0-9.,/ ]*")


@dataclass(slots=True)
class Row:
    """One row: texts and places by heading."""

    line: int
    cells: dict[str, str] = field(default_factory=dict)
    at: dict[str, int] = field(default_factory=dict)

    def place(self, head: str) -> int:
        """Where something stands, else the row."""
        return self.at.get(head, self.line)


class Headed:
    """The sheets of a workbook, read by their headings.

    Args:
        found: the sheets.
        report: takes what is wrong.
    """

    def __init__(self, found: list[Grid], report: SheetReport) -> None:
        self.report = report
        self.grids = {grids.low(grid.name): grid for grid in found}
        report.names.update({grid.number: grid.name for grid in found})

    def teller(self, file: str) -> Callable[[int, str, str], None]:
        """Takes what is wrong in a file: place, what, mend."""
        return lambda line, what, mend: self.report.add(self.report.where(file, line), what, mend)

    def rows(self, name: str, file: str) -> Iterator[Row]:
        """The rows of a sheet below its headings."""
        sheet = plan.plans()[name]
        grid = self.grids.get(grids.low(name))
        tell = self.teller(file)
        if grid is None:
            others = [one for one in self.grids.values() if grids.low(one.name) not in map(grids.low, plan.plans())]
            what = f"the workbook has no sheet '{name}'"
            renamed = next((one for one in others if _like(one, sheet)), None)
            if renamed is not None:
                mend = f"call the sheet '{name}' again, or take it out if it is none of the shop"
                self.report.add(self.report.file, f"{what}, and '{renamed.name}' has its headings", mend)
            elif sheet.needed:
                mend = nearest(
                    name, [one.name for one in others], f"add a sheet '{name}'; creamery new --workbook shows one"
                )
                self.report.add(self.report.file, what, mend.replace("did you mean", "rename the sheet; is it"))
            return
        for line, what, mend in grid.wrong:
            self.report.refused.add(findings.place(self.report.where(file, line)))
            tell(line, what, mend)
        head = self._head(grid, sheet, tell)
        if head is None:
            return
        at, columns, units = head
        self.report.homes.setdefault(file, grid.line(at, 1))
        there = {column.head: place for place, column in columns.items()}
        self.report.columns[file.partition("/")[0]] = there
        absent = {column.head for column in sheet.columns} - there.keys()
        self.report.heads[grid.name] = (self.report.where(file, grid.line(at, min(columns))), absent)
        headless: set[int] = set()
        for number, cells in grid.rows:
            if number <= at:
                continue
            row = Row(grid.line(number, min(columns)))
            for place, text in cells.items():
                if place in columns and columns[place].head != plan.REMARKS:
                    head_name = columns[place].head
                    unit = units.get(place)
                    # What puts in the day and the time of day at once leaves a day.
                    said = _TIME.sub("", text) if columns[place].number == "day" else text
                    row.cells[head_name] = f"{said} {unit}" if unit and _NUMBER.fullmatch(said) else said
                    row.at[head_name] = grid.line(number, place)
                elif place not in columns and place not in headless:
                    headless.add(place)  # of one column, once
                    mend = f"write its heading into row {at}, or take it out"
                    tell(grid.line(number, place), "this cell stands under no heading", mend)
            if row.cells:
                yield row

    def heads(self, name: str) -> tuple[int, dict[str, int]] | None:
        """Row of the headings of a sheet, and their columns; None where there is none. What is wrong is told.

        Args:
            name: of the sheet.
        """
        grid = self.grids.get(grids.low(name))
        found = self._head(grid, plan.plans()[name], self.teller(name)) if grid is not None else None
        return None if found is None else (found[0], {one.head: at for at, one in found[1].items()})

    def _head(
        self, grid: Grid, sheet: Plan, tell: Callable[[int, str, str], None]
    ) -> tuple[int, dict[int, Column], dict[int, str]] | None:
        """Row of the headings, columns by place, units that headings carry."""
        known = {column.head for column in sheet.columns}
        best: tuple[int, int, dict[int, str]] = (0, 0, {})
        for number, cells in grid.rows[: grids.TOP_ROWS]:
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


def _like(grid: Grid, sheet: Plan) -> bool:
    """Whether a sheet of another name has the headings of one of the shop's."""
    known = {column.head for column in sheet.columns} - {plan.REMARKS}
    most = max(
        (len({_heading(text, known)[0] for text in cells.values()} & known) for _, cells in grid.rows), default=0
    )
    return most >= max(2, LIKE * len(known))


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
