"""Trial sheets: what is read out of them, and what is wrong with them by file and line."""

from __future__ import annotations

from datetime import date

import pytest

from costing.shop import csv_lists, triallists
from costing.shop.reader import read
from tests.costing.shop.conftest import DAY, Folder

HEAD = "date,recipe,part,step,in,out,note\n"
SHEET = "trials/january.csv"
PARTS = """\
  fruit:
    - add: {heavy cream: 500 g, whole milk: 200 g}
    - soak: {of: heavy cream, uptake: 10 %}
    - cook: {loses: 2 %}
      name: first boil
    - cook: {loses: 3 %}
      name: second boil
    - weigh: 600 g
    - note: And so on."""


@pytest.fixture
def weighed(folder: Folder) -> Folder:
    """The starter with a recipe whose part ``fruit`` has steps of most kinds."""
    return folder.recipe(
        "- add: {fruit: all}",
        "- churn: {overrun: 25 %}",
        "- fill: {container: pint}",
        head="title: Plain one",
        parts=PARTS,
    )


def rows(folder: Folder, *lines: str, head: str = HEAD) -> Folder:
    return folder.write(SHEET, head + "".join(f"{line}\n" for line in lines))


def test_a_shop_without_trials_has_none(folder: Folder) -> None:
    model, _ = read(folder.path, DAY)
    assert model is not None
    assert model.trials == ()


def test_rows_name_the_recipe_and_the_step_as_cooks_do(weighed: Folder) -> None:
    rows(
        weighed,
        "2026-01-02,vanilla,fruit,3,1.2 kg,1.15 kg,",
        '2026-01-03,Plain  One,Fruit,First boil,2 lb 4 oz,2 lb,"hot, and long"',
        "2026-01-04,recipes/vanilla.yaml,fruit,step 4,500 g,490 g,",
        "2026-01-05,vanilla.yaml,pot,churn,500 g,480 g,",
        "2026-01-06,vanilla,fruit,soak,100 g,112 g,grows",
    )
    weighed.write(
        "trials/more.csv", "# notes\n" + HEAD.replace(",note", "") + "2026-01-07,vanilla,fruit,3,900 g,900 g\n"
    )
    model, found = read(weighed.path, DAY)
    assert model is not None, found
    assert [(one.recipe, one.part, one.step) for one in model.trials] == [
        ("vanilla", "fruit", 3),
        ("vanilla", "fruit", 3),
        ("vanilla", "fruit", 4),
        ("vanilla", "pot", 2),
        ("vanilla", "fruit", 2),
        ("vanilla", "fruit", 3),
    ]
    second = model.trials[1]
    # NIST Handbook 44, appendix C: a pound is 453.59237 g, and 16 oz.
    assert second.in_g == pytest.approx(2.25 * 453.59237)
    assert second.out_g == pytest.approx(2 * 453.59237)
    assert (second.date, second.note, second.where) == (date(2026, 1, 3), "hot, and long", f"{SHEET}:3")
    assert model.trials[-1].where == "trials/more.csv:3"
    assert model.trials[-1].ratio == 1.0


