"""What the commands about foods do: search the embedded table, and show what is in a food of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from costing import answers, commands, terminal
from costing.findings import Finding, ShopError
from nutrition.nutrients import nutrient

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from nutrition.foods.hit import Hit
    from nutrition.foods.library import Found, UnknownFoodError

LOOK = "look for it with `creamery foods search WORDS`"


@commands.told
def foods_search(words: str, limit: int, places: Sequence[str] = (), *, as_json: bool) -> int:
    """Foods by words of their names."""
    from nutrition.foods import marks, search
    from nutrition.foods.fdc.layout import LibraryError

    try:
        found = search.search(words, limit, places or search.WHERE)
        doubts = marks.doubtful(found)
    except LibraryError as error:
        raise ShopError((Finding("error", "food library", str(error), "import the download again"),)) from error
    if as_json:
        commands.say_json([_hit(one, doubts) for one in found])
        return 0
    if found:
        rows = [
            (one.id, one.name, "nearest" if one.note else "", "doubtful" if one.id in doubts else "") for one in found
        ]
        # A column of marks is there only where some food has one.
        heads = ("food", "name", "", "")
        shown = [n for n in range(4) if n < 2 or any(row[n] for row in rows)]
        click.echo(terminal.table([heads[n] for n in shown], [[row[n] for n in shown] for row in rows]))
        for one in found:
            for why in filter(None, (one.note, doubts.get(one.id))):
                click.echo(f"{one.id}: {terminal.clean(why)}")
    asked = search.understood(words)
    for written, taken in asked.mended:
        click.echo(f"'{terminal.clean(written)}' was taken for '{taken}'", err=True)
    if asked.name is not None and not asked.name.ndb:
        mend = "look in FoodData Central (creamery foods import, creamery foods fetch), or write a spec sheet"
        click.echo(f"{asked.name.note}; {mend}", err=True)
    elif not found:
        click.echo(f"no food is called '{terminal.clean(words)}'; try fewer or plainer words", err=True)
    return 0


def _hit(one: Hit, doubts: Mapping[str, str]) -> dict[str, str | None]:
    return {
        "id": one.id,
        "name": one.name,
        "source": one.source,
        "note": one.note or None,
        "doubtful": doubts.get(one.id),
    }


def _kept(numbers: Iterable[str]) -> Mapping[str, Found | UnknownFoodError]:
    """Records that were fetched on an earlier day."""
    from nutrition.foods.fdc.web import Web

    return Web(only_kept=True).fetch(numbers)


@commands.told
def foods_show(food: str, *, as_json: bool) -> int:
    """What is in a food."""
    from nutrition.foods import library, show

    try:
        record = library.resolve(food, {}, fetch=_kept)
    except (KeyError, ValueError) as error:
        what = str(error.args[0]) if error.args else f"there is no food {food}"
        what, _, mend = what.partition("; ")
        raise ShopError((Finding("error", food, what, mend or LOOK),)) from error
    document = show.document(record)
    if as_json:
        commands.say_json(document)
        return 0
    rows = [
        (nutrient(key).name, "unknown" if amount is None else f"{amount:.6g}", nutrient(key).unit)
        for key, amount in answers.clean(document["per_100g"]).items()
    ]
    click.echo(f"{terminal.clean(record.name)} ({record.id})\n{terminal.clean(record.source)}\n")
    click.echo(terminal.table(("in 100 g", "", ""), rows, right=(1,)))
    if record.measures:
        measures = [(one.text, f"{one.grams:g} g") for one in record.measures]
        click.echo("\n" + terminal.table(("measure", "weighs"), measures, right=(1,)))
    for key, text in record.details.items():
        click.echo(f"\n{terminal.clean(key)}: {terminal.clean(text)}")
    for one in document["doubts"]:
        click.echo(f"\ndoubtful: {terminal.clean(one['what'])}\n    {terminal.clean(one['reason'])}")
    for what in record.problems:
        click.echo(f"\nnot read: {terminal.clean(what)}")
    return 0
