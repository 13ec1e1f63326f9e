"""Writes a supplier's mapping as text that a person can read, correct and confirm."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Final

from costing.prices.intake.mapping import Item

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from costing.prices.intake.mapping import Mapped

_BARE: Final = re.compile(r"[A-Za-z0-9À-ɏ][A-Za-z0-9À-ɏ .%/()'&-]*[A-Za-z0-9À-ɏ.%)]|[A-Za-z0-9À-ɏ]")
_CONFIRMED: Final = re.compile(r"(?<=confirmed: )no\b")

_TOP: Final = """\
# How the price lists of {supplier} are read. Proposed from {file}; nothing of it counts before it is confirmed.
# Look it through, correct what is wrong, write 'confirmed: yes' where it is right, then add the list again:
#   creamery prices add SHOP {file} --supplier {quoted}
# With --yes, everything is confirmed that is not doubtful: no doubts above, items of {sure} points and more.
"""
_COLUMNS_NOTE: Final = "# what a column holds, and its heading on the list"
_PACKS_NOTE: Final = """\
# packs that cannot be read, and how they are meant, such as
#   "1/2 GAL": 0.5 gal"""
_ITEMS_NOTE: Final = """\
# what the shop calls each item; leave the ingredient empty for what it does not use, and add lines as you like"""
_LEFT_NOTE: Final = """\
# of these goods nobody here knows what they are; to use one, put its line below 'items', without the #, and name it"""
LONGEST_LINE: Final = 600
"""signs of what is wanting"""


def scalar(text: str) -> str:
    """A text as YAML, in quotes where it needs them.

    >>> print(scalar("Heavy cream 36%"), scalar('12" tray: #2'), scalar(""))
    Heavy cream 36% "12\\" tray: #2" ""
    """
    return text if _BARE.fullmatch(text) and ": " not in text else json.dumps(text, ensure_ascii=False)


def inside(text: str) -> str:
    """The same inside braces or brackets."""
    return (
        text
        if re.fullmatch(r"[^\W_][\w '&.%-]*", text) and not text.endswith(" ")
        else json.dumps(text, ensure_ascii=False)
    )


def write(
    one: Mapped,
    file: str,
    samples: Sequence[str],
    sure: int,
    left: Mapping[str, str] | None = None,
    wanting: Iterable[str] = (),
) -> str:
    """A mapping as text.

    Args:
        one: the mapping.
        file: name of the list that it was made from.
        samples: a few lines of the list as they would be read.
        sure: the score from which ``--yes`` confirms an item.
        left: goods for which nothing is proposed, each with its number; they stand there to be taken up.
        wanting: what the shop buys and still has no price for.
    """
    quoted = f'"{_plain(one.supplier)}"'
    out = [_TOP.format(supplier=_plain(one.supplier), file=_plain(file), quoted=quoted, sure=sure)]
    out.append(f"supplier: {scalar(one.supplier)}")
    out.append(
        f"confirmed: {'yes' if one.confirmed else 'no'}        # the columns, decimals, dates and currency below"
    )
    if one.doubts:
        out += [
            "doubts:              # settle each, then take its line out",
            *(f"  - {scalar(doubt)}" for doubt in one.doubts),
        ]
    out += ["", _COLUMNS_NOTE, "columns:"]
    for name, heading in one.columns.items():
        why = one.reasons.get(name, "")
        out.append(f"  {name}: {scalar(heading)}{f'    # {_plain(why)}' if why else ''}")
    out.append(f"heads: [{', '.join(json.dumps(head, ensure_ascii=False) for head in one.heads if head)}]")
    out += ["", f"currency: {one.currency}    # where the list does not say"]
    for name, value, other in (
        ("decimals", one.decimals, "point or comma"),
        ("dates", one.dates, "month first or day first"),
    ):
        why = one.reasons.get(name, "")
        out.append(f"{name}: {value or ''}    # {other}{f'; {_plain(why)}' if why else ''}")
    if samples:
        out += ["", "# so the list would be read:", *(f"#   {_plain(sample)}" for sample in samples)]
    out += ["", _PACKS_NOTE, "packs:", *(f"  {scalar(k)}: {scalar(v)}" for k, v in one.packs.items())]
    out += ["", _ITEMS_NOTE]
    wanted = ", ".join(_plain(name) for name in wanting)
    if wanted:
        out.append(f"# nothing on any list is yet: {wanted[:LONGEST_LINE]}{'…' if len(wanted) > LONGEST_LINE else ''}")
    if left:
        out.append(_LEFT_NOTE)
        out += [f"#{_line(_plain(name), Item('', True, code=code))}" for name, code in left.items()]
    out += ["items:", *lines(one.items)]
    return "\n".join(out) + "\n"


def lines(items: Mapping[str, Item]) -> list[str]:
    """Items as lines of a mapping, one each."""
    return [_line(name, item) for name, item in items.items()]


def _line(name: str, item: Item) -> str:
    ingredient = inside(item.ingredient) if item.ingredient else '""'
    if item.rivals:
        ingredient = f"[{', '.join(inside(one) for one in (item.ingredient, *item.rivals))}]"
    bits = [f"ingredient: {ingredient}"]
    if item.score >= 0:
        bits.append(f"score: {item.score}")
    if item.code:
        bits.append(f"code: {json.dumps(item.code, ensure_ascii=False)}")
    bits.append(f"confirmed: {'yes' if item.confirmed else 'no'}")
    why = f"    # {_plain(item.why)}" if item.why else ""
    return f"  {json.dumps(name, ensure_ascii=False)}: {{{', '.join(bits)}}}{why}"


def _plain(text: str) -> str:
    return " ".join(text.split())


def confirmed(text: str, lines_of: Iterable[int], top: int) -> str:
    """A mapping's text with ``confirmed: no`` turned into yes on some lines, everything else as the owner left it.

    Args:
        text: of the file.
        lines_of: numbers of the items' lines.
        top: number of the line that confirms the columns, 0 for none.
    """
    rows = text.split("\n")
    for number in (*lines_of, *((top,) if top else ())):
        rows[number - 1] = _CONFIRMED.sub("yes", rows[number - 1], count=1)
    return "\n".join(rows)


def appended(text: str, items: Mapping[str, Item]) -> str:
    """A mapping's text with more items at its end, where ``items:`` stands last in it."""
    return text.rstrip("\n") + "\n" + "\n".join(lines(items)) + "\n"
