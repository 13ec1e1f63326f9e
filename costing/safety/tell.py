"""From what a walk has found to findings, and how grave each is.

*Error*: raw milk, cream or egg goes in after the last heat that counts, or the only heats it sees are known to be too
little. Both are plain from the recipe and plain to mend, and such a food must not be sold.

*Warning*: what nobody wrote, and what a person must settle: no heat at all (bought dairy is usually pasteurised
already, and its owner says so with ``ready to eat: yes``), a heat without its figures, a heat that might be an equal,
cooling that is not written or looser than the limits. An error here would stop the costing of a recipe that may be
right.

*Note*: what loses nothing by waiting: an oven's heat of a piece that is folded in, a heat without figures that a later
one makes up for, a mix that rests on its suppliers' pasteurising.

Whatever is found, nothing here vouches for a food: a recipe says what was meant to be done.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from costing.findings import Finding
from costing.safety.cooling import unfinished
from costing.safety.heat import Standing, rule_rows, rule_words
from costing.safety.pots import Heat, Held, State

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from costing.safety.walk import Kitchen, Walked
    from costing.shop.models import Recipe

MARK = "ready to eat: yes"
VOUCHED = f"write {MARK} in ingredients.yaml where the supplier says that it is pasteurised and may be eaten as it is"


def of_recipe(recipe: Recipe, kitchen: Kitchen) -> tuple[Finding, ...]:
    """Everything that is to be said of one recipe, its house bases included.

    Args:
        recipe: the recipe.
        kitchen: the shop's recipes.

    Returns:
        The findings, errors first, each once.
    """
    walked = kitchen.walk(recipe)
    users = kitchen.users.get(recipe.makes, ()) if recipe.makes else ()
    found = list(_steps(walked))
    if users:
        found += _of_base(walked, users, kitchen)
    else:
        found += _end(walked)
    order = {"error": 0, "warning": 1, "note": 2}
    return tuple(sorted(dict.fromkeys(found), key=lambda one: order[one.level]))


def _steps(walked: Walked) -> Iterator[Finding]:
    """Findings about steps of a recipe and of its house bases."""
    for one in all_of(walked):
        yield from one.found


def all_of(walked: Walked) -> list[Walked]:
    """A recipe's walk and those of its house bases, each once, however deep."""
    found = {id(walked): walked}
    pending = [walked]
    while pending:
        below = {id(base): base for base in pending.pop().bases if id(base) not in found}
        found |= below
        pending.extend(below.values())
    return list(found.values())


def _of_base(walked: Walked, users: Iterable[Recipe], kitchen: Kitchen) -> Iterator[Finding]:
    """A house base is judged by where it goes: what its flavours heat again is no fault of it."""
    file = _file(walked.recipe.where)
    found = [one for user in users for one in of_flavours(user, kitchen) if _file(one.where) == file]
    yield from found
    raw = [item for item in walked.pot.items.values() if item.state >= State.SHORT]
    if raw and not any(one.level != "note" for one in found):
        what = f"this house base is handed on before any heat has pasteurised {_names(raw)}"
        mend = f"every flavour that is made of it must be heated: {rule_words()}"
        yield Finding("note", walked.recipe.where, what, mend)


def of_flavours(recipe: Recipe, kitchen: Kitchen) -> Iterator[Finding]:
    """What is told at the end of a recipe, or of the flavours that are made of it where it is a house base itself."""
    pending, seen = [recipe], {recipe.key}
    while pending:
        one = pending.pop()
        users = kitchen.users.get(one.makes, ()) if one.makes else ()
        if not users:
            yield from _end(kitchen.walk(one))
            yield from kitchen.walk(one).found
        pending.extend(user for user in users if user.key not in seen)
        seen.update(user.key for user in users)


def _end(walked: Walked) -> Iterator[Finding]:
    """What is told of a pot that is sold."""
    items = tuple(walked.pot.items.values())
    late = [item for item in items if item.late is not None]
    yield from _late(late)
    others = [item for item in items if item.late is None]
    yield from _unheated([item for item in others if item.state is State.RAW])
    yield from _short([item for item in others if item.state is State.SHORT])
    unsure = [item for item in others if item.state is State.UNSURE]
    yield from _unsure(unsure)
    yield from _oven([item for item in others if item.state is State.OVEN])
    yield from _unwritten(walked, {item.heat for item in unsure})
    if items and not walked.pot.churned:
        yield from unfinished(walked.pot.chill, "before it is used")
    mix = [item for item in items if item.churned]
    if mix and all(item.state is State.READY for item in mix):
        what = f"no heat here pasteurises this mix; it rests on the suppliers of {_names(mix)}"
        # 21 CFR 135.110(a)(1), from memory.
        mend = "ice cream is made of a pasteurised mix (21 CFR 135.110); ask your state whether this one passes"
        yield Finding("note", walked.recipe.where, what, mend)


