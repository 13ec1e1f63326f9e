"""What makes a spreadsheet program offer to repair a file, looked for in every kind of workbook.

Limits and rules are those of Excel's published specifications and limits, and of ECMA-376, part 1 (18.2.5 names, 18.3.1.33
validations, 18.3.1.55 merged cells, 18.8.22 fonts), from memory. By hand, the same files were given to the validator of
the Open XML SDK, which found nothing (DEVELOPERS.md says how).
"""

from __future__ import annotations

import io
import itertools
import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.utils import get_column_letter

from costing.desk import Shop
from costing.shop.sheets import turning
from costing.workbook import book
from nutrition.resources import tree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
OFFICE = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
RELATIONS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
FONT = (
    "b",
    "i",
    "strike",
    "condense",
    "extend",
    "outline",
    "shadow",
    "u",
    "vertAlign",
    "sz",
    "color",
    "name",
    "family",
)
HOSTILE = 'Mother\'s "R1C1" & <Fig> [a:b]/? pudding that has by far too long a name for any tab'


def example() -> Shop:
    return Shop.open(str(tree("examples") / "quillfeather"))


def hostile() -> Shop:
    shop = example()
    recipes = {
        key: one.model_copy(update={"title": HOSTILE if key in ("coffee", "quince") else one.title})
        for key, one in shop.model.recipes.items()
    }
    return Shop(replace(shop.model, name=HOSTILE, recipes=recipes), (), shop.day)


