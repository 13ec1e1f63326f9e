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

from costing import answers, asking, files, food_doubts, terminal
from costing.asking import Wanted
from costing.findings import Finding, ShopError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import date

    from costing.batch_sheet.content import BatchSheet
    from costing.desk import Asked, Shop
    from costing.results import RecipeAnswer
    from costing.trials import Measurement
    from costing.workbook.proof.book import Proofs

P = ParamSpec("P")

AS_WRITTEN = Wanted()


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
    findings = (*gathered(shop, found), *food_doubts.notes(shop))
    count = {level: sum(f.level == level for f in findings) for level in ("error", "warning", "note")}
    summary = ", ".join(f"{n} {level}{'' if n == 1 else 's'}" for level, n in count.items() if n) or "nothing to mend"
    recipes = len(shop.model.recipes)
    made = f"{recipes} recipe{'' if recipes == 1 else 's'}"
    line = f"{terminal.clean(shop.model.name)}: {made}, prices of {shop.day}: {summary}"
    return say(results, findings, (line,), as_json=as_json)


@told
def cost(
    folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool, wanted: Wanted = AS_WRITTEN
) -> int:
    """What recipes cost."""
    from costing.selling import text as selling

    shop, found, notes = ask_for(folder, recipes, as_of, wanted, ranges=True)
    results = [result | trials_of(shop, one, wanted) for one in found if (result := answers.cost(one)) is not None]
    # A house base that nobody asked for by name is told of in the flavours that use it.
    shown = [one for one in found if one.cost is not None or (recipes and not has_errors(one.findings))]
    blocks = (
        terminal.cost(one, shop.model.locale, selling.remarks(one.cost, shop.model) if one.cost else "")
        + with_trials(shop, one, wanted)
        for one in shown
    )
    return say(results, (*gathered(shop, found, labels=False), *notes), blocks, as_json=as_json)


@told
def yields(
    folder: Path, recipes: Sequence[str], as_of: date | None, *, as_json: bool, wanted: Wanted = AS_WRITTEN
) -> int:
    """Where the weight and the money of recipes went, and what trials say."""
    from costing import terminal_yields, trials

    shop, found, notes = ask_for(folder, recipes, as_of, wanted, ranges=True)
    model = shop.model
    done = [(one, trials.compare(shop, one.recipe)) for one in found if one.parts]
    problems = tuple(c.problem for _, compared in done for c in compared if c.problem is not None)
    results = (answers.yields(one) | {"trials": answers.trials(compared, used=wanted.trials)} for one, compared in done)
    blocks = (
        terminal_yields.text(one, model.currency, model.locale, compared, used=wanted.trials) for one, compared in done
    )
    findings = (*gathered(shop, found, labels=False), *problems, *notes)
    return say(results, findings, blocks, as_json=as_json)


def refuse_twins(before: Mapping[Path, object], more: Mapping[Path, object]) -> None:
    """Refuse files of one recipe that bear the names of another's.

    Raises:
        ShopError: there are some; nothing has been written then.
    """
    twins = [path for path in more if path in before]
    if twins:
        what = f"two recipes would write {', '.join(path.name for path in twins)}"
        raise ShopError((Finding("error", str(twins[0].parent), what, "rename one of the recipe files"),))


def unwritten(out: Path) -> Finding:
    """The note that a file was not written, because there are errors."""
    return Finding("note", str(out), "nothing was written, because of the errors", "")


@told
def workbook(
    folder: Path,
    recipes: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    out: Path,
    replace: bool,
    wanted: Wanted = AS_WRITTEN,
    kitchen: bool = False,
    living: bool = False,
    evidence: bool = True,
) -> int:
    """Write the workbook of recipes; with evidence, sheets for the kitchen wall and formulas as they are wanted."""
    files.refuse_existing((out,), replace=replace)
    if living and (wanted.trials or wanted.changes):
        what = "a living workbook takes recipes as they are written, not as trials or changes would have them"
        raise ShopError((Finding("error", "--living", what, "leave out --use-trials and --if, or --living"),))
    shop, found, notes = ask_for(folder, recipes, as_of, wanted, ranges=False)
    findings = (*gathered(shop, found), *notes)
    if has_errors(findings):
        return say((), (*findings, unwritten(out)), (), as_json=as_json)
    from costing.flow import draw
    from costing.workbook import book

    hows, _ = asking.each(shop, keys_of(shop, recipes) or tuple(shop.model.recipes), wanted, ranges=False)
    flows = {one.recipe: draw(shop, one.recipe, hows[one.recipe]) for one in found if one.parts}
    sheets = _kitchen_sheets(shop, hows) if kitchen else ()
    proofs = _proofs(shop, found, hows, wanted) if evidence else None
    written = book.write(
        shop.model,
        shop.day,
        found,
        out,
        replace=replace,
        findings=shop.findings,
        flows=flows,
        batch_sheets=sheets,
        living=shop if living else None,
        proofs=proofs,
    )
    return say(({"file": str(written)},), findings, (f"wrote {written}",), as_json=as_json)


@told
def batch_sheet(
    folder: Path,
    recipes: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    out: Path,
    replace: bool,
    wanted: Wanted = AS_WRITTEN,
) -> int:
    """Write the sheets for the kitchen wall."""
    files.refuse_existing((out,), replace=replace)
    shop, found, notes = ask_for(folder, recipes, as_of, wanted, ranges=False)
    findings = (*gathered(shop, found, labels=False), *notes)
    if has_errors(findings):
        return say((), (*findings, unwritten(out)), (), as_json=as_json)
    hows, _ = asking.each(shop, keys_of(shop, recipes), wanted, ranges=False)
    from costing.batch_sheet import pdf

    written = files.write(out, pdf.render(shop, tuple(hows), hows), replace=replace)
    return say(({"file": str(written)},), findings, (f"wrote {written}",), as_json=as_json)


