"""Recipes: what their steps may be written like, and what is wrong with them."""

import pytest

from costing.amounts import Kind
from costing.shop.reader import read
from costing.shop.recipes import EXAMPLES
from costing.shop.steps import VERBS
from tests.costing.shop.conftest import DAY

RECIPE = "recipes/vanilla.yaml"
ADD = "- add: {heavy cream: 2 cups, sugar: 190 g}"
FILL = "- fill: {container: pint}"


def steps(folder, *written):
    model, found = read(folder.recipe(ADD, *written, FILL).path, DAY)
    assert found == ()
    return model.recipes["vanilla"].parts[0].steps[1:-1]


def step(folder, written):
    (one,) = steps(folder, written)
    return one


def mid(value):
    return getattr(value, "figure", value).mid


# Forms ------------------------------------------------------------------------------------------------------------


def test_every_verb_has_a_model_and_an_example():
    assert set(EXAMPLES) == set(VERBS)


def test_short_forms_say_the_same_as_long_ones(folder):
    for short, long in (
        ("- reduce: 50 %", "- reduce: {to: 50 %}"),
        ("- lose: 2 %", "- lose: {amount: 2 %}"),
        ("- lose: 2 %", "- lose:\n    amount: 2 %"),
        ("- cool: 40 F", "- cool: {to: 40 F}"),
        ("- trim: sugar", "- trim: [sugar]"),
        ("- trim: [sugar]", "- trim: {sugar}"),
        ("- strain: sugar", "- strain: {out: [sugar]}"),
        ("- strain: {out: sugar}", "- strain: {out: {sugar}}"),
        ("- soak: {of: sugar, uptake: 30 %}", "- soak: {of: [sugar], uptake: 30 %}"),
        ("- note: keep cold", "- note: {text: keep cold}"),
    ):
        one, other = (dict(step(folder, written)) for written in (short, long))
        assert _texts(one) == _texts(other)


def _texts(value):
    if isinstance(value, dict):
        return {key: _texts(inner) for key, inner in value.items() if key != "lines"}
    return getattr(value, "text", value)


def test_weigh_follows_a_step_and_is_short(folder):
    cook, weigh = steps(folder, "- cook: {loses: 2 %}", "- weigh: 600 g")
    assert (mid(cook.loses), mid(weigh.weight)) == (0.02, 600)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("- fill: pint", [("pint", None, None)]),
        ("- fill: [pint]", [("pint", None, None)]),
        ("- fill: {container: pint}", [("pint", None, None)]),
        ("- fill: {container: {container: pint, count: 2}}", [("pint", 2, None)]),
        ("- fill: {container: [{container: tub, count: 2 each}, pint]}", [("tub", 2, None), ("pint", None, None)]),
        ("- fill: [{container: tub, share: 40 %}, {container: pint}]", [("tub", None, 0.4), ("pint", None, None)]),
    ],
)
def test_containers(folder, written, expected):
    folder.edit("shop.yaml", "containers:", "containers:\n  tub: {holds: 1 L, made of: [pint tub]}\n  # more")
    model, found = read(folder.recipe(ADD, written).path, DAY)
    assert found == ()
    filling = model.recipes["vanilla"].parts[0].steps[-1].container
    assert [(f.container, f.count, f.share and f.share.mid) for f in filling] == expected


def test_what_stands_beside_the_verb(folder):
    written = "- cook: {loses: 2 %}\n  labour: 6 min\n  by: kitchen\n  name: boil\n  note: Stir."
    cook = step(folder, written)
    assert (cook.labour.time.mid, cook.labour.per, cook.by, cook.name, cook.note) == (
        360,
        "batch",
        "kitchen",
        "boil",
        "Stir.",
    )


def test_by_inside_cool_and_beside_it_are_two_things(folder):
    cool = step(folder, "- cool: {to: 40 F, within: 4 h, by: {70 F: 2 h}}\n  labour: 5 min\n  by: kitchen")
    ((point, time),) = cool.by_points.items()
    assert (round(point.mid, 3), time.mid, cool.by) == (21.111, 7200, "kitchen")


