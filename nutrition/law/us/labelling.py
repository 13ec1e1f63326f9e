"""From a product to its label: every module of the law asked in turn.

Calories follow method B with alcohol at 7 kcal a gram unless asked otherwise (:mod:`~nutrition.law.us.calories`); per
cents of the daily value follow from unrounded amounts. What else the law leaves open: :mod:`~nutrition.law.us.options`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from nutrition.law.us import (
    added_sugars,
    alcohol,
    allergens,
    bioengineered,
    business,
    calories,
    cautions,
    exemption,
    ingredient_names,
    ingredient_statement,
    inspection,
    name_of_food,
    net_quantity,
    nutrient_lines,
    provisions,
    shared_equipment,
    statement_items,
)
from nutrition.law.us.around import Around
from nutrition.law.us.label import Label, Note, NutrientLine
from nutrition.law.us.left_out import LeftOut, left_out
from nutrition.law.us.nutrient_lines import printed
from nutrition.law.us.options import Options
from nutrition.law.us.serving import serving
from nutrition.law.us.tables import held, nano

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from nutrition.law.us.bioengineered import Disclosure
    from nutrition.product import Product

__all__ = ["label", "printed"]

PLAIN = Options()
NOBODY = Around()


def label(product: Product, *, as_of: date | None = None, options: Options = PLAIN, around: Around = NOBODY) -> Label:
    """The label of a product.

    Args:
        product: the food; weights are those of one container.
        as_of: the day whose law applies, None: the rules that have no end. For a day before the form of 2016 the rules
            that have no end are taken, and an error note says so.
        options: what the law leaves to the label preparer.
        around: who makes it, how it is sold, what else runs on its machines.

    Returns:
        The label. What cannot be printed is marked so and said in its notes; nothing is guessed.

    Raises:
        KeyError: a further nutrient that no panel prints, or an unknown category of reference amount.
        ValueError: a product that has no weight, volume or declared quantity.
    """
    asked, as_of = as_of, held(as_of)
    size = serving(
        declared_ml=product.declared_ml,
        net_ml=product.net_ml,
        net_g=product.net_g,
        category=options.category,
        on=as_of,
    )
    name = name_of_food.name(product, as_of)
    if name_of_food.is_claim(name.allowed):
        options = replace(options, claims=True)
    sugars = added_sugars.of(product, options.juice)
    energy = calories.of_product(product, options.calories)
    lines = nutrient_lines.lines(product, size, energy, sugars, options, as_of)
    without = left_out(lines, size.columns, options, as_of)
    gather = name_of_food.is_ice_cream(name.allowed)
    statement = ingredient_statement.statement(product, options, gather_milk=gather)
    drink = alcohol.shares(product.composition)
    disclosed = bioengineered.disclose(product.components, around.maker.total_sales_usd, as_of)
    found, contains, allergen_notes = _allergens(product, as_of)
    notes = (
        *_check(product),
        *_too_early(asked, as_of),
        *_open_lines(lines),
        *_more_sugars(product),
        *_left_out(without, options),
        *_factors(product, options),
        *allergen_notes,
        *_name_notes(product, name.allowed, name.notes),
        *ingredient_names.notes(product.components, statement.text, options, as_of),
        *_milk(product, options, gather=gather),
        *cautions.cautions(product, drink, statement.text, as_of),
        *_bioengineered(disclosed, as_of),
        *shared_equipment.notes(allergens.union(product), around.neighbours, as_of),
        *_changes(as_of),
    )
    return Label(
        key=product.key,
        title=product.title,
        law="us",
        serving=size,
        nutrients=tuple(lines),
        calorie_method=energy.text,
        ingredients=statement.text,
        contains=contains,
        allergens=found,
        name=name,
        net_quantity=net_quantity.declare(product.declared_ml, product.declared_text),
        added_sugars_record=sugars.record,
        notes=notes,
        print_ready=all(line.print_ready for line in lines) and all(n.level != "error" for n in notes),
        alcohol_by_volume_pct=drink.volume_pct,
        alcohol_by_weight_pct=drink.weight_pct,
        statement=statement.entries,
        sugars=sugars,
        as_of=as_of,
        dv_from=options.dv_from,
        calorie_key=energy.method,
        left_out=without.keys,
        not_significant=without.text,
        simplified=without.form == "simplified",
        chosen=options.words(),
        options=options,
        exemption=exemption.verdict(around, claims=options.claims, on=as_of),
        business=business.lines(around.maker),
        advisory=_advisory(product, around, options),
        bioengineered=disclosed.text,
        inspection=inspection.asked(product, as_of, scoops=around.scoops),
    )


def _advisory(product: Product, around: Around, options: Options) -> str:
    if options.equipment == "left out":
        return ""
    return shared_equipment.advisory(allergens.union(product), around.neighbours)


def _bioengineered(found: Disclosure, on: date | None) -> Iterable[Note]:
    if found.of:
        key = "bioengineered exempt" if found.exempt else "bioengineered named"
        yield cautions.note(key, on, names=", ".join(found.of), text=found.text)
    if found.unknown and not found.exempt:
        yield cautions.note("bioengineered", on, names=", ".join(found.unknown))


def _factors(product: Product, options: Options) -> Iterable[Note]:
    missing = calories.without_factors(product) if options.calories == "A" else ()
    if missing:
        what = f"calories by specific factors want those of {', '.join(missing)}"
        yield Note(
            "warning", what, "say its calorie factors, or choose calories: B", "21 CFR 101.9(c)(1)(i)(A)", "nutrients"
        )


def _left_out(without: LeftOut, options: Options) -> Iterable[Note]:
    """Why a form that was asked for is not taken, and that a simpler one could be."""
    if without.why:
        what = f"every line is printed: {without.why}"
        yield Note("note", what, "leave out lines: of the label's choices", "21 CFR 101.9(c), (f)", "nutrients")
    elif options.lines == "all" and without.may_be_simplified:
        what = f"{len(without.insignificant)} amounts are insignificant, so the simplified form may be printed"
        yield Note("note", what, "choose lines: simplified", "21 CFR 101.9(f)", "nutrients")


def _more_sugars(product: Product) -> Iterable[Note]:
    sugars, carbohydrate = (product.composition.amount(key) for key in ("total_sugars", "total_carbohydrate"))
    if sugars is not None and carbohydrate is not None and nano(sugars) > nano(carbohydrate):
        yield Note(
            "note",
            f"the food records hold {sugars:.1f} g of sugars and {carbohydrate:.1f} g of carbohydrate in a container, "
            "one by analysis and the other by difference; no more sugars than carbohydrate are printed",
            "a supplier's sheet settles it",
            "21 CFR 101.9(c)(6)",
            "nutrients",
        )


def _check(product: Product) -> Iterable[Note]:
    grams = float(product.composition.grams)
    if abs(grams - product.net_g) > 1e-6 * product.net_g:
        yield Note(
            "error",
            f"the ingredients in a container weigh {grams:.2f} g, but {product.net_g:.2f} g are filled",
            "this is a mistake in the calculation; please report it",
            about="nutrients",
        )


def _too_early(asked: date | None, used: date | None) -> Iterable[Note]:
    if asked is not None and used is None:
        what = f"the law of {asked.isoformat()} is older than the rules held here; the label follows the present ones"
        yield Note("error", what, "choose a later day", "81 FR 33742", "nutrients")


def _open_lines(lines: Iterable[NutrientLine]) -> Iterable[Note]:
    """One note for each ingredient that keeps lines from being printed."""
    waiting: dict[str, list[str]] = {}
    for line in lines:
        name = "Added Sugars" if line.key == "added_sugars" else line.name
        for ingredient in line.unknown_from:
            waiting.setdefault(ingredient, []).append(name)
    for ingredient, names in waiting.items():
        yield Note(
            "warning",
            f"what is known of {ingredient} is not enough to print {', '.join(names)}",
            f"give {ingredient} the supplier's unrounded values in a spec sheet",
            "21 CFR 101.9(g)",
            "nutrients",
        )


def _allergens(product: Product, on: date | None) -> tuple[tuple[str, ...], str, tuple[Note, ...]]:
    """The allergens, the "Contains" statement, and an error for each text that is no major allergen."""
    written = sorted(allergens.union(product))
    problems = {text: allergens.problem(text) for text in written}
    good = allergens.in_force(written, on)
    notes = tuple(
        Note("error", f'allergen "{text}": {problem}', "mend it on the ingredient", "FD&C Act 403(w)", "allergens")
        for text, problem in problems.items()
        if problem is not None
    )
    return tuple(str(a) for a in allergens.ordered(good)), allergens.contains(good), notes


def _name_notes(product: Product, allowed: str, notes: Iterable[str]) -> Iterable[Note]:
    refused = allowed.casefold() != product.wanted.casefold()
    for i, what in enumerate(notes):
        level = "warning" if refused and i == 0 else "note"
        mend = f'sell it as "{allowed}", or change the recipe' if refused and i == 0 else ""
        yield Note(level, what, mend, "21 CFR part 135", "name")


def _milk(product: Product, options: Options, *, gather: bool) -> Iterable[Note]:
    """What was chosen about milk and water and cannot be, or could be chosen."""
    if options.milk == "gathered" and not gather:
        what = "milk ingredients stand by name: only what is called ice cream or frozen custard may gather them"
        yield Note("note", what, "", "21 CFR 135.110(g)", "ingredients")
    if not options.reconstituting and statement_items.could_reconstitute(product.components, options):
        what = "water that brings dry milk or egg back to single strength ranks with it, and is no water of its own"
        yield Note(
            "note", what, "if it was added for that, choose water reconstitutes: yes", "21 CFR 101.4(c)", "ingredients"
        )


def _changes(as_of: date | None) -> Iterable[Note]:
    """What is about to change; without a day only what is proposed."""
    if as_of is None:
        coming = tuple(p for p in provisions.provisions() if p.status == "proposed")
    else:
        coming = provisions.to_watch(as_of)
    for p in coming:
        begins = f" from {p.begins.isoformat()}" if p.begins else ""
        yield Note("note", f"{p.title}{begins}: {p.what}", "", p.rule, "changes")