def _proofs(shop: Shop, found: Sequence[RecipeAnswer], hows: Mapping[str, Asked], wanted: Wanted) -> Proofs:
    from costing.evidence.sure import DRAWS
    from costing.workbook.proof import book

    return book.gather(shop, found, hows, draws=1 if wanted.ranges is False else DRAWS)


def _kitchen_sheets(shop: Shop, hows: Mapping[str, Asked]) -> tuple[BatchSheet, ...]:
    from costing.batch_sheet import writing

    return tuple(writing.sheet(shop, key, how) for key, how in hows.items())


@told
def flow(
    folder: Path,
    recipes: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    out: Path,
    replace: bool,
    wanted: Wanted = AS_WRITTEN,
) -> int:
    """Draw where weight and money of recipes go."""
    shop, found, notes = ask_for(folder, recipes, as_of, wanted, ranges=False)
    findings = (*gathered(shop, found, labels=False), *notes)
    if has_errors(findings):
        return say((), (*findings, unwritten(out)), (), as_json=as_json)
    from costing.flow import draw

    hows, _ = asking.each(shop, keys_of(shop, recipes), wanted, ranges=False)
    contents: dict[Path, bytes | str] = {}
    results = []
    for one in found:
        if one.cost is None:
            continue
        picture = draw(shop, one.recipe, hows[one.recipe])
        drawn: dict[Path, bytes | str] = {
            out / f"{one.recipe}-flow.svg": picture.svg,
            out / f"{one.recipe}-flow.png": picture.png(),
        }
        contents |= drawn
        results.append({"recipe": one.recipe, "files": [str(path) for path in drawn]})
    files.write_all(contents, replace=replace)
    return say(results, findings, ("\n".join(f"wrote {path}" for path in contents),), as_json=as_json)


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


def ask_for(
    folder: Path, recipes: Sequence[str], as_of: date | None, wanted: Wanted, *, ranges: bool
) -> tuple[Shop, Sequence[RecipeAnswer], tuple[Finding, ...]]:
    """The shop, its answers to what is asked, and what there is to know about the asking.

    Raises:
        ShopError: the shop cannot be read, or has no such recipe.
    """
    shop = _open(folder, as_of)
    if wanted.choices:
        shop = shop.choosing(wanted.choices)
    shop = asking.as_if(shop, keys_of(shop, recipes), wanted)
    if wanted.packed:
        shop = shop.packing(asking.container_of(shop, wanted.packed, "--container"))
    found, notes = asking.answers(shop, keys_of(shop, recipes), wanted, ranges=ranges)
    if wanted.trials and not shop.model.trials:
        what = "there are no trials to use, so every figure is the recipe's own"
        notes = (*notes, Finding("note", "trials", what, f"write them as trials/name.csv: {TRIAL_COLUMNS}"))
    elif wanted.trials and any(not one.parts for one in found):
        from costing import trials

        # The kitchen's error names the step; whose weights asked too much of it is told here.
        failed = (compared for one in found if not one.parts for compared in trials.compare(shop, one.recipe))
        notes = (*notes, *(one.problem for one in failed if one.problem is not None))
    return shop, found, notes


TRIAL_COLUMNS = "date,recipe,part,step,in,out,note"


def _measured(shop: Shop, answer: RecipeAnswer) -> list[Measurement]:
    """The steps with trials that a recipe goes through."""
    if not shop.model.trials:
        return []
    from costing import trials

    steps = {(part.recipe, part.name, step.step) for part in answer.parts for step in part.steps}
    return [one for one in trials.measurements(shop.model) if one.key in steps]


def trials_of(shop: Shop, answer: RecipeAnswer, wanted: Wanted) -> answers.Json:
    """The trials behind an answer, for its JSON."""
    return {"trials": answers.trials(_measured(shop, answer), used=wanted.trials)}


def with_trials(shop: Shop, answer: RecipeAnswer, wanted: Wanted) -> str:
    """Says that the figures above lean on trials, and on which."""
    used = _measured(shop, answer) if wanted.trials else []
    if not used:
        return ""
    counts = ((one, one.summary.count) for one in used)
    steps = ", ".join(f"{one.part} step {one.step} ({n} trial{'' if n == 1 else 's'})" for one, n in counts)
    return f"\n\nWith what trials measured in place of what the recipe assumes: {terminal.clean(steps)}."


def _ask(folder: Path, recipes: Sequence[str], as_of: date | None) -> tuple[Shop, Sequence[RecipeAnswer]]:
    shop = _open(folder, as_of)
    return shop, shop.answers(keys_of(shop, recipes))


def keys_of(shop: Shop, recipes: Sequence[str]) -> tuple[str, ...]:
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


def gathered(shop: Shop, found: Iterable[RecipeAnswer], *, labels: bool = True) -> tuple[Finding, ...]:
    """Everything there is to know; without ``labels`` nothing that only a label cares about."""
    from costing import around

    out = dict.fromkeys(shop.findings)
    address = around.address(shop.model)
    for answer in found:
        notes = answer.label.notes if answer.label is not None and not labels else ()
        about_labels = {(note.level, note.what) for note in (*notes, *(address if notes else ()))}
        out |= dict.fromkeys(one for one in answer.findings if (one.level, one.what) not in about_labels)
    return tuple(out)
