"""A workbook as the files that it is packed from, for changes that leave every other byte of it alone.

A library that loads and saves a workbook drops what it does not know: pictures, charts, what formulas last showed. Here
the places of elements are found in the bytes of a part, and only those bytes are cut and set
(ECMA-376, part 1: SpreadsheetML, 18; relationships of a workbook, 12.3).
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final
from xml.parsers import expat

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

BOOK: Final = "xl/workbook.xml"
RELATIONS: Final = "xl/_rels/workbook.xml.rels"
TYPES: Final = "[Content_Types].xml"
STYLES: Final = "xl/styles.xml"
_TAG: Final = re.compile(rb"<[^\"'>]*(?:\"[^\"]*\"[^\"'>]*|'[^']*'[^\"'>]*)*>")

Edit = tuple[int, int, bytes]
"""From where to where in a part, and what stands there instead."""


class SurgeryError(ValueError):
    """The workbook is not laid out as this needs it; its one argument says why, for people to read."""


@dataclass(slots=True)
class Element:
    """Where an element stands: its name without prefix, attributes, bytes of its start and of its end tag."""

    name: str
    given: Mapping[str, str]
    start: int
    end: int = -1

    def open(self, data: bytes) -> bytes:
        """Its start tag."""
        found = _TAG.match(data, self.start)
        if found is None:
            raise SurgeryError("a part of the workbook is no XML")
        return found[0]

    def is_empty(self, data: bytes) -> bool:
        """Whether it is one tag, without an end tag of its own."""
        return self.open(data).endswith(b"/>")

    def stop(self, data: bytes) -> int:
        """Where it ends."""
        tag = self.open(data)
        return self.start + len(tag) if tag.endswith(b"/>") else data.index(b">", self.end) + 1


@dataclass(slots=True)
class Layout:
    """What of an XML part matters here."""

    prefix: str = ""
    found: list[Element] = field(default_factory=list)

    def all(self, name: str) -> list[Element]:
        """The elements of a name, in order."""
        return [one for one in self.found if one.name == name]


def layout(data: bytes, wanted: frozenset[str]) -> Layout:
    """Elements of a part by name, with their places in its bytes.

    Args:
        data: the part.
        wanted: names without prefix.

    Raises:
        SurgeryError: it is no XML in UTF-8.
    """
    found = Layout()
    open_: list[Element | None] = []
    parser = expat.ParserCreate()

    def start(name: str, given: dict[str, str]) -> None:
        prefix, _, plain = name.rpartition(":")
        if not open_:
            found.prefix = f"{prefix}:" if prefix else ""
        one = Element(plain, given, parser.CurrentByteIndex) if plain in wanted else None
        if one is not None:
            found.found.append(one)
        open_.append(one)

    def end(_: str) -> None:
        one = open_.pop()
        if one is not None:
            one.end = parser.CurrentByteIndex

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        raise SurgeryError("a part of the workbook is no XML") from None
    if re.match(rb"<\?xml[^>]*encoding=[\"'](?!utf-8|us-ascii)", data, re.IGNORECASE):
        raise SurgeryError("a part of the workbook is not written in UTF-8")
    return found


def low(name: str) -> str:
    """The name of a sheet as it is compared."""
    return " ".join(name.casefold().split())


def link_name(sheet: Element) -> str:
    """The attribute by which a sheet names its part, whatever its prefix is called."""
    return next((key for key in sheet.given if re.fullmatch(r"[^:]+:id", key)), "r:id")


def edited(data: bytes, edits: Iterable[Edit]) -> bytes:
    """A part with pieces set in; of those for one place the first stands first.

    >>> edited(b"abcd", [(1, 2, b"X"), (4, 4, b"!"), (4, 4, b"?")])
    b'aXcd!?'
    """
    pieces = []
    at = 0
    for start, stop, piece in sorted(edits, key=lambda one: one[:2]):
        pieces += [data[at:start], piece]
        at = stop
    return b"".join((*pieces, data[at:]))


def within(data: bytes, element: Element, text: str) -> bytes:
    """The part with a text before the end tag of an element.

    Raises:
        SurgeryError: it has none.
    """
    if element.is_empty(data):
        raise SurgeryError("a part of the workbook is empty")
    return data[: element.end] + text.encode() + data[element.end :]


def with_value(data: bytes, element: Element, name: str, value: str) -> Edit:
    """What sets an attribute that an element has to another value without quotation marks in it."""
    tag = element.open(data)
    new = re.sub(rb"(\s%s\s*=\s*)(?:\"[^\"]*\"|'[^']*')" % name.encode(), rb'\g<1>"%s"' % value.encode(), tag, count=1)
    return element.start, element.start + len(tag), new


class Package:
    """The parts of a workbook.

    Args:
        raw: the workbook.
    """

    def __init__(self, raw: bytes) -> None:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            self.infos = packed.infolist()
            self.parts = {one.filename: packed.read(one) for one in self.infos}

    def part(self, name: str) -> bytes:
        """One part.

        Raises:
            SurgeryError: there is none.
        """
        if name not in self.parts:
            raise SurgeryError("a part of the workbook does not stand where others keep it")
        return self.parts[name]

    def sheet(self, name: str) -> str | None:
        """The part of a sheet, None where there is no such sheet."""
        targets = self.targets(RELATIONS)
        for one in layout(self.part(BOOK), frozenset({"sheet"})).all("sheet"):
            if low(one.given.get("name", "")) == low(name):
                path, _ = targets.get(one.given.get(link_name(one), ""), ("", ""))
                self.part(path)
                return path
        return None

    def targets(self, relations: str) -> dict[str, tuple[str, str]]:
        """Id to part and kind, of what a part is related to; nothing where it has no relations.

        Args:
            relations: the part that holds them.
        """
        if relations not in self.parts:
            return {}
        home = posixpath.dirname(posixpath.dirname(relations))
        found = {}
        for one in layout(self.parts[relations], frozenset({"Relationship"})).all("Relationship"):
            target = one.given.get("Target", "")
            path = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(home, target))
            found[one.given.get("Id", "")] = (path, one.given.get("Type", ""))
        return found

    def packed(self) -> bytes:
        """The workbook again: parts that were there in their order, new ones behind them."""
        out = io.BytesIO()
        left = dict(self.parts)
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as written:
            for info in self.infos:
                written.writestr(info, left.pop(info.filename))
            for name, data in left.items():
                written.writestr(name, data)
        return out.getvalue()
