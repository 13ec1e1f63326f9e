"""What ``creamery label`` does: says what labels must say, and writes the panels and the record beside them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from costing import answers, commands, files, panels, terminal, whole_label
from costing.evidence import asked
from costing.evidence import commands as evidence
from costing.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from costing.asking import Wanted
    from costing.desk import Shop
    from costing.panels import PanelWish
    from costing.results import RecipeAnswer


@commands.told
def label(
    folder: Path,
    recipes: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    out: Path | None,
    replace: bool,
    why: Sequence[str] = (),
    against: Path | None = None,
    final: bool = False,
    wanted: Wanted = commands.AS_WRITTEN,
    wish: PanelWish = panels.AS_IT_FITS,
    whole: bool = True,
) -> int:
    """What labels must say, why, and against what was printed; panels too, if a folder is given or one is wished.

    With a folder come whole labels too, unless nobody wants them.
    """
    shop, found, notes = commands.ask_for(folder, recipes, as_of, wanted, ranges=True)
    findings = (*commands.gathered(shop, found), *notes)
    labels = [one for one in found if one.label is not None]
    results = [
        result | commands.trials_of(shop, one, wanted) for one in labels if (result := answers.label(one)) is not None
    ]
    findings = (*findings, *(note for one in labels for note in _others(shop, one)))
    locale = shop.model.locale
    if final:
        findings = (*findings, *evidence.not_final(shop, labels))
    blocks: Sequence[str] = [
        "\n\n".join(
            (
                text := terminal.label(one.label, locale, one.ranges),
                *terminal.spread(one, locale, text),
                *_otherwise(one),
            )
        )
        + commands.with_trials(shop, one, wanted)
        for one in labels
        if one.label is not None
    ]
    if why:
        blocks = _why(shop, labels, results, why, wanted)
    drawings = []
    if (out is not None or wish != panels.AS_IT_FITS) and not commands.has_errors(findings):
        drawings = [panels.draw(shop.model, one, wish) for one in labels]
        for one, drawing, result in zip(labels, drawings, results, strict=True):
            result["panel"] = panels.as_json(drawing)
            findings = (*findings, *(Finding("note", one.recipe, note, "") for note in drawing.notes))
        blocks = [f"{block}\n\n{panels.said(drawing)}" for block, drawing in zip(blocks, drawings, strict=True)]
    packages, more = _packages(shop, labels, out if whole else None, wish, findings)
    findings = (*findings, *more)
    records: Mapping[str, answers.Json] = {}
    if against is not None or out is not None:
        records = evidence.records(shop, labels, wanted)
    if against is not None:
        said, more = evidence.against(labels, results, records, against, locale)
        blocks, findings = (*(blocks if why else ()), *said), (*findings, *more)
    if out is not None and not commands.has_errors(findings):
        contents: dict[Path, bytes | str] = {}
        for one, drawing, result in zip(labels, drawings, results, strict=True):
            if one.label is not None:
                written = panels.files(one, drawing, out)
                if one.recipe in packages:
                    package = packages[one.recipe]
                    written |= package.files
                    findings = (*findings, *whole_label.other_form(package.facts, one.recipe, drawing.form))
                    result["package"] = dict(package.facts)
                    blocks = (*blocks, whole_label.words(package.facts, terminal.clean(one.title)))
                kept = answers.document([result], one.findings) | {"record": records[one.recipe]}
                written[out / f"{one.recipe}.json"] = answers.text(kept) + "\n"
                commands.refuse_twins(contents, written)
                contents |= written
                result["files"] = [str(path) for path in written]
        files.write_all(contents, replace=replace)
        blocks = (*blocks, "\n".join(f"wrote {path}" for path in contents))
    elif out is not None:
        findings = (*findings, commands.unwritten(out))
    return commands.say(results, findings, blocks, as_json=as_json)


def _packages(
    shop: Shop, labels: Sequence[RecipeAnswer], out: Path | None, wish: PanelWish, findings: Sequence[Finding]
) -> tuple[dict[str, whole_label.Drawn], tuple[Finding, ...]]:
    """The whole labels, by recipe, and what there is to know about them; none without a folder or with errors."""
    if out is None:
        return {}, ()
    if wish.is_for_another_place:
        what = "whole labels are left out, for the panel was asked for in other room than that of the container's label"
        return {}, (Finding("note", str(out), what, "leave out --width, --height and --area to have them"),)
    if commands.has_errors(findings):
        return {}, ()
    drawn = {one.recipe: whole_label.draw(shop.model, one, out, wish.form) for one in labels}
    return drawn, tuple(finding for one in drawn.values() for finding in one.findings)


def _others(shop: Shop, answer: RecipeAnswer) -> tuple[Finding, ...]:
    """A note that a recipe fills other containers too, which want labels of their own."""
    first, *others = dict.fromkeys(one.container for one in answer.filled)
    if not others:
        return ()
    what = f"this is the label of the {first}; {answer.recipe} is filled into {' and '.join(others)} too"
    mend = f'ask for it with --container "{others[0]}", and write it to a folder of its own'
    return (Finding("note", shop.model.recipes[answer.recipe].where, what, mend),)


def _otherwise(answer: RecipeAnswer) -> tuple[str, ...]:
    from costing.evidence.otherwise import otherwise

    said = otherwise(answer)
    return (said,) if said else ()


def _why(
    shop: Shop, labels: Sequence[RecipeAnswer], results: Sequence[answers.Json], why: Sequence[str], wanted: Wanted
) -> list[str]:
    """What stands behind some figures, for people; for machines it goes into the results."""
    from costing.evidence import documents, text

    keys = evidence.keys_meant(why, labels)
    found = evidence.gathered(shop, labels, wanted)
    blocks = []
    for one, result in zip(labels, results, strict=True):
        proof = found[one.recipe]
        own = [key for key in keys if key in proof.lines or key in asked.PLACES]
        result["evidence"] = documents.document(proof, own)
        blocks.append(text.why(proof, own, shop.model.locale) + commands.with_trials(shop, one, wanted))
    return blocks