def test_a_part_is_a_list_or_entries(folder):
    parts = "  syrup:\n    label: sugar syrup\n    rest: discard\n    steps:\n      - add: {water: 1 L, sugar: 1 kg}"
    folder.write(
        "ingredients.yaml", folder.text("ingredients.yaml") + "\nwater: {food: water, label: water, class: water}\n"
    )
    model, found = read(folder.recipe(ADD, "- add: {syrup: 20 %}", FILL, parts=parts).path, DAY)
    assert found == ()
    syrup, pot = model.recipes["vanilla"].parts
    assert (syrup.label, syrup.rest, len(syrup.steps)) == ("sugar syrup", "discard", 1)
    assert (pot.label, pot.rest) == (None, "save")
    assert pot.steps[1].things["syrup"].kind is Kind.SHARE


def test_where_things_stand(folder):
    folder.recipe("- add:\n    heavy cream: 2 cups\n    sugar: 190 g", FILL)
    model, _ = read(folder.path, DAY)
    add = model.recipes["vanilla"].parts[0].steps[0]
    assert add.where == f"{RECIPE}:4"
    assert add.at("sugar") == f"{RECIPE}:6"
    assert add.at("nothing") == add.where


# What is wrong ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "part", "what", "mend"),
    [
        # verbs
        ("- stir well", "stir", "a step is a verb with a colon", "- note: …"),
        ("- cook", "- cook", "'cook' says nothing more", "write cook: {temperature: 175 F"),
        ("- coock: {loses: 2 %}", "coock", "there is no verb 'coock'", "did you mean 'cook'?"),
        ("- flamb: loudly", "flamb", "there is no verb 'flamb'", "the verbs are: add, trim"),
        ("- cook: {loses: 2 %}\n  lose: 2 %", "  lose", "two verbs, 'cook' and 'lose'", "begin the second with '- '"),
        ("- cook: {loses: 2 %}\n  hold: 3 min", "hold", "'hold' stands beside 'cook'", "put it inside: cook: {hold: …}"),
        ("- cook: {loses: 2 %}\n  labor: 3 min", "labor", "takes no 'labor' beside 'cook'", "did you mean 'labour'?"),
        ("- cook: {loses: 2 %, labour: 3 min}", "labour", "'labour' stands inside 'cook'", "beside the verb"),
        ("- add: {salt: 1 g, labour: 3 min}", "labour", "'labour' stands inside 'add'", "beside the verb"),
        ("- labour: 3 min", "labour", "this step has no verb", "the verbs are: add"),
        # keys and values
        ("- cook: {losses: 2 %}", "losses", "'cook' takes no 'losses'", "did you mean 'loses'?"),
        ("- cook: 2 %", "- cook", "cook must be entries", "write cook: {temperature"),
        ("- cook: {loses: 2 %, to: 90 %}", "- cook", "'loses' and 'to' are both given", "keep one"),
        ("- cook: {how: fry}", "- cook", "how: 'fry' is not possible here", "write one of: simmer, bake, toast, brown"),
        ("- cook: {temperature: 175}", "- cook", "temperature: '175' has no unit", "175 F or 175 C"),
        ("- cook: {hold: 25}", "- cook", "hold: '25' has no unit", "write 25 min"),
        ("- cook: {loses: 120 %}", "- cook", "loses: '120 %' is more than 100 %", "0 % to 100 %"),
        ("- cook: {loses: 2,5 %}", "- cook", "has a comma in its number", "write 2.5 %"),
        ("- reduce: {hold: 3 min}", "- reduce", "reduce needs 'to'", "add a line 'to: …'"),
        ("- reduce: 100 Brix", "- reduce", "leaves no water at all", "65 Brix"),
        ("- render: {yields: 40 %}", "- render", "render needs 'of'", "add a line 'of: …'"),
        ("- soak: {of: salt, uptake: 30 %}", "- soak", "'salt' is not in the pot here", "in the pot are: heavy cream, sugar"),
        ("- soak: {of: sugar, uptake: 1200 %}", "- soak", "more than 1000 %", "0 % to 1000 %"),
        ("- trim: {sugr: 60 %}", "- trim", "there is no 'sugr' in the pot", "did you mean 'sugar'?"),
        ("- trim: {sugar: 60}", "- trim", "sugar: '60' has no unit", "write 60 %"),
        ("- trim: []", "- trim", "'trim' has nothing in it", "write trim: {quince: 61 %}"),
        ("- strain: {out: [sugar], holding: 5 %, caught: 9 g}", "- strain", "'holding' and 'caught' are both", "keep one"),
        ("- strain: {out: [sugar], worth: 3 USD/kg}", "- strain", "'worth' is for what is saved", "add save:"),
        ("- strain: {out: [sugar], save: x, worth: 3 EUR/kg}", "- strain", "not in USD", "write it in USD"),
        ("- strain: {out: [sugar], save: x, worth: 3}", "- strain", "does not say per what", "3 USD/kg"),
        ("- strain: {out: [sugar], save: salt}", "- strain", "'salt' is an ingredient too", "rename what is saved"),
        ("- lose: 350", "- lose", "lose: '350' has no unit", "write 350 %, not 350"),
        ("- lose: {weight: 3 g}", "- lose", "'lose' takes no 'weight'", "it takes: amount"),
        ("- weigh: 2 cups", "- weigh", "weigh: '2 cups' is not a weight", "350 g"),
        ("- cool: {to: cold}", "- cool", "to: 'cold' is not a temperature", "175 F or 80 C"),
        ("- cool: {to: 40 F, by: 2 h}", "- cool", "by: this must be temperatures with times", "{70 F: 2 h}"),
        ("- cool: {to: 40 F, bye: {70 F: 2 h}}", "- cool", "'cool' takes no 'bye'", "it takes"),
        ("- churn: {machine: ice cream machine}", "- churn", "nothing says how much air", "overrun: 30 %"),
        ("- churn: {overrun: 30 %, filled: 420 g}", "- churn", "are both given", "keep one"),
        ("- churn: {machine: ice machine, overrun: 30 %}", "- churn", "no machine called 'ice machine'", "did you mean 'ice cream machine'?"),
        # things
        ("- add: {vanila extract: 1 tbsp}", "vanila", "no ingredient or part called 'vanila extract'", "did you mean 'vanilla extract'?"),
        ("- add: {Vanilla  Extract: 1 tbsp}", "Vanilla", "no ingredient or part called", "did you mean 'vanilla extract'?"),
        ("- add: {unicorn: 1 g}", "unicorn", "no ingredient or part called 'unicorn'", "add it to ingredients.yaml"),
        ("- add: {salt: 5}", "- add: {salt", "salt: '5' has no unit", "write 5 g, not 5"),
        ("- add: {salt: 1 cup\n        }", "- add: {salt", "ok", ""),
        ("- add: {salt: 3 each}", "- add: {salt", "nobody says what '3 each' of salt weighs", "measures: {1 each: … g}"),
        ("- add: {sugar: 1 pinch}", "- add: {sugar: 1 p", "nobody says what '1 pinch' of sugar weighs", "{1 pinch: … g}"),
        ("- add: {salt: 50 %}", "- add: {salt", "a share can only be taken of a part", "0.3 % of pot"),
        ("- add: {salt: all}", "- add: {salt", "a share can only be taken of a part", "0.3 % of pot"),
        ("- add: {salt: 60 % of pot, sugar: 40 % of pot}", "- add: {salt", "add up to 100 %", "leave room"),
        ("- add: {salt: -5 g}", "- add: {salt", "below zero", "0 or more"),
        ("- add: {salt: 5000000 kg}", "- add: {salt", "more than any kitchen holds", "check the number"),
        ("- add: {pot: 50 %}", "- add: {pot", "'pot' is used before it is made", "a part cannot hold itself"),
        ("- add: salt", "- add: salt", "add must be entries with names", "write add: {sugar: 350 g}"),
        ("- add: {}", "- add: {}", "'add' has nothing in it", "write add: {sugar: 350 g}"),
        ("- add:\n    salt: 1 g\n    salt: 2 g", "salt: 2 g", "'salt' stands here twice", "rename one"),
        # labour
        ("- lose: 2 %\n  labour: 12", "labour", "labour: '12' has no unit", "write 12 min"),
        ("- lose: 2 %\n  labour: 12 min per pint", "labour", "not a time of labour", "20 s per container"),
        ("- lose: 2 %\n  labour: 12 min per run", "labour", "the recipe has no 'churn'", "for the batch"),
        ("- lose: 2 %\n  labour: 12 min\n  by: kitchn", "by: kitchn", "no role called 'kitchn'", "did you mean 'kitchen'?"),
        ("- lose: 2 %\n  by: kitchen", "- lose", "nothing says how long", "add labour"),
    ],
)  # fmt: skip
def test_steps(folder, written, part, what, mend):
    folder.recipe(ADD, written, FILL)
    if what == "ok":
        assert folder.findings() == ()
        return
    found = folder.only()
    assert found.where == folder.line(RECIPE, part)
    assert what in found.what
    assert mend in found.mend


