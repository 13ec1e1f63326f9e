"""What the sheets of a shop are: their columns, what each is for, and what may be picked in it.

Columns that follow from a model are taken from it, so that a new entry of the shop has its column at once.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from costing.shop import csv_lists, label_facts, pricelists, triallists
from costing.shop.models import CLASSES, PREFERENCES, STATES, Channel, Container, Ingredient, Machine, Recipe
from costing.shop.steps import VERBS
from costing.shop.suppliers import Supplier
from nutrition.foods import pins, spec
from nutrition.resources import table

if TYPE_CHECKING:
    from costing.shop.fields import Checked
    from costing.shop.sheets.said import Style

REMARKS: Final = "remarks"
"""A column for words that nobody reads but who wrote them."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Args:
        head: its heading.
        help: what stands above it.
        width: digits.
        style: how its cells are read.
        pick: words to pick from, or the name of a sheet whose first column is picked from.
        strict: whether nothing else may be written.
        number: whether plain numbers are written as numbers; ``day`` for days.
    """

    head: str
    help: str = ""
    width: float = 14
    style: Style = "text"
    pick: tuple[str, ...] | str = ()
    strict: bool = False
    number: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """One sheet.

    Args:
        name: of its tab.
        lead: what it is for.
        columns: from left to right; the first names what a row is about.
        needed: whether a shop cannot do without it.
        frozen: how many columns stay in sight.
    """

    name: str
    lead: str
    columns: tuple[Column, ...]
    needed: bool = False
    frozen: int = 1

    def column(self, head: str) -> Column:
        """A column by its heading.

        Raises:
            KeyError: there is none.
        """
        for one in self.columns:
            if one.head == head:
                return one
        raise KeyError(head)


GUIDE: Final = "Start here"
SHOP: Final = "Shop"
COSTS: Final = "Wages & costs"
INGREDIENTS: Final = "Ingredients"
PRICES: Final = "Prices"
FLAVOURS: Final = "Flavours"
RECIPES: Final = "Recipes"
CHANNELS: Final = "Channels"
CONTAINERS: Final = "Containers"
MACHINES: Final = "Machines"
SPECS: Final = "Specs"
TRIALS: Final = "Trials"
PINS: Final = "Pins"
SUPPLIERS: Final = "Suppliers"

GROUPS: Final = ("wages", "overhead", "fixed costs", "rates")
"""Entries of the shop that stand on the sheet of costs, each with names and amounts."""
SHOP_STYLES: Final[dict[str, Style]] = {
    "address": "lines", "price endings": "list", "label": "pairs", "business": "pairs",
}  # fmt: skip

_WORDS: Final[dict[str, dict[str, Column]]] = {
    INGREDIENTS: {
        "food": Column("food", "Record with its nutrients: usda:01053, fdc:171265, spec: and a name on Specs", 22),
        "label": Column("label", "Its common name on the label", 20),
        "made of": Column("made of", "If it has ingredients of its own: cream; gellan gum: 0.1 %", 30, "list"),
        "class": Column("class", "What kind of food", 14, "text", CLASSES, strict=True),
        "allergens": Column("allergens", "As its label says: milk; tree nut: pecan; or none", 18, "names", "allergens"),
        "measures": Column("measures", "What a measure of it weighs: 1 cup: 220 g; 1 each: 50 g", 22, "list"),
        "usable": Column("usable", "Share left after trimming: 61 %", 10, "auto"),
        "from": Column("from", "If it is part of another bought thing: eggs: 34 %", 16, "list"),
        "state": Column("state", "How it behaves in a pot, if not as its class", 12, "text", STATES, strict=True),
        "supplier": Column("supplier", "Only if it is always bought there", 20),
        "prefer": Column("prefer", "Otherwise: cheapest or newest price", 12, "text", PREFERENCES, strict=True),
        "highly refined": Column("highly refined", "yes for oils that are", 10, "auto", ("yes", "no"), strict=True),
        "ready to eat": Column("ready to eat", "yes if its supplier says so", 10, "auto", ("yes", "no"), strict=True),
        "bulky": Column("bulky", "How it counts as a bulky flavour, if not as its class", 12, "text",
                        label_facts.BULKY, strict=True),
        "artificial": Column("artificial", "yes for an artificial flavour", 10, "auto", ("yes", "no"), strict=True),
        "preservative": Column("preservative", "What a preservative is for", 18, "text",
                               tuple(row["words"] for row in table("law/us/preservatives.csv")), strict=True),
        "bioengineered": Column("bioengineered", "As its supplier says", 10, "auto", ("yes", "no"), strict=True),
        "single strength": Column("single strength", "Of its juice, by analysis: 11.5 Brix", 12, "auto"),
        "sugar alcohols": Column("sugar alcohols", "Which, and their share: erythritol: 99 %", 18, "list"),
        "calorie factors": Column("calorie factors", "protein: 4.27 kcal/g; fat: 8.79 kcal/g", 20, "list"),
        "note": Column("note", "Your words", 30),
    },
    CHANNELS: {
        "price": Column("price", "What you get for one", 10, "auto", number="money"),
        "fees": Column("fees", "Of card or platform: 2.9 % + 0.30", 18, "auto"),
        "target margin": Column("target margin", "What should be left: 55 %", 12, "auto"),
        "container": Column("container", "Which is sold; the first if empty", 14, "text", CONTAINERS, strict=True),
        "chain": Column("chain", "Who keeps what on the way: distributor: 25 %; grocer: 35 %", 28, "list"),
        "shelf price": Column("shelf price", "With a chain, in place of price", 10, "auto", number="money"),
        "stall fee": Column("stall fee", "At a market: 60 per day, sells 80", 24, "auto"),
        "scoops": Column("scoops", "weight: 70 g; price: 4.50; waste: 5 %; cone: sugar cone", 34, "list"),
        "returns": Column("returns", "Share that comes back: 3 %", 10, "auto"),
        "samples": Column("samples", "Share given away: 2 %", 10, "auto"),
        "deposit": Column("deposit", "On the container", 10, "auto", number="money"),
        "sells": Column("sells", "Its share of what you sell: 60 %", 10, "auto"),
    },
    CONTAINERS: {
        "holds": Column("holds", "1 pint, 473 mL", 14, "auto"),
        "giveaway": Column("giveaway", "How much more is filled in: 1 %", 12, "auto"),
        "made of": Column("made of", "Things of the price lists: pint tub; lid; band: 2 each", 44, "list"),
        "label": Column("label", "Where it is printed: wrap: 11.4 in x 3.3 in; lid: 3.8 in", 34, "list"),
    },
    MACHINES: {
        "capacity": Column("capacity", "How much mix it takes: 3 L", 14, "auto"),
        "leaves": Column("leaves", "What stays inside after a run: 90 g", 14, "auto"),
        "run": Column("run", "How long a run takes: 22 min", 14, "auto"),
    },
    SUPPLIERS: {
        "freight": Column("freight", "For bringing an order: 18 per order; 4 %; none", 24, "auto"),
        "usual order": Column("usual order", "What you mostly order", 14, "auto", number="money"),
        "minimum order": Column("minimum order", "The least they deliver", 14, "auto", number="money"),
        "free from": Column("free from", "Larger orders come without freight", 14, "auto", number="money"),
        "order every": Column("order every", "How often you order: 2 weeks", 14, "auto"),
        "note": Column("note", "Your words", 40),
    },
    FLAVOURS: {
        "title": Column("title", "What it is called", 40),
        "sold as": Column("sold as", "ice cream if empty; sorbet, frozen custard", 18),
        "makes": Column("makes", "For a house base: the name others put in", 20),
        "flavour": Column("flavour", "vanilla; or name: vanilla; from: natural", 22, "list"),
        "label": Column("label", "If it differs from the shop's: lines: simplified", 22, "pairs"),
        "units": Column("units", "How many are sold: 3200 per year", 14, "auto"),
        "bulky": Column("bulky", "Parts that are pieces or ripples: rye crumb", 18, "names"),
        "prices": Column("prices", "Where it sells at a price of its own: grocer: 7.99; market: 9.00", 30, "list"),
        "gtin": Column("gtin", "Under its bar code: 036000291452, or pint: 036000291452", 26, "list"),
        "note": Column("note", "Your words", 40),
    },
}  # fmt: skip
_SHARES: Final = "Share of its weight: 34 %"


def _of_model(sheet: str, kind: type[Checked], hidden: tuple[str, ...], also: tuple[str, ...] = ()) -> list[Column]:
    """Columns for the entries of a model; those described come first, in order."""
    names = [info.alias or name for name, info in kind.model_fields.items() if name not in hidden]
    known = _WORDS[sheet]
    there = {*names, *also}
    others = [Column(name, _SHARES, 12, "auto") for name in names if name not in known]
    return [column for head, column in known.items() if head in there] + others


_PLACED: Final = ("name", "where", "lines")
_VERB_HELP: Final = "What is done"
_LIST_HELP: Final = {
    "supplier": "Who sells it", "item": "What they call it", "ingredient": "Your name for it; empty: not used",
    "pack": "What you get: 2.5 kg, 12/32 fl oz, 500 ct", "price": "Of the pack", "currency": "USD",
    "date": "From when it holds", "recipe": "Short name or title", "part": "Of the recipe",
    "step": "Name or number of the step", "in": "Weight before: 11.68 kg", "out": "Weight after: 11.42 kg", "note": "",
}  # fmt: skip
_LIST_WIDTH: Final = {"item": 30, "supplier": 26, "ingredient": 24, "pack": 16, "note": 36, "recipe": 18, "part": 18}


def _of_list(kind: csv_lists.Kind) -> list[Column]:
    picks = {"ingredient": INGREDIENTS, "recipe": FLAVOURS}
    numbers = {"price": "money", "date": "day", "step": "whole"}
    return [
        Column(
            one, _LIST_HELP.get(one, ""), _LIST_WIDTH.get(one, 12), pick=picks.get(one, ()), number=numbers.get(one, "")
        )
        for one in kind.columns
    ]


_LIST: Final = Column("list", "The list it came with, if you keep them apart", 30)


@functools.cache
def plans() -> dict[str, Plan]:
    """Every sheet by its name."""
    allergen = Column("allergens", pick=tuple(row["key"] for row in table("law/us/allergens.csv")))
    known = {**_WORDS[INGREDIENTS], "allergens": _with_pick(_WORDS[INGREDIENTS]["allergens"], allergen.pick)}
    _WORDS[INGREDIENTS].update(known)
    channel_keys = ("fees", "chain", "shelf price", "stall fee", "scoops", "sells")
    hidden = (*_PLACED, "fee_share", "fee_fixed", "at_shelf", "stall", "chain", "scoops", "sells")
    sheets = (
        Plan(SHOP, "The shop itself.", (
            Column("setting", "What is set; leave the words as they are", 18),
            Column("value", "Write yours here", 50, "auto"),
            Column(REMARKS, "What it is for; not read", 70),
        ), needed=True),
        Plan(COSTS, "Wages, overhead, fixed costs, rates of other currencies.", (
            Column("kind", "Which", 14, "text", GROUPS, strict=True),
            Column("name", "Role, cost, or currency", 22),
            Column("amount", "20.00 per hour; 10 %; 1200 per month", 22, "auto"),
            Column(REMARKS, "Yours; not read", 50),
        )),
        Plan(INGREDIENTS, "One row for each thing that goes into a pot.",
             (Column("ingredient", "Your name for it, as in recipes", 22),
              *_of_model(INGREDIENTS, Ingredient, _PLACED)), needed=True),
        Plan(PRICES, "What suppliers ask. Never change an old row: add a new one with its date.",
             (*_of_list(pricelists.KIND), _LIST), frozen=0),
        Plan(FLAVOURS, "One row for each recipe.",
             (Column("recipe", "Short name, as in creamery cost", 20),
              *_of_model(FLAVOURS, Recipe, ("where", "lines", "key", "parts"))), needed=True),
        Plan(RECIPES, "One row for each step. Empty recipe or part: as in the row above.", (
            Column("recipe", "Short name on Flavours", 16, "text", FLAVOURS, strict=True),
            Column("part", "The last part is filled and sold", 18),
            Column("step", "Rows with one number are one step", 6, number="whole"),
            Column("verb", _VERB_HELP, 9, "text", tuple(VERBS), strict=True),
            Column("what", "Thing (one a row), machine, container, how cooked", 24, "names", INGREDIENTS),
            Column("amount", "How much, what is lost, taken out or taken up, overrun, how many", 16, "auto"),
            Column("temperature", "175 F", 12, "auto"),
            Column("hold", "25 min", 10, "auto"),
            Column("details", "What else: within: 4 h; by: {70 F: 2 h}", 36, "pairs"),
            Column("labour", "15 min; 6 min per run", 18, "auto"),
            Column("by", "Whose time", 10),
            Column("name", "For trials and sheets", 14),
            Column("note", "For the batch sheet; the words of a note", 44),
            Column("part label", "The part's name on the label", 18),
            Column("part rest", "Of the part: save or discard", 10, "text", ("save", "discard"), strict=True),
        ), needed=True, frozen=4),
        Plan(CHANNELS, "The ways in which you sell. Sales tax stands outside.",
             (Column("channel", "Its name", 20),
              *_of_model(CHANNELS, Channel, hidden, channel_keys))),
        Plan(CONTAINERS, "What ice cream is sold in.",
             (Column("container", "Its name", 18), *_of_model(CONTAINERS, Container, _PLACED))),
        Plan(MACHINES, "What churns.", (Column("machine", "Its name", 22), *_of_model(MACHINES, Machine, _PLACED))),
        Plan(SUPPLIERS, "What suppliers ask beside their prices.",
             (Column("supplier", "As price lists have it", 28), *_of_model(SUPPLIERS, Supplier, _PLACED))),
        Plan(SPECS, "Suppliers' own values, one row each; name the sheet in Ingredients as spec: and its name.", (
            Column("spec", "Its name", 22),
            Column("entry", "source, per, like … or a nutrient", 24, "text", spec.KEYS),
            Column("value", "2.4 g; less than 0.5 g; 30 to 34 mg", 60, "auto"),
        )),
        Plan(PINS, "The food records that labels are made from, kept as they were; creamery foods pin fills this in.", (
            Column("pin", "Its name", 22),
            Column("entry", "id, name, source … or a nutrient", 24, "text", pins.KEYS),
            Column("value", "36.08 g; 1.4 g (1.2 g to 1.7 g)", 60, "auto"),
        )),
        Plan(TRIALS, "What the scale said before and after a step.", (*_of_list(triallists.KIND), _LIST), frozen=0),
    )  # fmt: skip
    return {one.name: one for one in sheets}


def _with_pick(column: Column, pick: tuple[str, ...] | str) -> Column:
    from dataclasses import replace

    return replace(column, pick=pick)
