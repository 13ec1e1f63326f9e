"""What a gram of an ingredient and a piece of packaging cost on a day.

For each supplier and item the newest rows on or before the day count; of these the supplier that is fixed
for the ingredient, else, as shop or ingredient prefer, the cheapest usable gram or the newest price, ties by name.
Freight is a figure of its own beside every price; it is part of what a gram costs only where the shop says
``count freight: yes``. Prices in other currencies count by the rate of the day. Water is free unless somebody sells
it to the shop. An ingredient that comes from another bought thing (yolks of eggs) has no price of its own: the
kitchen buys the other thing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.amounts import Amount, Figure, Kind
from costing.prices import packs, rates

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from costing.findings import Finding
    from costing.shop.models import Ingredient, PriceRow, ShopModel


@dataclass(frozen=True, slots=True)
class Priced:
    """What a bought gram of an ingredient costs.

    Args:
        ingredient: the shop's name for it.
        supplier: who sells it, empty for free water.
        item: the supplier's name for it.
        pack: the pack as the supplier writes it.
        pack_g: grams in the pack.
        price: of the pack, in ``currency``.
        currency: of the price list.
        date: since when; None for free water.
        where: file and line of the row.
        per_gram: money for a bought gram, in the shop's currency.
        per_usable_gram: money for a gram that goes into the pot.
        freight: what the supplier's freight adds to the price, as a share of it; None where nobody knows.
        counted: how much of that share is in ``per_gram``: all of it where the shop counts freight, else 0.
    """

    ingredient: str
    supplier: str
    item: str
    pack: str
    pack_g: float
    price: float
    currency: str
    date: date | None
    where: str
    per_gram: float
    per_usable_gram: float
    freight: float | None = 0.0
    counted: float = 0.0


@dataclass(frozen=True, slots=True)
class PricedEach:
    """What one piece of packaging costs; the fields as in :class:`Priced`.

    Args:
        per_each: money for a piece, in the shop's currency.
        pieces: how many are in the pack.
    """

    item: str
    supplier: str
    name: str
    pack: str
    pieces: float
    price: float
    currency: str
    date: date
    where: str
    per_each: float
    freight: float | None = 0.0
    counted: float = 0.0


class UnusableError(ValueError):
    """A price row that cannot be used; ``mend`` says what to do about it.

    ``wanting`` where nothing is wrong with the row itself, and only something else is not known yet: a rate, a weight,
    a freight.
    """

    def __init__(self, what: str, mend: str = "", *, wanting: bool = False) -> None:
        super().__init__(what)
        self.mend = mend
        self.wanting = wanting


class PriceBook:
    """The prices of a shop on a day.

    Args:
        model: the shop.
        as_of: the day; rows of later dates do not exist yet.
    """

    def __init__(self, model: ShopModel, as_of: date) -> None:
        self.model = model
        self.as_of = as_of
        self._rows = _newest(model.prices, as_of)
        self._ingredients: dict[str, tuple[Priced, ...]] = {}
        self._items: dict[str, tuple[PricedEach, ...]] = {}
        self._suppliers = {name.casefold(): one for name, one in model.suppliers.items()}
        self._weights: dict[tuple[str, str], float | None] = {}

    def rows(self, name: str) -> tuple[PriceRow, ...]:
        """The rows that count on the day for an ingredient or a piece of packaging, usable or not."""
        return self._rows.get(name, ())

    def ingredient(self, name: str) -> Priced | None:
        """What a bought gram of an ingredient costs.

        Args:
            name: the shop's name for it.

        Returns:
            The price used, in the shop's currency; None where there is none (:func:`costing.prices.checks.findings`
            says why).

        Raises:
            KeyError: there is no such ingredient, and it is not water.
        """
        offers = self.offers(name)
        return offers[0] if offers else None

    def offers(self, name: str) -> tuple[Priced, ...]:
        """Every price of an ingredient that could be used, the one that is used first, then by usable gram.

        Raises:
            KeyError: there is no such ingredient, and it is not water.
        """
        if name not in self._ingredients:
            self._ingredients[name] = self._weigh_offers(name)
        return self._ingredients[name]

    def item(self, name: str) -> PricedEach | None:
        """What one piece of packaging costs; None where there is no usable price.

        Args:
            name: as containers name it, and as the price lists do in their column ``ingredient``.
        """
        offers = self.item_offers(name)
        return offers[0] if offers else None

    def each(self, name: str) -> float:
        """Money for one piece of packaging, in the shop's currency; ``nan`` where there is no usable price."""
        price = self.item(name)
        return price.per_each if price else float("nan")

    def item_offers(self, name: str) -> tuple[PricedEach, ...]:
        """Every price of a piece of packaging that could be used, the one that is used first, ties by name."""
        if name not in self._items:
            found = []
            for row in self.rows(name):
                try:
                    found.append(self.price_each(row))
                except UnusableError:
                    continue
            newest = self.model.prefer == "newest"
            found.sort(
                key=lambda o: (_age(o.date, self.as_of) if newest else 0, o.per_each, o.supplier, o.name, o.where)
            )
            self._items[name] = tuple(found)
        return self._items[name]

    def price_gram(self, row: PriceRow, ingredient: Ingredient) -> Priced:
        """What a row makes a gram of an ingredient cost.

        Raises:
            UnusableError: it makes none; says why.
        """
        freight, counted = self._freight(row)
        money = self._money(row) * (1.0 + counted)
        pack = _pack(row)
        grams = self._grams(pack, ingredient)
        return Priced(
            ingredient=ingredient.name,
            supplier=row.supplier,
            item=row.item,
            pack=row.pack,
            pack_g=grams,
            price=row.price,
            currency=row.currency,
            date=row.date,
            where=row.where,
            per_gram=money / grams,
            per_usable_gram=money / grams / self.usable(ingredient),
            freight=freight,
            counted=counted,
        )

    def price_each(self, row: PriceRow) -> PricedEach:
        """What a row makes one piece of packaging cost.

        Raises:
            UnusableError: it makes none; says why.
        """
        freight, counted = self._freight(row)
        money = self._money(row) * (1.0 + counted)
        pack = _pack(row)
        if pack.kind != "count":
            raise UnusableError(
                f"the pack '{row.pack}' of '{row.ingredient}' does not say how many pieces it has",
                "packaging is counted: write the pack like '500 ct'",
            )
        return PricedEach(
            item=row.ingredient,
            supplier=row.supplier,
            name=row.item,
            pack=row.pack,
            pieces=pack.amount,
            price=row.price,
            currency=row.currency,
            date=row.date,
            where=row.where,
            per_each=money / pack.amount,
            freight=freight,
            counted=counted,
        )

    def _weigh_offers(self, name: str) -> tuple[Priced, ...]:
        ingredient = self.model.ingredients.get(name)
        if ingredient is None:
            if name == "water":
                return (_free(name),)
            raise KeyError(name)
        if ingredient.comes_from:
            return ()
        found = []
        for row in self.rows(name):
            try:
                found.append(self.price_gram(row, ingredient))
            except UnusableError:
                continue
        if not found and ingredient.food == "water":
            return (_free(name),)
        fixed = ingredient.supplier
        newest = (ingredient.prefer or self.model.prefer) == "newest"

        def rank(offer: Priced) -> tuple[bool, int, float, str, str, str]:
            # Prices that differ by less than a billionth are one price: the pack's arithmetic, not the supplier's.
            usable = float(f"{offer.per_usable_gram:.9g}")
            other = fixed is not None and offer.supplier != fixed
            age = _age(offer.date, self.as_of) if newest else 0
            return (other, age, usable, offer.supplier, offer.item, offer.where)

        found.sort(key=rank)
        if fixed is not None and found and found[0].supplier != fixed:
            # The supplier that the owner fixed sells it no more; another one is not taken behind the owner's back.
            return ()
        return tuple(found)

    def _money(self, row: PriceRow) -> float:
        if not 0 < row.price < float("inf"):
            raise UnusableError(
                f"the price of '{row.item}' from '{row.supplier}' is {row.price:g}",
                "a price is above zero; correct it, or take the row out of a list of your own",
            )
        money = rates.converted(self.model, row.price, row.currency, self.as_of)
        if money is None:
            raise UnusableError(*rates.missing(self.model.rates, row.currency, self.model.currency), wanting=True)
        return money

    def _freight(self, row: PriceRow) -> tuple[float | None, float]:
        """What the supplier's freight adds to a price, as a share of it, and how much of that counts."""
        one = self._suppliers.get(row.supplier.casefold())
        share = one.share if one else None
        if not self.model.count_freight:
            return share, 0.0
        if share is None:
            said = f"freight: {one.freight.per_order:g} per order" if one and one.freight else "freight: 18 per order"
            wanting = "over which order" if one and one.freight else "what"
            raise UnusableError(
                f"the freight of '{row.supplier}' is not known, and the shop counts it: nobody says {wanting} it is, "
                "so its prices cannot be taken",
                f"write '{row.supplier}: {{{said}, usual order: 240}}' under 'suppliers' in shop.yaml, "
                "or 'freight: none'",
                wanting=True,
            )
        return share, share

    def _grams(self, pack: packs.Pack, ingredient: Ingredient) -> float:
        if pack.kind == "weight":
            return pack.amount
        key = (ingredient.name, pack.kind)
        if key not in self._weights:
            self._weights[key] = _weight_of_one(pack.kind, ingredient, self.model)
        one = self._weights[key]
        if one is None:
            example = "1 cup: 240 g" if pack.kind == "volume" else "1 each: 50 g"
            raise UnusableError(
                f"the pack '{pack.text}' of '{ingredient.name}' cannot be turned into grams",
                f"add what it weighs to its entry in ingredients.yaml, such as 'measures: {{{example}}}'",
                wanting=True,
            )
        return pack.amount * one

    def usable(self, ingredient: Ingredient) -> float:
        """The share of an ingredient as bought that goes into a pot, above 0 and up to 1."""
        if ingredient.usable is not None:
            share = ingredient.usable.mid
        else:
            record = self.model.foods.get(ingredient.food)
            share = 1.0 - (record.refuse or 0.0) if record else 1.0
        return share if share > 0 else 1.0


