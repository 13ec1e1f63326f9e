"""A list from the post into a shop that is a workbook: rows of its sheet Prices, everything else in the file as it was."""

from __future__ import annotations

import re
import shutil
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.table import Table

from costing import files
from costing.findings import ShopError
from costing.prices.intake import put_rows
from costing.prices.intake.add import Added, add
from costing.shop import reader
from costing.shop.sheets import turning, xlsx_append
from costing.shop.sheets.xlsx_parts import Package
from nutrition import resources
from tests.costing.command_line import CommandLine
from tests.costing.prices.intake.lists import NORTH, TODAY, repacked, text_file

LATER = "\n".join(
    line
    for line in NORTH.replace("02/23", "03/01").replace("$16.10", "$22.10").replace("12/32 OZ", "12/30 OZ").splitlines()
    if "SUGAR" not in line
)


STARTER = Path(str(resources.tree("examples") / "starter"))


@pytest.fixture(scope="module")
def _written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("starter") / "shop.xlsx"
    turning.convert(STARTER, path)
    return path


@pytest.fixture
def workbook(tmp_path: Path, _written: Path) -> Path:
    (tmp_path / "mine").mkdir()
    return Path(shutil.copy(_written, tmp_path / "mine/shop.xlsx"))


@pytest.fixture
def north(tmp_path: Path) -> Path:
    return text_file(tmp_path, NORTH, "feb.csv")


def take(place: Path, path: Path, supplier: str = "North", **other: Any) -> Added:
    return add(place, path, supplier=supplier, **({"today": TODAY, "yes": True} | other))


def tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def stopped(place: Path, path: Path, **other: Any) -> str:
    """What is said of a list that cannot be written; nothing is there that was not."""
    before = tree(place.parent), sorted(place.parent.iterdir())
    with pytest.raises(ShopError) as told:
        take(place, path, **other)
    assert (tree(place.parent), sorted(place.parent.iterdir())) == before
    assert any(one.level == "error" and one.mend for one in told.value.findings)
    return "; ".join(map(str, told.value.findings))


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as packed:
        assert packed.testzip() is None
        return {name: packed.read(name) for name in packed.namelist()}


def model(place: Path) -> Any:
    found = reader.everything(place)
    assert found.model is not None, found.findings
    return found.model


def sheet_part(path: Path) -> str:
    return Package(path.read_bytes()).sheet("Prices") or ""


def test_two_lists_the_second_without_questions(creamery: CommandLine, workbook: Path, tmp_path: Path) -> None:
    before = parts(workbook)
    first, second = text_file(tmp_path, NORTH, "feb.csv"), text_file(tmp_path, LATER, "mar.csv")
    proposed = creamery("prices", "propose", workbook, first, "--supplier", "North")
    assert proposed.code == 0
    assert "the folder shop-prices beside shop.xlsx is new" in proposed.err
    assert parts(workbook) == before
    added = creamery("prices", "add", workbook, first, "--yes", "--json")
    assert added.code == 0, added.err
    (result,) = added.json["results"]
    assert (result["state"], result["goods"], result["used"]) == ("added", 7, 3)
    assert (result["list"], result["called"]) == ("Prices!A13:H19", "2026-02-23-north")
    assert result["original"] == "shop-prices/received/2026-02-23-north.csv"
    assert (workbook.parent / result["original"]).read_bytes() == NORTH.encode()
    said = creamery("prices", "add", workbook, second)
    assert said.code == 0
    assert "the list:     Prices!A20:H25, called 2026-03-01-north" in said.out
    assert "jumped by +37%" in said.err
    assert "changed from 12/32 OZ to 12/30 OZ" in said.err
    assert "Prices!A16: 'SUGAR GRAN CANE' (sugar) stood on the list of 2026-02-23 and is gone" in said.err
    assert tree(workbook.parent).keys() == {
        "shop.xlsx", "shop-prices/mappings/north.yaml",
        "shop-prices/received/2026-02-23-north.csv", "shop-prices/received/2026-03-01-north.csv",
    }  # fmt: skip
    again = creamery("prices", "add", workbook, second)
    assert "received already" in again.err
    after = parts(workbook)
    assert [name for name in after if after[name] != before.get(name)] == [sheet_part(workbook)]
    assert "Prices!A21" in creamery("prices", "history", workbook, "whole milk").out
    assert "North: MILK WHL" in creamery("prices", "compare", workbook, "whole milk").out
    assert "sugar" in creamery("prices", "effect", workbook, "--since", "2026-02-20").out


def test_rows_are_as_a_conversion_writes_them(workbook: Path, north: Path) -> None:
    before = parts(workbook)[sheet_part(workbook)]
    take(workbook, north)
    sheet = load_workbook(workbook)["Prices"]
    above, new = sheet[12], sheet[13]
    assert [cell.value for cell in new] == [
        "North", "CREAM HVY 36% UHT", "heavy cream", "12/32 OZ", 58.8, "USD", sheet["G13"].value, "2026-02-23-north",
    ]  # fmt: skip
    assert sheet["G13"].value.date() == date(2026, 2, 23)
    assert [cell.number_format for cell in new] == [cell.number_format for cell in above]
    assert [cell.style_id for cell in new] == [cell.style_id for cell in above]
    # What stood above is there byte for byte, and what stands ready below.
    after = parts(workbook)[sheet_part(workbook)]
    at = before.index(b'<row r="13"')
    assert after[:at] == before[:at]
    assert after.endswith(before[before.index(b'<row r="20"') :])


