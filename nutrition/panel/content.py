"""What a panel says, in the order of the law and without any measures: the same for every form of it.

21 CFR 101.9(c), (d)(3) to (d)(9). A :class:`~nutrition.law.us.label.Label` is turned into rows of settled text;
what the label could not settle becomes ``?`` and makes the whole panel a proof.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutrition.panel import faces, rules

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.law.us.label import Label, NutrientLine

OPEN = "?"
_LONGEST = 600  # characters that one text may have
_REASONS, _REASON_LENGTH = 4, 200  # how many errors stand beneath a proof, and how much of each


@dataclass(frozen=True, slots=True)
class Cell:
    """What one column prints for one nutrient.

    Args:
        amount: ``17g``.
        percent: ``22%``, empty where none is printed.
    """

    amount: str
    percent: str


@dataclass(frozen=True, slots=True)
class Row:
    """One nutrient.

    Args:
        key: nutrient key.
        name: as printed.
        indent: steps from the left edge.
        group: ``nutrient`` or ``vitamin``.
        cells: one for each column.
        short: the name is abbreviated.
    """

    key: str
    name: str
    indent: int
    group: str
    cells: tuple[Cell, ...]
    short: bool = False

    @property
    def bold(self) -> bool:
        """The name is highlighted: unindented nutrients above the second thick bar, (d)(1)(iv)."""
        return self.group == "nutrient" and self.indent == 0

    @property
    def percent_face(self) -> str:
        """Per cents of (d)(7)(ii) are highlighted, those of vitamins and minerals are not."""
        return "bold" if self.group == "nutrient" else "regular"

    @property
    def plain_name(self) -> str:
        """The name as one speaks of it."""
        return "Added Sugars" if self.key == "added_sugars" else self.name

    def name_runs(self) -> tuple[tuple[str, str], ...]:
        """The name as (face, words): *trans* in italics, (c)(2)(ii)."""
        if self.key == "added_sugars":
            return (("regular", f"{self._includes} Added Sugars"),)
        if self.key == "trans_fat" and self.name.lower().startswith("trans "):
            return (("italic", self.name[:5]), ("regular", self.name[6:]))
        return (("bold" if self.bold else "regular", self.name),)

    @property
    def _includes(self) -> str:
        return self.name if self.short else "Includes"

    def inline_runs(self, column: int) -> tuple[tuple[str, str], ...]:
        """The name and one column's amount behind it, as (face, words), for forms with a single column."""
        amount = self.cells[column].amount
        if self.key == "added_sugars":
            return (("regular", f"{self._includes} {amount} Added Sugars"),)
        return (*self.name_runs(), ("regular", amount))