def _weight_of_one(kind: packs.PackKind, ingredient: Ingredient, model: ShopModel) -> float | None:
    """Grams in a millilitre or a piece; None where nobody says."""
    from costing import measures

    # By the litre: of a food's measures those nearest in size to what is bought are the surest.
    size, amount_kind, unit = (1000.0, Kind.VOLUME, "L") if kind == "volume" else (1.0, Kind.COUNT, "each")
    record = model.foods.get(ingredient.food)
    if record is None:
        return None
    try:
        grams = measures.weigh(Amount(amount_kind, Figure(size, size), unit), ingredient, record).mid / size
    except measures.MeasureError:
        return None
    return grams if 0 < grams < float("inf") else None


def _pack(row: PriceRow) -> packs.Pack:
    try:
        return packs.parse(row.pack)
    except ValueError as error:
        what, _, mend = str(error).partition("; ")
        raise UnusableError(f"pack {what}" if what.startswith("'") else what, mend) from error


def _newest(prices: tuple[PriceRow, ...], as_of: date) -> Mapping[str, tuple[PriceRow, ...]]:
    """By ingredient, the newest rows of each supplier and item on or before the day.

    An item may stand more than once in the newest list, in packs of several sizes: all of these count.
    """
    newest: dict[tuple[str, str, str], list[PriceRow]] = {}
    for row in prices:
        if row.date > as_of:
            continue
        key = (row.ingredient, row.supplier, row.item)
        kept = newest.get(key)
        if kept is None or row.date > kept[0].date:
            newest[key] = [row]
        elif row.date == kept[0].date:
            kept.append(row)
    by_name: dict[str, list[PriceRow]] = {}
    for (name, _, _), rows in newest.items():
        by_name.setdefault(name, []).extend(rows)
    return {name: tuple(rows) for name, rows in by_name.items()}


def _age(day: date | None, on: date) -> int:
    """How many days old a price is."""
    return (on - day).days if day else 0


def _free(name: str) -> Priced:
    return Priced(name, "", name, "", 1.0, 0.0, "", None, "", 0.0, 0.0)


def findings(model: ShopModel, as_of: date) -> tuple[Finding, ...]:
    """What is wrong with the prices on a day; see :func:`costing.prices.checks.findings`."""
    from costing.prices import checks

    return checks.findings(model, as_of)