@pytest.fixture(scope="module", params=["plain", "living", "hostile", "shop"])
def file(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    if request.param == "shop":
        path: Path = tmp_path_factory.mktemp("shop") / "shop.xlsx"
        turning.convert(tree("examples") / "quillfeather", path)
        return path.read_bytes()
    shop = hostile() if request.param == "hostile" else example()
    return book.render(shop.model, shop.day, shop.answers(), living=None if request.param == "plain" else shop)


@pytest.fixture(scope="module")
def made(file: bytes) -> Any:
    return openpyxl.load_workbook(io.BytesIO(file))


def parts(file: bytes, pattern: str) -> Iterator[tuple[str, ElementTree.Element]]:
    with zipfile.ZipFile(io.BytesIO(file)) as archive:
        for name in archive.namelist():
            if re.fullmatch(pattern, name):
                yield name, ElementTree.fromstring(archive.read(name))


def test_no_part_stands_in_the_file_twice_and_every_relation_leads_somewhere(file: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(file)) as archive:
        names = archive.namelist()
    assert len(names) == len({name.casefold() for name in names})
    for name, root in parts(file, r".*\.rels"):
        folder = Path("/" + name).parent.parent
        for one in root.iter(f"{RELATIONS}Relationship"):
            assert one.get("TargetMode") != "External"
            target = str((folder / str(one.get("Target"))).resolve()).lstrip("/")
            assert target in names, (name, target)


def test_parts_of_fonts_stand_in_order(file: bytes) -> None:
    ((_, styles),) = parts(file, r"xl/styles\.xml")
    fonts = styles.find(f"{MAIN}fonts")
    assert fonts is not None
    for font in fonts:
        places = [FONT.index(part.tag.removeprefix(MAIN)) for part in font if part.tag != f"{MAIN}scheme"]
        assert places == sorted(places)


def test_rows_and_cells_stand_in_order_once(file: bytes) -> None:
    for name, sheet in parts(file, r"xl/worksheets/sheet\d+\.xml"):
        rows = [int(row.get("r", "0")) for row in sheet.iter(f"{MAIN}row")]
        assert rows == sorted(set(rows)), name
        for row in sheet.iter(f"{MAIN}row"):
            cells = [openpyxl.utils.cell.coordinate_to_tuple(cell.get("r", "")) for cell in row]
            assert cells == sorted(set(cells)), name
            assert all(at == int(row.get("r", "0")) for at, _ in cells), name


def test_tabs_have_names_that_are_allowed(made: Any) -> None:
    names = made.sheetnames
    assert len({name.casefold() for name in names}) == len(names)
    for name in names:
        assert 0 < len(name.encode("utf-16-le")) / 2 <= 31
        assert not re.search(r"[\[\]:*?/\\]|^'|'$", name)
        assert name.casefold() != "history"


def test_names_of_cells_are_allowed(made: Any) -> None:
    names = list(made.defined_names)
    assert len({name.casefold() for name in names}) == len(names)
    for name in names:
        assert re.fullmatch(r"[A-Za-z_\\][A-Za-z0-9_.\\]{0,254}", name)
        assert not re.fullmatch(r"(?i)[a-z]{1,3}[0-9]+|r|c|r[0-9]*c[0-9]*", name), name
        for sheet, cell in made.defined_names[name].destinations:
            assert sheet.replace("''", "'") in made.sheetnames
            assert re.fullmatch(r"\$[A-Z]{1,3}\$\d+(:\$[A-Z]{1,3}\$\d+)?", cell)


def test_what_is_checked_and_said_when_typing_is_short_enough(made: Any) -> None:
    for sheet in made:
        taken: set[tuple[int, int]] = set()
        for rule in sheet.data_validations.dataValidation:
            assert len(rule.promptTitle or "") <= 32
            assert len(rule.errorTitle or "") <= 32
            assert len(rule.prompt or "") <= 255
            assert len(rule.error or "") <= 255
            assert len(str(rule.formula1 or "").strip('"')) <= 255
            # Exponents have a capital letter in the grammar of formulas, and people read none (ECMA-376, 18.17.2.1).
            assert not re.search(r"[0-9]e[-+0-9]", f"{rule.formula1} {rule.formula2} {rule.prompt} {rule.error}")
            cells = {place for area in rule.sqref.ranges for place in area.cells}
            assert not cells & taken, sheet.title  # two rules for a cell
            taken |= cells


def test_merged_cells_do_not_overlap(made: Any) -> None:
    for sheet in made:
        for one, other in itertools.combinations(sorted(sheet.merged_cells.ranges, key=lambda area: area.min_row), 2):
            if other.min_row > one.max_row:
                continue
            assert one.isdisjoint(other), (sheet.title, one, other)


def test_heights_widths_texts_and_looks_are_within_limits(made: Any, file: bytes) -> None:
    for sheet in made:
        assert all((row.height or 0) <= 409 for row in sheet.row_dimensions.values()), sheet.title
        assert all(column.width <= 255 for column in sheet.column_dimensions.values()), sheet.title
        for row in sheet.iter_rows():
            for cell in row:
                assert not isinstance(cell.value, str) or len(cell.value) <= 32_767
    ((_, styles),) = parts(file, r"xl/styles\.xml")
    looks, formats = styles.find(f"{MAIN}cellXfs"), styles.find(f"{MAIN}numFmts")
    assert looks is not None
    assert len(looks) < 64_000
    assert formats is None or len(formats) <= 200


def test_links_filters_and_what_is_printed_lead_to_places_that_there_are(made: Any) -> None:
    for sheet in made:
        for link in sheet._hyperlinks:
            assert not link.target
            name = re.fullmatch(r"'((?:[^']|'')+)'![A-Z]+\d+", link.location)
            assert name is not None, link.location
            assert name[1].replace("''", "'") in made.sheetnames
        if sheet.auto_filter.ref:
            assert re.fullmatch(r"\$?[A-Z]+\$?\d+:\$?[A-Z]+\$?\d+", sheet.auto_filter.ref)
        assert sheet.max_column <= 16_384
        assert get_column_letter(sheet.max_column)


def test_formulas_are_no_longer_and_no_deeper_than_they_may_be(made: Any) -> None:
    for sheet in made:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                text = str(cell.value)
                assert len(text) <= 8192
                assert all(len(words) <= 255 for words in re.findall(r'"((?:[^"]|"")*)"', text))
                bare = re.sub(r'"(?:[^"]|"")*"|\'(?:[^\']|\'\')*\'', "", text)
                depth = itertools.accumulate({"(": 1, ")": -1}.get(sign, 0) for sign in bare)
                assert max(depth, default=0) <= 64


def test_remarks_have_a_shape_to_stand_in(file: bytes) -> None:
    for name, root in parts(file, r"xl/worksheets/_rels/sheet\d+\.xml\.rels"):
        kinds = {str(one.get("Type")).rpartition("/")[2] for one in root.iter(f"{RELATIONS}Relationship")}
        assert ("comments" in kinds) == ("vmlDrawing" in kinds), name