@pytest.mark.parametrize(
    ("fill", "what", "mend"),
    [
        ("- fill: {container: pnit}", "no container called 'pnit'", "did you mean 'pint'?"),
        ("- fill: {container: barrel}", "no container called 'barrel'", "shop.yaml has: pint"),
        ("- fill: {contaner: pint}", "'fill' takes no 'contaner'", "did you mean 'container'?"),
        ("- fill: {net: 400 g}", "fill needs 'container'", "add a line 'container: …'"),
        ("- fill: {container: []}", "'container' has nothing in it", "write fill: {container: pint}"),
        ("- fill: {container: [pint, pint]}", "'pint' is filled twice", "one entry"),
        ("- fill: {container: [{container: pint, count: 0}]}", "not a whole number above 0", "such as 6"),
        ("- fill: {container: [{container: pint, count: 2, share: 3 %}]}", "both a count and a share", "keep one"),
        ("- fill: {container: [{container: pint, many: 2}]}", "many", "check the entry|takes"),
        ("- fill: {container: pint, rest: keep}", "rest: 'keep' is not possible here", "write one of: save, discard"),
        ("- fill: {container: pint, net: 5 %}", "not a weight or a volume", "473 mL"),
        ("- note: nothing is filled", "neither fills a container nor makes a house base", "fill: {container: pint}"),
    ],
)
def test_filling(folder, fill, what, mend):
    found = folder.recipe(ADD, fill)
    errors = [one for one in found.findings() if what in one.what]
    assert len(errors) == 1, found.findings()
    assert errors[0].where in (folder.line(RECIPE, fill), folder.line(RECIPE, "  pot:"))
    assert any(bit in errors[0].mend for bit in mend.split("|"))


