"""Whatever a file holds, it ends in a list or in findings, and what is written the shop can read."""

from __future__ import annotations

import csv
import io
import random
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.findings import ShopError
from costing.prices.intake import heads, lines, opened, put
from costing.prices.intake.rows import Naming, rows_of
from costing.shop import pricelists, sources
from tests.costing.prices.intake.lists import mapped, text_file, workbook

FEW = settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
COLUMNS = {"item": "Item", "pack": "Pack", "price": "Price", "currency": "Cur", "date": "From"}


def survives(path: Path) -> None:
    """It is opened and looked through, or refused with a mend; any other error fails the test."""
    try:
        book = opened.read(path)
        for sheet in book.sheets:
            found = heads.find(sheet)
            if found:
                columns = {name: those[0].heading for name, those in found[1].items()}
                lines.take(sheet, found[0], mapped(columns), "USD")
    except ShopError as error:
        assert all(one.what for one in error.findings)


@FEW
@given(st.binary(max_size=400))
def test_any_bytes(tmp_path: Path, raw: bytes) -> None:
    survives(text_file(tmp_path, raw))
    survives(text_file(tmp_path, b"PK\x03\x04" + raw, "list.xlsx"))


@FEW
@given(st.binary(max_size=200))
def test_any_bytes_below_good_heads(tmp_path: Path, raw: bytes) -> None:
    survives(text_file(tmp_path, b"Item,Pack,Price\n" + raw))


@pytest.mark.parametrize("seed", range(40))
def test_a_workbook_with_bits_turned(tmp_path: Path, seed: int) -> None:
    raw = bytearray(workbook(tmp_path, [["Item", "Pack", "Price"], ["Salt", "12 x 3 lb", 28.8]]).read_bytes())
    chance = random.Random(seed)
    for _ in range(chance.randint(1, 12)):
        raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
    survives(text_file(tmp_path, bytes(raw), "bits.xlsx"))


CELL = st.text(max_size=40) | st.sampled_from(
    ["50 lb", "4/1 GAL", "$12.30", "1.234,50 €", "3/4 lb", "=1+1", "#x", '"', "\u2028", "EUR"]
)


@FEW
@given(st.lists(st.tuples(CELL, CELL, CELL, CELL, CELL), max_size=12), st.sampled_from(["point", "comma", ""]))
def test_what_is_written_is_read_by_the_shop_without_a_word(
    tmp_path: Path, cells: list[tuple[str, ...]], decimals: str
) -> None:
    out = io.StringIO()
    csv.writer(out).writerows([list(COLUMNS.values()), *cells])
    path = text_file(tmp_path, out.getvalue().encode(errors="replace"))
    one = mapped(COLUMNS, decimals=decimals, file="prices/mappings/north.yaml")
    try:
        book = opened.read(path)
    except ShopError:
        return
    ((sheet, head),) = lines.locate(book.sheets, one)
    taken = lines.take(sheet, head, one, "USD")
    made = rows_of(taken, one, Naming(one), date(2026, 3, 2), [], fixed_day=False)
    (tmp_path / "prices").mkdir(exist_ok=True)
    (tmp_path / "prices" / "list.csv").write_text(put.written(made, "a note"), encoding="utf-8")
    report = sources.Report()
    again = pricelists.rows(tmp_path, report)
    assert report.findings == []
    plain = [(r.supplier, r.item, r.ingredient, r.pack, r.price, r.currency, r.date) for r in made]
    assert [(r.supplier, r.item, r.ingredient, r.pack, r.price, r.currency, r.date) for r in again] == plain
    assert not any(r.item.startswith(("=", "+", "-", "@")) or r.pack.startswith(("=", "+", "-", "@")) for r in again)
