"""Reads what drawing needs out of a TrueType file: which glyph stands for a letter, how wide it is, and its outline.

OpenType specification 1.9: tables ``head``, ``maxp``, ``hhea``, ``hmtx``, ``cmap`` (format 4), ``loca`` and ``glyf``.
Nothing else of the file is looked at. Lengths are in units of the font, of which ``em`` go into the type size; y runs
up.
"""

from __future__ import annotations

import itertools
import struct
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

# Flags of a point of a simple glyph.
_ON, _X_BYTE, _Y_BYTE, _REPEAT, _X_SAME, _Y_SAME = 1, 2, 4, 8, 16, 32
# Flags of a part of a composite glyph.
_WORDS, _OFFSETS, _SCALE, _MORE, _TWO_SCALES, _MATRIX = 1, 2, 8, 32, 64, 128
_ONE = 16384  # 1 in the fixed-point numbers of a scale

Point = tuple[float, float, bool]


@dataclass(slots=True)
class TrueType:
    """A font file.

    Args:
        data: its bytes.
        tables: where each table begins.
        em: units in the type size.
        glyphs: glyph number by code point.
    """

    data: bytes
    tables: Mapping[bytes, int] = field(init=False)
    em: int = field(init=False)
    glyphs: Mapping[int, int] = field(init=False)
    _places: tuple[int, ...] = field(init=False, default=())

    def __post_init__(self) -> None:
        self.tables = {self.data[at : at + 4]: self._u32(at + 8) for at in range(12, 12 + 16 * self._u16(4), 16)}
        self.em = self._u16(self.tables[b"head"] + 18)
        self.glyphs = self._read_glyphs()

    def advances(self) -> dict[int, float]:
        """How far each letter moves the next one on, by code point, as a share of the type size."""
        count = self._u16(self.tables[b"hhea"] + 34)
        widths = struct.unpack_from(f">{2 * count}H", self.data, self.tables[b"hmtx"])[::2]
        return {code: widths[min(glyph, count - 1)] / self.em for code, glyph in self.glyphs.items()}

    def path(self, code: int) -> str:
        """The outline of a letter as an SVG path; empty for a blank.

        Args:
            code: its code point.

        Raises:
            KeyError: the font has no such letter.
        """
        return "".join(_path(contour) for contour in self.contours(self.glyphs[code]))

    def contours(self, glyph: int) -> list[list[Point]]:
        """The closed contours of a glyph, each point as x, y, and whether it lies on the curve."""
        begin, end = self._place(glyph)
        if begin == end:
            return []
        at = self.tables[b"glyf"] + begin
        count = self._s16(at)
        return self._simple(at + 10, count) if count >= 0 else self._composite(at + 10)

    def bounds(self, glyph: int) -> tuple[int, int, int, int] | None:
        """What the file itself says the outline of a glyph spans: left, lower, right, upper; None for a blank."""
        begin, end = self._place(glyph)
        if begin == end:
            return None
        left, lower, right, upper = struct.unpack_from(">4h", self.data, self.tables[b"glyf"] + begin + 2)
        return left, lower, right, upper

    def _u16(self, at: int) -> int:
        return int.from_bytes(self.data[at : at + 2], "big")

    def _s16(self, at: int) -> int:
        return int.from_bytes(self.data[at : at + 2], "big", signed=True)

    def _u32(self, at: int) -> int:
        return int.from_bytes(self.data[at : at + 4], "big")

    def _place(self, glyph: int) -> tuple[int, int]:
        if not self._places:
            count = self._u16(self.tables[b"maxp"] + 4) + 1
            if self._u16(self.tables[b"head"] + 50):
                self._places = struct.unpack_from(f">{count}I", self.data, self.tables[b"loca"])
            else:
                halves = struct.unpack_from(f">{count}H", self.data, self.tables[b"loca"])
                self._places = tuple(2 * half for half in halves)
        return self._places[glyph], self._places[glyph + 1]

    def _simple(self, at: int, count: int) -> list[list[Point]]:
        ends = struct.unpack_from(f">{count}H", self.data, at)
        total = ends[-1] + 1 if ends else 0
        at += 2 * count
        at += 2 + self._u16(at)  # past the instructions, which only matter on screens
        flags: list[int] = []
        while len(flags) < total:
            flag = self.data[at]
            at += 1
            flags.append(flag)
            if flag & _REPEAT:
                flags.extend([flag] * self.data[at])
                at += 1
        xs, at = self._steps(at, flags, _X_BYTE, _X_SAME)
        ys, at = self._steps(at, flags, _Y_BYTE, _Y_SAME)
        points = [(float(x), float(y), bool(flag & _ON)) for x, y, flag in zip(xs, ys, flags, strict=True)]
        edges = [0, *(end + 1 for end in ends)]
        return [points[first:last] for first, last in itertools.pairwise(edges)]

    def _steps(self, at: int, flags: list[int], byte: int, same: int) -> tuple[list[int], int]:
        """One coordinate of every point; each is stored as a step from the one before."""
        found = []
        value = 0
        for flag in flags:
            if flag & byte:
                value += self.data[at] if flag & same else -self.data[at]
                at += 1
            elif not flag & same:
                value += self._s16(at)
                at += 2
            found.append(value)
        return found, at

    def _composite(self, at: int) -> list[list[Point]]:
        found: list[list[Point]] = []
        flag = _MORE
        while flag & _MORE:
            flag, glyph = self._u16(at), self._u16(at + 2)
            if not flag & _OFFSETS:
                raise ValueError(f"glyph {glyph} is placed by points, which this reader does not follow")
            shape = ">2h" if flag & _WORDS else ">2b"
            dx, dy = struct.unpack_from(shape, self.data, at + 4)
            at += 4 + struct.calcsize(shape)
            xx, xy, yx, yy, at = self._matrix(flag, at)
            found.extend(
                [(x * xx + y * yx + dx, x * xy + y * yy + dy, on) for x, y, on in contour]
                for contour in self.contours(glyph)
            )
        return found

    def _matrix(self, flag: int, at: int) -> tuple[float, float, float, float, int]:
        if flag & _MATRIX:
            xx, xy, yx, yy = struct.unpack_from(">4h", self.data, at)
            return xx / _ONE, xy / _ONE, yx / _ONE, yy / _ONE, at + 8
        if flag & _TWO_SCALES:
            return self._s16(at) / _ONE, 0.0, 0.0, self._s16(at + 2) / _ONE, at + 4
        if flag & _SCALE:
            return self._s16(at) / _ONE, 0.0, 0.0, self._s16(at) / _ONE, at + 2
        return 1.0, 0.0, 0.0, 1.0, at

    def _read_glyphs(self) -> dict[int, int]:
        """Glyph by code point, from the Unicode subtable of format 4 (Windows, basic plane)."""
        cmap = self.tables[b"cmap"]
        for at in range(cmap + 4, cmap + 4 + 8 * self._u16(cmap + 2), 8):
            sub = cmap + self._u32(at + 4)
            if (self._u16(at), self._u16(at + 2), self._u16(sub)) == (3, 1, 4):
                return self._format_4(sub)
        raise ValueError("the font has no Unicode table that can be read")

    def _format_4(self, at: int) -> dict[int, int]:
        segments = self._u16(at + 6) // 2
        ends = struct.unpack_from(f">{segments}H", self.data, at + 14)
        starts = struct.unpack_from(f">{segments}H", self.data, at + 16 + 2 * segments)
        deltas = struct.unpack_from(f">{segments}H", self.data, at + 16 + 4 * segments)
        offsets_at = at + 16 + 6 * segments
        offsets = struct.unpack_from(f">{segments}H", self.data, offsets_at)
        found: dict[int, int] = {}
        for i in range(segments):
            for code in range(starts[i], min(ends[i], 0xFFFE) + 1):
                glyph = code
                if offsets[i]:
                    glyph = self._u16(offsets_at + 2 * i + offsets[i] + 2 * (code - starts[i]))
                    if not glyph:
                        continue
                glyph = (glyph + deltas[i]) & 0xFFFF
                if glyph:
                    found[code] = glyph
        return found


def _path(contour: list[Point]) -> str:
    """A closed contour of lines and quadratic curves; between two control points lies a point half way."""
    first = next((i for i, point in enumerate(contour) if point[2]), None)
    if first is None:
        x, y = _middle(contour[0], contour[-1])
        turned = [*contour, (x, y, True)]
    else:
        turned = [*contour[first + 1 :], *contour[: first + 1]]
    start = turned[-1]
    said = [f"M{start[0]:g} {start[1]:g}"]
    control: Point | None = None
    for point in turned:
        if point[2]:
            said.append(f"L{point[0]:g} {point[1]:g}" if control is None else _curve(control, point[0], point[1]))
            control = None
        else:
            if control is not None:
                said.append(_curve(control, *_middle(control, point)))
            control = point
    return "".join(said) + "Z"


def _curve(control: Point, x: float, y: float) -> str:
    return f"Q{control[0]:g} {control[1]:g} {x:g} {y:g}"


def _middle(one: Point, other: Point) -> tuple[float, float]:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