def test_a_workbook_and_a_folder_come_to_the_same(workbook: Path, tmp_path: Path) -> None:
    """A list in the folder, a turn into a workbook, the next list there, and back: as if both had come to the folder."""
    shop = Path(shutil.copytree(STARTER, tmp_path / "shop"))
    take(shop, text_file(tmp_path, NORTH, "feb.csv"))
    turning.convert(shop, workbook, replacing=True)
    path = text_file(tmp_path, LATER, "mar.csv")
    in_folder, in_book = (take(place, path, "", yes=False) for place in (shop, workbook))
    assert in_book.state == "added"
    assert (in_folder.name, in_folder.goods, in_folder.used) == (in_book.name, in_book.goods, in_book.used)
    assert [one.what for one in in_folder.findings] == [one.what for one in in_book.findings]
    turning.convert(workbook, tmp_path / "back")
    contents = [turning.content(model(place)) for place in (shop, workbook, tmp_path / "back")]
    assert turning.difference(contents[0], contents[1]) == ""
    assert turning.difference(contents[0], contents[2]) == ""
    for name in ("mappings", "received"):
        files_of = tree(shop / "prices" / name)
        assert files_of == tree(workbook.parent / "shop-prices" / name) == tree(tmp_path / "back/prices" / name)


# Workbooks that other programs wrote -----------------------------------------------------------------------------------


def without_places(parts: dict[str, bytes]) -> None:
    """No places of rows and cells, no size, no rows that stand ready: as little as a sheet may say."""
    name = next(one for one in parts if one.endswith("sheet5.xml"))
    text = parts[name].decode()
    text = re.sub(r"<dimension [^>]*/>", "", text)
    text = re.sub(r'<row r="(?:1[3-9]|[2-9]\d)".*?</row>', "", text)
    # Empty cells are left in their places, so that counting finds the others.
    assert '<row r="12"' in text
    assert '<row r="13"' not in text
    parts[name] = re.sub(r'(<row|<c) r="[A-Z0-9]+"', r"\1", text).encode()


def prefixed(parts: dict[str, bytes]) -> None:
    """Every name of the sheet behind a prefix."""
    name = next(one for one in parts if one.endswith("sheet5.xml"))
    text = re.sub(r"<(/?)([a-zA-Z])", r"<\1x:\2", parts[name].decode()).replace("xmlns=", "xmlns:x=")
    parts[name] = text.replace("<x:?xml", "<?xml").encode()


@pytest.mark.parametrize("change", [without_places, prefixed])
def test_other_ways_to_write_a_sheet(
    change: Callable[[dict[str, bytes]], None], workbook: Path, north: Path
) -> None:  # fmt: skip
    repacked(workbook, change)
    old = model(workbook).prices
    done = take(workbook, north)
    assert done.list_file == "Prices!A13:H19"
    new = model(workbook).prices
    assert len(new) == len(old) + 7
    sheet = load_workbook(workbook)["Prices"]
    assert [sheet["A12"].value, sheet["B13"].value, sheet["E14"].value] == [
        "Example Packaging", "CREAM HVY 36% UHT", 16.1,
    ]  # fmt: skip


def test_columns_that_somebody_moved_and_a_filter_and_a_table_that_reach_down(workbook: Path, tmp_path: Path) -> None:
    book = load_workbook(workbook)
    sheet = book["Prices"]
    for row in sheet.iter_rows(min_row=3):
        row[0].value, row[1].value = row[1].value, row[0].value
    sheet.auto_filter.ref = "A3:H12"
    sheet.add_table(Table(displayName="Mine", ref="A3:H12"))
    sheet["J50"] = " "  # nothing that is read, and yet not to be written over
    book.save(workbook)
    before = parts(workbook)
    goods = "".join(f"Salt {number},{number} lb,{number}.50\n" for number in range(1, 61))
    done = take(workbook, text_file(tmp_path, f"Item,Pack,Price\n{goods}"))
    assert done.list_file == "Prices!A51:H110"  # room for all of them, more than stands ready
    sheet = load_workbook(workbook)["Prices"]
    assert (sheet["A51"].value, sheet["B51"].value, sheet["J50"].value) == ("Salt 1", "North", " ")
    assert (sheet["A110"].value, sheet["E110"].number_format) == ("Salt 60", "0.00##")
    assert (sheet.auto_filter.ref, sheet.tables["Mine"].ref) == ("A3:H110", "A3:H110")
    after = parts(workbook)
    changed = {name for name in after if after[name] != before[name]}
    assert changed == {sheet_part(workbook), "xl/tables/table1.xml", "xl/workbook.xml"}
    assert b"'Prices'!$A$3:$H$110" in after["xl/workbook.xml"]