def test_several_containers(folder):
    folder.edit("shop.yaml", "containers:", "containers:\n  tub: {holds: 1 L, made of: [pint tub]}\n  # more")
    found = folder.recipe(ADD, "- fill: [tub, pint]").only()
    assert (found.what, found.mend) == (
        "'tub' would take everything, and others follow",
        "give it a count or a share; only the last takes the rest",
    )
    found = folder.recipe(ADD, "- fill: [{container: tub, share: 70 %}, {container: pint, share: 40 %}]").only()
    assert "add up to 110 %" in found.what


@pytest.mark.parametrize(
    ("content", "line", "what", "mend"),
    [
        ("titel: X\nparts:\n  pot:\n    - fill: pint\n", 1, "a recipe takes no 'titel'", "did you mean 'title'?"),
        ("parts:\n  pot:\n    - fill: pint\n", 1, "a recipe needs 'title'", "add a line 'title: …'"),
        ("title: X\n", 1, "a recipe needs 'parts'", "the name of each part"),
        ("title: X\nparts:\n", 2, "parts must be entries", "the name of each part"),
        ("title: X\nparts: {}\n", 2, "the recipe has no part", "the name of each part"),
        ("title: X\nparts:\n  - add: {sugar: 1 g}\n", 3, "parts must be entries", "the name of each part"),
        ("title: X\nparts:\n  pot:\n", 3, "part 'pot' has no steps", "beginning with '- '"),
        ("title: X\nparts:\n  pot: []\n", 3, "part 'pot' has no steps", "beginning with '- '"),
        ("title: X\nparts:\n  pot:\n    add: {sugar: 1 g}\n    fill: pint\n", 3, "steps that are no list", "with '- '"),
        ("title: X\nparts:\n  pot:\n    label: x\n", 3, "part 'pot' has no steps", "write steps:"),
        ("title: X\nparts:\n  pot:\n    rest: burn\n    steps:\n      - add: {sugar: 1 g}\n      - fill: pint\n", 4,
         "rest: 'burn' is not possible here", "write one of: save, discard"),
        ("title: X\nparts:\n  pot:\n    lable: x\n    steps:\n      - add: {sugar: 1 g}\n      - fill: pint\n", 4,
         "a part takes no 'lable'", "did you mean 'label'?"),
        ("title: X\nprices: {countr: 3.00}\nparts:\n  pot:\n    - add: {sugar: 1 g}\n    - fill: pint\n", 2,
         "no channel called 'countr'", "did you mean 'counter'?"),
        ("title: X\nprices: {counter: -3.00}\nparts:\n  pot:\n    - add: {sugar: 1 g}\n    - fill: pint\n", 2,
         "prices: counter: '-3.00' is below zero", "0 or more"),
    ],
)  # fmt: skip
def test_recipe_heads(folder, content, line, what, mend):
    found = [one for one in folder.write(RECIPE, content).findings() if what in one.what]
    assert [one.where for one in found] == [f"{RECIPE}:{line}"]
    assert mend in found[0].mend


