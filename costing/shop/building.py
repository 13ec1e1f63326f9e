"""From nodes of a YAML file to checked models; what does not fit becomes findings with file and line.

Keys are compared with those of the model before it sees them, so that an unknown one can be told with the nearest
right one; everything else that a model refuses is put in plain words here.
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping
from itertools import islice
from typing import TYPE_CHECKING, Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from costing.shop.yaml_lines import Group, Listing, Node, Text, line_at

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

    from costing.shop.sources import Report

M = TypeVar("M", bound=BaseModel)
MOST_NAMES: Final = 5000
"""Names that are looked at for the nearest one; a longer list would take too long."""
Entries = Mapping[str, tuple[int, Node]]


def nearest(name: str, known: Iterable[str], otherwise: str = "") -> str:
    """The mend for a name that does not exist: the nearest one that does.

    >>> nearest("Heavy  Cream", ["heavy cream", "milk"])
    "did you mean 'heavy cream'?"
    >>> nearest("zzz", ["heavy cream"], "add it to ingredients.yaml")
    'add it to ingredients.yaml'
    """
    by_low: dict[str, str] = {}
    for one in islice(known, MOST_NAMES):
        by_low.setdefault(" ".join(one.casefold().split()), one)
    low = " ".join(name.casefold().split())
    found = [low] if low in by_low else difflib.get_close_matches(low, by_low, 1, 0.6)
    return f"did you mean '{by_low[found[0]]}'?" if found else otherwise


_PLAIN: Final = {
    "dict_type": ("this must be entries with names", "write {name}: {{name: value}}"),
    "mapping_type": ("this must be entries with names", "write {name}: {{name: value}}"),
    "model_type": ("this must be entries with names", "write {name}: {{name: value}}"),
    "list_type": ("this must be a list", "write {name}: [one, two]"),
    "tuple_type": ("this must be a list", "write {name}: [one, two]"),
    "string_type": ("this must be plain words", "write {name}: words"),
}
_SAID: Final = {"by_points": "by"}
_UNSAID: Final = frozenset({"things", "steps", "amount", "weight", "text"})
"""Fields that have no name of their own in the file."""


class Builder:
    """Builds models out of the nodes of one file.

    Args:
        file: its name relative to the shop folder.
        report: takes the findings.
        currency: the shop's currency.
    """

    def __init__(self, file: str, report: Report, currency: str = "") -> None:
        self.file = file
        self.report = report
        self.context = {"currency": currency}

    def where(self, line: int) -> str:
        """File and line."""
        return self.report.where(self.file, line)

    def add(self, line: int, what: str, mend: str = "") -> None:
        """Note an error in a line of this file."""
        self.report.add(self.where(line), what, mend)

    def group(self, node: Node, what: str, example: str) -> Group | None:
        """The node as entries with names; an error otherwise.

        Args:
            node: the node.
            what: what it is, for the finding.
            example: how it is written.
        """
        if isinstance(node, Group):
            return node
        self.add(node.line, f"{what} must be entries with names", f"write {example}")
        return None

    def known_keys(self, group: Group, allowed: Iterable[str], what: str) -> dict[str, tuple[int, Node]]:
        """The entries of a group that are allowed; the others become findings.

        Args:
            group: the entries.
            allowed: names that may stand there.
            what: where that is, for the finding (``an ingredient``).
        """
        allowed = tuple(allowed)
        found = {}
        for key, (line, node) in group.entries.items():
            if key in allowed:
                found[key] = (line, node)
            else:
                mend = nearest(key, allowed, f"it takes: {', '.join(allowed)}")
                self.add(line, f"{what} takes no '{key}'", mend)
        return found

    def model(
        self,
        kind: type[M],
        group: Group,
        what: str,
        given: Mapping[str, Any],
        hidden: Iterable[str] = (),
        also: Iterable[str] = (),
    ) -> M | None:
        """A model out of a group.

        Args:
            kind: the model.
            group: its entries.
            what: what it is, for findings (``an ingredient``).
            given: fields that are not read from the file.
            hidden: further fields that nobody writes.
            also: keys that were read before and may be named in a finding.
        """
        unwritten = {*given, *hidden}
        allowed = [info.alias or name for name, info in kind.model_fields.items() if name not in unwritten]
        before = len(self.report.findings)
        entries = self.known_keys(group, (*allowed, *also), what)
        raw = {key: node.plain() for key, (_, node) in entries.items()}
        strange = [key for key in group.entries if key not in entries]
        # Who wrote "fod" is told so once, and not that "food" is missing besides.
        meant = {
            key for key in allowed if key not in entries and any(f"'{key}'" in nearest(one, allowed) for one in strange)
        }
        built = self.check(kind, {**raw, **given}, entries, group.line, what, meant)
        return built if len(self.report.findings) == before else None

    def check(
        self,
        kind: type[M],
        raw: Mapping[str, Any],
        entries: Entries,
        line: int,
        what: str,
        meant: Collection[str] = (),
    ) -> M | None:
        """A model out of its fields.

        Args:
            kind: the model.
            raw: its fields as read.
            entries: for each field that stands in the file its line and node, by which errors find their line.
            line: the line of the whole.
            what: what it is, for findings.
            meant: fields that are there under a misspelt name, which has been told.
        """
        try:
            return kind.model_validate(raw, context=self.context)
        except ValidationError as wrong:
            for error in wrong.errors(include_url=False):
                if not (error["type"] == "missing" and error["loc"][-1] in meant):
                    self._tell(error, entries, line, what)
            return None

    def _tell(self, error: ErrorDetails, entries: Entries, line: int, what: str) -> None:
        path = [step for step in error["loc"] if step != "[key]"]
        if path and path[0] in entries:
            at, node = entries[str(path[0])]
            line = line_at(node, path[1:]) if len(path) > 1 and not isinstance(node, Text) else at
        names = [_SAID.get(str(step), str(step)) for step in path if not isinstance(step, int) and step not in _UNSAID]
        said, mend = explained(error, names[-1] if names else what)
        said = f"{what} needs '{said}'" if error["type"] == "missing" else f"{': '.join(names) or what}: {said}"
        self.add(line, said, mend)


def explained(error: ErrorDetails, name: str) -> tuple[str, str]:
    """What a model refused, and how to mend it, in plain words.

    Args:
        error: the model's error.
        name: the key that it is about.
    """
    kind = error["type"]
    context = error.get("ctx", {})
    if kind == "value_error":
        refused = context.get("error")
        what = getattr(refused, "what", None) or str(refused)
        return str(what), str(getattr(refused, "mend", ""))
    if kind == "missing":
        return name, f"add a line '{name}: …'"
    if kind == "literal_error":
        expected = str(context.get("expected", "")).replace(" or ", ", ").replace("'", "").split(", ")
        given = error.get("input")
        return f"'{given}' is not possible here" if isinstance(given, str) else "this must be one word", nearest(
            str(given), expected, f"write one of: {', '.join(expected)}"
        )
    what, mend = _PLAIN.get(kind, (error["msg"].lower(), "check the entry"))
    return what, mend.format(name=name)


def lines_of(node: Node, where: Builder, own: int) -> dict[str, str]:
    """File and line of every name in a node that does not stand in the line of the whole.

    Args:
        node: entries or a list.
        where: knows the file.
        own: the line of the whole.
    """
    found: dict[str, str] = {}
    pending: list[Node] = [node]
    while pending:
        one = pending.pop()
        if isinstance(one, Group):
            for key, (line, inner) in one.entries.items():
                if line != own:
                    found.setdefault(key, where.where(line))
                pending.append(inner)
        elif isinstance(one, Listing):
            pending.extend(one.items)
        elif one.line != own:
            found.setdefault(one.text, where.where(one.line))
    return found
