"""A CSV file as somebody's program wrote it: any of the usual encodings, any of the usual signs between columns."""

from __future__ import annotations

import csv
from typing import Final

from costing.prices.intake.csv_columns import cut
from costing.prices.intake.sheets import MOST_COLUMNS, MOST_ROWS, Sheet, refuse

_MARKS: Final = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
    (b"\xff\xfe\x00\x00", "utf-32", "UTF-32"),
    (b"\x00\x00\xfe\xff", "utf-32", "UTF-32"),
    (b"\xff\xfe", "utf-16", "UTF-16"),
    (b"\xfe\xff", "utf-16", "UTF-16"),
)
"""Byte order marks."""
_SIGNS: Final = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_LOOKED_AT: Final = 60
"""Lines that are looked at to find the sign between columns."""
_LONGEST: Final = 100_000
"""Characters of a cell; a longer one is a quotation mark that was never closed."""


def read(raw: bytes, file: str) -> tuple[Sheet, str]:
    """The one sheet of a CSV file.

    Args:
        raw: its bytes.
        file: its name.

    Returns:
        The sheet, and how it was read ("UTF-8, columns parted by commas").

    Raises:
        ShopError: it is no text, its quotation marks do not match, or it is longer or wider than any list.
    """
    text, encoding = decode(raw, file)
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text or text.isspace():
        raise refuse(file, "the list is empty", "check the file, or ask for it again")
    lines = text.split("\n", 4 * _LOOKED_AT)
    rest = lines.pop() if len(lines) > 4 * _LOOKED_AT else ""
    while len(lines) > 1 and not (lines[-1] or rest):
        lines.pop()
    before = 0
    sign = ""
    if lines[0].strip().casefold().startswith("sep=") and len(lines[0].strip()) == 5:
        sign, before = lines[0].strip()[4], 1  # a line that spreadsheets write for themselves
    elif lines[0].casefold() == "sep=\t":
        sign, before = "\t", 1
    sign = sign or _sign(lines)
    how = f"{encoding}, columns parted by {_SIGNS.get(sign, repr(sign))}"
    if rest and not before:
        quick = cut(raw, text, sign, utf8=encoding == "UTF-8" and not raw.startswith(b"\xef\xbb\xbf"))
        if quick is not None and len(quick.columns) <= MOST_COLUMNS and len(quick) <= MOST_ROWS:
            return Sheet("", quick, range(1, len(quick) + 1), file), how
    text = text.rstrip("\n")
    if text.count("\n") >= MOST_ROWS:
        raise refuse(file, f"the list has more than {MOST_ROWS} lines", "split it, or check what it is")
    rows, numbers = _rows(text.split("\n"), before, sign, file)
    if max(map(len, rows), default=0) > MOST_COLUMNS:
        raise refuse(file, f"a row has more than {MOST_COLUMNS} columns", "check what the file is")
    return Sheet("", rows, numbers, file), how


def decode(raw: bytes, file: str) -> tuple[str, str]:
    """The text of a file, and the encoding it was in.

    Raises:
        ShopError: it is no text in any usual encoding.

    >>> decode("crème".encode("cp1252"), "list.csv")
    ('crème', 'Windows-1252')
    """
    for mark, codec, name in _MARKS:
        if raw.startswith(mark):
            return _strictly(raw, codec, name, file), name
    head = raw[:2000]
    # UTF-16 without a mark: every other byte of ordinary text is zero.
    for codec, others in (("utf-16-le", head[1::2]), ("utf-16-be", head[::2])):
        if others and others.count(0) > 0.7 * len(others):
            return _strictly(raw, codec, "UTF-16", file), "UTF-16"
    if b"\0" in raw:
        raise refuse(file, "this is not a text file", "ask for the list as CSV or as a workbook (.xlsx)")
    try:
        return raw.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        pass
    try:
        return raw.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        return raw.decode("latin-1"), "Latin-1"


def _strictly(raw: bytes, codec: str, name: str, file: str) -> str:
    try:
        text = raw.decode(codec)
    except UnicodeDecodeError as wrong:
        what = f"the file says that it is {name}, and byte {wrong.start + 1} is not"
        raise refuse(file, what, "the file is damaged; ask for it again") from None
    if "\0" in text:
        raise refuse(file, "this is not a text file", "ask for the list as CSV or as a workbook (.xlsx)")
    return text


def _sign(lines: list[str]) -> str:
    """The sign between columns: the one that cuts most lines into the same number of cells."""
    looked = [line for line in lines[: 4 * _LOOKED_AT] if line.strip()][:_LOOKED_AT]
    best, most = ",", (0, 0)
    for sign in _SIGNS:
        try:
            widths = [len(row) for row in csv.reader(looked, delimiter=sign)]
        except csv.Error:
            continue
        usual = max(set(widths), key=lambda width: (widths.count(width) if width > 1 else 0, width))
        # A decimal comma cuts lines too, but seldom all of them alike.
        score = (widths.count(usual) if usual > 1 else 0, usual)
        if score > most:
            best, most = sign, score
    return best


def _rows(lines: list[str], before: int, sign: str, file: str) -> tuple[list[list[str]], range | list[int]]:
    wanted = lines[before:] if before else lines
    reader = csv.reader(wanted, delimiter=sign, strict=True)
    longest = csv.field_size_limit(_LONGEST)
    try:
        rows = list(reader)
        if len(rows) == len(wanted):
            return rows, range(before + 1, before + 1 + len(rows))
        # A quoted cell runs over several lines: the line that a row begins in is counted.
        reader = csv.reader((f"{line}\n" for line in wanted), delimiter=sign, strict=True)
        rows, numbers, begins = [], [], before + 1
        for row in reader:
            rows.append(row)
            numbers.append(begins)
            begins = before + 1 + reader.line_num
        return rows, numbers
    except csv.Error as wrong:
        said = str(wrong)
        unclosed = "unexpected end" in said or "larger than field limit" in said
        what = "a quotation mark opens and is not closed" if unclosed else f"a row cannot be read: {said}"
        mend = "check the quotation marks near there, or ask for the list as a workbook (.xlsx)"
        raise refuse(f"{file}:{before + reader.line_num}", what, mend) from None
    finally:
        csv.field_size_limit(longest)
