"""A made-up FoodData Central download of any size, in USDA's own columns.

    python -m tests.benchmarks.synthetic_fdc FOLDER [--foods 2000000] [--zip]

Numbers of foods by kind and amounts by food are those of the real download (about 2 million foods, 26 million
amounts); every value is quoted, as USDA quotes them. Names are made of the words of the embedded table, common
words often and rare ones seldom, so that a search has as much to do as among real ones. The same size gives the
same bytes.
"""

from __future__ import annotations

import argparse
import csv
import itertools
import re
import zipfile
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv as pacsv

from nutrition.foods import table

RELEASE = "2024-10-31"
PLAIN = {"foundation_food": 340, "sr_legacy_food": 7793, "survey_fndds_food": 5432, "sub_sample_food": 4000}
"""Foods of the kinds that are always there, at full size."""
BATCH = 500_000

NUTRIENTS = [
    *[(1008, "Energy", "KCAL", "208"), (1003, "Protein", "G", "203"), (1004, "Total lipid (fat)", "G", "204")],
    *[(1005, "Carbohydrate, by difference", "G", "205"), (2000, "Total Sugars", "G", "269")],
    *[(1079, "Fiber, total dietary", "G", "291"), (1093, "Sodium, Na", "MG", "307"), (1253, "Cholesterol", "MG", "601")],
    *[(1258, "Fatty acids, total saturated", "G", "606"), (1257, "Fatty acids, total trans", "G", "605")],
    *[(1087, "Calcium, Ca", "MG", "301"), (1089, "Iron, Fe", "MG", "303"), (1092, "Potassium, K", "MG", "306")],
    *[(1110, "Vitamin D (D2 + D3), International Units", "IU", "324"), (1235, "Sugars, added", "G", "539")],
    *[(1404, "PUFA 18:3 n-3 c,c,c (ALA)", "G", "851"), (1051, "Water", "G", "255"), (1007, "Ash", "G", "207")],
    *[(1162, "Vitamin C, total ascorbic acid", "MG", "401"), (1106, "Vitamin A, RAE", "UG", "320")],
]  # fmt: skip
BRANDED = np.arange(13)
"""Places in the list above of what a branded food has; a plain food has them all."""

UNITS = [(1000, "cup"), (1001, "tablespoon"), (1002, "teaspoon"), (9999, "undetermined")]

FOOD_NUTRIENT = [
    *("id", "fdc_id", "nutrient_id", "amount", "data_points"),
    *("derivation_id", "min", "max", "median", "footnote"),
    *("min_year_acquired",),
]
BRANDED_FOOD = [
    *("fdc_id", "brand_owner", "brand_name", "subbrand_name", "gtin_upc"),
    *("ingredients", "not_a_significant_source_of", "serving_size", "serving_size_unit", "household_serving_fulltext"),
    *("branded_food_category", "data_source", "package_weight", "modified_date", "available_date"),
    *("market_country", "discontinued_date", "preparation_state_code", "trade_channel", "short_description"),
]
PORTION = [
    *("id", "fdc_id", "seq_num", "amount", "measure_unit_id"),
    *("portion_description", "modifier", "gram_weight", "data_points", "footnote"),
    *("min_year_acquired",),
]


