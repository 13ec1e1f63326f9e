"""What is wrong with a shop folder: every case ends in a finding with file, line and mend, and no shop."""

import os
from datetime import date
from pathlib import Path

import pytest

from costing.demo import copy_example
from costing.findings import Finding
from costing.shop import pricelists, sources
from costing.shop.reader import read
from tests.costing.shop.conftest import DAY

SHOP, INGREDIENTS, RECIPE = "shop.yaml", "ingredients.yaml", "recipes/vanilla.yaml"
PRICES = "prices/2026-01-05-example-dairy-supply.csv"


def test_the_starter_is_clean(folder):
    model, found = read(folder.path, DAY)
    assert found == ()
    assert (model.name, list(model.recipes), model.law) == ("My Creamery", ["vanilla"], "us")


# The folder -----------------------------------------------------------------------------------------------------


def test_a_missing_folder(tmp_path):
    model, (found,) = read(tmp_path / "nowhere")
    assert model is None
    assert found == Finding(
        "error",
        str(tmp_path / "nowhere"),
        "there is no such folder",
        f"check the name, or make a shop there with: creamery new {tmp_path / 'nowhere'}",
    )


def test_an_empty_folder(tmp_path):
    model, (found,) = read(tmp_path)
    assert (model, found.what) == (None, "the folder is empty")
    assert "creamery new" in found.mend


def test_a_file_in_place_of_a_folder(tmp_path):
    (tmp_path / "shop").write_text("x")
    model, (found,) = read(tmp_path / "shop")
    assert (model, found.what) == (None, "this is a file, not a folder")
    assert "shop.yaml" in found.mend


def test_links_in_a_circle(tmp_path, folder):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    model, (found,) = read(tmp_path / "a")
    assert model is None
    assert found.mend
    (folder.path / "recipes" / "loop.yaml").symlink_to(folder.path / "recipes" / "loop.yaml")
    (folder.path / "recipes" / "gone.yaml").symlink_to(folder.path / "nowhere")
    wheres = [one.where for one in folder.findings() if one.level == "error"]
    assert wheres == ["recipes/gone.yaml", "recipes/loop.yaml"]


def test_a_folder_that_may_not_be_read(folder, monkeypatch):
    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.iterdir", refuse)
    found = folder.only()
    assert "permission denied" in found.what
    assert "who may read it" in found.mend


def test_a_file_that_may_not_be_read(folder, monkeypatch):
    real = type(folder.path).open

    def refuse(self, *args, **more):
        if self.name == "ingredients.yaml":
            raise PermissionError(13, "Permission denied")
        return real(self, *args, **more)

    monkeypatch.setattr("pathlib.Path.open", refuse)
    found = folder.only()
    assert (found.where, found.mend) == (INGREDIENTS, "check who may read it")


@pytest.mark.parametrize("file", [SHOP, INGREDIENTS])
def test_a_missing_file(folder, file):
    (folder.path / file).unlink()
    found = folder.only()
    assert (found.where, found.what) == (file, "the file is missing")
    assert "creamery new" in found.mend


def test_a_folder_in_place_of_a_file_and_a_pipe(folder):
    (folder.path / SHOP).unlink()
    (folder.path / SHOP).mkdir()
    os.mkfifo(folder.path / "recipes" / "pipe.yaml")
    wheres = {(one.where, one.what) for one in folder.findings() if one.level == "error"}
    assert wheres == {(SHOP, "this is not a file"), ("recipes/pipe.yaml", "this is not a file")}


def test_no_recipes(folder):
    (folder.path / RECIPE).unlink()
    assert folder.only() == Finding("error", "recipes", "the shop has no recipe", "add one as recipes/name.yaml")


def test_a_file_where_a_folder_should_be(folder):
    (folder.path / RECIPE).unlink()
    (folder.path / "recipes").rmdir()
    folder.write("recipes", "x")
    assert ("recipes", "this is a file, not a folder") in [(one.where, one.what) for one in folder.findings()]


def test_files_that_are_not_read_are_told(folder):
    folder.write("prices/march.xlsx", "x").write("recipes/notes.txt", "x").write("recipes/.hidden.yaml", "x")
    model, (found,) = read(folder.path, DAY)
    assert model is not None
    assert (found.level, found.where) == ("warning", "prices/march.xlsx")
    assert "save it as .csv" in found.mend


