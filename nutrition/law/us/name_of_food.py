"""The name of the food: standards of identity for frozen desserts, 21 CFR part 135.

Ice cream and frozen custard (135.110), goat's milk ice cream (135.115), mellorine (135.130), sherbet (135.140), water
ice (135.160), and ice cream of modified fat (130.10 with 101.56 and 101.62); whatever meets none bears a descriptive
name such as "frozen dessert". The flavor beside it: :mod:`~nutrition.law.us.flavor_names`. The limits are dated rows of
``data/law/us/identity_standards.csv``.

>>> least_nonfat_milk_solids(11.9), least_nonfat_milk_solids(16.0)
(9.0, 6.0)
"""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from typing import TYPE_CHECKING

from nutrition.law.us import flavor_names, solids
from nutrition.law.us.label import NameAnswer, NameTest
from nutrition.law.us.tables import rows

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from nutrition.law.us.solids import Span
    from nutrition.product import Product

DESCRIPTIVE = "frozen dessert"
FALLBACKS = ("ice cream", "frozen custard", "sherbet", "water ice")
"""Standards that are offered, in this order, where the wanted name is not allowed."""
GOAT = {"goat's milk ice cream": "goat"}
"""Standards of another milk than the cow's, and the animal."""
VITAMIN_A = "the name mellorine also wants added vitamin A, 21 CFR 135.130, which is not tested here"
MODIFIED = (
    "a modified name also wants a food that is not inferior in nutrition (vitamin A put back, 21 CFR 130.10(b)), and "
    "beside it the reference food and by how much it differs (101.13(j), 101.62); neither is tested here"
)


def least_nonfat_milk_solids(milkfat_pct: float, on: date | None = None) -> float:
    """Least nonfat milk solids, per cent, that go with a per cent of milkfat; fractions of fat go down.

    >>> least_nonfat_milk_solids(10.0)
    10.0
    """
    table = rows("nonfat_milk_solids.csv", on)
    reached = [row for row in table if round(milkfat_pct, 9) >= float(row["milkfat_pct"])] or table[:1]
    return float(reached[-1]["nonfat_milk_solids_pct"])


def is_ice_cream(name: str) -> bool:
    """Whether a name stands under 21 CFR 135.110.

    >>> is_ice_cream("frozen custard"), is_ice_cream("sherbet")
    (True, False)
    """
    standard, modified = _wanted(_plain(name))
    return modified or standard in {"ice cream", "frozen custard"}


def is_claim(name: str) -> bool:
    """Whether a name makes a nutrient content claim, as those of 21 CFR 130.10 do.

    >>> is_claim("low fat ice cream"), is_claim("ice cream")
    (True, False)
    """
    return _wanted(_plain(name))[1]


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("\u2019", "'").replace("-", " ").split())


def conditions(product: Product, standard: str, on: date | None = None) -> tuple[NameTest, ...]:
    """Every condition of one standard, each value beside its limit.

    Args:
        product: the food.
        standard: ``ice cream``, ``frozen custard``, ``sherbet``, ``water ice`` or ``mellorine``.
        on: the day whose standard applies.

    Returns:
        The tests; ``met`` is None where the bounds of the value lie on both sides of the limit.

    Raises:
        KeyError: no such standard is in force then.
        ValueError: the product has no weight or no volume.
    """
    return _tests(product, standard, _of_animal(product, standard, _measures(product)), on)


def _measures(product: Product) -> Mapping[str, Span]:
    if not (product.net_g > 0 and product.net_ml > 0):
        raise ValueError("a product without weight or volume has no name")
    return solids.measures(product)


def _of_animal(product: Product, standard: str, cow: Mapping[str, Span]) -> Mapping[str, Span]:
    animal = GOAT.get(standard, "")
    return solids.measures(product, animal) if animal else cow


def _tests(product: Product, standard: str, found: Mapping[str, Span], on: date | None) -> tuple[NameTest, ...]:
    wanted = [row for row in rows("identity_standards.csv", on) if row["standard"] == standard]
    if not wanted:
        raise KeyError(f"no standard for {standard!r} is in force then")
    fruit_g, fruit_pct = solids.fruit_limit(product.components)
    state = {"always", "bulky" if found["bulky"].high > 0 else "plain", "fruit" if fruit_g else "no fruit"}
    state |= {"other milk"} if found["other milk"].high > 0 else set()
    answers = []
    for row in wanted:
        if row["only"] not in state:
            continue
        span = found[row["value"]]
        if row["limit"]:
            limit = (float(row["limit"]),) * 2
        elif row["value"] == "fruit":
            limit = (fruit_pct, fruit_pct)
        else:
            fat = found["milkfat"]
            # More fat asks for fewer solids: the strictest limit goes with the least fat.
            limit = (least_nonfat_milk_solids(fat.high, on), least_nonfat_milk_solids(fat.low, on))
        answers.append(_test(row, span, limit))
    return tuple(answers)


def _test(row: Mapping[str, str], span: Span, limit: tuple[float, float]) -> NameTest:
    low, high = round(span.low, 9), (round(span.high, 9) if math.isfinite(span.high) else span.high)
    easy, strict = limit
    met: bool | None = None
    if row["at_most"] == "yes":
        met = True if high <= strict else False if low > easy else None
    elif row["at_most"] == "below":
        met = True if high < strict else False if low >= easy else None
    else:
        met = True if low >= strict else False if high < easy else None
    value = None if math.isnan(span.value) else span.value
    what, unit, rule = row["what"], row["unit"], row["reference"]
    below = row["at_most"] == "below"
    return NameTest(what, value, strict, unit, met, rule, bool(row["at_most"]), row["standard"], below)


