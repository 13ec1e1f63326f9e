"""Counts every row of a download's file: stored, left out because nobody asked for it, or refused with a reason.

>>> tally = Tally("food.csv")
>>> tally.count(5)
>>> tally.store(3)
>>> tally.leave("sub_sample_food", 1)
>>> tally.refuse("an id twice", 1, "id 7")
>>> tally.whole(), tally.words()
(True, 'food.csv: 5 rows read, 3 stored, 1 left out (sub_sample_food 1), 1 refused (an id twice 1, such as id 7)')
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

TOO_MANY = (100, 0.01)
"""A file of which more rows than both (a number, a share) are damaged is not believed at all."""


@dataclass(slots=True)
class Tally:
    """The count of one file.

    Args:
        file: its name.
    """

    file: str
    read: int = 0
    stored: int = 0
    left: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    examples: dict[str, str] = field(default_factory=dict)

    def count(self, rows: int) -> None:
        """So many rows were read."""
        self.read += rows

    def store(self, rows: int) -> None:
        """So many were stored."""
        self.stored += rows

    def leave(self, why: str, rows: int) -> None:
        """So many are no matter of ours."""
        if rows:
            self.left[why] += rows

    def refuse(self, why: str, rows: int = 1, example: str = "") -> None:
        """So many are damaged; the first example is kept."""
        if rows:
            self.refused[why] += rows
            if example:
                self.examples.setdefault(why, example[:80])

    def whole(self) -> bool:
        """Whether every row that was read is accounted for."""
        return self.read == self.stored + self.left.total() + self.refused.total()

    def damaged(self) -> bool:
        """Whether more rows are damaged than a sound file has."""
        number, share = TOO_MANY
        return self.refused.total() > max(number, share * self.read)

    def words(self) -> str:
        """The count in words."""
        parts = [f"{self.file}: {self.read:,} rows read", f"{self.stored:,} stored"]
        if self.left:
            each = ", ".join(f"{why} {count:,}" for why, count in sorted(self.left.items()))
            parts.append(f"{self.left.total():,} left out ({each})")
        if self.refused:
            each = ", ".join(self.reason(why) for why in sorted(self.refused))
            parts.append(f"{self.refused.total():,} refused ({each})")
        return ", ".join(parts)

    def reason(self, why: str) -> str:
        """One reason with its count and its first example."""
        example = f", such as {self.examples[why]}" if why in self.examples else ""
        return f"{why} {self.refused[why]:,}{example}"
