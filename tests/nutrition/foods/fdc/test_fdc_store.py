"""The library of imported foods, read."""

from __future__ import annotations

import contextlib
import json
import shutil
import sqlite3

import pytest

from nutrition.foods import places, table
from nutrition.foods.fdc import layout
from nutrition.foods.fdc.layout import LibraryError
from nutrition.foods.fdc.store import Store
from tests.nutrition.foods.fdc.small_library import Food, make

CREAM = Food(
    170859,
    "Cream, fluid, heavy whipping",
    {1: 340.0, 2: 2.84, 3: 36.08, 4: 2.84, 5: 57.71, 6: 27.0, 7: 63.0},
    ndb="01053",
    category="0100",
    measures=(("1 cup, whipped", 120.0),),
)
TUB = Food(
    2000001, "HEAVY CREAM", {1: 333.0, 3: 33.3}, owner="Lower Fallow Dairy", gtin="00099999000015", ingredients="CREAM."
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The library, written once: that it waits for the disk takes longer than all that is asked of it here."""
    place = tmp_path_factory.mktemp("made") / "foods"
    make(place, {"branded": [TUB], "sr-legacy": [CREAM]})
    return place


@pytest.fixture
def folder(made, tmp_path):
    """A copy, which a test may damage."""
    return shutil.copytree(made, tmp_path / "foods")


def test_a_food_of_the_library(folder):
    with Store.open(folder) as store:
        record = store.food(170859)
        assert store.food("170859") is not None
        assert [part.kind for part in store.parts] == ["sr-legacy", "branded"]
    assert record.id == "fdc:170859"
    assert record.name == CREAM.name
    assert record.source == "USDA FoodData Central, SR Legacy, release 2024-10-31, FDC 170859"
    assert (record.release, record.published, record.details["ndb"]) == ("2024-10-31", "2024-10-31", "01053")
    get = record.composition.amount
    assert get("total_fat") == 36.08
    assert get("vitamin_d") == pytest.approx(63 * 0.025)
    assert get("calcium") is None
    assert record.measures[0].text == "1 cup, whipped"
    # Its group gives the estimates that the embedded record has too, its NDB number the factors.
    assert "trans_fat" in record.estimated
    assert record.factors == table.food("01053").factors


def test_a_branded_food_says_nothing_of_alcohol(folder):
    with Store.open(folder) as store:
        record = store.food(2000001)
    assert record.composition.amount("alcohol") is None
    assert record.details["brand owner"] == "Lower Fallow Dairy"
    assert record.details["gtin"] == "00099999000015"
    assert record.details["ingredients"] == "CREAM."


def test_by_ndb_number(folder):
    with Store.open(folder) as store:
        assert store.by_ndb("1053").id == "fdc:170859"
        assert store.by_ndb("01054") is None


def test_search_shows_plain_foods_before_branded_ones(folder):
    with Store.open(folder) as store:
        assert [hit.id for hit in store.search("heavy cream")] == ["fdc:170859", "fdc:2000001"]
        assert [hit.id for hit in store.search("fallow creams")] == ["fdc:2000001"]
        assert len(store.search("cream", 1)) == 1
        assert store.search("quince") == []
        for text in ("", '"', "a OR b*", "NEAR(", "x" * 10_000):
            assert isinstance(store.search(text), list)


def test_no_library_is_a_library_without_foods(tmp_path, monkeypatch):
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "nowhere"))
    assert places.library() == tmp_path / "nowhere" / "foods"
    assert places.web_cache() == tmp_path / "nowhere" / "cache" / "web"
    with Store.open() as store:
        assert store.food(1) is None
        assert store.search("cream") == []
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize("text", ["", "-1", "1e3", "abc", "\u0661", "9" * 40, "1;DROP TABLE food"])
def test_ids_that_are_none(folder, text):
    with Store.open(folder) as store:
        assert store.food(text) is None


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", '{"form": 99, "parts": []}', '{"form": 3, "parts": [{"kind": "survey"}]}', "[" * 50_000,
     json.dumps({"form": 3, "parts": [{"kind": "survey", "names": "../../x.sqlite", "values": "y.sqlite", "release": "", "foods": 1}]})],
)  # fmt: skip
def test_a_damaged_library_says_so(folder, text):
    (folder / layout.MANIFEST).write_text(text)
    with pytest.raises(LibraryError, match="again"):
        Store.open(folder)


@pytest.mark.parametrize("file", ["branded-values.sqlite", "branded-names.sqlite"])
def test_a_missing_or_damaged_file_says_so(folder, file):
    def ask():
        with Store.open(folder) as store:
            store.food(2000001)

    (folder / file).write_bytes(b"not a database at all" * 100)
    with pytest.raises(LibraryError, match=file):
        ask()
    (folder / file).unlink()
    with pytest.raises(LibraryError, match=file):
        ask()
    # The others can be had all the same, where only values are gone.
    if "values" in file:
        with Store.open(folder) as store:
            assert store.food(170859).id == "fdc:170859"


def test_texts_that_cannot_be_taken_apart_say_so(folder):
    with contextlib.closing(sqlite3.connect(folder / "branded-names.sqlite")) as names, names:
        names.execute("UPDATE food SET more = 'x'")
    with Store.open(folder) as store, pytest.raises(LibraryError, match="damaged"):
        store.food(2000001)