@dataclass(frozen=True, slots=True)
class Content:
    """Everything that a panel says.

    Args:
        columns: ``serving``, ``container`` or both.
        servings: ``about 3 servings per container``.
        serving_size: ``2/3 cup (95g)``.
        calories: one figure for each column.
        nutrients: the rows above the second thick bar.
        vitamins: the rows below it.
        reason: why it is only a proof, one sentence; empty where it may be printed.
        not_significant: the statement below the table about lines left out, (c), (f)(4); empty for none.
        simplified: it is the simplified form of (f), whose footnote is short.
        short: it is for a small package, and abbreviates, (j)(13)(ii)(B), (C).
    """

    columns: tuple[str, ...]
    servings: str
    serving_size: str
    calories: tuple[str, ...]
    nutrients: tuple[Row, ...]
    vitamins: tuple[Row, ...]
    reason: str
    not_significant: str = ""
    simplified: bool = False
    short: bool = False

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows."""
        return (*self.nutrients, *self.vitamins)

    @property
    def has_short_footnote(self) -> bool:
        """The footnote only explains the short heading of the per cents, (f)(5), (j)(13)(ii)(C)."""
        return self.simplified or self.short

    @property
    def daily_value(self) -> str:
        """The heading of the per cents."""
        return rules.words("daily_value_short" if self.has_short_footnote else "daily_value")

    @property
    def footnote(self) -> str:
        """What stands beside the asterisk at the bottom."""
        return rules.words("footnote_short" if self.has_short_footnote else "footnote")

    def only(self, column: str) -> Content:
        """The same with one of its columns."""
        at = self.columns.index(column)
        return replace(
            self,
            columns=(column,),
            calories=(self.calories[at],),
            nutrients=tuple(replace(row, cells=(row.cells[at],)) for row in self.nutrients),
            vitamins=tuple(replace(row, cells=(row.cells[at],)) for row in self.vitamins),
        )

    def abbreviated(self, where: str) -> Content:
        """The same with the short names that are allowed in ``dual`` columns or on ``small`` packages."""
        names = rules.abbreviations(where)
        return replace(
            self,
            nutrients=tuple(_shortened(row, names) for row in self.nutrients),
            vitamins=tuple(_shortened(row, names) for row in self.vitamins),
            short=where == "small",
        )


def _shortened(row: Row, names: Mapping[str, str]) -> Row:
    return replace(row, name=names[row.key], short=True) if row.key in names else row


def content(label: Label) -> Content:
    """What the panel of a label says.

    Args:
        label: the label.

    Returns:
        Its texts, each of which the type can set.

    Raises:
        ValueError: a text holds characters that the type cannot set; a line that every panel needs is missing,
            stands twice, or has no place on a panel; or the columns are none that the law knows.
    """
    columns = tuple(label.serving.columns)
    if columns not in {("serving",), ("container",), ("serving", "container")}:
        raise ValueError(f"a panel has a serving column, a container column, or both in that order, not {columns!r}")
    by_key = _by_key(label)
    rows = [
        Row(
            line.key,
            _clean(by_key[line.key].name, f"the name of {line.key}"),
            line.indent,
            line.group,
            tuple(_cell(by_key[line.key], line, column) for column in columns),
        )
        for line in rules.lines()
        if line.key in by_key
    ]
    energy, *others = rows
    if not any(row.group == "nutrient" for row in others):
        raise ValueError("the label has no line below the calories")
    servings = _words(label.serving.per_container_text, "the servings per container")
    measure = _words(label.serving.measure, "the serving size")
    grams = _words(label.serving.grams_text, "the weight of a serving")
    unsettled = [row.plain_name for row in rows if _is_open(row) or not by_key[row.key].print_ready]
    if OPEN in {servings, measure, grams}:
        unsettled.insert(0, "serving size")
    return Content(
        columns=columns,
        servings=f"{servings[:1].upper()}{servings[1:]} {'serving' if servings == '1' else 'servings'} per container",
        serving_size=f"{measure} ({grams})",
        calories=tuple(cell.amount for cell in energy.cells),
        nutrients=tuple(row for row in others if row.group == "nutrient"),
        vitamins=tuple(row for row in others if row.group == "vitamin"),
        reason=_reason(label, unsettled),
        not_significant=_clean(label.not_significant, "the statement of what is not significant"),
        simplified=label.simplified,
    )


def _by_key(label: Label) -> dict[str, NutrientLine]:
    by_key: dict[str, NutrientLine] = {}
    known = {line.key for line in rules.lines()}
    for nutrient in label.nutrients:
        if nutrient.key not in known:
            raise ValueError(f"a panel has no line for {nutrient.key!r}")
        if nutrient.key in by_key:
            raise ValueError(f"the label has two lines for {nutrient.key!r}")
        by_key[nutrient.key] = nutrient
    left_out = set(label.left_out)
    if "energy" in left_out:
        raise ValueError("no panel leaves out its calories")
    lacking = [line.key for line in rules.lines() if line.required and line.key not in {*by_key, *left_out}]
    if lacking:
        raise ValueError(f"the label has no line for {', '.join(lacking)}, which every panel needs")
    return {key: one for key, one in by_key.items() if key not in left_out}


def _words(text: str, where: str) -> str:
    return _clean(text, where) or OPEN


def _clean(text: str, where: str) -> str:
    if len(text) > _LONGEST:
        raise ValueError(f"the panel cannot print {where}: it has {len(text)} characters, and {_LONGEST} are the most")
    return faces.clean(text, where)


def _cell(nutrient: NutrientLine, line: rules.Line, column: str) -> Cell:
    amount = _words(nutrient.declared.get(column, ""), f"the amount of {nutrient.key}")
    percent = nutrient.dv_pct.get(column)
    if percent is not None:
        return Cell(amount, f"{percent}%")
    return Cell(amount, f"{OPEN}%" if line.daily_value == "yes" else "")


def _is_open(row: Row) -> bool:
    return any(OPEN in cell.amount or OPEN in cell.percent for cell in row.cells)


def _reason(label: Label, unsettled: list[str]) -> str:
    """Why it is only a proof: what is not settled, and the errors of the label; empty where it may be printed."""
    errors = [note.what for note in label.notes if note.level == "error"]
    if label.print_ready and not unsettled and not errors:
        return ""
    said = ["Proof, not for print."]
    if unsettled:
        said.append(f"Not settled yet: {', '.join(unsettled)}.")
    for what in errors[:_REASONS]:
        words = faces.shown(what[:_REASON_LENGTH]).rstrip(".")
        said.append(f"{words[:1].upper()}{words[1:]}{'...' if len(what) > _REASON_LENGTH else '.'}")
    if len(errors) > _REASONS:
        said.append(f"And {len(errors) - _REASONS} more.")
    return " ".join(said) if len(said) > 1 else f"{said[0]} The label has open findings."
