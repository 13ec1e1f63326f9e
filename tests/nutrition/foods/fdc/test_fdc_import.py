"""Downloads of FoodData Central into the library: whole, one kind, again, newer, older, and stopped half way."""

from __future__ import annotations

import csv
import io
import os
import random
import signal
import sqlite3
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nutrition.foods import sums
from nutrition.foods.fdc import intake, layout, rows, writing
from nutrition.foods.fdc.download import DownloadError
from nutrition.foods.fdc.layout import LibraryError
from nutrition.foods.fdc.store import Store
from tests.nutrition.foods.fdc.small_download import FILES, content, folder, table, text, with_rows, zipped


@pytest.fixture(scope="module")
def taken(tmp_path_factory):
    home = tmp_path_factory.mktemp("sound")
    library = home / "library"
    return intake.take(folder(home), library), library


def test_every_kind_with_its_values(taken):
    _, library = taken
    with Store.open(library) as store:
        assert [(part.kind, part.foods, part.release) for part in store.parts] == [
            ("foundation", 1, "2024-10-31"),
            ("sr-legacy", 1, "2024-10-31"),
            ("survey", 1, "2024-10-31"),
            ("branded", 3, "2024-10-31"),
        ]
        cream, milk, survey = store.food(170859), store.food(746782), store.food(2705384)
        tub, syrup = store.food(2000002), store.food(2000003)
        assert store.food(900001) is None
    assert cream.name == "Cream, fluid, heavy whipping"
    assert cream.composition.amount("total_fat") == 36.08
    assert cream.composition.amount("sodium") == 27.0
    assert [(m.text, m.grams) for m in cream.measures] == [("1 cup, whipped", 120.0), ("1 tbsp", 15.0)]
    assert (cream.group, cream.published, cream.release) == ("0100", "2019-04-01", "2024-10-31")
    assert milk.composition.amount("energy") == 60.9
    assert [m.text for m in milk.measures] == ["1 cup"]
    assert [m.text for m in survey.measures] == ["1 cup"]
    assert survey.group == ""
    assert syrup.name == 'Caf\u00e9 "Noir" syrup,\ndark'
    assert tub.details == {
        "brand owner": "Lower Fallow Dairy",
        "brand": "FALLOW",
        "gtin": "99999000015",
        "ingredients": "CREAM, GELLAN GUM.",
        "serving": "15 g",
        "household serving": "1 Tbsp",
        "category": "Cream",
    }
    assert [(m.text, m.grams) for m in tub.measures] == [("1 Tbsp", 15.0)]
    assert tub.made_of == (("cream", None), ("gellan gum", None))
    # Zero on a label is anything that prints so, and an empty amount is unknown.
    assert tub.composition.bounds("sodium")[1] > 0
    assert tub.composition.amount("vitamin_d") is None


def test_ndb_numbers_join_sr_legacy_to_the_embedded_table(taken):
    _, library = taken
    with Store.open(library) as store:
        assert store.by_ndb("01053").id == "fdc:170859"
        assert store.by_ndb("1053").factors
        milk = store.by_ndb("01077")
    assert milk.id == "fdc:746782"
    # Its energy is by 4, 9 and 4, so that the factors of SR28 would only make it look wrong.
    assert milk.factors == {}
    assert sums.doubts(milk) == ()


def test_every_row_is_counted(taken):
    found, _ = taken
    count = {tally.file: tally for tally in found.tallies}
    assert all(tally.whole() for tally in found.tallies)
    assert not any(tally.refused for tally in found.tallies)
    assert (count["food.csv"].read, count["food.csv"].stored) == (7, 6)
    assert count["food.csv"].left == {"sub_sample_food": 1}
    assert (count["food_nutrient.csv"].read, count["food_nutrient.csv"].stored) == (15, 12)
    assert count["food_nutrient.csv"].left == {
        "of foods that are left out": 1,
        "nutrients that are not followed": 1,
        "no amount given": 1,
    }
    assert count["food_portion.csv"].left == {"portions without a name": 1}
    assert found.problems == ()


def test_of_one_gtin_the_newest_is_found_by_words(taken):
    _, library = taken
    with Store.open(library) as store:
        hits = [hit.id for hit in store.search("heavy cream")]
        assert hits == ["fdc:170859", "fdc:2705384", "fdc:2000002"]
        assert store.food(2000001) is not None


