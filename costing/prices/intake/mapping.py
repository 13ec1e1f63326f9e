"""What the owner has confirmed about a supplier's lists, kept as text in ``prices/mappings/``,
beside a workbook in ``shop-prices/mappings/``.

One file for each supplier: which heading is which column, how decimals and days are written, and which item is which
ingredient. A proposal is the same file with ``confirmed: no`` in it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, Literal

from costing.findings import Finding
from costing.prices.intake.heads import COLUMNS, same
from costing.prices.intake.sheets import tidy
from costing.shop import sources
from costing.shop.building import nearest
from costing.shop.yaml_lines import LARGEST, Group, Listing, Node, Text, decode, parse

if TYPE_CHECKING:
    from collections.abc import Iterable

    from costing.prices.intake.day_cells import Order
    from costing.prices.intake.home import Home
    from costing.prices.intake.price_shapes import Decimals

IN_ITEM: Final = "(in the item)"
"""Instead of a heading: the pack stands in the name of the item."""
_YES: Final = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}
_KEYS: Final = (
    "supplier",
    "confirmed",
    "doubts",
    "heads",
    "columns",
    "currency",
    "decimals",
    "dates",
    "packs",
    "items",
)
_ITEM_KEYS: Final = ("ingredient", "score", "code", "confirmed")


@dataclass(frozen=True, slots=True)
class Item:
    """What one item of a supplier is.

    Args:
        ingredient: the shop's name for it, empty for what the shop does not use.
        confirmed: whether the owner has said so.
        score: of the proposal, 0 to 100; -1 where a person wrote the line.
        code: the supplier's number, by which the item is known when its name changes.
        rivals: other ingredients, where the line names several.
        line: in the mapping file.
        why: the reason, for a line that is about to be written.
    """

    ingredient: str
    confirmed: bool
    score: int = -1
    code: str = ""
    rivals: tuple[str, ...] = ()
    line: int = 0
    why: str = ""


@dataclass(frozen=True, slots=True)
class Mapped:
    """How the lists of a supplier are read.

    Args:
        supplier: its name, as the price lists of the shop have it.
        confirmed: whether the owner has confirmed the columns.
        columns: what a column holds (``item``, ``pack``, ``price`` ...) to its heading.
        heads: every heading of the list that the mapping was made from: its fingerprint.
        currency: where the list does not say.
        decimals: ``point`` or ``comma``, where a number does not show it.
        dates: ``month first`` or ``day first``, where a day does not show it.
        packs: packs that nobody can read, to how they are meant.
        items: by the supplier's name for it.
        doubts: what must be settled by hand before anything can be confirmed.
        file: the mapping's own file, relative to the shop.
        reasons: why a column was proposed, for a file that is about to be written.
    """

    supplier: str
    confirmed: bool
    columns: Mapping[str, str]
    heads: tuple[str, ...]
    currency: str
    decimals: Decimals = ""
    dates: Order = ""
    packs: Mapping[str, str] = field(default_factory=dict)
    items: Mapping[str, Item] = field(default_factory=dict)
    doubts: tuple[str, ...] = ()
    file: str = ""
    reasons: Mapping[str, str] = field(default_factory=dict)

    def fits(self, names: Iterable[str]) -> bool:
        """Whether a row of headings has every heading that the mapping uses."""
        there = {same(name) for name in names if name}
        return all(heading == IN_ITEM or same(heading) in there for heading in self.columns.values())

    def is_of(self, names: Iterable[str]) -> bool:
        """Whether a row of headings is the very one that the mapping was made from, in whatever order."""
        return {same(name) for name in names if name} == {same(name) for name in self.heads if name}


def slug(name: str) -> str:
    """A supplier's name as part of a file name.

    >>> slug("Barrow & Finch Provisioners"), slug("Käserei Höfli"), slug("../..")
    ('barrow-finch-provisioners', 'käserei-höfli', 'supplier')
    """
    return re.sub(r"[\W_]+", "-", tidy(name).casefold()).strip("-")[:60].strip("-") or "supplier"


def load_all(home: Home) -> tuple[tuple[Mapped, ...], tuple[Finding, ...]]:
    """Every mapping of a shop.

    Args:
        home: where the shop keeps them.

    Returns:
        Those that could be read, and what is wrong with the others.
    """
    report = sources.Report()
    found: list[Mapped] = []
    for path in sources.listed(home.root, home.mappings, (".yaml", ".yml"), report):
        file = f"{home.mappings}/{path.name}"
        raw = sources.raw(path, file, LARGEST, report)
        if raw is None:
            continue
        text, problems = decode(raw)
        one = None
        if not problems:
            one, findings = load(text, file)
            report.findings.extend(findings)
        for problem in problems:
            report.add(f"{file}:{problem.line}", problem.what, problem.mend)
        if one is not None:
            found.append(one)
    return tuple(found), tuple(report.findings)


def load(text: str, file: str) -> tuple[Mapped | None, tuple[Finding, ...]]:
    """One mapping.

    Args:
        text: of the file.
        file: its name, relative to the shop.

    Returns:
        The mapping, None where an error stands against it; and every finding.
    """
    report = sources.Report()
    root, problems = parse(text)
    for problem in problems:
        report.add(f"{file}:{problem.line}", problem.what, problem.mend)
    if problems:
        return None, tuple(report.findings)
    one = _Reader(root, file, report).mapping()
    return (None if report.failed else one), tuple(report.findings)


class _Reader:
    """One reading of one file."""

    def __init__(self, root: Group, file: str, report: sources.Report) -> None:
        self.root = root
        self.file = file
        self.report = report

    def mapping(self) -> Mapped:
        for name, (line, _) in self.root.entries.items():
            if name not in _KEYS:
                self.add(
                    line, f"there is no entry '{name}'", nearest(name, _KEYS, f"the entries are: {', '.join(_KEYS)}")
                )
        supplier = tidy(self.word("supplier"))
        if not supplier:
            self.add(1, "the mapping does not name its supplier", "write: supplier: its name")
        columns = {name: tidy(value) for name, value in self.pairs("columns").items() if value}
        for name in columns:
            if name not in COLUMNS:
                line = self.line("columns", name)
                self.add(
                    line, f"there is no column '{name}'", nearest(name, COLUMNS, f"they are: {', '.join(COLUMNS)}")
                )
        if "item" not in columns or not {"price", "price by weight"} & columns.keys():
            self.add(self.root.line_of("columns"), "the columns 'item' and 'price' are needed", "name their headings")
        self._once(columns)
        decimals = self.one_of("decimals", ("point", "comma"))
        dates = self.one_of("dates", ("month first", "day first"))
        return Mapped(
            supplier=supplier,
            confirmed=self.yes(self.root.get("confirmed"), self.root.line_of("confirmed")),
            columns=columns,
            heads=self.words("heads"),
            currency=self.word("currency").upper(),
            decimals=decimals,  # type: ignore[arg-type]  # one of its two words, or empty
            dates=dates,  # type: ignore[arg-type]
            packs={tidy(name): tidy(value) for name, value in self.pairs("packs").items() if value},
            items=self.items(),
            doubts=self.words("doubts"),
            file=self.file,
        )

    def add(self, line: int, what: str, mend: str, level: Literal["error", "warning"] = "error") -> None:
        self.report.add(f"{self.file}:{line}", what, mend, level)

    def line(self, group: str, name: str) -> int:
        node = self.root.get(group)
        return node.line_of(name) if isinstance(node, Group) else self.root.line_of(group)

    def _once(self, columns: Mapping[str, str]) -> None:
        used: dict[str, str] = {}
        for name, heading in columns.items():
            other = used.setdefault(same(heading), name)
            if other != name:
                self.add(
                    self.line("columns", name),
                    f"the heading '{heading}' is given to '{other}' and to '{name}'",
                    "a heading is one thing: take one of the two lines out",
                )

    def word(self, name: str) -> str:
        node = self.root.get(name)
        if node is None or isinstance(node, Text):
            return node.text.strip() if node else ""
        self.add(self.root.line_of(name), f"'{name}' must be one text", f"write: {name}: text")
        return ""

    def words(self, name: str) -> tuple[str, ...]:
        node = self.root.get(name)
        if node is None or (isinstance(node, Text) and node.empty):
            return ()
        if isinstance(node, Text):
            return (node.text,)
        if isinstance(node, Listing) and all(isinstance(one, Text) for one in node.items):
            return tuple(one.text for one in node.items if isinstance(one, Text))
        self.add(self.root.line_of(name), f"'{name}' must be a list of texts", f"write: {name}: [one, other]")
        return ()

    def pairs(self, name: str) -> dict[str, str]:
        node = self.root.get(name)
        if node is None or (isinstance(node, Text) and node.empty):
            return {}
        if not isinstance(node, Group):
            self.add(self.root.line_of(name), f"'{name}' must hold lines 'this: that'", "indent them below it")
            return {}
        found = {}
        for key, (line, value) in node.entries.items():
            if isinstance(value, Text):
                found[key] = value.text.strip()
            else:
                self.add(line, f"'{key}' must be one text", f"write: {key}: text")
        return found

    def one_of(self, name: str, allowed: tuple[str, ...]) -> str:
        value = self.word(name).casefold()
        if value and value not in allowed:
            self.add(self.root.line_of(name), f"'{name}' cannot be '{value}'", f"write {' or '.join(allowed)}")
        return value

    def yes(self, node: Node | None, line: int) -> bool:
        word = node.text.strip().casefold() if isinstance(node, Text) else "" if node is None else "?"
        if word and word not in _YES:
            self.add(line, "'confirmed' must be yes or no", "write: confirmed: yes")
        return _YES.get(word, False)

    def items(self) -> dict[str, Item]:
        node = self.root.get("items")
        if node is None or (isinstance(node, Text) and node.empty):
            return {}
        if not isinstance(node, Group):
            self.add(self.root.line_of("items"), "'items' must hold one line for each item", "indent them below it")
            return {}
        found: dict[str, Item] = {}
        for name, (line, value) in node.entries.items():
            if isinstance(value, Text):
                # What a person writes: item: ingredient
                found[tidy(name)] = Item(value.text.strip(), confirmed=True, line=line)
            elif isinstance(value, Group):
                found[tidy(name)] = self.item(name, value, line)
            else:
                self.add(line, f"'{name}' must name one ingredient", "write: item: {ingredient: sugar, confirmed: yes}")
        return found

    def item(self, name: str, group: Group, line: int) -> Item:
        for entry in group.entries:
            if entry not in _ITEM_KEYS:
                self.add(line, f"there is no entry '{entry}'", f"an item has: {', '.join(_ITEM_KEYS)}")
        confirmed = self.yes(group.get("confirmed"), line)
        node = group.get("ingredient")
        several = (
            tuple(tidy(one.text) for one in node.items if isinstance(one, Text)) if isinstance(node, Listing) else ()
        )
        if isinstance(node, Group) or (several and confirmed and len(set(several)) > 1):
            what = f"the item '{name}' maps to {' and to '.join(several) or 'a group of entries'}"
            self.add(line, what, "one item is one ingredient: keep one of the names")
        plain = tidy(node.text) if isinstance(node, Text) else several[0] if several else ""
        score, code = group.get("score"), group.get("code")
        digits = score.text.strip() if isinstance(score, Text) else ""
        return Item(
            ingredient=plain,
            confirmed=confirmed,
            score=int(digits) if re.fullmatch(r"\d{1,3}", digits) else -1,
            code=tidy(code.text) if isinstance(code, Text) else "",
            rivals=tuple(dict.fromkeys(several[1:])),
            line=line,
        )


def confirm(one: Mapped, least: int) -> Mapped:
    """A mapping of which everything has been confirmed that is not doubtful.

    Args:
        one: with no doubts about its columns.
        least: the score from which an item is taken.
    """
    items = {
        name: replace(item, confirmed=item.confirmed or (item.score >= least and not item.rivals))
        for name, item in one.items.items()
    }
    return replace(one, confirmed=True, items=items)
