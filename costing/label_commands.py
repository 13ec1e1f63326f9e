"""What ``creamery label`` does: says what labels must say, and writes the panels and the record beside them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from costing import answers, commands, files, terminal

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from costing.asking import Wanted
    from nutrition.law.us.label import Label


@commands.told
def label(
    folder: Path,
    recipes: Sequence[str],
    as_of: date | None,
    *,
    as_json: bool,
    out: Path | None,
    replace: bool,
    wanted: Wanted = commands.AS_WRITTEN,
) -> int:
    """What the labels of recipes must say; panels too, if a folder for them is given."""
    shop, found, notes = commands.ask_for(folder, recipes, as_of, wanted, ranges=True)
    findings = (*commands.gathered(shop, found), *notes)
    labels = [one for one in found if one.label is not None]
    results = [
        result | commands.trials_of(shop, one, wanted) for one in labels if (result := answers.label(one)) is not None
    ]
    locale = shop.model.locale
    blocks = [
        "\n\n".join((terminal.label(one.label, locale, one.ranges), *terminal.spread(one, locale)))
        + commands.with_trials(shop, one, wanted)
        for one in labels
        if one.label is not None
    ]
    if out is not None and not commands.has_errors(findings):
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
        findings = (*findings, commands.unwritten(out))
    return commands.say(results, findings, blocks, as_json=as_json)


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