def _late(items: Iterable[Held]) -> Iterator[Finding]:
    for item in items:
        late = item.late
        assert late is not None
        into = f"{late.part} at step {late.step}"
        if late.thing == item.name:
            what = f"{item.name} goes into {into} raw"
        else:
            what = f"{late.thing} goes into {into} with raw {item.name} in it"
        if item.state is State.SHORT and item.heat is not None:
            what += f" ({item.heat.verdict.why})"
        what += f", after the last heat that pasteurises ({late.heat}), and no heat after it does"
        mend = f"put it in before that heat, heat all of it again ({rule_words()}), or {VOUCHED}"
        yield Finding("error" if item.strict else "warning", late.where, what, mend)


def _unheated(items: Iterable[Held]) -> Iterator[Finding]:
    for those in _grouped(items, lambda item: _file(item.where)):
        what = f"NOT PASTEURISED as written: no heat here reaches {_names(those)}"
        mend = (
            f"cook the mix with temperature and hold ({rule_words()}, {rule_rows()[0].rule}); {VOUCHED}, and ask your "
            "state whether a mix of such things must be pasteurised again"
        )
        yield Finding("warning", those[0].where, what, mend)


def _short(items: Iterable[Held]) -> Iterator[Finding]:
    for those in _grouped(items, lambda item: item.heat):
        heat = _heat(those)
        what = f"{heat.verdict.why}, and nothing else pasteurises {_names(those)} ({heat.verdict.rule})"
        mend = f"heat it to {rule_words()}, or {VOUCHED}"
        level = "error" if any(item.strict for item in those) else "warning"
        yield Finding(level, heat.where, what, mend)  # type: ignore[arg-type]


def _unsure(items: Iterable[Held]) -> Iterator[Finding]:
    for those in _grouped(items, lambda item: item.heat):
        heat = _heat(those)
        what = f"it cannot be told whether this pasteurises {_names(those)}: {heat.verdict.why} ({heat.verdict.rule})"
        mend = f"write temperature: and hold: as thermometer and clock say; the rule asks for {rule_words()}"
        if heat.verdict.standing is Standing.EQUAL:
            mend = f"heat it to {rule_words()}, or keep the paper that approves this heat with your charts"
        yield Finding("warning", heat.where, what, mend)


def _oven(items: Iterable[Held]) -> Iterator[Finding]:
    for those in _grouped(items, lambda item: (item.heat, item.churned)):
        heat = _heat(those)
        what = f"it cannot be told whether this pasteurises {_names(those)}: {heat.verdict.why}"
        mend = f"measure the middle once at the end of the bake, and keep the figure; or {VOUCHED}"
        # A bake that is churned is part of the mix; one that is folded in is a piece, of which 135.3 says nothing.
        yield Finding("warning" if those[0].churned else "note", heat.where, what, mend)


def _unwritten(walked: Walked, told: set[Heat | None]) -> Iterator[Finding]:
    """Heats without a figure that something later makes up for."""
    for heat in (heat for one in all_of(walked) for heat in one.unwritten):
        if heat not in told:
            what = f"this heat does not count as pasteurising, because {heat.verdict.why}"
            yield Finding("note", heat.where, what, "write temperature: and hold: as thermometer and clock say")


def _grouped(items: Iterable[Held], by: object) -> list[list[Held]]:
    groups: dict[object, list[Held]] = {}
    for item in items:
        groups.setdefault(by(item), []).append(item)  # type: ignore[operator]
    return list(groups.values())


def _heat(items: list[Held]) -> Heat:
    heat = items[0].heat
    assert heat is not None
    return heat


def _names(items: Iterable[Held]) -> str:
    *most, last = dict.fromkeys(item.name for item in items)
    return f"{', '.join(most)} and {last}" if most else last


def _file(where: str) -> str:
    return where.partition(":")[0]
