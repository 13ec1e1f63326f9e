"""Search, look-up by id, and the shown document."""

from __future__ import annotations

import csv
import json
import sqlite3
from pathlib import Path

import pytest

from nutrition import resources
from nutrition.foods import index, kitchen, library, marks, search, show, spec, table
from nutrition.foods.words import words
from nutrition.nutrients import keys
from tests.nutrition.foods.fdc.small_library import Food, make


@pytest.fixture(autouse=True, scope="module")
def cache(tmp_path_factory):
    patch = pytest.MonkeyPatch()
    folder = tmp_path_factory.mktemp("cache")
    patch.setenv("CREAMERY_CACHE", str(folder))
    patch.setenv("CREAMERY_HOME", str(folder / "home"))
    yield folder
    patch.undo()


def test_every_kitchen_name_finds_its_food_first():
    rows = resources.table("foods", "kitchen_names.csv")
    assert len(rows) >= 100
    for row in rows:
        hits = search.search(row["name"], 1)
        assert [hit.id for hit in hits] == ([f"usda:{row['ndb']}"] if row["ndb"] else []), row["name"]
        assert not hits or hits[0].note == row["note"]


def test_kitchen_names_are_each_of_one_food_that_exists():
    rows = resources.table("foods", "kitchen_names.csv")
    numbers = {row[0] for row in table.raw_rows()}
    assert {row["ndb"] for row in rows} <= numbers | {""}
    for row in rows:
        assert row["ndb"] or row["note"], "where there is none, it is said"
        assert kitchen.name(row["name"]).ndb == row["ndb"], row["name"]
        assert search.kitchen_names().get(" ".join(words(row["name"])), "") == row["ndb"], row["name"]


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
    assert [p.name for p in found] == [f"foods-{index.stamp()}.sqlite"]
    before = found[0].stat().st_mtime_ns
    search.search("cream", 1)
    assert found[0].stat().st_mtime_ns == before


def test_a_damaged_index_is_built_again(tmp_path, monkeypatch):
    monkeypatch.setenv("CREAMERY_CACHE", str(tmp_path))
    path = tmp_path / f"foods-{index.stamp()}.sqlite"
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

    def full(base):
        base.execute("CREATE TABLE about (stamp TEXT)")
        raise sqlite3.OperationalError("database or disk is full")

    index._image()
    monkeypatch.setattr(index, "_fill", full)
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


# --- what cooks ask for ---------------------------------------------------------------------------------------------


def questions():
    path = Path(__file__).with_name("kitchen_questions.csv")
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [(row["question"], frozenset(row["ndb"].split("|")) - {"none"}) for row in csv.DictReader(lines)]


ISSUE = [
    ("heavy cream", "01053"), ("skim milk powder", "01091"), ("egg yolk", "01125"), ("granulated sugar", "19335"),
    ("dextrose", "19335"), ("corn syrup", "19350"), ("cocoa powder", "19165"), ("dark rum", "14050"),
    ("vanilla extract", "02050"), ("unsalted butter", "01145"), ("mascarpone", "01017"), ("hazelnut", "12120"),
    ("tart cherry", "09063"), ("oat milk", ""), ("sea salt", "02047"), ("gelatin", "19177"),
]  # fmt: skip


def test_the_questions_are_no_kitchen_names_and_their_answers_exist():
    names = {row["name"].lower() for row in resources.table("foods", "kitchen_names.csv")}
    numbers = {row[0] for row in table.raw_rows()}
    asked = questions()
    assert len(asked) >= 160
    assert len({question for question, _ in asked}) == len(asked)
    for question, answers in asked:
        assert question.lower() not in names, question
        assert answers <= numbers, question


def test_what_cooks_ask_for_is_found(capsys):
    """At least 85 % first and 97 % among the first three; the misses are printed. Measured: 98.9 % and 100 %."""
    first = third = 0
    misses = []
    asked = questions()
    for question, answers in asked:
        hits = [hit.id.removeprefix("usda:") for hit in search.search(question, 3)]
        right = [n for n, ndb in enumerate(hits) if ndb in answers] if answers else ([] if hits else [0])
        first += right[:1] == [0]
        third += bool(right)
        if right[:1] != [0]:
            misses.append(
                f"{question}: wanted {', '.join(sorted(answers)) or 'nothing'}, found {', '.join(hits) or 'nothing'}"
            )
    with capsys.disabled():
        print(f"\n{first} of {len(asked)} first, {third} among three; not first:\n  " + "\n  ".join(misses))
    assert first / len(asked) >= 0.85
    assert third / len(asked) >= 0.97


