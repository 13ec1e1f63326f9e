"""Entries as one line of text in a cell, and back.

A cook writes ``cream; gellan gum`` or ``pint tub: 1 each; tamper band: 2 each``. What does not fit that stands in the
cell as it would in a file, ``{70 F: 2 h}`` or ``[one, "two; three"]``.

>>> read("cream: 99.9 %; gellan gum: 0.1 %", 7, "list").plain()
{'cream': '99.9 %', 'gellan gum': '0.1 %'}
>>> read("milk, egg", 7, "names").plain()
['milk', 'egg']
>>> write(Text(7, "[0-9].*"), "auto")
'"[0-9].*"'
>>> write(read("within: 4 h; by: {70 F: 2 h}", 7, "pairs"), "pairs")
'within: 4 h; by: {70 F: 2 h}'
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal

from costing.shop.yaml_lines import Group, Listing, Text, parse

if TYPE_CHECKING:
    from collections.abc import Callable

    from costing.shop.yaml_lines import Node

Style = Literal["text", "auto", "list", "pairs", "names", "lines"]
"""How a column is read.

``text`` as it stands; ``auto`` too, unless it begins with a bracket or a quotation mark; ``list`` and ``pairs`` as
names or names with values; ``names`` as names alone; ``lines`` as names that may hold commas.
"""

_PAIR: Final = re.compile(r"([^:]*?(?::(?=\S)[^:]*?)*?)\s*:(?:\s+(.*))?", re.DOTALL)
_OPENERS: Final = ("[", "{", '"')
_SPACES: Final = re.compile(r"\s+")
_PLAIN: Final = re.compile(r"[^\W_](?:.*\S)?")


def _nobody(line: int, what: str, mend: str) -> None:
    """Nobody listens."""


def read(text: str, line: int, style: Style, tell: Callable[[int, str, str], None] = _nobody) -> Node:
    """The entries that a cell stands for.

    Args:
        text: the cell, not empty.
        line: its place.
        style: how its column is read.
        tell: takes what cannot be read: place, what, mend.
    """
    if style == "text":
        return Text(line, text)
    if text.startswith(_OPENERS):
        return _flow(text, line, tell)
    if style == "auto":
        return Text(line, text)
    commas = style in ("list", "names") and not re.search(r"[;\n]", text)
    pieces = [piece for piece in (one.strip() for one in _split(text, "," if commas else ";\n")) if piece]
    pairs = [None if style in ("names", "lines") else _PAIR.fullmatch(piece) for piece in pieces]
    if style == "pairs" or (pieces and all(pairs)):
        return _group(pieces, pairs, line, tell)
    items: list[Node] = []
    for piece, pair in zip(pieces, pairs, strict=True):
        items.append(_group([piece], [pair], line, tell) if pair else Text(line, piece))
    return items[0] if len(items) == 1 else Listing(line, items)


def _group(
    pieces: list[str], pairs: list[re.Match[str] | None], line: int, tell: Callable[[int, str, str], None]
) -> Group:
    found = Group(line)
    for piece, pair in zip(pieces, pairs, strict=True):
        name, value = (pair[1], (pair[2] or "").strip()) if pair else (piece, "")
        name = _SPACES.sub(" ", name).strip()
        if pair is None:
            tell(line, f"'{piece}' has no value", "write 'name: value', with ';' between one and the next")
        elif name in found.entries:
            tell(line, f"'{name}' stands here twice", "keep one of them, or rename one")
        else:
            inner = _flow(value, line, tell) if value.startswith(_OPENERS) else Text(line, value)
            found.entries[name] = (line, inner)
    return found


def _split(text: str, signs: str) -> list[str]:
    """Pieces between signs that stand outside brackets and quotation marks."""
    pieces, start, depth, quoted = [], 0, 0, False
    for at, sign in enumerate(text):
        if sign == '"':
            quoted = not quoted
        elif not quoted and sign in "[{":
            depth += 1
        elif not quoted and sign in "]}":
            depth -= 1
        elif sign in signs and not quoted and depth == 0:
            pieces.append(text[start:at])
            start = at + 1
    if quoted or depth:
        return re.split(f"[{signs}]", text)
    return [*pieces, text[start:]]


def _flow(text: str, line: int, tell: Callable[[int, str, str], None]) -> Node:
    root, problems = parse(f"x: {_SPACES.sub(' ', text)}")
    for problem in problems[:1]:
        tell(line, problem.what, problem.mend)
    found = root.get("x")
    if problems or found is None or len(root.entries) > 1:
        if not problems:
            tell(line, "the cell cannot be read", "check its brackets and quotation marks")
        return Text(line, text)
    _place(found, line)
    return found


def _place(node: Node, line: int) -> None:
    """Give a node and all below it one place."""
    node.line = line
    if isinstance(node, Group):
        for key, (_, inner) in node.entries.items():
            node.entries[key] = (line, inner)
            _place(inner, line)
    elif isinstance(node, Listing):
        for inner in node.items:
            _place(inner, line)


def write(node: Node, style: Style) -> str:
    """A cell that reads as an entry; the inverse of :func:`read`.

    Args:
        node: the entry.
        style: how its column is read.
    """
    node = _simple(node, style)
    if isinstance(node, Text):
        tried = [node.text]
    elif isinstance(node, Listing):
        tried = ["; ".join(item.text for item in node.items if isinstance(item, Text))]
    else:
        tried = ["; ".join(f"{k}: {v.text if isinstance(v, Text) else flow(v)}" for k, (_, v) in node.entries.items())]
    for text in tried:
        if text and _reads_as(text, node, style):
            return text
    if isinstance(node, Text):
        return node.text if style == "text" else scalar(node.text, always=True)
    return flow(node)


def _reads_as(text: str, node: Node, style: Style) -> bool:
    wrong: list[str] = []
    again = read(text, node.line, style, lambda _line, what, _mend: wrong.append(what))
    # What cannot be read comes back as it stands, which looks the same.
    return not wrong and _same(_simple(again, style), node)


def _simple(node: Node, style: Style) -> Node:
    """An entry in the simplest form that means the same."""
    if style in ("text", "auto"):
        return node
    if isinstance(node, Listing):
        groups = [item for item in node.items if isinstance(item, Group) and len(item.entries) == 1]
        if style == "names":
            return _one([Text(node.line, _said(item)) if item in groups else item for item in node.items], node.line)
        keys = [next(iter(group.entries)) for group in groups]
        if groups and len(groups) == len(node.items) and len(set(keys)) == len(keys):
            return Group(node.line, {key: group.entries[key] for key, group in zip(keys, groups, strict=True)})
        return _one(node.items, node.line)
    if style == "names" and isinstance(node, Group) and len(node.entries) == 1:
        return Text(node.line, _said(node))
    return node


def _one(items: list[Node], line: int) -> Node:
    return items[0] if len(items) == 1 and isinstance(items[0], Text) else Listing(line, items)


def _said(node: Node) -> str:
    if isinstance(node, Group):
        (key, (_, value)), *more = node.entries.items()
        if isinstance(value, Text) and not more:
            return f"{key}: {value.text}"
    return node.text if isinstance(node, Text) else flow(node)


def _same(one: Node, other: Node) -> bool:
    return type(one) is type(other) and one.plain() == other.plain()


def scalar(text: str, *, inside: bool = False, empty: bool = False, always: bool = False) -> str:
    """A text as YAML: as it stands where it can, else in quotation marks.

    Args:
        text: the text.
        inside: whether it stands inside brackets.
        empty: whether nothing at all is written for an empty text.
        always: whether it gets quotation marks even where it could do without.

    >>> scalar("2.9 % + 0.30"), scalar("Browned butter: dark"), scalar("ME, 04999", inside=True)
    ('2.9 % + 0.30', '"Browned butter: dark"', '"ME, 04999"')
    """
    if not text and empty:
        return ""
    bad = re.search(r": |:$| #|\n", text) or not text.isprintable() or _SPACES.sub(" ", text) != text
    if not always and _PLAIN.fullmatch(text) and not bad and not (inside and re.search(r"[\[\]{},]", text)):
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in escaped) + '"'


def flow(node: Node) -> str:
    """An entry as YAML on one line.

    Args:
        node: the entry.
    """
    if isinstance(node, Text):
        return scalar(node.text, inside=True, empty=node.empty)
    if isinstance(node, Listing):
        return f"[{', '.join(flow(item) for item in node.items)}]"
    said = (f"{scalar(key, inside=True)}: {flow(value)}" for key, (_, value) in node.entries.items())
    return f"{{{', '.join(said)}}}"