CASES = {
    "an unknown recipe": ("2026-01-02,vanila,fruit,3,2 kg,1 kg,", "there is no recipe 'vanila'", "'vanilla'"),
    "an unknown part": ("2026-01-02,vanilla,friut,3,2 kg,1 kg,", "has no part 'friut'", "'fruit'"),
    "a part like none": ("2026-01-02,vanilla,zzz,3,2 kg,1 kg,", "has no part 'zzz'", "its parts are: fruit, pot"),
    "an unknown step": ("2026-01-02,vanilla,fruit,frst boil,2 kg,1 kg,", "no step called 'frst boil'", "'first boil'"),
    "a step like none": ("2026-01-02,vanilla,fruit,zzz,2 kg,1 kg,", "no step called 'zzz'", "3 (first boil)"),
    "a step too far": ("2026-01-02,vanilla,fruit,9,2 kg,1 kg,", "has 6 steps, and no step 9", "3 (first boil)"),
    "step 0": ("2026-01-02,vanilla,fruit,0,2 kg,1 kg,", "no step 0", "3 (first boil)"),
    "a verb of two steps": ("2026-01-02,vanilla,fruit,cook,2 kg,1 kg,", "no step called 'cook'", "3 (first boil)"),
    "a step without free figure": ("2026-01-02,vanilla,fruit,1,2 kg,1 kg,", "step 1 of fruit is 'add'", "2 (soak)"),
    "a note": ("2026-01-02,vanilla,fruit,6,2 kg,1 kg,", "step 6 of fruit is 'note'", "2 (soak)"),
    "a weigh step": ("2026-01-02,vanilla,fruit,5,2 kg,1 kg,", "a weigh step is a weight already", "4 (second boil)"),
    "more out than in": ("2026-01-02,vanilla,fruit,3,1 kg,1.1 kg,", "'out' (1.1 kg) is more than 'in'", "weigh again"),
    "a soaked thing that shrinks": ("2026-01-02,vanilla,fruit,2,1 kg,900 g,", "'out' (900 g) is less than", "drained"),
    "nothing weighed": ("2026-01-02,vanilla,fruit,2,0 g,5 g,", "'in' is 0", "what the scale said"),
    "nothing left": ("2026-01-02,vanilla,fruit,3,1 kg,0 g,", "'out' is 0", "what the scale said"),
    "a negative weight": ("2026-01-02,vanilla,fruit,3,-1 kg,1 g,", "'in': ", ""),
    "no unit": ("2026-01-02,vanilla,fruit,3,1830,1700 g,", "'in': '1830' has no unit", "1830 g"),
    "a volume": ("2026-01-02,vanilla,fruit,3,1 qt,1 kg,", "'in': '1 qt' is not a weight", "350 g"),
    "a range": ("2026-01-02,vanilla,fruit,3,2 kg,1.7 to 1.9 kg,", "'out' is a range", "1.83 kg"),
    "tons": ("2026-01-02,vanilla,fruit,3,99999 kg,1 kg,", "absurd", "check the number"),
    "no date": ("2. January,vanilla,fruit,3,2 kg,1 kg,", "'2. January' is not a date", "2026-03-02"),
    "a day that is none": ("2026-02-30,vanilla,fruit,3,2 kg,1 kg,", "a day that does not exist", "month and day"),
    "a year long ago": ("1026-01-30,vanilla,fruit,3,2 kg,1 kg,", "cannot be the date of a trial", "check the year"),
    "an empty cell": ("2026-01-02,vanilla,,3,2 kg,1 kg,", "'part' is empty", "take the row out"),
    "too few cells": ("2026-01-02,vanilla,fruit,3,2 kg,1 kg", "the row has 6 cells, the head 7", "missing commas"),
    "too many cells": ("2026-01-02,vanilla,fruit,3,2 kg,1 kg,a,b", "the row has 8 cells, the head 7", "in quotes"),
    "an open quotation mark": ('2026-01-02,vanilla,"fruit,3,2 kg,1 kg,', "not closed", "quotation marks"),
    "a very long note": (f"2026-01-02,vanilla,fruit,3,2 kg,1 kg,{'x' * 600}", "longer than 500", "quotation marks"),
}


@pytest.mark.parametrize("name", CASES)
def test_a_bad_row_is_told_by_file_and_line(weighed: Folder, name: str) -> None:
    row, what, mend = CASES[name]
    found = rows(weighed, "2026-01-01,vanilla,fruit,3,1 kg,950 g,", row).only()
    assert found.where == f"{SHEET}:3"
    assert what in found.what
    assert mend in found.mend


def test_everything_wrong_is_told_at_once(weighed: Folder) -> None:
    rows(weighed, "yesterday,vanila,fruit,3,2,0 g,", "2026-01-02,vanilla,fruit,9,1 g,2 g,")
    found = [one for one in weighed.findings() if one.level == "error"]
    assert [one.where for one in found] == [f"{SHEET}:2"] * 4 + [f"{SHEET}:3"]