# Names and shares -------------------------------------------------------------------------------------------------

SYRUP = "  syrup:\n    - add: {sugar: 400 g, heavy cream: 1 cup}"


def test_a_part_used_twice_over(folder):
    folder.recipe("- add: {syrup: 60 %}", "- cook: {loses: 1 %}", "- add: {syrup: 50 %}", FILL, parts=SYRUP)
    found = folder.only()
    assert found.where == folder.line(RECIPE, "syrup: 50 %")
    assert "110 % of 'syrup'" in found.what
    assert "do not pass 100 %" in found.mend


@pytest.mark.parametrize("second", ["50 %", "all"])
def test_nothing_is_left_after_all(folder, second):
    folder.recipe("- add: {syrup: all}", f"- fold: {{syrup: {second}}}", FILL, parts=SYRUP)
    found = folder.only()
    assert found.where == folder.line(RECIPE, "- fold")
    assert "nothing is left of 'syrup'" in found.what
    folder.recipe("- add: {syrup: 60 %}", "- fold: {syrup: 40 %}", FILL, parts=SYRUP)
    assert folder.findings() == ()


def test_a_share_of_100_and_all(folder):
    folder.recipe("- add: {syrup: 100 %}", "- fold: {syrup: all}", FILL, parts=SYRUP)
    assert "nothing is left of 'syrup'" in folder.only().what


def test_a_part_has_no_pieces(folder):
    found = folder.recipe("- add: {syrup: 3 each}", FILL, parts=SYRUP).only()
    assert (found.where, "has no 'each'" in found.what) == (folder.line(RECIPE, "3 each"), True)


def test_a_part_used_before_it_is_made(folder):
    early = "  early:\n    - add: {pot: 50 %, sugar: 1 g}"
    found = folder.recipe(ADD, FILL, parts=early).findings()
    assert [(one.where, one.what, one.mend) for one in found if one.level == "error"] == [
        (f"{RECIPE}:4", "'pot' is used before it is made", "move 'pot' above 'early'")
    ]