def test_too_many_files(folder, monkeypatch):
    monkeypatch.setattr(sources, "MOST_FILES", 3)
    for number in range(4):
        folder.write(f"prices/{number}.csv", "x")
    assert "more than 3 files" in folder.findings()[0].what


def test_two_recipes_of_one_name(folder):
    folder.write("recipes/vanilla.yml", folder.text(RECIPE))
    found = folder.only()
    assert (found.where, found.what) == ("recipes/vanilla.yml", "two files are called 'vanilla'")


# YAML files -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", [SHOP, INGREDIENTS, RECIPE])
@pytest.mark.parametrize(
    ("content", "line", "what", "mend"),
    [
        ("", 1, "the file is empty", "name: value"),
        ("[1, 2", 1, "bracket", "{ } and [ ]"),
        ("- a\n", 1, "holds a list", "name: value"),
        ("name: x\n\tcurrency: USD\n", 2, "tab", "spaces"),
        ("a: &x 1\nb: [*x, *x]\n", 1, "links inside the file", "write the entry out"),
        ("a: " + "[" * 1000 + "]" * 1000, 1, "levels inside each other", "brackets"),
        ("name: caf\u00e9\n".encode("latin-1"), 1, "UTF-8", "save it as UTF-8"),
        ("name: x\n".encode("utf-16"), 1, "UTF-16", "save it as UTF-8"),
        (b"name: x\n# " + b"x" * 2_000_000, 0, "larger than 2 MB", "split it"),
    ],
)
def test_a_yaml_that_is_not_one(folder, file, content, line, what, mend):
    found = folder.write(file, content).only()
    assert found.where == (f"{file}:{line}" if line else file)
    assert what in found.what
    assert mend in found.mend


def test_a_byte_order_mark_and_windows_line_ends_are_accepted(folder):
    for file in (SHOP, INGREDIENTS, RECIPE, PRICES):
        folder.write(file, b"\xef\xbb\xbf" + folder.text(file).replace("\n", "\r\n").encode())
    assert folder.findings() == ()


def test_duplicate_names(folder):
    folder.write(INGREDIENTS, folder.text(INGREDIENTS) + "\nsugar:\n  food: usda:19335\n  label: sugar\n")
    found = folder.only()
    assert found.where == f"{INGREDIENTS}:{len(folder.text(INGREDIENTS).splitlines()) - 2}"
    assert "'sugar' stands here twice" in found.what
    assert "rename one" in found.mend


def test_names_that_differ_only_in_capitals(folder):
    folder.write(INGREDIENTS, folder.text(INGREDIENTS) + "\nSugar:\n  food: usda:19335\n  label: sugar\n")
    found = folder.only()
    assert found.where == folder.line(INGREDIENTS, "Sugar:")
    assert "differ only in capitals or spaces" in found.what


@pytest.mark.parametrize("name", ["🍦 soft 'serve' \"mix\"", "half/half\\syrup", "=SUM(A1)", "+x", "-x", "@x", "1 cup"])
def test_names_of_every_kind(folder, name):
    quoted = "'" + name.replace("'", "''") + "'"
    folder.edit(INGREDIENTS, "sugar:\n", f"{quoted}:\n").edit(RECIPE, "sugar: 190 g", f"{quoted}: 190 g")
    cell = name.replace('"', '""')
    folder.edit(PRICES, "Dry Goods,Cane sugar,sugar", f'Dry Goods,Cane sugar,"{cell}"')
    model, found = read(folder.path, DAY)
    assert found == ()
    assert name in model.ingredients
    assert name in model.recipes["vanilla"].parts[0].steps[0].things


