"""A step of a recipe as rows of the sheet, and back: which key of a verb stands in which column."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from costing.shop.recipes import BESIDE
from costing.shop.sheets import said
from costing.shop.steps import VERBS
from costing.shop.yaml_lines import Group, Listing, Text

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.shop.yaml_lines import Node

THINGS: Final = ("add", "fold", "trim")
"""Verbs with a thing a row, and nothing else."""
WHAT: Final = {
    "cook": "how", "render": "of", "press": "of", "soak": "of", "churn": "machine", "fill": "container",
}  # fmt: skip
AMOUNT: Final = {
    "cook": "loses", "reduce": "to", "render": "yields", "press": "yields", "soak": "uptake", "lose": "amount",
    "weigh": "weight", "churn": "overrun",
}  # fmt: skip
TEMPERATURE: Final = {"cook": "temperature", "reduce": "temperature", "cool": "to"}
HOLD: Final = {"cook": "hold", "reduce": "hold", "soak": "hold", "cool": "hold"}
_COLUMNS: Final = (("what", WHAT), ("amount", AMOUNT), ("temperature", TEMPERATURE), ("hold", HOLD))
_BARE: Final = {"lose": "amount", "weigh": "weight", "reduce": "to", "cool": "to", "fill": "container"}
"""What a verb means that is followed by one plain value."""

Cells = dict[str, str]


@dataclass(slots=True)
class StepRows:
    """The rows of one step, while they are read.

    Args:
        verb: as written.
        line: the place of the verb.
        rows: of each row, texts by column and places by column.
    """

    verb: str
    line: int
    rows: list[tuple[Cells, dict[str, int]]] = field(default_factory=list)


def node(step: StepRows, tell: Callable[[int, str, str], None]) -> Group:
    """A step as it would stand in a file.

    Args:
        step: its rows.
        tell: takes what cannot be read: place, what, mend.
    """
    found = Group(step.line)
    verb = step.verb
    if verb not in VERBS:
        # That is told; what stands beside it is of no use.
        return Group(step.line, {verb: (step.line, _things(step, tell))})
    for cells, at in step.rows:
        for key in BESIDE:
            if key in cells and not (verb == "note" and key == "note"):
                _once(found, key, Text(at[key], cells[key]), at[key], tell)
    inner: Node
    if verb == "note":
        inner = _words(step)
    elif verb in THINGS:
        inner = _listed(_things(step, tell)) if verb == "trim" else _things(step, tell)
        for cells, at in step.rows:
            for column in ("temperature", "hold", "details"):
                if column in cells:
                    mend = "write things under 'what' and how much under 'amount', or choose another verb"
                    tell(at[column], f"'{verb}' takes nothing under '{column}'", mend)
    else:
        inner = _keys(step, tell)
    found.entries = {verb: (step.line, inner), **found.entries}
    return found


def _words(step: StepRows) -> Node:
    said_there = [
        (cells[key], at[key]) for cells, at in step.rows for key in ("what", "note", "details") if key in cells
    ]
    if not said_there:
        return Text(step.line, "", quoted=True)
    return Text(said_there[0][1], " ".join(text for text, _ in said_there))


def _once(group: Group, key: str, value: Node, line: int, tell: Callable[[int, str, str], None]) -> None:
    if key in group.entries:
        tell(line, f"'{key}' stands twice in this step", "keep one of them, or begin a new step with its verb")
    else:
        group.entries[key] = (line, value)


def _things(step: StepRows, tell: Callable[[int, str, str], None]) -> Group:
    found = Group(step.line)
    for cells, at in step.rows:
        if "what" not in cells:
            if "amount" in cells and step.verb in VERBS:
                tell(at["amount"], f"nothing says of what to {step.verb} {cells['amount']}", "write it under 'what'")
            continue
        amount = Text(at["amount"], cells["amount"]) if "amount" in cells else Text(at["what"], "")
        for name in _names(cells["what"], at["what"], tell):
            _once(found, name, amount, at["what"], tell)
    return found


def _listed(things: Group) -> Node:
    """Things as a list, where nothing is said of how much."""
    if not things.entries or any(isinstance(one, Text) and one.text for _, one in things.entries.values()):
        return things
    return Listing(things.line, [Text(line, name) for name, (line, _) in things.entries.items()])


def _names(text: str, line: int, tell: Callable[[int, str, str], None]) -> list[str]:
    """Names of a cell; a comma may belong to one."""
    read = said.read(text, line, "lines", tell)
    items = read.items if isinstance(read, Listing) else [read]
    return [" ".join(item.text.split()) for item in items if isinstance(item, Text)]


def _keys(step: StepRows, tell: Callable[[int, str, str], None]) -> Node:
    verb = step.verb
    found = Group(step.line)
    if verb == "strain":
        out = _things(step, tell)
        if out.entries:
            found.entries["out"] = (out.entries[next(iter(out.entries))][0], _listed(out))
    elif verb == "fill":
        _containers(step, found, tell)
    for cells, at in step.rows:
        for column, keys in _COLUMNS:
            if column not in cells or (verb in ("strain", "fill") and column in ("what", "amount")):
                continue
            # What a verb has no key for is told by the check of its keys.
            key = keys.get(verb, column)
            value: Node = Text(at[column], cells[column])
            if key == "of":
                value = said.read(cells[column], at[column], "names", tell)
            elif cells[column].startswith(("[", "{")):
                value = said.read(cells[column], at[column], "auto", tell)
            _once(found, key, value, at[column], tell)
        if "details" in cells:
            details = said.read(cells["details"], at["details"], "pairs", tell)
            for key, (line, inner) in details.entries.items() if isinstance(details, Group) else ():
                _once(found, key, inner, line, tell)
    bare = _BARE.get(verb)
    if bare in ("amount", "weight") and list(found.entries) == [bare]:
        return found.entries[bare][1]
    return found


def _containers(step: StepRows, found: Group, tell: Callable[[int, str, str], None]) -> None:
    items: list[Node] = []
    for cells, at in step.rows:
        if "what" not in cells:
            if "amount" in cells:
                tell(at["amount"], f"nothing says what to fill {cells['amount']} of", "write it under 'what'")
            continue
        name = Text(at["what"], cells["what"])
        if "amount" not in cells:
            items.append(name)
            continue
        key = "share" if cells["amount"].endswith("%") else "count"
        entries: dict[str, tuple[int, Node]] = {
            "container": (at["what"], name),
            key: (at["amount"], Text(at["amount"], cells["amount"])),
        }
        items.append(Group(at["what"], entries))
    if items:
        line = items[0].line
        alone = len(items) == 1 and isinstance(items[0], Text)
        found.entries["container"] = (line, items[0] if alone else Listing(line, items))


def rows(step: Group) -> list[Cells]:
    """The rows of a step; the first has its verb and what stands beside it.

    Args:
        step: as it stands in a file, checked.
    """
    verb = next((key for key in step.entries if key in VERBS and key != "note"), "note")
    inner = step.entries[verb][1]
    first: Cells = {"verb": verb}
    more: list[Cells] = []
    if verb == "note":
        first["note"] = inner.text if isinstance(inner, Text) else said.flow(inner)
    elif verb in THINGS:
        more = _thing_rows(inner)
    else:
        more = _key_rows(verb, inner, first)
    first |= more[0] if more else {}
    for key in BESIDE:
        if key in step.entries and key != verb:
            value = step.entries[key][1]
            first[key] = value.text if isinstance(value, Text) else said.flow(value)
    return [first, *({"verb": verb, **cells} for cells in more[1:])]


def _thing_rows(inner: Node) -> list[Cells]:
    items: list[tuple[str, Node | None]]
    if isinstance(inner, Group):
        items = [(name, value) for name, (_, value) in inner.entries.items()]
    else:
        listed = inner.items if isinstance(inner, Listing) else [inner]
        items = [(one.text, None) for one in listed if isinstance(one, Text)]
    found = []
    for name, value in items:
        cells = {"what": said.write(Text(0, name), "lines")}
        if value is not None and not (isinstance(value, Text) and value.empty):
            cells["amount"] = value.text if isinstance(value, Text) else said.flow(value)
        found.append(cells)
    return found


def _key_rows(verb: str, inner: Node, first: Cells) -> list[Cells]:
    if verb == "strain" and not isinstance(inner, Group):
        return _thing_rows(inner)
    if not isinstance(inner, Group):
        inner = Group(inner.line, {_BARE[verb]: (inner.line, inner)})
    more: list[Cells] = []
    details = Group(inner.line)
    columns = {keys[verb]: column for column, keys in _COLUMNS if verb in keys}
    for key, (line, value) in inner.entries.items():
        if verb == "strain" and key == "out":
            more = _thing_rows(value)
        elif verb == "fill" and key == "container" and (filled := _fill_rows(value)):
            more = filled
        elif key == "of":
            first["what"] = said.write(value, "names")
        elif key in columns and isinstance(value, Text) and not value.text.startswith(("[", "{")):
            first[columns[key]] = value.text
        else:
            details.entries[key] = (line, value)
    if details.entries:
        first["details"] = said.write(details, "pairs")
    return more


def _fill_rows(value: Node) -> list[Cells]:
    """A row for each container; none where it has to stand in brackets."""
    found: list[Cells] = []
    for item in value.items if isinstance(value, Listing) else [value]:
        entries: dict[str, object] = item.plain() if isinstance(item, Group) else {"container": item.plain()}
        said_there = [entries.pop(key, "") for key in ("container", "share", "count")]
        name, share, count = (one if isinstance(one, str) else "" for one in said_there)
        if entries or not name or (share and count) or not all(isinstance(one, str) for one in said_there):
            return []
        if (share and not share.endswith("%")) or (count and count.endswith("%")):
            return []
        found.append({"what": name, **({"amount": share or count} if share or count else {})})
    return found
