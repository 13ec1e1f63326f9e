"""What the law leaves to the label preparer, each choice with its words; a label keeps to one set throughout.

>>> Options(dv_from="rounded").words()["per cents of the daily value"]
'from rounded amounts, 21 CFR 101.9(d)(7)(ii), (c)(8)(iv)'
>>> Options(threshold=3.0)
Traceback (most recent call last):
    ...
ValueError: the closing clause takes 2, 1.5, 1, 0.5 %, not 3.0
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final, Literal, get_args, get_type_hints

from nutrition.law.us.tables import rows

DvFrom = Literal["unrounded", "rounded"]
BelowTwo = Literal["zero", "two"]
Calories = Literal["A", "B", "C"]
Juice = Literal["finished food", "juice volume"]
Compounds = Literal["bracketed", "opened"]
Milk = Literal["by name", "gathered"]
Lines = Literal["all", "shortened", "simplified"]
Equipment = Literal["printed", "left out"]

_WORDS: Final = {
    ("dv_from", "unrounded"): "from unrounded amounts, 21 CFR 101.9(d)(7)(ii), (c)(8)(iv)",
    ("dv_from", "rounded"): "from rounded amounts, 21 CFR 101.9(d)(7)(ii), (c)(8)(iv)",
    ("below_two", "zero"): "printed as 0 %, 21 CFR 101.9(c)(8)(iii)",
    ("below_two", "two"): "printed as 2 % from 1 % on, 21 CFR 101.9(c)(8)(iii)",
    ("calories", "A"): "by the specific factors of each food, 21 CFR 101.9(c)(1)(i)(A)",
    ("calories", "B"): "by the general factors 4, 4, 9, 21 CFR 101.9(c)(1)(i)(B)",
    ("calories", "C"): "by general factors less non-digestible carbohydrate, 21 CFR 101.9(c)(1)(i)(C)",
    ("juice", "finished food"): "on the finished food, FDA's questions and answers on 21 CFR 101.9(c)(6)(iii)",
    ("juice", "juice volume"): "by the juice's own volume, a conservative reading of 21 CFR 101.9(c)(6)(iii)",
    ("compounds", "bracketed"): "with their ingredients in brackets, 21 CFR 101.4(b)(2)(i)",
    ("compounds", "opened"): "opened up among the others, 21 CFR 101.4(b)(2)(ii)",
    ("milk", "by name"): "each by its own name, 21 CFR 101.4(b)",
    ("milk", "gathered"): "gathered as milkfat and nonfat milk, 21 CFR 135.110(g)",
    ("lines", "all"): "every line, 21 CFR 101.9(c)",
    ("lines", "shortened"): "lines left out with a statement, 21 CFR 101.9(c)",
    ("lines", "simplified"): "the simplified form, 21 CFR 101.9(f)",
    ("equipment", "printed"): "named on the label, which is voluntary, FDA guidance on food allergen labelling",
    ("equipment", "left out"): "not named on the label, which is voluntary, FDA guidance on food allergen labelling",
}
_ABOUT: Final = {
    "dv_from": "per cents of the daily value",
    "below_two": "vitamins and minerals below 2 %",
    "calories": "calories",
    "juice": "juice concentrated in the kitchen",
    "compounds": "compound ingredients",
    "milk": "milk ingredients",
    "lines": "lines of the panel",
    "equipment": "shared equipment",
}


@dataclass(frozen=True, slots=True)
class Options:
    """The choices behind a label.

    Args:
        dv_from: per cents of the daily value from ``unrounded`` or ``rounded`` amounts.
        below_two: a vitamin or mineral from 1 % to below 2 % prints ``zero`` or ``two`` per cent.
        threshold: per cent of the closing clause of the ingredient statement (2, 1.5, 1, 0.5); None for none.
        calories: ``A`` specific factors, ``B`` 4-4-9, ``C`` 4-4-9 less non-digestible carbohydrate.
        juice: how concentrated juice is judged.
        compounds: compound ingredients stand with theirs in brackets, or opened up.
        opened: names of compounds that are opened whatever ``compounds`` says, in small letters.
        net_of_boiling: added water counts less what was boiled off.
        reconstituting: water added beside dry milk or egg brings it back to single strength.
        milk: milk ingredients by name, or gathered as "milkfat and nonfat milk" where the food is ice cream.
        further: nutrients to print besides those that every panel has, by key.
        lines: every line, those that must stay, or the simplified form.
        claims: the label or advertising makes a nutrition claim.
        protein_quality: amino acid score that corrects protein, 0 to 1; None prints no per cent for protein.
        equipment: what else runs on the same machine is ``printed`` beside the ingredients, or ``left out``.
        category: row of ``reference_amounts.csv``.

    Raises:
        ValueError: a choice that does not exist.
    """

    dv_from: DvFrom = "unrounded"
    below_two: BelowTwo = "zero"
    threshold: float | None = 2.0
    calories: Calories = "B"
    juice: Juice = "finished food"
    compounds: Compounds = "bracketed"
    opened: frozenset[str] = frozenset()
    net_of_boiling: bool = False
    reconstituting: bool = False
    milk: Milk = "by name"
    further: tuple[str, ...] = ()
    lines: Lines = "all"
    claims: bool = False
    protein_quality: float | None = None
    equipment: Equipment = "printed"
    category: str = "frozen dessert"

    def __post_init__(self) -> None:
        hints = get_type_hints(type(self))
        for field in fields(self):
            allowed, given = get_args(hints[field.name]), getattr(self, field.name)
            if field.name in _ABOUT and given not in allowed:
                raise ValueError(f"{_ABOUT[field.name]}: {given!r} is none of {', '.join(allowed)}")
        if self.threshold is not None and self.threshold not in thresholds():
            listed = ", ".join(f"{t:g}" for t in thresholds())
            raise ValueError(f"the closing clause takes {listed} %, not {self.threshold}")
        if self.protein_quality is not None and not 0 <= self.protein_quality <= 1:
            raise ValueError(f"protein quality is a share from 0 to 1, not {self.protein_quality}")

    def words(self) -> dict[str, str]:
        """What was chosen, in words, with the paragraph that leaves the choice."""
        said = {about: _WORDS[name, getattr(self, name)] for name, about in _ABOUT.items()}
        said["closing clause"] = (
            "none" if self.threshold is None else f"contains {self.threshold:g}% or less of, 21 CFR 101.4(a)(2)"
        )
        if self.opened:
            said["opened up besides"] = ", ".join(sorted(self.opened))
        said["water boiled off"] = (
            "taken off the water added" if self.net_of_boiling else "not taken off the water added, 21 CFR 101.4(c)"
        )
        if self.reconstituting:
            said["water beside dry milk or egg"] = "ranks with it up to single strength, 21 CFR 101.4(c)"
        if self.protein_quality is not None:
            said["protein's per cent"] = f"corrected by {self.protein_quality:g}, 21 CFR 101.9(c)(7)"
        if self.claims:
            said["nutrition claims"] = "made on the label or in advertising"
        return said


def thresholds() -> tuple[float, ...]:
    """The per cents that may close an ingredient statement, 21 CFR 101.4(a)(2).

    >>> thresholds()
    (2.0, 1.5, 1.0, 0.5)
    """
    return tuple(float(row["pct"]) for row in rows("minor_thresholds.csv"))