# shop.yaml --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "part", "what", "mend"),
    [
        ("currency: USD", "currncy: USD", "currncy", "shop.yaml takes no 'currncy'", "did you mean 'currency'?"),
        ("currency: USD", "colour: red", "colour", "shop.yaml takes no 'colour'", "it takes: name, address"),
        ("currency: USD", "currency: US dollars", "currency", "not a currency", "three letters, such as USD"),
        ("currency: USD", "currency: XQZ", "currency", "not a currency", "three letters, such as USD"),
        ("locale: en_US", "locale: klingon", "locale", "not a locale", "such as en_US"),
        ("law: us", "law: eu", "law:", "law: 'eu' is not possible here", "write one of: us|did you mean 'us'"),
        ("name: My Creamery", "name:", "name:", "name: there is no value", "write one"),
        ("name: My Creamery", "name: [a, b]", "name:", "name: this must be plain words", "write one text"),
        ("name: My Creamery", "# gone", "# This file", "shop.yaml needs 'name'", "add a line 'name: …'"),
        ("# as of: 2026-01-05", "as of: 2026-02-30", "as of:", "a day that does not exist", "check month and day"),
        ("# as of: 2026-01-05", "as of: 02/03/2026", "as of:", "not a date", "write it as 2026-03-02"),
        ("# as of: 2026-01-05", "as of: 1889-03-02", "as of:", "cannot be the date", "check the year"),
        ("# rates: {EUR: 1.08}", "rates: {EUR: 1,08}", "rates:", "has a comma in its number", "write 1.08"),
        ("# rates: {EUR: 1.08}", "rates: {EUR: -1}", "rates:", "below zero", "write 0 or more"),
        ("# rates: {EUR: 1.08}", "rates: {EUR: 0}", "rates:", "absurd", "what one of it costs"),
        ("# rates: {EUR: 1.08}", "rates: {Euro: 1.08}", "rates:", "not a currency", "three letters"),
        (
            "kitchen: 20.00 per hour",
            "kitchen: 20.00",
            "kitchen:",
            "wages: kitchen: '20.00' does not say per what",
            "per hour",
        ),
        ("kitchen: 20.00 per hour", "kitchen: 20.00 per month", "kitchen:", "is per month", "21.50 per hour"),
        ("kitchen: 20.00 per hour", "kitchen: -20.00 per hour", "kitchen:", "below zero", "write 0 or more"),
        ("kitchen: 20.00 per hour", "kitchen: 20.00 EUR per hour", "kitchen:", "not in USD", "write it in USD"),
        ("kitchen: 20.00 per hour", "kitchen: $20.00 per hour", "kitchen:", "currency sign", "write 20.00"),
        (
            "  of labour: 10 %",
            "  of labor: 10 %",
            "of labor",
            "overhead takes no 'of labor'",
            "did you mean 'of labour'?",
        ),
        (
            "  of labour: 10 %",
            "  of labour: 10",
            "of labour",
            "overhead: of labour: '10' has no unit",
            "write 10 %, not 10",
        ),
        ("per batch: 5.00", "per batch: 5,00", "per batch", "not an amount of money|comma", "11.00|5.00"),
        ("holds: 1 pint", "holds: 1", "pint: {", "holds: '1' has no unit", "write 1 mL, not 1"),
        ("holds: 1 pint", "holds: 0 mL", "pint: {", "must be above zero", "write what it really is"),
        ("holds: 1 pint", "hold: 1 pint", "pint: {", "a container takes no 'hold'", "did you mean 'holds'?"),
        ("made of: [pint tub, pint lid, pint label]", "made of: {pint tub: some}", "pint: {", "not an amount", "350 g"),
        ("capacity: 1.5 L", "capacity: 2 kg", "ice cream machine: {", "not a volume", "1 pint"),
        ("leaves: 40 g", "leaves: 40 mL", "ice cream machine: {", "not a weight", "350 g"),
        ("run: 30 min", "run: half an hour", "ice cream machine: {", "not an amount", "with its unit"),
        ("fees: 2.9 % + 0.30", "fees: 2.9 % + 3 %", "counter: {", "fees: '2.9 % + 3 %' is not a fee", "2.9 % + 0.30"),
        ("fees: 2.9 % + 0.30", "fees: 129 %", "counter: {", "more than 100 %", "0 % to 100 %"),
        ("fees: 2.9 % + 0.30", "fee: 2.9 %", "counter: {", "a channel takes no 'fee'", "did you mean 'fees'?"),
        ("target margin: 60 %", "target margin: 60", "counter: {", "'60' has no unit", "write 60 %"),
        ("target margin: 60 %", "target margin: 100 %", "counter: {", "not a share below 100 %", "such as 65 %"),
        ("price: 10.00, fees", "price: -10.00, fees", "counter: {", "below zero", "0 or more"),
        ("price: 10.00, fees", "price: 1e99, fees", "counter: {", "not an amount of money", "such as 11.00"),
        ("price: 10.00, fees", "price: 99999999999, fees", "counter: {", "more than any shop", "check the number"),
        ("channels:", "channels: none\nrates:", "channels: none", "channels must be entries", "one name below it"),
    ],
)
def test_shop_file(folder, old, new, part, what, mend):
    folder.edit(SHOP, old, new)
    errors = [one for one in folder.findings() if one.level == "error"]
    found = next(one for one in errors if any(bit in one.what for bit in what.split("|")))
    assert found.where == folder.line(SHOP, part)
    assert any(bit in found.mend for bit in mend.split("|"))


