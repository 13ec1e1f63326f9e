"""What is wrong with the input, as values: where, what, and how to mend it.

>>> str(Finding("error", "recipes/quince.yaml:9", "there is no ingredient called 'creme'", "did you mean 'cream'?"))
"error recipes/quince.yaml:9: there is no ingredient called 'creme' (did you mean 'cream'?)"
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing to know or to mend.

    Args:
        level: ``error`` (no answer before it is mended), ``warning`` or ``note``.
        where: file and line, relative to the shop folder (``recipes/quince.yaml:9``).
        what: what is wrong, one sentence without a full stop.
        mend: how to mend it, may be empty.
    """

    level: Level
    where: str
    what: str
    mend: str = ""

    def __str__(self) -> str:
        tail = f" ({self.mend})" if self.mend else ""
        return f"{self.level} {self.where}: {self.what}{tail}"

    def as_json(self) -> dict[str, str]:
        """The finding as the machine-readable answers give it."""
        return {"level": self.level, "where": self.where, "what": self.what, "mend": self.mend}


class ShopError(Exception):
    """The shop cannot be used; carries every finding at once.

    Args:
        findings: all of them, errors and others.
    """

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("\n".join(str(f) for f in findings))
        self.findings = findings