@functools.cache
def _wanted(wanted: str) -> tuple[str | None, bool]:
    """The standard of a wanted name (empty: descriptive, None: not in the table), and whether it is a modified one."""
    for row in rows("food_names.csv"):
        if row["wanted"] == wanted:
            return row["standard"], bool(row["modified"])
    return None, False


def _verdict(found: tuple[NameTest, ...]) -> bool | None:
    if any(t.met is False for t in found):
        return False
    return None if any(t.met is None for t in found) else True


def name(product: Product, on: date | None = None) -> NameAnswer:
    """The name that the standards allow, beside the one that is wanted, and the flavor that stands with it.

    A wanted name under a standard is allowed when all its tests are met. A descriptive name is allowed as it is. What
    may not bear the wanted name bears that of the first standard it meets, else "frozen dessert".

    Args:
        product: the food; ``product.wanted`` is the name that its maker wants.
        on: the day whose standards apply.

    Returns:
        The answer with the tests of the wanted standard and of the one allowed.

    Raises:
        ValueError: the product has no weight or no volume.
    """
    answer = _name(product, on)
    kind, doubts = flavor_names.category(product) if product.flavor else ("", ())
    standard = _wanted(_plain(answer.allowed))[0] or ""
    if standard and not product.flavor:
        doubts = ("its characterizing flavor stands with the name; say flavour: in the recipe",)
    parts = flavor_names.wording(
        product.flavor, answer.allowed, kind or "I", standard=standard, added=product.flavor_added
    )
    return replace(answer, notes=(*answer.notes, *doubts), parts=parts, category=kind)


def _name(product: Product, on: date | None) -> NameAnswer:
    found = _measures(product)
    wanted = _plain(product.wanted)
    standard, modified = _wanted(wanted)
    in_force = list(dict.fromkeys(row["standard"] for row in rows("identity_standards.csv", on)))
    results = {key: _tests(product, key, _of_animal(product, key, found), on) for key in in_force}
    verdicts = {key: _verdict(answers) for key, answers in results.items()}
    notes = list(_judgements(product, found))
    shown: dict[str, None] = {}
    if standard and standard in results:
        shown[standard] = None
        if modified:
            notes.append(MODIFIED)
        if standard == "mellorine":
            notes.append(VITAMIN_A)
        if verdicts[standard]:
            return NameAnswer(product.wanted, product.wanted, results[standard], tuple(notes))
        notes.insert(0, _why_not(wanted, results[standard]))
    elif standard:
        notes.insert(0, f"no standard for {standard} is in force on that day; the name is free where it is true")
        return NameAnswer(product.wanted, product.wanted, (), tuple(notes))
    else:
        shown["ice cream" if "ice cream" in results else next(iter(results), "")] = None
        fits = [key for key in FALLBACKS if verdicts.get(key)]
        if fits:
            notes.insert(0, f"the food also meets the standard of {' and '.join(fits)} and should then bear that name")
            shown[fits[0]] = None
        elif verdicts.get("mellorine"):
            notes.insert(0, f"the figures of mellorine are met; {VITAMIN_A}")
            shown["mellorine"] = None
        if standard is None:
            notes.insert(
                0, f'"{wanted}" is no name that this table knows; as a fanciful name it needs a true one beside it'
            )
        else:
            tested = tuple(t for key in shown if key for t in results[key])
            return NameAnswer(product.wanted, product.wanted, tested, tuple(notes))
    allowed = next((key for key in FALLBACKS if verdicts.get(key)), DESCRIPTIVE)
    if allowed != DESCRIPTIVE:
        shown[allowed] = None
    elif verdicts.get("mellorine"):
        notes.append(f"the figures of mellorine are met; {VITAMIN_A}")
    return NameAnswer(product.wanted, allowed, tuple(t for key in shown if key for t in results[key]), tuple(notes))


def _why_not(wanted: str, found: tuple[NameTest, ...]) -> str:
    failed = [t for t in found if t.met is False]
    if not failed:
        open_ = ", ".join(t.what for t in found if t.met is None)
        return f'whether it may be called "{wanted}" cannot be told: {open_} not known well enough'
    reasons = []
    for t in failed:
        value = "unknown" if t.value is None else f"{t.value:.2f} {t.unit}"
        reasons.append(f"{t.what} {value}, {t.must_be} {t.limit:g} {t.unit} wanted")
    return f'it may not be called "{wanted}": {"; ".join(reasons)}'


def _judgements(product: Product, found: Mapping[str, Span]) -> list[str]:
    """What these tests take for granted and a person should look at."""
    parts, notes = product.components, []
    not_counted = [c.name for c in parts if c.kind == "dairy" and not c.bulky and not solids.counts_as_milk(c)]
    if not_counted:
        notes.append(
            f"not counted as milk solids, being cultured or a caseinate: {', '.join(dict.fromkeys(not_counted))}"
        )
    pieces = [c.name for c in parts if c.bulky and solids.carries_milk(c)]
    if pieces:
        notes.append(f"milk inside {', '.join(dict.fromkeys(pieces))} is not counted; whether it may be is unsettled")
    cocoa = [c.name for c in parts if c.bulky == "chocolate" and "cocoa solids" not in c.solids]
    if cocoa:
        notes.append(f"say the cocoa solids of {', '.join(dict.fromkeys(cocoa))} to count them exactly")
    natural = [c.name for c in parts if c.kind in {"nut", "chocolate"} and c.composition.bounds("total_fat")[1] > 0]
    if natural:
        notes.append(f"fat of {', '.join(dict.fromkeys(natural))} is taken as the flavor's own, which is a judgement")
    if found["fruit"].value > 0 and product.wanted.casefold() == "sherbet":
        notes.append("a fruit sherbet also wants an acidity of 0.35 % as lactic acid, which is not calculated here")
    return notes