def test_sections_with_nothing_but_notes_are_left_out(folder):
    folder.edit(SHOP, "  counter: {", "  # counter: {").edit(SHOP, "  market: {", "  # market: {")
    model, found = read(folder.path, DAY)
    assert (found, dict(model.channels)) == ((), {})


# ingredients.yaml -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "part", "what", "mend"),
    [
        ("food: usda:19335", "fod: usda:19335", "fod:", "an ingredient takes no 'fod'", "did you mean 'food'?"),
        ("class: sweetener", "kind: sweetener", "kind:", "an ingredient takes no 'kind'", "it takes: food, label"),
        ("food: usda:19335", "food: usda:99999", "usda:99999", "99999", "nearest numbers"),
        ("food: usda:19335", "food: spec:panela", "spec:panela", "no spec sheet called 'panela'", "creamery foods search"),
        ("food: usda:19335", "food: sugar", "food: sugar", "is no food id", "usda:NDB number"),
        ("food: usda:19335", "food: # ?", "food: # ?", "sugar needs 'food'", "creamery foods suggest"),
        ("label: sugar", "# label", "sugar:", "an ingredient needs 'label'", "add a line 'label: …'"),
        ("class: sweetener", "class: sweetner", "sweetner", "class: 'sweetner' is not possible here", "did you mean 'sweetener'?"),
        ("class: sweetener", "class: vehicle", "vehicle", "class: 'vehicle' is not possible here", "write one of: dairy"),
        ("class: sweetener", "state: gas", "state: gas", "state: 'gas' is not possible here", "write one of: liquid"),
        ("class: sweetener", "allergens: [mlik]", "mlik", '"mlik" is no major allergen', 'did you mean "milk"?'),
        ("class: sweetener", "allergens: [tree nut]", "tree nut", "named by kind", "major allergens"),
        ("class: sweetener", "allergens: [none, milk]", "none, milk", "'none' stands beside", "either none"),
        ("class: sweetener", "usable: 85", "usable:", "usable: '85' has no unit", "write 85 %, not 85"),
        ("class: sweetener", "usable: 185 %", "usable:", "more than 100 %", "0 % to 100 %"),
        ("class: sweetener", "usable: 0 %", "usable:", "must be above zero", "what it really is"),
        ("class: sweetener", "usable: -5 %", "usable:", "below zero", "0 or more"),
        ("class: sweetener", "sulphites: 10", "sulphites:", "'10' has no unit", "10 ppm"),
        ("class: sweetener", "highly refined: maybe", "highly", "neither yes nor no", "yes or no"),
        ("class: sweetener", "made of: {sugar: 90 %, salt: 20 %}", "made of", "add up to 110 %", "cannot pass 100 %"),
        ("class: sweetener", "measures: {cup: 200 g}", "measures: {cup", "'cup' is not a measure", "write it as 1 cup"),
        ("class: sweetener", "measures: {1 cup: 200}", "1 cup: 200", "'200' has no unit", "write 200 g"),
        ("class: sweetener", "measures: {1 cup: 0 g}", "1 cup: 0 g", "must be above zero", "what it really is"),
        ("class: sweetener", "from: {cane: 10 %}", "cane", "'cane', which is no ingredient", "add it to ingredients.yaml|did you mean"),
        ("class: sweetener", "from: {sugar: 10 %}", "from:", "that is a circle", "must be bought"),
        ("  class: dairy\n  allergens: [milk]", "  class: dairy", "heavy cream:", "does not name the allergen milk", "allergens: [milk]"),
        ("  allergens: [milk]", "  allergens: none # milk?", "none # milk?", "does not name the allergen milk", "another class"),
        ("class: sweetener", "class: egg yolk", "sugar:", "does not name the allergen egg", "allergens: [egg]"),
        ("class: sweetener", "class: nut", "sugar:", "nothing is said of allergens", "allergens: none"),
    ],
)  # fmt: skip
def test_ingredients_file(folder, old, new, part, what, mend):
    folder.edit(INGREDIENTS, old, new)
    found = folder.only()
    line = _line_of_sugar(folder) if part == "sugar:" else folder.line(INGREDIENTS, part)
    assert found.where == line
    assert what in found.what
    assert any(bit in found.mend for bit in mend.split("|"))


