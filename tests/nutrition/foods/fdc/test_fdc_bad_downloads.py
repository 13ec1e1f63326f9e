"""Downloads that are not what they should be: nothing is lost, nothing is half there, and the reason is said."""

from __future__ import annotations

import struct
import zipfile

import pytest

from nutrition.foods.fdc import foods, intake, tally
from nutrition.foods.fdc.download import Download, DownloadError
from nutrition.foods.fdc.store import Store
from tests.nutrition.foods.fdc.small_download import FILES, NAME, folder, with_rows, zipped


def refused(path, library, match):
    with pytest.raises(DownloadError, match=match):
        intake.take(path, library)
    assert not library.exists() or not list(library.glob("*-*"))
    with Store.open(library) as store:
        assert store.parts == ()


def test_what_is_no_zip(tmp_path):
    for n, raw in enumerate(
        (b"", b"PK", b"not a zip at all", b"PK\x03\x04" + b"\x00" * 100, FILES["food.csv"].encode())
    ):
        path = tmp_path / f"{n}.zip"
        path.write_bytes(raw)
        refused(path, tmp_path / "library", "not a zip file")
    with pytest.raises(FileNotFoundError):
        intake.take(tmp_path / "nothing.zip", tmp_path / "library")


def test_a_zip_that_was_cut_off_or_damaged(tmp_path):
    whole = zipped(
        folder(
            tmp_path, with_rows("food.csv", *(f'"{n}","x","{n * 7919}","","" ' for n in range(3_000_000, 3_000_900)))
        )
    )
    raw = whole.read_bytes()
    cut = tmp_path / "cut.zip"
    cut.write_bytes(raw[: len(raw) // 2])
    refused(cut, tmp_path / "library", "not a zip file")
    with zipfile.ZipFile(whole) as archive:
        info = archive.getinfo(f"{NAME}/food.csv")
    start = info.header_offset + 30 + len(info.filename) + info.compress_size // 2
    hurt = bytearray(raw)
    hurt[start : start + 8] = b"\x00\xff" * 4
    bad = tmp_path / "hurt.zip"
    bad.write_bytes(bytes(hurt))
    refused(bad, tmp_path / "library", r"food.csv in hurt.zip cannot be unpacked|food.csv cannot be read|is damaged")


def archive(path, members):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for name, raw in members:
            out.writestr(name, raw)
    return path


@pytest.mark.parametrize("name", ["../food.csv", "a/../../food.csv", "/etc/food.csv", "C:\\food.csv", "..\\food.csv"])
def test_paths_that_climb_out(tmp_path, name):
    path = archive(tmp_path / "x.zip", [*FILES.items(), (name, "x")])
    refused(path, tmp_path / "library", "leads out of the folder")


def test_a_zip_bomb(tmp_path):
    path = archive(
        tmp_path / "bomb.zip", [(k, v) for k, v in FILES.items() if k != "food.csv"] + [("food.csv", b"0" * 40_000_000)]
    )
    assert path.stat().st_size < 100_000
    refused(path, tmp_path / "library", "would grow to")


def test_a_zip_that_lies_about_its_sizes(tmp_path):
    """The size in the directory is small, the stream goes on: no more is read than was said, and the sum tells."""
    path = archive(
        tmp_path / "lie.zip", [(k, v) for k, v in FILES.items() if k != "food.csv"] + [("food.csv", b"0" * 40_000_000)]
    )
    raw = bytearray(path.read_bytes())
    place = raw.rindex(b"food.csv") - 46
    assert raw[place : place + 4] == b"PK\x01\x02"
    raw[place + 24 : place + 28] = struct.pack("<I", 5000)
    path.write_bytes(bytes(raw))
    refused(path, tmp_path / "library", "cannot be unpacked|no column|no CSV")


def test_a_file_twice_and_too_many_files(tmp_path):
    refused(
        archive(tmp_path / "twice.zip", [*((f"a/{k}", v) for k, v in FILES.items()), ("b/food.csv", "x")]),
        tmp_path / "library",
        "twice",
    )
    many = archive(tmp_path / "many.zip", [*FILES.items(), *((f"{n}.txt", "") for n in range(1001))])
    refused(many, tmp_path / "library", "no download of FoodData Central does")


def test_a_locked_zip(tmp_path):
    path = zipped(folder(tmp_path))
    raw = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as inside:
        offset = inside.getinfo(f"{NAME}/food.csv").header_offset
    raw[offset + 6] |= 1
    place = raw.rindex(f"{NAME}/food.csv".encode()) - 46
    raw[place + 8] |= 1
    path.write_bytes(bytes(raw))
    refused(path, tmp_path / "library", "locked with a password")


def test_a_zip_or_folder_of_something_else(tmp_path):
    refused(archive(tmp_path / "other.zip", [("readme.txt", "x")]), tmp_path / "library", "no food.csv")
    (tmp_path / "empty").mkdir()
    refused(tmp_path / "empty", tmp_path / "library", "has no food.csv")


def test_the_folder_around_the_folder_will_do(tmp_path):
    folder(tmp_path / "around")
    with Download.open(tmp_path / "around") as download:
        assert download.sizes["food.csv"] == len(FILES["food.csv"].encode())
        assert download.release() == "2024-10-31"


@pytest.mark.parametrize("name", ["nutrient.csv", "food_nutrient.csv"])
def test_files_that_must_be_there(tmp_path, name):
    refused(folder(tmp_path, {name: None}), tmp_path / "library", f"has no {name}")


def test_files_that_may_be_missing(tmp_path):
    change = dict.fromkeys(
        (
            "food_portion.csv",
            "measure_unit.csv",
            "food_category.csv",
            "sr_legacy_food.csv",
            "branded_food.csv",
            "survey_fndds_food.csv",
        )
    )
    found = intake.take(folder(tmp_path, change), tmp_path / "library")
    assert sum(part.foods for part in found.parts) == 6


@pytest.mark.parametrize(
    ("name", "column"),
    [("food.csv", "fdc_id"), ("food.csv", "description"), ("food_nutrient.csv", "amount"), ("nutrient.csv", "unit_name"),
     ("branded_food.csv", "fdc_id"), ("food_portion.csv", "gram_weight"), ("sr_legacy_food.csv", "NDB_number")],
)  # fmt: skip
def test_a_missing_column(tmp_path, name, column):
    change = {name: FILES[name].replace(f'"{column}"', '"something_else"', 1)}
    refused(folder(tmp_path, change), tmp_path / "library", f"{name} has no column {column}")


def test_a_column_twice(tmp_path):
    change = {"food.csv": FILES["food.csv"].replace('"food_category_id"', '"fdc_id"', 1)}
    refused(folder(tmp_path, change), tmp_path / "library", "names a column twice")


@pytest.mark.parametrize(
    "raw", [b"", b"\n", b"\x00" * 1000, b"\xff\xfe" + FILES["food.csv"].encode("utf-16-le"), b"{}", b'"' * 5000]
)
def test_a_food_list_that_is_none(tmp_path, raw):
    refused(folder(tmp_path, {"food.csv": raw}), tmp_path / "library", "food.csv")


@pytest.mark.parametrize("name", ["food.csv", "food_nutrient.csv", "branded_food.csv"])
def test_a_file_that_was_not_copied_to_its_end(tmp_path, name):
    whole = FILES[name].encode()
    last = whole.rstrip(b"\n").rpartition(b"\n")[2]
    place = folder(tmp_path, {name: whole[: -len(last) // 2 - 4]})
    refused(place, tmp_path / "library", rf"{name}.*ends in the middle of a row")
    # Within the last cell no count of cells tells it.
    (place / name).write_bytes(whole[:-2])
    found = intake.take(place, tmp_path / "library")
    assert f"{name} has no line end at its end: it may not have been copied whole" in found.problems


def test_amounts_that_break_off_between_two_rows(tmp_path, monkeypatch):
    lines = FILES["food_nutrient.csv"].splitlines(keepends=True)
    place = folder(tmp_path, {"food_nutrient.csv": "".join(lines[:8])})
    # A few foods without amounts are told of, many are not believed.
    found = intake.take(place, tmp_path / "library")
    assert "3 of 3 foods of Branded Foods have no amount of any nutrient" in found.problems
    monkeypatch.setattr(intake, "BARE", (2, 0.02, 0.2))
    refused(place, tmp_path / "other", "not whole, and nothing was changed: 3 of 3 foods of Branded Foods")


def test_no_rows_at_all(tmp_path):
    head = FILES["food.csv"].splitlines()[0] + "\n"
    refused(folder(tmp_path, {"food.csv": head}), tmp_path / "library", r"no rows|has no foods")


def test_no_foods_of_the_kind_that_is_wanted(tmp_path):
    change = {"food.csv": FILES["food.csv"].replace("survey_fndds_food", "sub_sample_food")}
    with pytest.raises(DownloadError, match=r"no foods of Survey .*sub_sample_food"):
        intake.take(folder(tmp_path, change), tmp_path / "library", "survey")
    with pytest.raises(KeyError, match="no kind of food"):
        intake.take(tmp_path / NAME, tmp_path / "library", "surveys")


def count(found, file):
    return next(one for one in found.tallies if one.file == file)


AMOUNT = '"99","746782","{nutrient}","{amount}","","1","","","","",""'


@pytest.mark.parametrize(
    ("amount", "why"),
    [("lots", "an amount that is no number"), ("1,5", "an amount that is no number"), ("NaN", "an amount that is no number"),
     ("inf", "an amount that is no number"), ("1e999", "an amount that is no number"), ("-0.1", "an amount below zero"),
     ("1e12", "an amount that no food can hold"), ("0x10", "an amount that is no number"), ("1_0", "an amount that is no number")],
)  # fmt: skip
def test_amounts_that_are_none(tmp_path, amount, why):
    change = with_rows("food_nutrient.csv", AMOUNT.format(nutrient=1004, amount=amount))
    found = intake.take(folder(tmp_path, change), tmp_path / "library")
    assert count(found, "food_nutrient.csv").refused == {why: 1}
    assert count(found, "food_nutrient.csv").stored == 12
    with Store.open(tmp_path / "library") as store:
        assert store.food(746782).composition.amount("total_fat") is None
        assert store.food(746782).composition.amount("protein") == 3.27


@pytest.mark.parametrize(
    ("line", "why"),
    [('"9","123","1004","1","","","","","","",""', "of a food that food.csv does not list"),
     ('"9","abc","1004","1","","","","","","",""', "of a food that food.csv does not list"),
     ('"9","746782","7777","1","","","","","","",""', "a nutrient that nutrient.csv does not list"),
     ('"9","746782","99999999999999999999","1","","","","","","",""', "a nutrient that nutrient.csv does not list"),
     ('"9","746782"', "another number of cells than the first line"),
     ('"9","746782","1004","1","","","","","","","","",""', "another number of cells than the first line")],
)  # fmt: skip
def test_rows_that_lead_nowhere(tmp_path, line, why):
    found = intake.take(folder(tmp_path, with_rows("food_nutrient.csv", line)), tmp_path / "library")
    assert count(found, "food_nutrient.csv").refused == {why: 1}
    assert count(found, "food_nutrient.csv").whole()


def test_a_nutrient_twice_is_used_neither_way_and_told(tmp_path):
    change = with_rows(
        "food_nutrient.csv", AMOUNT.format(nutrient=1003, amount=9.9), AMOUNT.format(nutrient=2047, amount=60.9)
    )
    intake.take(folder(tmp_path, change), tmp_path / "library")
    with Store.open(tmp_path / "library") as store:
        record = store.food(746782)
    assert record.composition.amount("protein") is None
    assert record.composition.amount("energy") == 60.9
    assert record.problems == ("protein is given twice, 3.27 g and 9.9 g; neither is used",)


@pytest.mark.parametrize(
    ("file", "line", "why"),
    [("food.csv", '"170859","sr_legacy_food","Another cream","1","2019-04-01"', "an id twice"),
     ("food.csv", '"","sr_legacy_food","Nameless","1","2019-04-01"', "no fdc_id"),
     ("food.csv", '"-5","sr_legacy_food","Below","1","2019-04-01"', "no fdc_id"),
     ("food.csv", '"1.5","sr_legacy_food","Half","1","2019-04-01"', "no fdc_id"),
     ("food.csv", f'"3000000","sr_legacy_food","{"x" * 3000}","1","2019-04-01"', "a name that is too long"),
     ("branded_food.csv", '"2000001","Somebody","","","","","","",""', "an id twice"),
     ("branded_food.csv", '"4","Somebody","","","","","","",""', "of a food that food.csv does not list"),
     ("sr_legacy_food.csv", '"170859","1054"', "an id twice"),
     ("sr_legacy_food.csv", '"1","x"', "no NDB number"),
     ("measure_unit.csv", '"1000","mug"', "an id twice"),
     ("nutrient.csv", '"1003","Protein","MG","203",""', "a nutrient id twice or none"),
     ("food_portion.csv", '"9","170859","3","1","1000","","","heavy","","",""', "no weight in grams"),
     ("food_portion.csv", '"9","170859","3","1","1000","","","-3","","",""', "no weight in grams"),
     ("food_portion.csv", '"9","1","3","1","1000","","","3","","",""', "of a food that food.csv does not list")],
)  # fmt: skip
def test_rows_that_are_refused(tmp_path, file, line, why):
    found = intake.take(folder(tmp_path, with_rows(file, line)), tmp_path / "library")
    assert count(found, file).refused == {why: 1}
    assert count(found, file).whole()
    with Store.open(tmp_path / "library") as store:
        # The first of two stands.
        assert store.food(170859).name == "Cream, fluid, heavy whipping"
        assert store.food(170859).details["ndb"] == "01053"
        assert store.food(2000001).details["brand owner"] == "Lower Fallow Dairy"
        assert store.food(746782).composition.amount("protein") == 3.27


def test_a_name_in_another_encoding_is_refused_and_the_rest_stays(tmp_path):
    raw = FILES["food.csv"].encode().replace("\u00e9".encode(), b"\xe9")
    found = intake.take(folder(tmp_path, {"food.csv": raw}), tmp_path / "library")
    assert count(found, "food.csv").refused == {"not in UTF-8": 1}
    assert count(found, "branded_food.csv").refused == {"of a food that food.csv does not list": 1}
    with Store.open(tmp_path / "library") as store:
        assert store.food(2000003) is None
        assert store.food(2000002) is not None


def test_a_byte_order_mark_is_no_matter(tmp_path):
    marked = {name: b"\xef\xbb\xbf" + FILES[name].encode() for name in FILES}
    assert sum(part.foods for part in intake.take(folder(tmp_path, marked), tmp_path / "library").parts) == 6


def test_a_file_that_is_damaged_through_and_through_replaces_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr(tally, "TOO_MANY", (3, 0.01))
    change = with_rows("food_nutrient.csv", *(AMOUNT.format(nutrient=1004, amount="x") for _ in range(4)))
    refused(
        folder(tmp_path, change),
        tmp_path / "library",
        "is damaged; nothing was changed: food_nutrient.csv: 19 rows read",
    )


def test_more_amounts_than_any_food_has(tmp_path, monkeypatch):
    monkeypatch.setattr(tally, "TOO_MANY", (200, 0.01))
    lines = [AMOUNT.format(nutrient=1004, amount="1") for _ in range(2100)]
    found = intake.take(folder(tmp_path, with_rows("food_nutrient.csv", *lines)), tmp_path / "library")
    assert count(found, "food_nutrient.csv").refused["more amounts than any food has"] in range(100, 103)
    with Store.open(tmp_path / "library") as store:
        assert store.food(746782).composition.amount("total_fat") == 1.0


def test_a_sign_that_stands_between_texts_does_no_harm(tmp_path):
    change = {
        "food.csv": FILES["food.csv"].replace("Cream, heavy", "Cream,\x1fheavy").replace("2023-03-19", "2023\x1f03")
    }
    change |= {"branded_food.csv": FILES["branded_food.csv"].replace("GELLAN GUM", "GELLAN\x1fGUM")}
    intake.take(folder(tmp_path, change), tmp_path / "library")
    with Store.open(tmp_path / "library") as store:
        assert store.food(2705384).name == "Cream, heavy"
        assert store.food(2000002).details["ingredients"] == "CREAM, GELLAN GUM."
        assert store.food(2000002).published == "2023 03"


def test_names_that_would_fill_the_memory(tmp_path, monkeypatch):
    monkeypatch.setattr(foods, "MOST_BYTES", 50)
    refused(folder(tmp_path), tmp_path / "library", "too long to be names")


def test_an_endless_owner_is_cut_in_lists_and_kept_in_the_record(tmp_path):
    change = {"branded_food.csv": FILES["branded_food.csv"].replace("Ledgerwood", "L" * 5000)}
    intake.take(folder(tmp_path, change), tmp_path / "library")
    with Store.open(tmp_path / "library") as store:
        assert len(store.search("noir")[0].name) < 300
        assert store.food(2000003).details["brand owner"] == "L" * 5000