def test_the_same_again_gives_the_same_and_a_zip_gives_the_same(taken, tmp_path):
    first, library = taken
    home = folder(tmp_path)
    again = intake.take(home, tmp_path / "again")
    assert content(tmp_path / "again") == content(library)
    intake.take(home, tmp_path / "again")
    assert content(tmp_path / "again") == content(library)
    assert [t.words() for t in again.tallies] == [t.words() for t in first.tallies]
    inside = intake.take(zipped(home), tmp_path / "zip")
    assert content(tmp_path / "zip") == content(library)
    assert {part.release for part in inside.parts} == {"2024-10-31"}
    # Finished files of before are gone.
    assert len(list((tmp_path / "again").glob("*.sqlite"))) == 2 * 4 + 1


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10**6))
def test_any_order_of_rows_and_columns_gives_the_same(taken, tmp_path_factory, seed):
    chance = random.Random(seed)
    change = {}
    for name in ("food.csv", "food_nutrient.csv", "food_portion.csv", "branded_food.csv", "nutrient.csv"):
        head, *body = table(name)
        if name in {"food_nutrient.csv", "food.csv", "branded_food.csv"}:
            chance.shuffle(body)
        columns = list(range(len(head)))
        chance.shuffle(columns)
        grown = [[row[n] for n in columns] + [str(chance.random())] for row in [head, *body]]
        grown[0][-1] = "a column of a later release"
        change[name] = text(grown)
    home = tmp_path_factory.mktemp("order")
    intake.take(folder(home, change), home / "library")
    assert content(home / "library") == content(taken[1])


def test_a_food_torn_over_many_batches_is_whole(taken, tmp_path, monkeypatch):
    monkeypatch.setattr(rows, "BLOCK", 400)
    intake.take(folder(tmp_path), tmp_path / "library")
    assert content(tmp_path / "library") == content(taken[1])


def test_careful_reading_gives_the_same_as_fast_reading(taken, tmp_path):
    # One cell that is no number makes the whole import careful; everything else must stay as it is.
    change = with_rows("food_nutrient.csv", '"99","746782","1004","lots","","1","","","","",""')
    found = intake.take(folder(tmp_path, change), tmp_path / "library")
    assert content(tmp_path / "library") == content(taken[1])
    count = next(t for t in found.tallies if t.file == "food_nutrient.csv")
    assert count.refused == {"an amount that is no number": 1}
    assert "fdc_id 746782, nutrient 1004" in count.words()
    assert count.whole()


def test_one_kind_leaves_the_others(taken, tmp_path):
    library = tmp_path / "library"
    intake.take(folder(tmp_path), library)
    newer = folder(
        tmp_path, {"food.csv": FILES["food.csv"].replace("Cream, heavy", "Cream, heavy, whipped")}, "csv_2025-04-24"
    )
    found = intake.take(newer, library, "survey")
    assert [part.kind for part in found.parts] == ["survey"]
    with Store.open(library) as store:
        assert store.food(2705384).name == "Cream, heavy, whipped"
        assert store.food(2705384).release == "2025-04-24"
        assert store.food(170859).release == "2024-10-31"
        assert {part.kind: part.release for part in store.parts} == {
            "foundation": "2024-10-31",
            "sr-legacy": "2024-10-31",
            "survey": "2025-04-24",
            "branded": "2024-10-31",
        }


def test_an_older_release_replaces_a_newer_one_only_if_told(tmp_path):
    library = tmp_path / "library"
    intake.take(folder(tmp_path), library)
    old = folder(tmp_path, name="FoodData_Central_csv_2023-10-26")
    before = content(library), layout.parts(library)
    with pytest.raises(DownloadError, match="2023-10-26, and the library has Foundation Foods of 2024-10-31"):
        intake.take(old, library)
    assert (content(library), layout.parts(library)) == before
    intake.take(old, library, older=True)
    assert {part.release for part in layout.parts(library)} == {"2023-10-26"}


def test_without_a_date_in_its_name_the_newest_record_dates_a_download(tmp_path):
    found = intake.take(folder(tmp_path, name="download"), tmp_path / "library")
    assert {part.release for part in found.parts} == {"2024-10-31"}


def test_usdas_own_count_is_compared(tmp_path):
    counts = '"Table","Number of Records"\n"food","7"\n"food_nutrient","16"\n"lab_method","3"\n'
    found = intake.take(folder(tmp_path, {"all_downloaded_table_record_counts.csv": counts}), tmp_path / "library")
    assert found.problems == ("food_nutrient.csv has 15 rows, and USDA's own count is 16",)


def test_a_nutrient_with_another_unit_is_refused_and_said(tmp_path):
    change = {"nutrient.csv": FILES["nutrient.csv"].replace('"Sodium, Na","MG"', '"Sodium, Na","SPOON"')}
    found = intake.take(folder(tmp_path, change), tmp_path / "library")
    assert "'SPOON' is no unit" in found.problems[0]
    count = next(t for t in found.tallies if t.file == "food_nutrient.csv")
    assert count.refused == {"a nutrient whose number, name or unit is not the known one": 2}
    with Store.open(tmp_path / "library") as store:
        assert store.food(170859).composition.amount("sodium") is None


def test_another_unit_of_weight_is_converted(tmp_path):
    change = {"nutrient.csv": FILES["nutrient.csv"].replace('"Sodium, Na","MG"', '"Sodium, Na","G"')}
    change |= {"food_nutrient.csv": FILES["food_nutrient.csv"].replace('"1093","27"', '"1093","0.027"')}
    intake.take(folder(tmp_path, change), tmp_path / "library")
    with Store.open(tmp_path / "library") as store:
        assert store.food(170859).composition.amount("sodium") == pytest.approx(27.0)