def _line_of_sugar(folder):
    number = folder.text(INGREDIENTS).splitlines().index("sugar:") + 1
    return f"{INGREDIENTS}:{number}"


def test_shares_of_one_purchase_pass_the_whole(folder):
    more = "\negg white:\n  food: usda:01124\n  label: egg whites\n  from: {sugar: 70 %}\n"
    more += "\negg yolk:\n  food: usda:01125\n  label: egg yolks\n  from: {sugar: 40 %}\n"
    folder.write(INGREDIENTS, folder.text(INGREDIENTS) + more)
    found = folder.only()
    assert (found.where, found.mend) == (folder.line(INGREDIENTS, "sugar: 40 %"), "their shares cannot pass 100 %")
    assert "110 % of sugar" in found.what


def test_a_grain_without_allergens_is_a_warning(folder):
    folder.edit(INGREDIENTS, "class: sweetener", "class: grain")
    model, (found,) = read(folder.path, DAY)
    assert model is not None
    assert (found.level, found.where) == ("warning", _line_of_sugar(folder))
    assert "allergens: none" in found.mend


def test_a_spec_sheet_with_errors(folder):
    folder.edit(INGREDIENTS, "food: usda:19335", "food: spec:cane")
    folder.write("specs/cane.yaml", "source: made up\nper: 100 g\nvalues:\n  protein: 1 g\n  proteen: 1 g\n")
    found = folder.only()
    assert found == Finding(
        "error", "specs/cane.yaml:5", "there is no nutrient called 'proteen'", "did you mean 'protein'?"
    )


def test_the_spec_sheet_of_the_starters_notes_can_be_read(folder):
    notes = folder.text("specs/README.txt")
    sheet = "\n".join(line[4:] for line in notes.splitlines() if line.startswith("    "))
    folder.write("specs/dark-chocolate.yaml", sheet)
    more = "\nchocolate:\n  food: spec:dark-chocolate\n  label: chocolate\n"
    folder.write(INGREDIENTS, folder.text(INGREDIENTS) + more)
    model, found = read(folder.path, DAY)
    assert found == ()
    assert model.foods["spec:dark-chocolate"].composition.amount("protein") == 7
    assert model.spec_files == ("specs/dark-chocolate.yaml",)


# Price lists ------------------------------------------------------------------------------------------------------

HEAD = "supplier,item,ingredient,pack,price,currency,date\n"
ROW = "Example Dry Goods,Beet sugar,sugar,25 lb,19.80,USD,2026-01-05\n"


