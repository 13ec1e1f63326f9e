"""What each command does: asks the shop, and says the answer as text or as JSON.

Answers go to standard output, findings to standard error, or both into one JSON document. Every function
returns the exit code: 0, or 1 where there is a finding of level ``error``.
"""

from __future__ import annotations

import difflib
import functools
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec

import click

from costing import answers, files, terminal
from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import date

    from costing.desk import Shop
    from costing.results import RecipeAnswer
    from nutrition.law.us.label import Label

P = ParamSpec("P")


def told(command: Callable[P, int]) -> Callable[P, int]:
    """A command whose :class:`~costing.findings.ShopError` is told as findings, as text or as JSON."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> int:
        try:
            return command(*args, **kwargs)
        except ShopError as error:
            found = error.findings
        except BrokenPipeError:
            raise
        except OSError as error:
            # A full disk, a folder that may not be read: nobody's bug.
            what = error.strerror or str(error)
            found = (Finding("error", str(error.filename or "."), what, "check the place, its rights and its room"),)
        return say((), found, (), as_json=bool(kwargs.get("as_json")))

    return run


def say(results: Iterable[answers.Json], findings: Iterable[Finding], blocks: Iterable[str], *, as_json: bool) -> int:
    """Print an answer, and give the exit code for its findings.

    Args:
        results: for the JSON document.
        findings: for either.
        blocks: for people, set apart by an empty line.
        as_json: which of the two.
    """
    found = tuple(dict.fromkeys(findings))
    if as_json:
        say_json(answers.document(results, found))
    else:
        body = "\n\n".join(blocks)
        if body:
            click.echo(body)
        if found:
            click.echo(terminal.findings(found), err=True)
    return 1 if has_errors(found) else 0


def say_json(answer: Any) -> None:
    """Print JSON as UTF-8, whatever the terminal speaks."""
    click.echo(answers.text(answer).encode(errors="backslashreplace"))


def has_errors(findings: Iterable[Finding]) -> bool:
    """Whether any of them is an error."""
    return any(one.level == "error" for one in findings)


@told
def new(folder: Path, name: str | None) -> int:
    """Make a shop to be filled in."""
    from costing.shop import starter

    starter.create(folder, name or folder.resolve().name)
    click.echo(f"{folder} is ready. Edit the files in it, then run: creamery check {folder}")
    return 0


@told
def check(folder: Path, as_of: date | None, *, as_json: bool) -> int:
    """Everything that is wrong with a shop."""
    shop, found = _ask(folder, (), as_of)
    results = [{"recipe": one.recipe, "title": one.title} for one in found]
    findings = _findings(shop, found)
    count = {level: sum(f.level == level for f in findings) for level in ("error", "warning", "note")}
    summary = ", ".join(f"{n} {level}{'' if n == 1 else 's'}" for level, n in count.items() if n) or "nothing to mend"
    line = f"{terminal.clean(shop.model.name)}: {len(shop.model.recipes)} recipes, prices of {shop.day}: {summary}"
    return say(results, findings, (line,), as_json=as_json)


@told
def cost(folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool) -> int:
    """What recipes cost."""
    shop, found = _ask(folder, recipes, as_of)
    results = [one for one in map(answers.cost, found) if one is not None]
    # A house base that nobody asked for by name is told of in the flavours that use it.
    shown = [one for one in found if one.cost is not None or (recipes and not has_errors(one.findings))]
    blocks = (terminal.cost(one, shop.model.locale) for one in shown)
    return say(results, _findings(shop, found, labels=False), blocks, as_json=as_json)


@told
def yields(folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool) -> int:
    """Where the weight and the money of recipes went."""
    shop, found = _ask(folder, recipes, as_of)
    done = [one for one in found if one.parts]
    blocks = (terminal.yields(one, shop.model.currency, shop.model.locale) for one in done)
    return say(map(answers.yields, done), _findings(shop, found, labels=False), blocks, as_json=as_json)


@told
def label(
    folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool, out: Path | None, replace: bool
) -> int:
    """What the labels of recipes must say; panels too, if a folder for them is given."""
    shop, found = _ask(folder, recipes, as_of)
    findings = _findings(shop, found)
    labels = [one for one in found if one.label is not None]
    results = [result for result in map(answers.label, labels) if result is not None]
    blocks = [terminal.label(one.label, shop.model.locale) for one in labels if one.label is not None]
    if out is not None and not has_errors(findings):
        contents: dict[Path, bytes | str] = {}
        for one, result in zip(labels, results, strict=True):
            if one.label is not None:
                written = panels(one.label, out)
                written[out / f"{one.recipe}.json"] = answers.text(answers.document([result], one.findings)) + "\n"
                contents |= written
                result["files"] = [str(path) for path in written]
        files.write_all(contents, replace=replace)
        blocks.append("\n".join(f"wrote {path}" for path in contents))
    elif out is not None:
        findings = (*findings, Finding("note", str(out), "nothing was written, because of the errors", ""))
    return say(results, findings, blocks, as_json=as_json)


def panels(found: Label, folder: Path) -> dict[Path, bytes | str]:
    """The drawn panel of a label.

    Args:
        found: the label.
        folder: where it will go.

    Returns:
        Path to contents, of an SVG and a PDF file.
    """
    from nutrition.panel import layout, pdf, svg

    drawing = layout.panel(found)
    return {
        folder / f"{found.key}.svg": svg.text(drawing),
        folder / f"{found.key}.pdf": pdf.data(drawing, title=found.title),
    }


@told
def workbook(
    folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool, out: Path, replace: bool
) -> int:
    """Write the workbook of recipes."""
    files.refuse_existing((out,), replace=replace)
    shop, found = _ask(folder, recipes, as_of)
    findings = _findings(shop, found)
    if has_errors(findings):
        findings = (*findings, Finding("note", str(out), "nothing was written, because of the errors", ""))
        return say((), findings, (), as_json=as_json)
    from costing.workbook import book

    written = book.write(shop.model, shop.day, found, out, replace=replace, findings=shop.findings)
    return say(({"file": str(written)},), findings, (f"wrote {written}",), as_json=as_json)


@told
def foods_search(words: str, limit: int, *, as_json: bool) -> int:
    """Foods by words of their names."""
    from nutrition.foods import search

    found = search.search(words, limit)
    if as_json:
        say_json([{"id": one.id, "name": one.name, "source": one.source} for one in found])
    elif found:
        click.echo(terminal.table(("food", "name"), [(one.id, one.name) for one in found]))
    else:
        click.echo(f"no food is called '{terminal.clean(words)}'; try fewer or plainer words", err=True)
    return 0


@told
def foods_show(food: str, *, as_json: bool) -> int:
    """What is in a food."""
    from nutrition.foods import library, show
    from nutrition.nutrients import nutrient

    try:
        record = library.resolve(food, {})
    except (KeyError, ValueError) as error:
        what = str(error.args[0]) if error.args else f"there is no food {food}"
        mend = "look for it with `creamery foods search WORDS`"
        raise ShopError((Finding("error", food, what, mend),)) from error
    document = show.document(record)
    if as_json:
        say_json(document)
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
    return 0


@told
def prices_show(folder: Path, names: Sequence[str], as_of: date | None, *, as_json: bool) -> int:
    """The prices used, and their rivals."""
    from costing.prices import show

    shop = _open(folder, as_of)
    results = show.entries(shop.model, shop.day, names)
    blocks = (show.text(results, shop.model),)
    return say(results, shop.findings, blocks, as_json=as_json)


def _open(folder: Path, as_of: date | None) -> Shop:
    from costing.desk import Shop

    return Shop.open(folder, as_of)


def _ask(folder: Path, recipes: Sequence[str], as_of: date | None) -> tuple[Shop, Sequence[RecipeAnswer]]:
    shop = _open(folder, as_of)
    return shop, shop.answers(_keys(shop, recipes))


def _keys(shop: Shop, recipes: Sequence[str]) -> tuple[str, ...]:
    """The recipes asked for, by key; a file name of one will do (``recipes/quince.yaml``).

    Raises:
        ShopError: there is no such recipe.
    """
    keys = tuple(Path(one).stem if one.endswith((".yaml", ".yml")) else one for one in recipes)
    known = shop.model.recipes
    missing = []
    for key in dict.fromkeys(keys):
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            mend = f"did you mean '{near[0]}'?" if near else f"the recipes are {', '.join(known) or 'none'}"
            missing.append(Finding("error", "recipes", f"there is no recipe '{key}'", mend))
    if missing:
        raise ShopError((*shop.findings, *missing))
    return tuple(dict.fromkeys(keys))


def _findings(shop: Shop, found: Iterable[RecipeAnswer], *, labels: bool = True) -> tuple[Finding, ...]:
    """Everything there is to know; without ``labels`` nothing that only a label cares about."""
    from nutrition.law.us import business

    out = dict.fromkeys(shop.findings)
    address = business.check(shop.model.name, shop.model.address)
    for answer in found:
        notes = answer.label.notes if answer.label is not None and not labels else ()
        about_labels = {(note.level, note.what) for note in (*notes, *(address if notes else ()))}
        out |= dict.fromkeys(one for one in answer.findings if (one.level, one.what) not in about_labels)
    return tuple(out)
