"""Everything that a whole label says, as texts that the type can set, before anyone has measured a place for it.

21 CFR 101.3 (name of the food), 101.4 (ingredients), 101.5 (name and place of business), 101.7 (net quantity),
101.9 (Nutrition Facts), FD&C Act 403(w) (allergens).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutrition.law.us.business import RULE as BUSINESS_RULE
from nutrition.law.us.label import NamePart
from nutrition.package import measures
from nutrition.package.refusals import CannotDrawError
from nutrition.panel import faces

if TYPE_CHECKING:
    from nutrition.law.us.label import Label
    from nutrition.package.gtin import Gtin


@dataclass(frozen=True, slots=True)
class Business:
    """Who answers for the food, 21 CFR 101.5.

    Args:
        name: corporate name.
        address: lines of its place: street, city with state and ZIP code.
        wording: ``Manufactured for``, ``Distributed by``; empty where the business is the maker itself.
    """

    name: str
    address: tuple[str, ...]
    wording: str = ""

    @property
    def text(self) -> str:
        """As one sentence without a point.

        >>> Business("Quillfeather Creamery", ("12 Ropewalk", "Port Ellery, ME 04999")).text
        'Quillfeather Creamery, 12 Ropewalk, Port Ellery, ME 04999'
        """
        said = ", ".join(part.strip() for part in (self.name, *self.address) if part.strip())
        return f"{self.wording.strip()} {said}".strip()


@dataclass(frozen=True, slots=True)
class Identity:
    """The name of the food as it stands on the main panel, 21 CFR 101.3.

    Args:
        title: the flavour's own name, above the name of the food; empty where it says no more than that name does.
        parts: the words of the name in order, each with its least height.
    """

    title: str
    parts: tuple[NamePart, ...]

    @property
    def text(self) -> str:
        """All of it on one line."""
        return " ".join(filter(None, (self.title, *(part.text for part in self.parts))))


@dataclass(frozen=True, slots=True)
class Content:
    """What a whole label says.

    Args:
        label: the label, for its Nutrition Facts.
        maker: name that stands on the main panel.
        identity: name of the food.
        net_quantity: ``1 PINT (473 mL)``.
        ingredients: the statement without its head.
        contains: the allergens in it.
        advisory: what is said of shared equipment, empty for nothing.
        business: name and place of business.
        disclosure: of bioengineered food, empty for none.
        keep: how it is kept.
        gtin: number of the bar code, None for none.
        lot_space: width and height, inches, of a box left empty for lot and date; None for none.
    """

    label: Label
    maker: str
    identity: Identity
    net_quantity: str
    ingredients: str
    contains: str
    advisory: str
    business: str
    disclosure: str
    keep: str
    gtin: Gtin | None = None
    lot_space: tuple[float, float] | None = None


def content(
    label: Label,
    business: Business,
    gtin: Gtin | None = None,
    lot_space: tuple[float, float] | None = None,
) -> Content:
    """What the whole label of a food says.

    Args:
        label: the label.
        business: who answers for it.
        gtin: number of the bar code.
        lot_space: width and height of a box left empty for lot and date, inches.

    Raises:
        CannotDrawError: name or place of business is missing, or a text holds letters that the type cannot set.
    """
    if not business.name.strip() or not any(line.strip() for line in business.address):
        lacking = "business name" if not business.name.strip() else "place of business"
        mend = "write name and address in shop.yaml: street, city, state and ZIP code"
        raise CannotDrawError(f"the label has no {lacking}, and no package may go without it", mend, BUSINESS_RULE)
    if not label.ingredients.strip():
        raise CannotDrawError("the label has no ingredients", "look at the recipe", "21 CFR 101.4")
    return Content(
        label=label,
        maker=_clean(business.name, "the business name"),
        identity=_identity(label),
        net_quantity=_clean(label.net_quantity, "the net quantity"),
        ingredients=_clean(label.ingredients, "the ingredient statement"),
        contains=_clean(label.contains, "the allergen statement"),
        advisory=_clean(label.advisory, "the words about shared equipment"),
        business=_clean(", ".join(label.business) or business.text, "the place of business"),
        disclosure=_clean(label.bioengineered, "the bioengineered disclosure"),
        keep=measures.words("keep"),
        gtin=gtin,
        lot_space=lot_space,
    )


def _identity(label: Label) -> Identity:
    parts = tuple(replace(part, text=_clean(part.text, "the name of the food")) for part in label.name.parts)
    if not parts:
        parts = (NamePart(_clean(label.name.allowed, "the name of the food"), "food", 0.0, "", "21 CFR 101.3"),)
    title = _clean(label.title, "the title")
    food = next(part.text for part in parts if part.role == "food")
    bare = _apart(title, food)
    for i, part in enumerate(parts):
        if part.role == "flavor" and _words(bare) == _words(part.text):
            # The title is the flavor, written as the shop likes it; it need not stand twice.
            return Identity("", (*parts[:i], replace(part, text=bare), *parts[i + 1 :]))
    if _words(title) == _words(food):
        return Identity("", parts)
    return Identity(bare if len(parts) == 1 else title, parts)


def _apart(title: str, food: str) -> str:
    """The flavour out of a title that ends in the name of the food, which stands below it anyway.

    >>> _apart("Red plum & ginger sorbet", "sorbet"), _apart("Ice cream", "ice cream")
    ('Red plum & ginger', 'Ice cream')
    """
    flavour = title[: -len(food)].rstrip() if title.casefold().endswith(f" {food.casefold()}") else title
    return flavour or title


def _words(text: str) -> list[str]:
    """The words of a name, as they sound.

    >>> _words("Toasted pistachio & sour cherry") == _words("toasted pistachio and sour cherry")
    True
    """
    return "".join(c if c.isalnum() else " " for c in text.casefold().replace("&", " and ")).split()


def _clean(text: str, where: str) -> str:
    try:
        return faces.clean(text, where)
    except ValueError as refused:
        what, _, mend = str(refused).partition("; ")
        raise CannotDrawError(what.replace("the panel cannot print", "the label cannot print"), mend) from None