@pytest.mark.parametrize(
    ("content", "line", "what", "mend"),
    [
        ("", 1, "the list is empty", "supplier,item,ingredient"),
        ("# note only\n", 1, "the list is empty", "supplier,item,ingredient"),
        (HEAD.replace(",", ";"), 1, "semicolons", "commas between"),
        (HEAD.replace(",", "\t"), 1, "tabs", "commas between"),
        (HEAD.replace("supplier", "suplier"), 1, "no column 'suplier'", "did you mean 'supplier'?"),
        (HEAD.replace("currency,", ""), 1, "columns are missing: currency", "the head is: supplier"),
        (HEAD.replace("date", "date,price"), 1, "'price' stands here twice", "keep one"),
        (HEAD.replace("date", "date,colour"), 1, "no column 'colour'", "take the column out"),
        ("# note\n\n" + HEAD + ROW.replace("2026-01-05", "05/01/2026"), 4, "not a date", "write it as 2026-03-02"),
        (HEAD + ROW.replace("2026-01-05", "2026-13-05"), 2, "does not exist", "check month"),
        (HEAD + ROW + ROW.replace("2026-01-05", ""), 3, "'date' is empty", "fill it in"),
        (HEAD + ROW.replace("19.80", "-19.80"), 2, "below zero", "0 or more"),
        (HEAD + ROW.replace("19.80", "0"), 2, "the price is 0", "write what it costs"),
        (HEAD + ROW.replace("19.80", "nan"), 2, "not a number", "write digits"),
        (HEAD + ROW.replace("19.80", "1e3"), 2, "not a number", "write digits"),
        (HEAD + ROW.replace("19.80", "99999999999"), 2, "absurd", "check the number"),
        (HEAD + ROW.replace("19.80", '"19,80"'), 2, "comma", "write 19.80 with a point"),
        (HEAD + ROW.replace("19.80", "19,80"), 2, "8 cells, the head 7", "in quotes"),
        (HEAD + ROW.replace(",USD", ""), 2, "6 cells, the head 7", "missing commas"),
        (HEAD + ROW.replace("USD", "Dollar"), 2, "not a currency", "such as USD"),
        (HEAD + ROW.replace("USD", ""), 2, "'currency' is empty", "fill it in"),
        (HEAD + ROW + ROW.replace("Beet sugar", '"Beet sugar'), 3, "quotation mark", "check the quotation marks"),
        (HEAD + ROW.replace("Beet sugar", "Beet" + "x" * 600), 2, "longer than 500", "quotation marks"),
        (HEAD + ROW.replace("Beet", "Beet\0"), 2, "cannot stand in a text file", "take it out"),
        ((HEAD + ROW.replace("Beet", "B\u00eate")).encode("latin-1"), 2, "UTF-8", "save it as UTF-8"),
        ((HEAD + ROW).encode("utf-16"), 1, "UTF-16", "save it as UTF-8"),
    ],
)  # fmt: skip
def test_price_lists(folder, content, line, what, mend):
    found = folder.write("prices/new.csv", content).only()
    assert found.where == f"prices/new.csv:{line}"
    assert what in found.what
    assert mend in found.mend


def test_rows_after_a_cell_of_several_lines_keep_their_numbers(folder):
    two = ROW.replace("Beet sugar", '"Beet\nsugar, fine"')
    found = folder.write("prices/new.csv", HEAD + two + ROW.replace("2026-01-05", "soon")).only()
    assert found.where == "prices/new.csv:4"
    model, _ = read(folder.write("prices/new.csv", HEAD + two).path, DAY)
    assert "Beet sugar, fine" in [row.item for row in model.prices]


def test_spreadsheet_habits_are_accepted(folder):
    content = "\ufeff" + HEAD.replace(",", " , ").upper() + ROW.replace(",", " ,") + ",,,,,,\n\n"
    folder.write("prices/new.csv", content.replace("\n", "\r\n"))
    model, found = read(folder.path, DAY)
    assert [one for one in found if one.level == "error"] == []
    assert model.prices[-1].item == "Beet sugar"
    assert model.prices[-1].date == date(2026, 1, 5)
    assert model.prices[-1].where == "prices/new.csv:2"


def test_a_price_list_of_50_mb(folder):
    with (folder.path / "prices" / "huge.csv").open("wb") as file:
        file.truncate(50_000_000)
    found = folder.only()
    assert (found.where, found.what) == ("prices/huge.csv", "the file is larger than 20 MB")
    assert "split it" in found.mend


def test_a_list_with_one_mistake_in_every_row_is_told_shortly(folder):
    folder.write("prices/new.csv", HEAD + ROW.replace("USD", "$") * 1000)
    found = [one for one in folder.findings() if one.level == "error"]
    assert len(found) == pricelists.MOST_TOLD + 1
    assert "more than 25 rows" in next(one.what for one in found if one.where == "prices/new.csv")


