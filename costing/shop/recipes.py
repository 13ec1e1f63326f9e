"""Reads a recipe: its parts, and the steps of each, in the long form and in the short forms that cooks prefer.

A part is a list of steps, or entries ``label:``, ``rest:`` and ``steps:``. A step is one verb with what stands beside
it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, Final

from costing.shop import label_choices
from costing.shop.building import Builder, lines_of, nearest
from costing.shop.models import Part, Recipe
from costing.shop.steps import VERBS, Step
from costing.shop.yaml_lines import Group, Listing, Node, Text

if TYPE_CHECKING:
    from costing.shop.building import Entries

BESIDE: Final = ("labour", "by", "name", "note")
"""What a step may carry beside its verb."""
EXAMPLES: Final = {
    "add": "add: {sugar: 350 g}",
    "trim": "trim: {quince: 61 %}",
    "cook": "cook: {temperature: 175 F, loses: 2 %}",
    "reduce": "reduce: {to: 50 %}",
    "render": "render: {of: duck skin, yields: 42 %}",
    "press": "press: {of: apples, yields: 60 %}",
    "soak": "soak: {of: raisins, uptake: 30 %}",
    "strain": "strain: {out: [quince], holding: 8 %}",
    "lose": "lose: 2 %",
    "weigh": "weigh: 900 g",
    "cool": "cool: {to: 40 F, within: 4 h}",
    "churn": "churn: {machine: batch freezer, overrun: 28 %}",
    "fold": "fold: {toasted pecans: 80 g}",
    "fill": "fill: {container: pint}",
    "note": "note: keep the lid on",
}
_INNER: Final = {
    verb: tuple(name for name in kind.model_fields if name not in Step.model_fields and name != "verb")
    for verb, kind in VERBS.items()
}


def recipe(key: str, root: Group, builder: Builder) -> Recipe | None:
    """A recipe out of its file.

    Args:
        key: the file name without its ending.
        root: the file's entries.
        builder: knows the file and takes findings.
    """
    before = len(builder.report.findings)
    parts = _parts(root, builder)
    others = {name: entry for name, entry in root.entries.items() if name != "parts"}
    shell = Group(1, label_choices.known(builder, others, ("label", "flavour")))
    lines = lines_of(shell, builder, 1)
    given = {"key": key, "where": builder.where(1), "lines": lines, "parts": parts}
    found = builder.model(Recipe, shell, "a recipe", given)
    return found if len(builder.report.findings) == before else None


def put_in(root: Group) -> Iterator[tuple[str, int]]:
    """What the steps of a recipe put into pots, with its line, whatever else is wrong with the recipe."""
    for key, line, node in _entries(root):
        if key in ("add", "fold") and isinstance(node, Group):
            # What stands there by a slip (a key of the step, half of a number with a comma) is told elsewhere.
            yield from (
                (name, at) for name, (at, _) in node.entries.items() if name not in BESIDE and not name[:1].isdigit()
            )
        elif key in ("add", "fold") and isinstance(node, Text) and not node.empty:
            yield node.text, line


def makes(root: Group) -> frozenset[str]:
    """Every name that a recipe gives to something, whatever else is wrong with it."""
    parts = root.get("parts")
    own = frozenset(parts.entries) if isinstance(parts, Group) else frozenset()
    given = (
        node.text for key, _, node in _entries(root) if key in ("save", "label", "makes") and isinstance(node, Text)
    )
    return own | frozenset(given)


def _entries(node: Node) -> Iterator[tuple[str, int, Node]]:
    """Every entry below a node, with its line; the reader of YAML bounds how deep that goes."""
    if isinstance(node, Group):
        for key, (line, inner) in node.entries.items():
            yield key, line, inner
            yield from _entries(inner)
    elif isinstance(node, Listing):
        for inner in node.items:
            yield from _entries(inner)


def _parts(root: Group, builder: Builder) -> tuple[Part, ...]:
    example = "parts: with the name of each part below it, and its steps below that, each beginning with '- '"
    node = root.get("parts")
    if node is None:
        builder.add(1, "a recipe needs 'parts'", f"write {example}")
        return ()
    group = builder.group(node, "parts", example)
    if group is None:
        return ()
    if not group.entries:
        builder.add(root.line_of("parts"), "the recipe has no part", f"write {example}")
    found = (_part(name, line, inner, builder) for name, (line, inner) in group.entries.items())
    return tuple(part for part in found if part is not None)


def _part(name: str, line: int, node: Node, builder: Builder) -> Part | None:
    raw: dict[str, Any] = {"name": name, "where": builder.where(line)}
    steps: Node | None = node
    entries: Entries = {}
    if isinstance(node, Group):
        entries = builder.known_keys(node, ("label", "rest", "steps"), "a part")
        steps = node.get("steps")
        raw |= {key: inner.plain() for key, (_, inner) in entries.items() if key != "steps"}
        if steps is None:
            if not set(node.entries) & set(VERBS):
                builder.add(line, f"part '{name}' has no steps", "write steps: with a list below it")
            else:
                builder.add(line, f"part '{name}' has steps that are no list", "begin each step with '- '")
            return None
    if not isinstance(steps, Listing) or not steps.items:
        builder.add(line, f"part '{name}' has no steps", "write its steps below it, each beginning with '- '")
        return None
    read = [_step(item, builder) for item in steps.items]
    raw["steps"] = tuple(step for step in read if step is not None)
    return builder.check(Part, raw, entries, line, "a part")


def _step(node: Node, builder: Builder) -> Step | None:
    if not isinstance(node, Group):
        if isinstance(node, Text) and node.text in VERBS:
            builder.add(node.line, f"'{node.text}' says nothing more", f"write {EXAMPLES[node.text]}")
        elif not (isinstance(node, Text) and node.empty):
            builder.add(node.line, "a step is a verb with a colon", "write '- verb: …'; for words, '- note: …'")
        return None
    verb = _verb(node, builder)
    if verb is None:
        return None
    line, inner = node.entries[verb]
    kind = VERBS[verb]
    entries: dict[str, tuple[int, Node]] = {
        key: node.entries[key] for key in BESIDE if key in node.entries and key != verb
    }
    raw: dict[str, Any] = {key: at[1].plain() for key, at in entries.items()}
    lines = {key: builder.where(at) for key, (at, _) in entries.items() if at != line}
    raw |= {"verb": verb, "where": builder.where(line), "lines": lines_of(inner, builder, line) | lines}
    before = len(builder.report.findings)
    fields = _SHORT.get(verb, _long)(verb, line, inner, builder)
    if fields is None:
        return None
    for name, (at, value, plain) in fields.items():
        entries[name] = (at, value)
        raw[name] = plain
    # Where a key was refused, what it stood for is not told to be missing besides.
    meant = kind.model_fields if len(builder.report.findings) > before else ()
    return builder.check(kind, raw, entries, line, verb, meant)


def _verb(node: Group, builder: Builder) -> str | None:
    """The verb of a step; everything beside it is checked."""
    verbs = [key for key in node.entries if key in VERBS and key != "note"]
    if not verbs and "note" in node.entries:
        verbs = ["note"]
    if len(verbs) > 1:
        line = node.line_of(verbs[1])
        builder.add(line, f"this step has two verbs, '{verbs[0]}' and '{verbs[1]}'", "begin the second with '- '")
        return None
    strange = [key for key in node.entries if key not in BESIDE and key not in verbs]
    for key in strange:
        line = node.line_of(key)
        if verbs and key in _INNER[verbs[0]]:
            mend = f"put it inside: {verbs[0]}: {{{key}: …}}, or indent it further"
            builder.add(line, f"'{key}' stands beside '{verbs[0]}', not inside it", mend)
        elif verbs:
            mend = nearest(key, (*BESIDE, *_INNER[verbs[0]]), f"beside a verb stand: {', '.join(BESIDE)}")
            builder.add(line, f"a step takes no '{key}' beside '{verbs[0]}'", mend)
        else:
            builder.add(line, f"there is no verb '{key}'", nearest(key, VERBS, f"the verbs are: {', '.join(VERBS)}"))
    if strange:
        return None
    if not verbs:
        builder.add(node.line, "this step has no verb", f"the verbs are: {', '.join(VERBS)}")
        return None
    return verbs[0]


Fields = dict[str, tuple[int, Node, Any]]
"""Field of the model to line, node and plain value."""


def _long(verb: str, _line: int, node: Node, builder: Builder) -> Fields | None:
    """The long form: fields with names."""
    group = builder.group(node, verb, EXAMPLES[verb])
    if group is None:
        return None
    found: Fields = {}
    for key, (at, inner) in group.entries.items():
        if key in _INNER[verb]:
            found[key] = (at, inner, inner.plain())
        elif key in BESIDE:
            builder.add(at, f"'{key}' stands inside '{verb}'", f"write it beside the verb, in the column of '{verb}'")
        else:
            mend = nearest(key, _INNER[verb], f"it takes: {', '.join(_INNER[verb])}")
            builder.add(at, f"'{verb}' takes no '{key}'", mend)
    return found


def _single(field: str) -> Callable[[str, int, Node, Builder], Fields | None]:
    """A verb that may be written with one plain value."""

    def read(verb: str, line: int, node: Node, builder: Builder) -> Fields | None:
        if isinstance(node, Group):
            return _long(verb, line, node, builder)
        return {field: (line, node, node.plain())}

    return read


def _things(verb: str, line: int, node: Node, builder: Builder) -> Fields | None:
    """Things with amounts."""
    group = builder.group(node, verb, EXAMPLES[verb])
    if group is None or not _not_beside(group, verb, builder):
        return None
    if not group.entries:
        builder.add(line, f"'{verb}' has nothing in it", f"write {EXAMPLES[verb]}")
        return None
    return {"things": (line, group, group.plain())}


def _not_beside(group: Group, verb: str, builder: Builder) -> bool:
    wrong = [key for key in group.entries if key in BESIDE]
    for key in wrong:
        mend = f"write it beside the verb, in the column of '{verb}'"
        builder.add(group.line_of(key), f"'{key}' stands inside '{verb}' as if it were a thing", mend)
    return not wrong


def _shares(node: Node) -> dict[str, Any] | Any:
    """Things with shares, or a list of things without."""
    if isinstance(node, Text) and not node.empty:
        return {node.text: None}
    if isinstance(node, Listing) and all(isinstance(item, Text) for item in node.items):
        return {str(item.plain()): None for item in node.items}
    if isinstance(node, Group):
        return {
            key: None if isinstance(inner, Text) and inner.empty else inner.plain()
            for key, (_, inner) in node.entries.items()
        }
    return node.plain()


def _trim(verb: str, line: int, node: Node, builder: Builder) -> Fields | None:
    if isinstance(node, Group) and not _not_beside(node, verb, builder):
        return None
    found = _shares(node)
    if not found:
        builder.add(line, f"'{verb}' has nothing in it", f"write {EXAMPLES[verb]}")
        return None
    return {"things": (line, node, found)}


def _strain(verb: str, line: int, node: Node, builder: Builder) -> Fields | None:
    if not isinstance(node, Group):
        return {"out": (line, node, _shares(node))}
    found = _long(verb, line, node, builder)
    if found and "out" in found:
        at, inner, _ = found["out"]
        found["out"] = (at, inner, _shares(inner))
    return found


def _cool(verb: str, line: int, node: Node, builder: Builder) -> Fields | None:
    if not isinstance(node, Group):
        return {"to": (line, node, node.plain())}
    points = node.entries.get("by")
    others = Group(node.line, {key: entry for key, entry in node.entries.items() if key != "by"})
    found = _long(verb, line, others, builder)
    if found is not None and points is not None:
        found["by_points"] = (*points, points[1].plain())
    return found


def _fill(verb: str, line: int, node: Node, builder: Builder) -> Fields | None:
    found: Fields | None = {"container": (line, node, None)}
    if isinstance(node, Group):
        found = _long(verb, line, node, builder)
    if not found or "container" not in found:
        return found
    at, inner, _ = found["container"]
    items = inner.items if isinstance(inner, Listing) else [inner]
    if not items:
        builder.add(at, "'container' has nothing in it", f"write {EXAMPLES[verb]}")
        return None
    plain = tuple({"container": item.plain()} if isinstance(item, Text) else item.plain() for item in items)
    found["container"] = (at, inner, plain)
    return found


_SHORT: Final[dict[str, Callable[[str, int, Node, Builder], Fields | None]]] = {
    "add": _things,
    "fold": _things,
    "trim": _trim,
    "reduce": _single("to"),
    "lose": _single("amount"),
    "weigh": _single("weight"),
    "note": _single("text"),
    "strain": _strain,
    "cool": _cool,
    "fill": _fill,
}
