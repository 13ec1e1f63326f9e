"""A small made-up download in USDA's columns, to be bent in every way."""

from __future__ import annotations

import contextlib
import csv
import io
import sqlite3
import zipfile
from collections.abc import Mapping
from pathlib import Path

from nutrition.foods.fdc import layout

NAME = "FoodData_Central_csv_2024-10-31"

FILES: Mapping[str, str] = {
    "food.csv": """\
"fdc_id","data_type","description","food_category_id","publication_date"
"170859","sr_legacy_food","Cream, fluid, heavy whipping","1","2019-04-01"
"746782","foundation_food","Milk, whole, 3.25% milkfat, with added vitamin D","1","2019-12-16"
"2705384","survey_fndds_food","Cream, heavy","1202","2024-10-31"
"2000001","branded_food","HEAVY CREAM","Cream","2021-03-19"
"2000002","branded_food","HEAVY CREAM","Cream","2023-03-19"
"2000003","branded_food","Caf\u00e9 ""Noir"" syrup,
dark","Syrups & Molasses","2022-01-01"
"900001","sub_sample_food","MILK, WHOLE","1","2019-12-16"
""",
    "nutrient.csv": """\
"id","name","unit_name","nutrient_nbr","rank"
"1008","Energy","KCAL","208","300.0"
"2047","Energy (Atwater General Factors)","KCAL","957","280.0"
"1003","Protein","G","203","600.0"
"1004","Total lipid (fat)","G","204","800.0"
"1005","Carbohydrate, by difference","G","205","1110.0"
"1051","Water","G","255","100.0"
"1007","Ash","G","207","1000.0"
"1093","Sodium, Na","MG","307","5800.0"
"1110","Vitamin D (D2 + D3), International Units","IU","324","8650.0"
"1404","PUFA 18:3 n-3 c,c,c (ALA)","G","851","14100.0"
""",
    "food_nutrient.csv": """\
"id","fdc_id","nutrient_id","amount","data_points","derivation_id","min","max","median","footnote","min_year_acquired"
"1","170859","1008","340","","1","","","","",""
"2","170859","1003","2.84","8","1","","","","",""
"3","170859","1004","36.08","8","1","","","","",""
"4","170859","1005","2.74","","49","","","","",""
"5","170859","1051","57.71","","49","","","","",""
"6","170859","1093","27","","49","","","","",""
"7","170859","1404","0.4","","49","","","","",""
"8","746782","2047","60.9","","49","","","","",""
"9","746782","1003","3.27","","49","","","","",""
"10","2705384","1004","36.1","","49","","","","",""
"11","2000001","1004","33.33","","70","","","","",""
"12","2000002","1004","40.0","","70","","","","",""
"13","2000002","1093","0","","70","","","","",""
"14","2000002","1110","","","70","","","","",""
"15","900001","1003","3.3","","1","","","","",""
""",
    "food_portion.csv": """\
"id","fdc_id","seq_num","amount","measure_unit_id","portion_description","modifier","gram_weight","data_points","footnote","min_year_acquired"
"1","170859","1","1.0","9999","","cup, whipped","120.0","","",""
"2","170859","2","1.0","9999","","tbsp","15.0","","",""
"3","746782","1","1.0","1000","","","249.0","","",""
"4","2705384","1","","9999","1 cup","10205","238.0","","",""
"5","2705384","2","","9999","Quantity not specified","90000","238.0","","",""
""",
    "measure_unit.csv": '"id","name"\n"1000","cup"\n"9999","undetermined"\n',
    "food_category.csv": '"id","code","description"\n"1","0100","Dairy and Egg Products"\n',
    "sr_legacy_food.csv": '"fdc_id","NDB_number"\n"170859","1053"\n',
    "foundation_food.csv": '"fdc_id","NDB_number","footnote"\n"746782","01077",""\n',
    "survey_fndds_food.csv": '"fdc_id","food_code","wweia_category_code","start_date","end_date"\n"2705384","12130100","1202","",""\n',
    "branded_food.csv": """\
"fdc_id","brand_owner","brand_name","gtin_upc","ingredients","serving_size","serving_size_unit","household_serving_fulltext","branded_food_category"
"2000001","Lower Fallow Dairy","FALLOW","00099999000015","CREAM.","15","ml","1 Tbsp","Cream"
"2000002","Lower Fallow Dairy","FALLOW","99999000015","CREAM, GELLAN GUM.","15","g","1 Tbsp","Cream"
"2000003","Ledgerwood","","","SUGAR, WATER, COFFEE.","30","ml","2 Tbsp","Syrups & Molasses"
""",
}


def folder(home: Path, change: Mapping[str, str | bytes | None] | None = None, name: str = NAME) -> Path:
    """The download as a folder; ``change`` gives files of it anew, None takes one away."""
    place = home / name
    place.mkdir(parents=True)
    for file, text in (FILES | (change or {})).items():
        if text is not None:
            (place / file).write_bytes(text.encode() if isinstance(text, str) else text)
    return place


def zipped(place: Path) -> Path:
    """The folder as a zip, as USDA packs it."""
    path = place.with_suffix(".zip")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for file in sorted(place.iterdir()):
            out.write(file, f"{place.name}/{file.name}")
    return path


def table(name: str) -> list[list[str]]:
    """The rows of one of the files, head first."""
    return list(csv.reader(io.StringIO(FILES[name])))


def text(rows: list[list[str]]) -> str:
    """Rows as a file, every value quoted."""
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(rows)
    return out.getvalue()


def with_rows(name: str, *more: str) -> dict[str, str]:
    """One of the files with more lines at its end."""
    return {name: FILES[name] + "".join(f"{line}\n" for line in more)}


def content(library: Path) -> dict[tuple[str, str], list[tuple[object, ...]]]:
    """Everything that a library holds, apart from how its files are called and when it was made."""
    found = {}
    for part in layout.parts(library):
        for what, file in (("names", part.names), ("values", part.values)):
            with contextlib.closing(sqlite3.connect(library / file)) as base:
                tables = [
                    r[0] for r in base.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
                ]
                for one in tables:
                    if one == "words":
                        continue
                    rows = base.execute(f"SELECT * FROM {one}").fetchall()
                    if one == "amounts":
                        # Pieces in the order of their codes: files may list them in any.
                        rows = [(i, tuple(sorted(held[n : n + 9] for n in range(0, len(held), 9)))) for i, held in rows]
                    found[f"{part.kind}-{what}", one] = rows
    return found