def write(folder: Path, foods: int = 2_000_000) -> Path:
    """Write a download of so many foods into a folder, which is made.

    Returns:
        The folder, named as USDA names it.
    """
    home = folder / f"FoodData_Central_csv_{RELEASE}"
    home.mkdir(parents=True)
    share = min(1.0, foods / 2_000_000)
    plain = {kind: max(3, int(count * share)) for kind, count in PLAIN.items()}
    counts = plain | {"branded_food": max(3, foods - sum(plain.values()))}
    rng = np.random.default_rng(1)
    rows(home / "nutrient.csv", ["id", "name", "unit_name", "nutrient_nbr", "rank"], [(*n, "100.0") for n in NUTRIENTS])
    rows(home / "measure_unit.csv", ["id", "name"], UNITS)
    rows(home / "food_category.csv", ["id", "code", "description"], [(1, "0100", "Dairy"), (9, "0900", "Fruits")])
    ids = np.arange(170_000, 170_000 + sum(counts.values()))
    kinds = np.repeat(list(counts), list(counts.values()))
    _foods(home, rng, ids, kinds)
    _amounts(home, rng, ids, kinds)
    legacy, foundation = ids[kinds == "sr_legacy_food"], ids[kinds == "foundation_food"]
    numbers = [row[0] for row in itertools.islice(itertools.cycle(table.raw_rows()), len(legacy))]
    rows(home / "sr_legacy_food.csv", ["fdc_id", "NDB_number"], zip(legacy, numbers, strict=True))
    rows(
        home / "foundation_food.csv",
        ["fdc_id", "NDB_number", "footnote"],
        [(i, n, "") for i, n in enumerate_ids(foundation)],
    )
    survey = ids[kinds == "survey_fndds_food"]
    columns = ["fdc_id", "food_code", "wweia_category_code", "start_date", "end_date"]
    rows(
        home / "survey_fndds_food.csv", columns, [(i, 11_000_000 + i, 1002, "2019-01-01", "2020-12-31") for i in survey]
    )
    _portions(home, np.concatenate([legacy, foundation, survey]))
    _branded(home, rng, ids[kinds == "branded_food"])
    return home


def enumerate_ids(ids: np.ndarray) -> list[tuple[int, str]]:
    """Foundation foods with NDB numbers of their own."""
    return [(int(i), f"{99_000 + n}") for n, i in enumerate(ids)]


def rows(path: Path, head: list[str], found: object) -> None:
    """A small file, every value quoted."""
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(found)


def _write(path: Path, head: list[str], batches: object) -> None:
    options = pacsv.WriteOptions(quoting_style="all_valid", include_header=False)
    with path.open("wb") as out:
        out.write((",".join(f'"{name}"' for name in head) + "\n").encode())
        for columns in batches:
            pacsv.write_csv(pa.table(columns), out, options)


def _vocabulary() -> tuple[np.ndarray, np.ndarray]:
    """Words of the embedded table by how often they stand there, and chances that fall with the rank (Zipf)."""
    count: dict[str, int] = {}
    for row in table.raw_rows():
        for word in re.findall(r"[A-Za-z]{3,}", row[1]):
            count[word.upper()] = count.get(word.upper(), 0) + 1
    words = sorted(count, key=lambda word: (-count[word], word))
    # Makers' own words, each seldom.
    words += [f"{a}{b}".upper() for a in words[50:250] for b in ("ello", "ista", "ano", "sy", "field", "wood", "berg")]
    chance = 1.0 / np.arange(1, len(words) + 1) ** 0.9
    return np.array(words), chance / chance.sum()


def _sentences(rng: np.random.Generator, count: int, words: int, glue: str) -> pa.Array:
    vocabulary, chance = _vocabulary()
    pool = pa.array(vocabulary)
    parts = [pool.take(pa.array(rng.choice(len(vocabulary), count, p=chance))) for _ in range(words)]
    return pc.binary_join_element_wise(*parts, glue)


def _foods(home: Path, rng: np.random.Generator, ids: np.ndarray, kinds: np.ndarray) -> None:
    def batches():
        for start in range(0, len(ids), BATCH):
            part, kind = ids[start : start + BATCH], kinds[start : start + BATCH]
            longs, shorts = _sentences(rng, len(part), 6, " "), _sentences(rng, len(part), 3, ", ")
            yield {
                "fdc_id": part,
                "data_type": pa.array(kind),
                "description": pc.if_else(pa.array(rng.random(len(part)) < 0.6), shorts, longs),
                "food_category_id": pc.if_else(pa.array(kind == "branded_food"), "Ice Cream & Frozen Yogurt", "1"),
                "publication_date": pa.array(np.full(len(part), RELEASE)),
            }

    _write(home / "food.csv", ["fdc_id", "data_type", "description", "food_category_id", "publication_date"], batches())


