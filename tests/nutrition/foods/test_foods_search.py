"""Search, look-up by id, and the shown document."""

from __future__ import annotations

import json
import sqlite3

import pytest

from nutrition import resources
from nutrition.foods import library, search, show, spec, table
from nutrition.foods.words import words
from nutrition.nutrients import keys


@pytest.fixture(autouse=True, scope="module")
def cache(tmp_path_factory):
    patch = pytest.MonkeyPatch()
    folder = tmp_path_factory.mktemp("cache")
    patch.setenv("CREAMERY_CACHE", str(folder))
    yield folder
    patch.undo()


def test_every_kitchen_name_finds_its_food_first():
    rows = resources.table("foods", "kitchen_names.csv")
    assert len(rows) >= 100
    for row in rows:
        assert search.search(row["name"], 1)[0].id == f"usda:{row['ndb']}", row["name"]


def test_kitchen_names_are_each_of_one_food_that_exists():
    rows = resources.table("foods", "kitchen_names.csv")
    numbers = {row[0] for row in table.raw_rows()}
    assert {row["ndb"] for row in rows} <= numbers
    for row in rows:
        assert search.kitchen_names()[" ".join(words(row["name"]))] == row["ndb"], row["name"]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("quince", "Quinces, raw"),
        ("QUINCES", "Quinces, raw"),
        ("heavy whipping cream", "Cream, fluid, heavy whipping"),
        ("whipping heavy", "Cream, fluid, heavy whipping"),
        ("strawb", "Strawberries, raw"),
        ("duck fat", "Fat, duck"),
        ("Cr\u00e8me de menthe", "Alcoholic beverage, creme de menthe, 72 proof"),
        ("litchi", "Litchis, raw"),
        ("carambola", "Carambola, (starfruit), raw"),
    ],
)
def test_plain_names_come_first(text, name):
    assert search.search(text, 1)[0].name == name


def test_all_words_count_and_most_words_where_not_all_are_found():
    assert all("Cherries" in hit.name for hit in search.search("cherries sour", 5))
    assert search.search("quince zzzzqq", 3)[0].name == "Quinces, raw"
    assert search.search("zzzzqq") == []


@pytest.mark.parametrize(
    "text",
    ['"', '" OR ""', "NEAR(a b, 3)", "name:*", "milk AND", "NOT", "^milk", "a*b", "milk'; DROP TABLE foods; --", "-", "()", "{", "", "   ",
     "\x00", "\ud800", "x" * 100_000, "a " * 5_000, "\U0001f366"],
)  # fmt: skip
def test_query_syntax_never_gets_through(text):
    assert isinstance(search.search(text, 3), list)


def test_water_is_the_plain_one():
    assert search.search("water")[0].id == "water"
    assert library.resolve(search.search("tap water")[0].id, {}).name == "Water"


def test_limit():
    assert len(search.search("milk", 7)) == 7
    assert search.search("milk", 0) == []


def test_the_index_is_built_once_named_by_the_table_and_whole(cache):
    search.search("milk", 1)
    found = list(cache.iterdir())
    assert [p.name for p in found] == [f"foods-{search._stamp()}.sqlite"]
    before = found[0].stat().st_mtime_ns
    search.search("cream", 1)
    assert found[0].stat().st_mtime_ns == before


def test_a_damaged_index_is_built_again(tmp_path, monkeypatch):
    monkeypatch.setenv("CREAMERY_CACHE", str(tmp_path))
    path = tmp_path / f"foods-{search._stamp()}.sqlite"
    for damage in (b"", b"not a database at all" * 100):
        path.write_bytes(damage)
        assert search.search("quince", 1)[0].name == "Quinces, raw"
        assert path.read_bytes().startswith(b"SQLite format 3")
    path.unlink()
    with sqlite3.connect(path) as half:
        half.execute("CREATE TABLE about (stamp TEXT)")
    assert search.search("quince", 1)[0].name == "Quinces, raw"


def test_without_a_writable_folder_it_works_in_memory(tmp_path, monkeypatch):
    in_the_way = tmp_path / "file"
    in_the_way.write_text("here")
    monkeypatch.setenv("CREAMERY_CACHE", str(in_the_way / "below"))
    assert search.search("quince", 1)[0].name == "Quinces, raw"
    assert search.search("quince", 1)[0].name == "Quinces, raw"


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    monkeypatch.setenv("CREAMERY_CACHE", str(tmp_path))

    def full(index):
        index.execute("CREATE TABLE about (stamp TEXT)")
        raise sqlite3.OperationalError("database or disk is full")

    search._image()
    monkeypatch.setattr(search, "_fill", full)
    assert search.search("quince", 1)[0].name == "Quinces, raw"
    assert not list(tmp_path.iterdir())


# --- library ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("food_id", ["usda:01053", "usda:1053", " USDA: 1053 "])
def test_usda_ids(food_id):
    assert library.resolve(food_id, {}).id == "usda:01053"


def test_spec_ids():
    record, _ = spec.record("duck-skin", {"source": "s", "per": "100 g", "values": {"fat": "50 g"}})
    specs = {"duck-skin": record}
    assert library.resolve("spec:duck-skin", specs) is record
    assert library.resolve("spec: duck-skin.yaml", specs) is record
    with pytest.raises(LookupError, match="did you mean spec:duck-skin"):
        library.resolve("spec:duck-skn", specs)


@pytest.mark.parametrize(
    ("food_id", "says"),
    [
        ("fdc:171265", "creamery foods fetch 171265"),
        ("fdc:0", "no number of FoodData Central"),
        ("fdc:1e5", "no number of FoodData Central"),
        ("?", "nobody has chosen"),
        ("usda:99999", "nearest numbers are"),
        ("usda:abc", "five digits"),
        ("usda:", "no food id"),
        ("cream", "no food id"),
        ("", "no food id"),
        ("water:1", "no food id"),
        ("spec:nothing", "no spec sheet"),
        ("../etc/passwd", "no food id"),
    ],
)
def test_ids_that_lead_nowhere(food_id, says):
    with pytest.raises(LookupError) as caught:
        library.resolve(food_id, {})
    assert says in str(caught.value)
    assert says in caught.value.args[0]


# --- show ---------------------------------------------------------------------------------------------------------


def test_document():
    found = show.document(table.food("01053"))
    assert list(found)[:5] == ["id", "name", "source", "per_100g", "measures"]
    assert set(found["per_100g"]) == set(keys())
    assert found["per_100g"]["total_fat"] == 36.08
    assert found["per_100g"]["added_sugars"] is None
    assert {"measure": "1 cup, fluid (yields 2 cups whipped)", "g": 120.0} in found["measures"] or found["measures"]
    assert found["estimated"]["trans_fat"]["low"] < found["per_100g"]["trans_fat"]
    json.dumps(found, allow_nan=False)
