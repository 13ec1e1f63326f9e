"""A step in words, as a cook would read it off the wall."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from costing.amounts import Amount, Figure

if TYPE_CHECKING:
    from costing.shop.steps import Step

_LEFT_OUT = {"verb", "where", "lines", "labour", "by", "name", "note"}


def describe(step: Step) -> str:
    """What a step says, without its verb: ``heavy cream 2 qt, sugar 520 g`` or ``hold 50 min, loses 12 %``.

    Args:
        step: the step.
    """
    parts: list[str] = []
    for key, value in step:
        if key in _LEFT_OUT or value in (None, {}, ()):
            continue
        text = _words(value)
        if key in ("things", "amount", "weight", "text") or key == "out":
            parts.append(text)
        elif key == "by_points":
            parts.append(", ".join(f"{_words(t)} within {_words(s)}" for t, s in value.items()))
        elif key == "container":
            parts.append(", ".join(_filling(filling) for filling in value))
        else:
            parts.append(f"{key.replace('_', ' ')} {text}")
    return ", ".join(part for part in parts if part)


def _words(value: Any) -> str:
    if isinstance(value, (Amount, Figure)):
        return value.text
    if isinstance(value, dict):
        return ", ".join(f"{name} {_words(amount)}".strip() for name, amount in value.items())
    if isinstance(value, tuple):
        return ", ".join(_words(one) for one in value)
    return "" if value is None else str(value)


def _filling(filling: Any) -> str:
    if filling.count is not None:
        return f"{filling.count} x {filling.container}"
    return f"{filling.container} {_words(filling.share)}".strip()
