"""What ``creamery label`` does: says what labels must say, and writes the panels and the record beside them."""

from __future__ import annotations

from dataclasses import dataclass
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
    from nutrition.panel.drawing import Drawing


@dataclass(slots=True)
class _Told:
    """What is to be said of some labels, while it comes together: one result and one block for each label."""

    shop: Shop
    labels: Sequence[RecipeAnswer]
    results: list[answers.Json]
    findings: tuple[Finding, ...]
    blocks: Sequence[str] = ()

    @property
    def good(self) -> bool:
        """Nothing so far keeps files from being written."""
        return not commands.has_errors(self.findings)

    def note(self, *more: Finding) -> None:
        self.findings = (*self.findings, *more)


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
    told = _asked(folder, recipes, as_of, wanted)
    if final:
        told.note(*evidence.not_final(told.shop, told.labels))
    told.blocks = _why(told, why, wanted) if why else _values(told, wanted)
    drawings: Sequence[Drawing] = ()
    if (out is not None or wish != panels.AS_IT_FITS) and told.good:
        drawings = _drawn(told, wish)
    packages = _packages(told, out if whole else None, wish)
    kept = against is not None or out is not None
    records = evidence.records(told.shop, told.labels, wanted) if kept else {}
    if against is not None:
        said, more = evidence.against(told.labels, told.results, records, against, told.shop.model.locale)
        told.blocks = (*(told.blocks if why else ()), *said)
        told.note(*more)
    if out is not None and told.good:
        _write(told, drawings, packages, records, out, replace=replace)
    elif out is not None:
        told.note(commands.unwritten(out))
    return commands.say(told.results, told.findings, told.blocks, as_json=as_json)


def _asked(folder: Path, recipes: Sequence[str], as_of: date | None, wanted: Wanted) -> _Told:
    shop, found, notes = commands.ask_for(folder, recipes, as_of, wanted, ranges=True)
    labels = [one for one in found if one.label is not None]
    results = [
        result | commands.trials_of(shop, one, wanted) for one in labels if (result := answers.label(one)) is not None
    ]
    told = _Told(shop, labels, results, (*commands.gathered(shop, found), *notes))
    told.note(*(note for one in labels for note in _others(shop, one)))
    return told


def _values(told: _Told, wanted: Wanted) -> list[str]:
    """What each label says, for people."""
    blocks, locale = [], told.shop.model.locale
    for one in told.labels:
        if one.label is not None:
            text = terminal.label(one.label, locale, one.ranges)
            block = "\n\n".join((text, *terminal.spread(one, locale, text), *_otherwise(one)))
            blocks.append(block + commands.with_trials(told.shop, one, wanted))
    return blocks


def _drawn(told: _Told, wish: PanelWish) -> Sequence[Drawing]:
    """The panels; what there is to know about them is told."""
    drawings = [panels.draw(told.shop.model, one, wish) for one in told.labels]
    for one, drawing, result in zip(told.labels, drawings, told.results, strict=True):
        result["panel"] = panels.as_json(drawing)
        told.note(*(Finding("note", one.recipe, note, "") for note in drawing.notes))
    told.blocks = [f"{block}\n\n{panels.said(one)}" for block, one in zip(told.blocks, drawings, strict=True)]
    return drawings


def _packages(told: _Told, out: Path | None, wish: PanelWish) -> dict[str, whole_label.Drawn]:
    """The whole labels, by recipe; none without a folder or with errors. What there is to know about them is told."""
    if out is None:
        return {}
    if wish.is_for_another_place:
        what = "whole labels are left out, for the panel was asked for in other room than that of the container's label"
        told.note(Finding("note", str(out), what, "leave out --width, --height and --area to have them"))
        return {}
    if not told.good:
        return {}
    drawn = {one.recipe: whole_label.draw(told.shop.model, one, out, wish.form) for one in told.labels}
    told.note(*(finding for one in drawn.values() for finding in one.findings))
    return drawn


def _write(
    told: _Told,
    drawings: Sequence[Drawing],
    packages: Mapping[str, whole_label.Drawn],
    records: Mapping[str, answers.Json],
    out: Path,
    *,
    replace: bool,
) -> None:
    """Panels, whole labels and the record beside them, all of them or none."""
    contents: dict[Path, bytes | str] = {}
    for one, drawing, result in zip(told.labels, drawings, told.results, strict=True):
        written = panels.files(one, drawing, out)
        package = packages.get(one.recipe)
        if package is not None:
            written |= package.files
            told.note(*whole_label.other_form(package.facts, one.recipe, drawing.form))
            result["package"] = dict(package.facts)
            told.blocks = (*told.blocks, whole_label.words(package.facts, terminal.clean(one.title)))
        kept = answers.document([result], one.findings) | {"record": records[one.recipe]}
        written[out / f"{one.recipe}.json"] = answers.text(kept) + "\n"
        commands.refuse_twins(contents, written)
        contents |= written
        result["files"] = [str(path) for path in written]
    files.write_all(contents, replace=replace)
    told.blocks = (*told.blocks, "\n".join(f"wrote {path}" for path in contents))


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


def _why(told: _Told, why: Sequence[str], wanted: Wanted) -> list[str]:
    """What stands behind some figures, for people; for machines it goes into the results."""
    from costing.evidence import documents, text

    keys = evidence.keys_meant(why, told.labels)
    found = evidence.gathered(told.shop, told.labels, wanted)
    blocks = []
    for one, result in zip(told.labels, told.results, strict=True):
        proof = found[one.recipe]
        own = [key for key in keys if key in proof.lines or key in asked.PLACES]
        result["evidence"] = documents.document(proof, own)
        said = text.why(proof, own, told.shop.model.locale)
        blocks.append(said + commands.with_trials(told.shop, one, wanted))
    return blocks