def test_a_saved_thing_is_usable_from_then_on(folder):
    first = "  first:\n    - add: {heavy cream: 1 cup, sugar: 90 g}\n    - strain: {out: [sugar], save: wet sugar}"
    folder.recipe("- add: {first: all}", "- fold: {wet sugar: 50 %}", FILL, parts=first)
    assert folder.findings() == ()
    found = folder.recipe("- add: {wet sugr: 50 %}", FILL, parts=first).only()
    assert found.mend == "did you mean 'wet sugar'?"
    found = folder.recipe("- add: {sugar: 1 g, late: 1 g}", "- strain: {out: [sugar], save: late}", FILL).only()
    assert found.what == "'late' is used before it is made"


def test_things_inside_a_part_answer_by_their_names(folder):
    folder.recipe("- add: {syrup: all}", "- strain: {out: [sugar], holding: 5 %}", FILL, parts=SYRUP)
    assert folder.findings() == ()


def test_a_part_named_like_an_ingredient(folder):
    found = folder.recipe(ADD, FILL, parts="  sugar:\n    - add: {heavy cream: 1 cup}").findings()
    first = next(one for one in found if "is an ingredient too" in one.what)
    assert (first.level, first.where, first.mend) == (
        "error",
        f"{RECIPE}:3",
        "they share one set of names; rename the part",
    )


def test_fill_belongs_at_the_end(folder):
    found = folder.recipe(ADD, FILL, "- lose: 2 %").only()
    assert (found.where, "stands after 'fill'" in found.what) == (folder.line(RECIPE, "- lose"), True)
    folder.recipe(ADD, FILL, "- cool: 0 F", "- note: hard")
    assert folder.findings() == ()
    found = folder.recipe(ADD, FILL, parts="  early:\n    - add: {sugar: 1 g}\n    - fill: pint").findings()
    assert {(one.where, one.what) for one in found if one.level == "error"} == {
        (f"{RECIPE}:5", "'fill' stands in a part that is not the last"),
        (folder.line(RECIPE, FILL), "the recipe fills twice"),
    }


# House bases ------------------------------------------------------------------------------------------------------


def base(folder, name, adds="sugar: 1 kg, heavy cream: 1 qt", makes=None):
    makes = makes or name
    return folder.write(
        f"recipes/{name}.yaml", f"title: {name}\nmakes: {makes}\nparts:\n  base of {name}:\n    - add: {{{adds}}}\n"
    )


def test_a_house_base_is_usable_in_every_recipe(folder):
    base(folder, "white")
    folder.recipe("- add: {white: 500 g}", "- strain: {out: [sugar], holding: 2 %}", FILL)
    assert folder.findings() == ()
    assert folder.recipe("- add: {wite: 500 g}", FILL).only().mend == "did you mean 'white'?"


def test_house_bases_in_a_circle(folder):
    base(folder, "one", "two: 1 kg")
    base(folder, "two", "three: 1 kg")
    base(folder, "three", "one: 1 kg")
    found = folder.only()
    assert found.where == "recipes/one.yaml:2"
    assert found.what.startswith("house bases go in a circle: one needs two needs three needs one")


def test_a_house_base_that_holds_itself(folder):
    base(folder, "one", "one: 1 kg, sugar: 3 g")
    found = [one for one in folder.findings() if one.level == "error"]
    assert [one.where for one in found] == ["recipes/one.yaml:2", "recipes/one.yaml:5"]


def test_two_recipes_for_one_base_and_a_base_like_an_ingredient(folder):
    base(folder, "one")
    base(folder, "uno", makes="one")
    found = folder.only()
    assert (found.where, found.what) == ("recipes/uno.yaml:2", "'one' is made by recipes/one.yaml already")
    base(folder, "uno", makes="salt")
    found = folder.only()
    assert (found.where, found.what) == ("recipes/uno.yaml:2", "'salt' is an ingredient too")


def test_a_recipe_that_fills_and_makes(folder):
    folder.recipe(ADD, FILL, head="title: X\nmakes: white")
    found = folder.only()
    assert (found.where, found.mend) == (f"{RECIPE}:2", "keep one: either 'fill' or 'makes'")


def test_a_base_that_cannot_be_read_is_not_called_missing(folder):
    base(folder, "white", "sugar: 1")
    folder.recipe("- add: {white: 500 g}", FILL)
    found = folder.only()
    assert found.where == "recipes/white.yaml:5"