def test_a_missing_price(folder):
    folder.edit(PRICES, "Example Dry Goods,Cane sugar,sugar,25 lb,19.80,USD,2026-01-05\n", "")
    (found,) = folder.findings()
    assert (found.level, found.where) == ("warning", _line_of_sugar(folder))
    assert "sugar" in found.what
    assert "price" in found.what


def test_a_currency_without_a_rate(folder):
    folder.edit(PRICES, "19.80,USD", "19.80,EUR")
    found = next(one for one in folder.findings() if one.where == folder.line(PRICES, "Cane sugar"))
    assert found.level == "warning", "the row waits for a rate, and stops nothing else"
    assert "EUR" in found.what
    assert "rates: {EUR" in found.mend
    folder.edit(SHOP, "# rates: {EUR: 1.08}", "rates: {EUR: 1.08}")
    assert folder.findings() == ()


def test_a_price_list_older_than_90_days_is_a_warning(folder):
    assert read(folder.path, date(2026, 4, 5))[1] == ()
    model, (found,) = read(folder.path, date(2026, 4, 6))
    assert model is not None
    assert (found.level, found.where) == ("warning", PRICES)
    assert found.mend


def test_a_bad_pack(folder):
    folder.edit(PRICES, "25 lb", "a sack")
    found = next(one for one in folder.findings() if one.where == folder.line(PRICES, "Cane sugar"))
    assert (found.level, "a sack" in found.what, "50 lb" in found.mend) == ("error", True, True)


# All at once ------------------------------------------------------------------------------------------------------


def test_every_problem_is_told_at_once_and_nothing_follows_from_another(folder):
    folder.edit(SHOP, "currency: USD", "currncy: USD")
    folder.edit(INGREDIENTS, "class: sweetener", "class: sweetner")
    folder.edit(RECIPE, "whole milk: 3 cups", "hole milk: 3 cups")
    folder.edit(RECIPE, "overhead", "x") if "overhead" in folder.text(RECIPE) else None
    folder.edit(RECIPE, "container: pint", "container: pnit")
    folder.write("recipes/bad.yaml", "title: [\n")
    found = [(one.where, one.mend) for one in folder.findings() if one.level == "error"]
    assert [where for where, _ in found] == [
        folder.line(INGREDIENTS, "sweetner"),
        "recipes/bad.yaml:1",
        folder.line(RECIPE, "hole milk"),
        folder.line(RECIPE, "pnit"),
        folder.line(SHOP, "currncy"),
    ]
    assert [mend for _, mend in found if mend.startswith("did you mean")] == [
        "did you mean 'sweetener'?",
        "did you mean 'whole milk'?",
        "did you mean 'pint'?",
        "did you mean 'currency'?",
    ]


def test_reading_writes_nothing(folder):
    before = {path: path.stat().st_mtime_ns for path in folder.path.rglob("*")}
    folder.edit(RECIPE, "title", "titel")
    assert folder.findings()
    after = {path: path.stat().st_mtime_ns for path in folder.path.rglob("*")}
    assert set(before) == set(after)
    assert {path for path in before if before[path] != after[path]} <= {folder.path / RECIPE}


def test_a_stranger_is_named_even_where_something_else_is_wrong(tmp_path: Path) -> None:
    folder = tmp_path / "quillfeather"
    copy_example(folder)
    path = folder / "recipes" / "quince.yaml"
    text = (
        path.read_text(encoding="utf-8")
        .replace("heavy cream: 2 qt", "hevy cream: 2 qt")
        .replace("hold: 25 s", "hold: 25")
    )
    path.write_text(text, encoding="utf-8")
    model, found = read(folder)
    errors = {(one.where, one.what, one.mend) for one in found if one.level == "error"}
    assert (
        "recipes/quince.yaml:16",
        "there is no ingredient or part called 'hevy cream'",
        "did you mean 'heavy cream'?",
    ) in errors
    assert any(where == "recipes/quince.yaml:17" and "no unit" in what for where, what, _ in errors)
    assert len(errors) == 2, "names that the recipe itself gives are no strangers"
    assert model is None or "quince" not in model.recipes