@pytest.mark.parametrize(("question", "ndb"), ISSUE)
def test_names_of_the_trade(question, ndb):
    hits = search.search(question, 1)
    assert [hit.id for hit in hits] == ([f"usda:{ndb}"] if ndb else [])


def test_the_nearest_is_called_so():
    assert "SR28 has no mascarpone" in search.search("mascarpone", 1)[0].note
    assert search.search("heavy cream", 1)[0].note == ""
    assert "no oat milk" in search.understood("organic oat milk").name.note


def test_slips_are_mended_and_said():
    asked = search.understood("hazlenuts and vanila")
    assert asked.words == ("hazelnut", "vanilla")
    assert asked.mended == (("hazlenut", "hazelnut"), ("vanila", "vanilla"))
    # Beginnings of words, numbers and short words are left as they are.
    for text in ("strawb", "70", "fig", "quinc"):
        assert search.understood(text).mended == ()


@pytest.mark.parametrize(
    ("question", "without"),
    [("beet juice", "juice"), ("smoked salt", "smoked"), ("dried strawberries", "dried"), ("hazelnut flour", "flour")],
)
def test_what_makes_another_food_is_never_passed_over_in_silence(question, without):
    """Where no food has the word, the food without it is only the nearest, and says so."""
    assert search.search(question, 1)[0].note == f"its name says nothing of {without}"


def test_a_word_that_makes_another_food_leads_to_that_food():
    assert search.search("carrot juice", 1)[0].name == "Carrot juice, canned"
    assert search.search("chestnuts roasted", 1)[0].note == ""
    # Beer and a hen's egg are names of the kitchen; these are no kinds of them.
    assert search.search("root beer", 1)[0].name == "Beverages, carbonated, root beer"
    assert search.search("duck eggs", 1)[0].name == "Egg, duck, whole, fresh, raw"
    assert "SR28 has no guava paste" in search.understood("paste of guava").name.note


def test_words_written_apart_are_one_name():
    assert search.understood("corn meal").words == ("cornmeal",)
    assert search.search("butter milk", 1)[0].name.startswith("Milk, buttermilk")


# --- the user's library beside the embedded table ---------------------------------------------------------------------


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("CREAMERY_HOME", str(tmp_path / "home"))
    make(
        tmp_path / "home" / "foods",
        {
            "foundation": [
                Food(1, "Oat milk, unsweetened, plain, refrigerated", {2: 0.8}, category="1400", ndb="99001")
            ],
            "sr-legacy": [Food(2, "Cream, fluid, heavy whipping", {3: 36.1}, ndb="01053", category="0100")],
            "survey": [Food(3, "Cream, heavy", {3: 36.1})],
            "branded": [
                Food(10, "HEAVY CREAM", {3: 33.3, 4: 90.0, 5: 40.0}, owner="Lower Fallow Dairy"),
                Food(11, "HEAVY CREAM CAKE", {3: 10.0}, owner="Lower Fallow Dairy"),
            ],
        },
    )


def test_plain_foods_come_before_branded_ones(home):
    ids = [hit.id for hit in search.search("heavy cream", 8)]
    # The same food of SR Legacy is not told twice.
    assert ids[0] == "usda:01053"
    assert "fdc:2" not in ids
    assert ids == ["usda:01053", "fdc:3", "fdc:10", "fdc:11"]
    # However many plain ones there are, branded ones keep a quarter of the list.
    many = [hit.id for hit in search.search("cream", 8)]
    assert many[-2:] == ["fdc:10", "fdc:11"]
    assert all(one.startswith("usda:") or one == "fdc:3" for one in many[:6])


def test_one_place_can_be_searched_alone(home):
    assert [hit.id for hit in search.search("heavy cream", where=("branded",))] == ["fdc:10", "fdc:11"]
    assert [hit.id for hit in search.search("heavy cream", where=("sr-legacy",))] == ["fdc:2"]
    assert all(hit.id.startswith("usda:") for hit in search.search("heavy cream", where=("usda",)))


def test_what_sr28_lacks_is_found_in_the_library(home):
    assert [hit.id for hit in search.search("oat milk")] == ["fdc:1"]
    assert [hit.id for hit in search.search("hevy cream", where=("branded",))] == ["fdc:10", "fdc:11"]


def test_doubtful_foods_are_marked_and_not_hidden(home):
    hits = search.search("heavy cream", where=("branded",))
    found = marks.doubtful(hits)
    assert set(found) == {"fdc:10"}
    assert "come to 163.3 g in 100 g" in found["fdc:10"]
