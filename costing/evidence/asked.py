"""What ``--why`` can be asked about, and what is meant by what somebody wrote.

>>> meant("total fat", ["total_fat", "sodium"]), meant("Calories", ["energy"]), meant("Name", [])
('total_fat', 'energy', 'name')
>>> meant("total fatt", ["total_fat"])
Traceback (most recent call last):
ValueError: nothing on the label is called 'total fatt'; did you mean 'total_fat'?
"""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

ALL = "all"
PLACES = ("ingredients", "contains", "name", "serving", "net_quantity")
_ALSO = {
    "calories": "energy",
    "kcal": "energy",
    "fat": "total_fat",
    "carbohydrate": "total_carbohydrate",
    "carbs": "total_carbohydrate",
    "fiber": "dietary_fiber",
    "fibre": "dietary_fiber",
    "dietary_fibre": "dietary_fiber",
    "sugar": "total_sugars",
    "sugars": "total_sugars",
    "allergens": "contains",
    "allergen": "contains",
    "ingredient": "ingredients",
    "ingredient_statement": "ingredients",
    "statement": "ingredients",
    "name_of_the_food": "name",
    "serving_size": "serving",
    "servings": "serving",
    "servings_per_container": "serving",
    "quantity": "net_quantity",
}


def meant(text: str, nutrients: Iterable[str]) -> str:
    """The key that somebody means.

    Args:
        text: what was written; small letters or capitals, spaces, hyphens or underlines.
        nutrients: keys of the lines that the label has.

    Raises:
        ValueError: nothing on the label is called that, in words for a person.
    """
    key = "_".join(text.casefold().replace("-", " ").replace("_", " ").split())
    known = (ALL, *nutrients, *PLACES)
    found = _ALSO.get(key, key)
    if found in known:
        return found
    near = difflib.get_close_matches(key, (*known, *_ALSO), n=1, cutoff=0.7)
    mend = f"did you mean '{near[0]}'?" if near else f"ask about {', '.join(known[:-1])} or {known[-1]}"
    raise ValueError(f"nothing on the label is called '{text}'; {mend}")