# --- stopped half way -----------------------------------------------------------------------------------------------


def untouched(library, before):
    assert (content(library), layout.parts(library)) == before
    kept = {name for part in layout.parts(library) for name in (part.names, part.values)}
    assert {p.name for p in library.iterdir()} == kept | {layout.MANIFEST, layout.LOCK}


@pytest.fixture
def old(tmp_path):
    library = tmp_path / "library"
    intake.take(folder(tmp_path), library)
    return library, (content(library), layout.parts(library))


def test_an_import_that_is_killed_leaves_the_old_library(old, tmp_path):
    library, before = old
    newer = folder(
        tmp_path, with_rows("food.csv", '"2705999","survey_fndds_food","Quince","1","2025-01-01"'), "csv_2025-04-24"
    )
    script = textwrap.dedent("""
        import sys, time
        from pathlib import Path
        from nutrition.foods.fdc import intake
        def told(share):
            if share > 0.6:
                print("half way", flush=True)
                time.sleep(60)
        intake.take(Path(sys.argv[1]), Path(sys.argv[2]), told=told)
    """)
    root = Path(intake.__file__).parents[3]
    command = [sys.executable, "-c", script, str(newer), str(library)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, cwd=root, env=os.environ | {"PYTHONPATH": str(root)}
    ) as run:
        assert run.stdout.readline() == "half way\n"
        assert len(list(library.glob("*.sqlite"))) > 2 * 4 + 1  # it had begun to write
        run.send_signal(signal.SIGKILL)
        run.wait()
    assert (content(library), layout.parts(library)) == before
    # The next import is not held up by the dead one, and clears its pieces away.
    intake.take(newer, library, patience=0.0)
    with Store.open(library) as store:
        assert store.food(2705999).name == "Quince"
    assert len(list(library.glob("*.sqlite"))) == 2 * 4 + 1


def test_an_import_that_is_broken_off_leaves_nothing_behind(old, tmp_path):
    library, before = old

    def told(share):
        if share > 0.5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        intake.take(folder(tmp_path, name="csv_2025-04-24"), library, told=told)
    untouched(library, before)


@pytest.mark.parametrize("pages", [4, 8, 12])
def test_a_full_disk_is_said_and_leaves_the_old_library(old, tmp_path, monkeypatch, pages):
    library, before = old
    # The limit of SQLite itself gives the error that a full disk gives.
    monkeypatch.setattr(writing, "MOST_PAGES", pages)
    many = with_rows(
        "branded_food.csv", *(f'"{3_000_000 + n}","","","","{"SUGAR, " * 200}","","","",""' for n in range(300))
    )
    many |= with_rows("food.csv", *(f'"{3_000_000 + n}","branded_food","Cake {n}","","2025-01-01"' for n in range(300)))
    with pytest.raises(LibraryError, match="disk is full; nothing was changed"):
        intake.take(folder(tmp_path, many, "csv_2025-04-24"), library)
    untouched(library, before)


def test_a_library_whose_list_cannot_be_replaced_stays(old, tmp_path, monkeypatch):
    library, before = old

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(layout.os, "replace", full)
    with pytest.raises(OSError, match="No space left"):
        intake.take(folder(tmp_path, name="csv_2025-04-24"), library)
    monkeypatch.undo()
    (library / f"{layout.MANIFEST}.part").unlink(missing_ok=True)
    untouched(library, before)


def test_a_locked_library_waits_and_then_says_so(old, tmp_path):
    library, before = old
    newer = folder(tmp_path, name="csv_2025-04-24")
    other = sqlite3.connect(library / layout.LOCK, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN EXCLUSIVE")
    start = time.monotonic()
    with pytest.raises(LibraryError, match=r"another import into .* is running and did not end within 0\.2 seconds"):
        intake.take(newer, library, patience=0.2)
    assert time.monotonic() - start >= 0.2
    assert (content(library), layout.parts(library)) == before
    timer = threading.Timer(0.2, other.execute, ["ROLLBACK"])
    timer.start()
    intake.take(newer, library, patience=20.0)
    timer.join()
    other.close()
    assert {part.release for part in layout.parts(library)} == {"2025-04-24"}


def test_a_damaged_library_is_mended_by_importing_again(old, tmp_path):
    library, before = old
    (library / layout.MANIFEST).write_text("{")
    intake.take(tmp_path / "FoodData_Central_csv_2024-10-31", library)
    assert content(library) == before[0]


def test_unquoted_values_and_other_line_ends_are_read_alike(taken, tmp_path):
    change = {}
    for name in FILES:
        out = io.StringIO()
        csv.writer(out, quoting=csv.QUOTE_MINIMAL, lineterminator="\r\n").writerows(table(name))
        change[name] = out.getvalue()
    intake.take(folder(tmp_path, change), tmp_path / "library")
    assert content(tmp_path / "library") == content(taken[1])
