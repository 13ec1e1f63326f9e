"""Reads YAML as plain text with lines: every scalar stays the text that was written, every entry knows its line.

The parser's events are followed one by one, so nothing is built that has not been counted first: size, depth and number
of entries are bounded, and anchors, aliases, tags and several documents in one file are refused.

>>> root, problems = parse("sugar: 350 g\\nmilk: 1 qt\\n")
>>> root.plain(), root.entries["milk"][0], problems
({'sugar': '350 g', 'milk': '1 qt'}, 2, ())
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

import yaml

from costing.digits import comma_mend

if TYPE_CHECKING:
    from collections.abc import Iterable

LARGEST: Final = 2_000_000
"""Bytes of one YAML file."""
DEEPEST: Final = 30
MOST: Final = 100_000
"""Entries of one YAML file."""

TOO_DEEP: Final = (f"entries lie more than {DEEPEST} levels inside each other", "check the brackets and the indents")

_Loader: Final[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_DIGITS_KEY: Final = re.compile(r"[0-9].*", re.DOTALL)
_SPACES: Final = re.compile(r"[ \u00a0\u2007\u202f]+")


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong with a file: line (from 1), what, and how to mend it."""

    line: int
    what: str
    mend: str


@dataclass(slots=True)
class Text:
    """A scalar, as written."""

    line: int
    text: str
    quoted: bool = False

    def plain(self) -> str:
        """The text."""
        return self.text

    @property
    def empty(self) -> bool:
        """Whether nothing was written at all."""
        return not self.quoted and not self.text


@dataclass(slots=True)
class Listing:
    """A list of nodes."""

    line: int
    items: list[Node] = field(default_factory=list)

    def plain(self) -> list[Any]:
        """The same without lines."""
        return [item.plain() for item in self.items]


@dataclass(slots=True)
class Group:
    """Entries by name, in order, each with the line of its name."""

    line: int
    entries: dict[str, tuple[int, Node]] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """The same without lines."""
        return {key: node.plain() for key, (_, node) in self.entries.items()}

    def get(self, key: str) -> Node | None:
        """What stands under a name, None where it is not there."""
        found = self.entries.get(key)
        return found[1] if found else None

    def line_of(self, key: str) -> int:
        """The line of a name, else the line of the group."""
        found = self.entries.get(key)
        return found[0] if found else self.line


Node = Text | Listing | Group


def line_at(node: Node, path: Iterable[str | int]) -> int:
    """The line of what a path leads to, as far as it can be followed.

    Args:
        node: where to begin.
        path: names and places (from 0).

    >>> root, _ = parse("a:\\n  - b: 1\\n  - c: 2\\n")
    >>> line_at(root, ("a", 1, "c", "nothing"))
    3
    """
    line = node.line
    for step in path:
        if isinstance(node, Group) and isinstance(step, str) and step in node.entries:
            line, node = node.entries[step]
        elif isinstance(node, Listing) and isinstance(step, int) and 0 <= step < len(node.items):
            node = node.items[step]
            line = node.line
        else:
            break
    # A value may stand apart from its name: in the next line, or in the next cell of a workbook.
    return node.line if isinstance(node, Text) and not node.empty else line


def decode(raw: bytes) -> tuple[str, tuple[Problem, ...]]:
    """The text of a file, which must be UTF-8; a byte order mark is left out.

    >>> decode("crème".encode("latin-1"))[1][0].mend
    'open it in an editor and save it as UTF-8'
    """
    mend = "open it in an editor and save it as UTF-8"
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or raw[:400].count(0) > len(raw[:400]) // 4:
        return "", (Problem(1, "the file is written in UTF-16, not in UTF-8", mend),)
    try:
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError as wrong:
        line = raw.count(b"\n", 0, wrong.start) + 1
        shown = raw[wrong.start : wrong.start + 1].decode("cp1252", "replace")
        what = f"the file is not written in UTF-8 (a character here looks like Windows or Latin-1, '{shown}')"
        return "", (Problem(line, what, mend),)


def parse(text: str) -> tuple[Group, tuple[Problem, ...]]:
    """The entries of a YAML text.

    Args:
        text: the whole file.

    Returns:
        Its entries (empty where it cannot be read), and every problem.
    """
    if len(text) > LARGEST:
        return Group(1), (Problem(1, f"the file is larger than {LARGEST // 1_000_000} MB", "split it, or check it"),)
    builder = _Builder()
    try:
        for event in yaml.parse(text, Loader=_Loader):
            if not builder.take(event):
                break
    except yaml.YAMLError as wrong:
        builder.problems.append(_explained(wrong, text))
        return Group(1), tuple(builder.problems)
    if builder.stopped:
        return Group(1), tuple(builder.problems)
    root = builder.root
    if root is None or (isinstance(root, Text) and root.empty):
        return Group(1), (Problem(1, "the file is empty", "write its entries, each as 'name: value'"),)
    if not isinstance(root, Group):
        what = "a list" if isinstance(root, Listing) else "plain text"
        mend = "write entries, each as 'name: value' on a line of its own"
        return Group(1), (Problem(root.line, f"the file holds {what}, not entries with names", mend),)
    return root, tuple(sorted(builder.problems, key=lambda p: p.line))