@pytest.mark.parametrize(
    ("head", "what"),
    [
        ("date,recipe,part,in,out,note\n", "columns are missing: step"),
        ("date,recipe,part,stp,in,out,note\n", "there is no column 'stp'"),
        ("date,recipe,part,step,step,in,out\n", "the column 'step' stands here twice"),
        ("date;recipe;part;step;in;out;note\n", "the columns are parted by semicolons"),
        ("", "the list is empty"),
    ],
)
def test_a_head_that_is_none(weighed: Folder, head: str, what: str) -> None:
    found = rows(weighed, head=head).only()
    assert found.where == f"{SHEET}:1"
    assert what in found.what
    assert found.mend


def test_a_part_of_a_house_base_is_weighed_under_its_own_recipe(weighed: Folder) -> None:
    weighed.write(
        "recipes/base.yaml",
        "title: Base\nmakes: white base\nparts:\n  white:\n    - add: {whole milk: 1 kg}\n    - cook: {loses: 2 %}\n",
    )
    found = rows(weighed, "2026-01-02,vanilla,white,2,2 kg,1 kg,").only()
    assert "it is a part of the house base that base makes; write base as the recipe" in found.mend
    rows(weighed, "2026-01-02,base,white,2,2 kg,1.9 kg,")
    model, _ = read(weighed.path, DAY)
    assert model is not None
    assert [one.recipe for one in model.trials] == ["base"]


def test_trials_of_a_recipe_that_cannot_be_read_are_not_told(weighed: Folder) -> None:
    weighed.write("recipes/broken.yaml", "title: [\n")
    rows(weighed, "2026-01-02,broken,any,2,2 kg,1 kg,")
    assert [one.where.partition(":")[0] for one in weighed.findings() if one.level == "error"] == [
        "recipes/broken.yaml"
    ]


def test_a_row_that_stands_twice_is_a_warning(weighed: Folder) -> None:
    row = "2026-01-02,vanilla,fruit,3,2 kg,1.9 kg,"
    rows(weighed, row, row.replace("2 kg", "2000 g") + "again")
    (found,) = (one for one in weighed.findings() if one.where.startswith("trials"))
    assert (found.level, found.where) == ("warning", f"{SHEET}:3")
    assert f"stand in {SHEET}:2" in found.what


def test_a_weigh_step_stands_whatever_trials_say(weighed: Folder) -> None:
    row = "2026-01-02,vanilla,fruit,second boil,2 kg,1.9 kg,"
    rows(weighed, row, row.replace("01-02", "01-03"))
    (found,) = (one for one in weighed.findings() if one.where.startswith("trials"))
    assert (found.level, found.where) == ("note", f"{SHEET}:2")
    assert "that weight stands" in found.what


def test_sizes_are_bounded(weighed: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    bad = ["2026-01-02,vanila,fruit,3,2 kg,1 kg,"] * 100
    told = [one for one in rows(weighed, *bad).findings() if one.level == "error"]
    assert len(told) == csv_lists.MOST_TOLD + 1
    assert "more than" in told[0].what
    weighed.write(SHEET, HEAD.encode() + b"#" * (triallists.LARGEST + 1))
    assert "larger than 5 MB" in weighed.only().what
    weighed.write(SHEET, HEAD.encode("utf-16"))
    assert weighed.only().where.startswith(SHEET)
    weighed.write(SHEET, HEAD + "2026-01-02,van\0illa,fruit,3,2 kg,1 kg,\n")
    assert "a character here" in weighed.only().what


def test_two_steps_of_one_name_are_told_by_number(weighed: Folder) -> None:
    weighed.edit("recipes/vanilla.yaml", "name: second boil", "name: First  Boil")
    found = rows(weighed, "2026-01-02,vanilla,fruit,first boil,2 kg,1 kg,").only()
    assert "2 steps of fruit are called 'first boil'" in found.what
    assert found.mend == "write the number: 3 and 4"