def _amounts(home: Path, rng: np.random.Generator, ids: np.ndarray, kinds: np.ndarray) -> None:
    numbers = np.array([n[0] for n in NUTRIENTS])

    def batches():
        made = 0
        for start in range(0, len(ids), BATCH // 13):
            part, branded = ids[start : start + BATCH // 13], kinds[start : start + BATCH // 13] == "branded_food"
            width = np.where(branded, len(BRANDED), len(numbers))
            food = np.repeat(part, width)
            place = np.arange(len(food)) - np.repeat(np.cumsum(width) - width, width)
            count = len(food)
            empty = pa.repeat("", count)
            yield {
                "id": np.arange(made + 1, made + count + 1),
                "fdc_id": food,
                "nutrient_id": numbers[place],
                "amount": np.round(rng.gamma(1.2, 8.0, count), 2),
                "data_points": empty,
                "derivation_id": np.full(count, 71),
                **dict.fromkeys(FOOD_NUTRIENT[6:], empty),
            }
            made += count

    _write(home / "food_nutrient.csv", FOOD_NUTRIENT, batches())


def _portions(home: Path, ids: np.ndarray) -> None:
    found = []
    for n, i in enumerate(np.repeat(ids, 2)):
        found.append((n, i, n % 2 + 1, "1.0", UNITS[n % 4][0], "", "sliced" if n % 3 else "", 30 + n % 200, "", "", ""))
    rows(home / "food_portion.csv", PORTION, found)


def _branded(home: Path, rng: np.random.Generator, ids: np.ndarray) -> None:
    statements = _sentences(rng, 20_000, 38, ", ")
    owners = _sentences(rng, 30_000, 2, " ")

    def batches():
        for start in range(0, len(ids), BATCH):
            part = ids[start : start + BATCH]
            count = len(part)
            empty = pa.repeat("", count)
            owner = owners.take(pa.array(rng.integers(0, len(owners), count)))
            columns = dict.fromkeys(BRANDED_FOOD, empty) | {
                "fdc_id": part,
                "brand_owner": owner,
                "brand_name": owner,
                "gtin_upc": pc.binary_join_element_wise("000", pa.array(part + 70_000_000_000).cast(pa.string()), ""),
                "ingredients": statements.take(pa.array(rng.integers(0, len(statements), count))),
                "serving_size": rng.choice([28.0, 30.0, 55.0, 100.0, 240.0], count),
                "serving_size_unit": pa.array(rng.choice(["g", "ml"], count)),
                "household_serving_fulltext": pa.array(rng.choice(["1 cup", "2 Tbsp", "1 piece"], count)),
                "branded_food_category": pa.array(rng.choice(["Candy", "Cheese", "Ice Cream & Frozen Yogurt"], count)),
                "data_source": pa.array(np.full(count, "LI")),
                "modified_date": pa.array(np.full(count, "2023-05-01")),
                "available_date": pa.array(np.full(count, "2023-05-20")),
                "market_country": pa.array(np.full(count, "United States")),
            }
            yield {name: columns[name] for name in BRANDED_FOOD}

    _write(home / "branded_food.csv", BRANDED_FOOD, batches())


def zipped(home: Path) -> Path:
    """The folder as a zip beside it."""
    path = home.with_suffix(".zip")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as out:
        for file in sorted(home.iterdir()):
            out.write(file, f"{home.name}/{file.name}")
    return path


def main() -> None:
    """Write what the arguments ask for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--foods", type=int, default=2_000_000)
    parser.add_argument("--zip", action="store_true")
    arguments = parser.parse_args()
    home = write(arguments.folder, arguments.foods)
    print(zipped(home) if arguments.zip else home)


if __name__ == "__main__":
    main()