def test_room_is_looked_for_below_what_only_looks_empty(workbook: Path, north: Path) -> None:
    book = load_workbook(workbook)
    book["Prices"]["F14"] = '=IF(A14="","","USD")'
    book.save(workbook)
    repacked(workbook, lambda found: found.update(
        {name: data.replace(b'</f><v></v>', b'</f><v/>').replace(b'</f><v/>', b'</f><v> </v>') for name, data in found.items()}
    ))  # fmt: skip
    assert take(workbook, north).list_file == "Prices!A15:H21"


def test_rows_that_name_no_list_are_lists_of_their_day(workbook: Path, north: Path, tmp_path: Path) -> None:
    take(workbook, north)
    book = load_workbook(workbook)
    for row in book["Prices"].iter_rows(min_row=4):
        row[7].value = None
    book.save(workbook)
    done = take(workbook, text_file(tmp_path, LATER), "")
    assert any("is gone" in one.what and "2026-02-23" in one.what for one in done.findings)
    assert sum("jumped" in one.what for one in done.findings) == 1


# What cannot be written ------------------------------------------------------------------------------------------------


def edited(path: Path, change: Callable[[Any], None]) -> None:
    book = load_workbook(path)
    change(book)
    book.save(path)


def renamed(book: Any) -> None:
    book["Prices"].title = "Prices 2026"


def other_heading(book: Any) -> None:
    book["Prices"]["B3"] = "goods"


def no_headings(book: Any) -> None:
    for cell in book["Prices"][3]:
        cell.value = None


def totals(book: Any) -> None:
    table = Table(displayName="Mine", ref="A3:H12", totalsRowCount=1)
    book["Prices"].add_table(table)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (renamed, "has no sheet 'Prices'"),
        (other_heading, "no column 'item'"),
        (no_headings, "no row of headings"),
        (totals, "a row of totals"),
    ],
)
def test_a_sheet_that_lacks_what_is_needed(
    change: Callable[[Any], None], words: str, workbook: Path, north: Path
) -> None:  # fmt: skip
    edited(workbook, change)
    assert words in stopped(workbook, north)


def test_a_workbook_that_is_open_or_may_not_be_written(workbook: Path, north: Path) -> None:
    for name in (".~lock.shop.xlsx#", "~$shop.xlsx"):
        sign = workbook.with_name(name)
        sign.write_bytes(b"")
        said = stopped(workbook, north)
        assert "open in a spreadsheet program" in said
        assert name in said
        sign.unlink()
    workbook.chmod(0o444)
    assert "may only be read" in stopped(workbook, north)
    workbook.chmod(0o644)
    assert take(workbook, north).state == "added"


def test_a_workbook_that_cannot_be_replaced_leaves_nothing_half_there(
    workbook: Path, north: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on systems that keep an open file in its place: all other files have been placed by then."""
    place = files._place

    def locked(temporary: Path, path: Path, *, replace: bool) -> None:
        if path.suffix == ".xlsx":
            raise PermissionError(13, "Permission denied")
        place(temporary, path, replace=replace)

    monkeypatch.setattr(files, "_place", locked)
    assert "Permission denied" in stopped(workbook, north)
    take(workbook, north, only_propose=True)
    assert "Permission denied" in stopped(workbook, north)


def test_a_workbook_changed_meanwhile_is_not_written_over(
    workbook: Path, north: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    append = xlsx_append.append

    def slow(*given: Any) -> Any:
        workbook.write_bytes(workbook.read_bytes() + b"\0")
        return append(*given)

    monkeypatch.setattr(put_rows.xlsx_append, "append", slow)
    with pytest.raises(ShopError, match="changed the workbook meanwhile"):
        take(workbook, north)
    assert [path.name for path in workbook.parent.iterdir()] == ["shop.xlsx"]


@pytest.mark.parametrize("spoilt", ["supplier", "price"])
def test_something_that_would_be_lost_is_seen(
    spoilt: str, workbook: Path, north: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    append = xlsx_append.append

    def wrong(raw: bytes, sheet: str, below: int, last: int, columns: Any, rows: Any) -> Any:
        value = {"supplier": "South", "price": 1.0}[spoilt]
        return append(raw, sheet, below, last, columns, [*rows[:-1], {**rows[-1], spoilt: value}])

    monkeypatch.setattr(put_rows.xlsx_append, "append", wrong)
    assert "the new rows 6" in stopped(workbook, north)


def test_a_damaged_workbook(workbook: Path, north: Path) -> None:
    workbook.write_bytes(workbook.read_bytes()[:9_000])
    assert "damaged" in stopped(workbook, north)


def test_a_file_where_the_folder_should_be(workbook: Path, north: Path) -> None:
    (workbook.parent / "shop-prices").write_text("mine")
    assert "cannot be written" in stopped(workbook, north)


def test_a_link_stays_a_link(workbook: Path, north: Path, tmp_path: Path) -> None:
    link = tmp_path / "desk.xlsx"
    link.symlink_to(workbook)
    take(link, north)
    assert link.is_symlink()
    assert (workbook.parent / "shop-prices/received/2026-02-23-north.csv").exists()
    assert len([row for row in model(workbook).prices if row.supplier == "North"]) == 7
