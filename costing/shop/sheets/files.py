"""The contents of a shop as the files of a folder, in text that people like to edit."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from costing.shop import pricelists, triallists
from costing.shop.recipes import BESIDE
from costing.shop.sheets.said import flow, scalar
from costing.shop.yaml_lines import Group, Listing, Text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from costing.shop.sheets.papers import Papers
    from costing.shop.yaml_lines import Node


def of(papers: Papers) -> dict[str, str]:
    """The files of a shop, by their names in its folder.

    Args:
        papers: its contents.
    """
    found = {file: yaml_text(root, recipe=file.startswith("recipes/")) for file, root in papers.roots.items()}
    for file, rows in papers.lists.items():
        columns = (pricelists.KIND if file.startswith("prices/") else triallists.KIND).columns
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows([cells.get(column, "") for column in columns] for _, cells in rows)
        found[file] = out.getvalue()
    return found


def yaml_text(root: Group, *, recipe: bool = False) -> str:
    """Entries as a file: those of the first two levels on lines of their own, the others in brackets.

    Args:
        root: the entries.
        recipe: whether its parts stand with a line for each step.

    >>> from costing.shop.yaml_lines import parse
    >>> print(yaml_text(parse("wages: {kitchen: 21.50 per hour}\\nname: 'A: B'\\n")[0]), end="")
    wages:
      kitchen: 21.50 per hour
    name: "A: B"
    """
    lines: list[str] = []
    for key, (_, node) in root.entries.items():
        if recipe and key == "parts" and isinstance(node, Group):
            lines += ["parts:", *_parts(node)]
        elif isinstance(node, Group) and node.entries:
            lines.append(f"{scalar(key)}:")
            lines += [f"  {scalar(name)}: {_value(inner)}".rstrip() for name, (_, inner) in node.entries.items()]
        else:
            lines.append(f"{scalar(key)}: {_value(node)}".rstrip())
    return "\n".join(lines) + "\n"


def _value(node: Node) -> str:
    return scalar(node.text, empty=node.empty) if isinstance(node, Text) else flow(node)


def _parts(parts: Group) -> Iterator[str]:
    for name, (_, part) in parts.entries.items():
        yield f"  {scalar(name)}:"
        steps, deep = part, "    "
        if isinstance(part, Group):
            others = [key for key in part.entries if key != "steps"]
            steps = part.get("steps") or Listing(part.line)
            for key in others:
                yield f"    {key}: {_value(part.entries[key][1])}"
            if others:
                yield "    steps:"
                deep = "      "
        for step in steps.items if isinstance(steps, Listing) else ():
            if isinstance(step, Group):
                yield from _step(step, deep)


def _step(step: Group, deep: str) -> Iterator[str]:
    verb = next((key for key in step.entries if key not in BESIDE), "note")
    yield f"{deep}- {verb}: {_value(step.entries[verb][1])}".rstrip()
    for key, (_, value) in step.entries.items():
        if key != verb:
            yield f"{deep}  {key}: {_value(value)}"
