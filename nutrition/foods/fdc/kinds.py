"""The four kinds of foods in FoodData Central that a kitchen can use, plainest first.

The download holds others too (samples and acquisitions behind the Foundation foods); they are no foods to cook with.

>>> kind("sr_legacy_food").name, kind("sr-legacy").words
('sr-legacy', 'SR Legacy')
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of foods.

    Args:
        name: as on the command line.
        data_type: as in the column ``data_type`` of food.csv.
        web: as in ``dataType`` of the web service.
        words: as people read it.
    """

    name: str
    data_type: str
    web: str
    words: str


KINDS = (
    Kind("foundation", "foundation_food", "Foundation", "Foundation Foods"),
    Kind("sr-legacy", "sr_legacy_food", "SR Legacy", "SR Legacy"),
    Kind("survey", "survey_fndds_food", "Survey (FNDDS)", "Survey (FNDDS)"),
    Kind("branded", "branded_food", "Branded", "Branded Foods"),
)
"""In the order in which a search shows them."""

NAMES = tuple(one.name for one in KINDS)


def kind(name: str) -> Kind:
    """A kind by any of its names.

    Raises:
        KeyError: there is no such kind.
    """
    for one in KINDS:
        if name in {one.name, one.data_type, one.web}:
            return one
    raise KeyError(f"'{name}' is no kind of food of FoodData Central that can be used; there are {', '.join(NAMES)}")