class _Builder:
    """Builds nodes from events, on a stack of its own: nesting costs no recursion."""

    def __init__(self) -> None:
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.stopped = False
        self._stack: list[Node] = []
        self._keys: list[tuple[str, int] | None] = []
        self._flow: list[bool] = []
        self._count = 0

    def take(self, event: Any) -> bool:
        """Follow one event; False ends the reading."""
        line = event.start_mark.line + 1
        self._count += 1
        refused = self._refused(event)
        if refused is not None:
            return self._stop(line, *refused)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, line)
        if isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            node: Node = Group(line) if isinstance(event, yaml.MappingStartEvent) else Listing(line)
            attached = self._attach(node, line)
            self._stack.append(node)
            self._keys.append(None)
            self._flow.append(bool(event.flow_style))
            return attached
        if isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            self._stack.pop()
            self._keys.pop()
            self._flow.pop()
        return True

    def _refused(self, event: Any) -> tuple[str, str] | None:
        """What and mend, if the event is one that is not read here."""
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None) is not None:
            return (
                "'&' and '*' make links inside the file, which are not read here",
                "write the entry out; a text that begins with & or * goes in quotes",
            )
        if isinstance(event, yaml.DocumentStartEvent) and self.root is not None:
            return "a second document begins here ('---')", "keep one document in one file"
        if getattr(event, "tag", None) not in (None, "!"):
            return "'!' gives a type, which is not read here", "take it out, or put the text in quotes"
        if self._count > MOST:
            return f"the file has more than {MOST} entries", "split it"
        if isinstance(event, yaml.CollectionStartEvent) and len(self._stack) >= DEEPEST:
            return TOO_DEEP
        return None

    def _stop(self, line: int, what: str, mend: str) -> bool:
        self.problems.append(Problem(line, what, mend))
        self.stopped = True
        return False

    def _scalar(self, event: Any, line: int) -> bool:
        text = unicodedata.normalize("NFC", event.value)
        quoted = event.style in ("'", '"', "|", ">")
        if self._stack and isinstance(self._stack[-1], Group) and self._keys[-1] is None:
            self._keys[-1] = (_SPACES.sub(" ", text).strip(), line)
            return True
        return self._attach(Text(line, text, quoted), line)

    def _attach(self, node: Node, line: int) -> bool:
        if not self._stack:
            self.root = node
            return True
        parent = self._stack[-1]
        if isinstance(parent, Listing):
            if isinstance(node, Text) and node.empty:
                self.problems.append(
                    Problem(line, "there is nothing after this '-'", "write the entry, or take it out")
                )
            parent.items.append(node)
            return True
        assert isinstance(parent, Group)
        if self._keys[-1] is None:
            return self._stop(line, "a list or group stands where a name should be", "write 'name: value'")
        (name, at), self._keys[-1] = self._keys[-1], None
        self._entry(parent, name, at, node)
        return True

    def _entry(self, parent: Group, name: str, at: int, node: Node) -> None:
        if self._flow[-1] and isinstance(node, Text) and node.empty and _DIGITS_KEY.fullmatch(name) and parent.entries:
            before, (_, value) = next(reversed(parent.entries.items()))
            if isinstance(value, Text) and value.text[-1:].isdigit():
                self.problems.append(
                    Problem(
                        at,
                        f"'{before}: {value.text},{name}' has a comma in its number, which ends the entry",
                        comma_mend(f"{value.text},{name}"),
                    )
                )
                # Repaired only so that no second problem follows from it.
                value.text = f"{value.text}.{name}"
                return
        if name in parent.entries:
            first = parent.entries[name][0]
            self.problems.append(
                Problem(at, f"'{name}' stands here twice, first in line {first}", "keep one of them, or rename one")
            )
            return
        if not name:
            self.problems.append(Problem(at, "an entry has no name", "write 'name: value'"))
            return
        parent.entries[name] = (at, node)


_SAID: Final = (
    (("mapping values are not allowed",), "a second ':' stands in this line, or the line is indented too far",
     "put a text with ': ' in quotes, and begin entries of one group in one column"),
    (("nesting depth",), *TOO_DEEP),
    (("a quoted scalar",), "a quotation mark opens here and is not closed", "close it, or take it out"),
    (("a flow ", "',' or"), "a bracket that opens here is not closed, or a comma is missing or too many",
     "check { } and [ ] and their commas"),
    (("could not find expected ':'", "simple key"), "a ':' is missing in this line or the one before",
     "write 'name: value'"),
    (("cannot start any token",), "a text cannot begin with this sign", "put the text in quotes"),
)  # fmt: skip
"""What the parser says, in its words and in ours."""
_OPENED: Final = ("a quoted scalar", "a flow ")
"""Where the line that matters is the one in which something was opened."""


def _explained(wrong: yaml.YAMLError, text: str) -> Problem:
    """What the parser could not read, in plain words."""
    mark = getattr(wrong, "problem_mark", None)
    lines = text.split("\n")
    if mark is None:
        odd = (i for i, sign in enumerate(text) if unicodedata.category(sign) in ("Cc", "Cs") and sign not in "\n\r\t")
        line = text.count("\n", 0, next(odd, 0)) + 1
        return Problem(line, "a character here cannot stand in a text file", "take it out")
    line = min(mark.line + 1, len(lines))
    for near in (line, line - 1):
        here = lines[near - 1]
        if near and "\t" in here[: len(here) - len(here.lstrip())]:
            return Problem(near, "the line is indented with a tab", "indent with spaces")
    said = f"{getattr(wrong, 'context', '')} {getattr(wrong, 'problem', '')}"
    for signs, what, mend in _SAID:
        if any(sign in said for sign in signs):
            opened = getattr(wrong, "context_mark", None)
            if opened is not None and any(sign in said for sign in _OPENED):
                line = min(opened.line + 1, len(lines))
                while line > 1 and "flow" in said and not set(lines[line - 1]) & set("[{"):
                    line -= 1
            return Problem(line, what, mend)
    return Problem(
        line,
        "the line does not fit what stands before it",
        "entries of one group begin in one column, steps begin with '- '",
    )
