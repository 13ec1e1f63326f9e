"""Looks whether the sources of a shop's records have others by now, and what those would change on its labels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from costing.desk import Shop
from costing.findings import Finding
from costing.pins import changes, keep, places
from nutrition.foods import differences, library, pins

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from datetime import date
    from pathlib import Path

    from costing.pins.changes import LabelChange
    from nutrition.foods.differences import Difference
    from nutrition.foods.library import Found, UnknownFoodError
    from nutrition.foods.record import FoodRecord

    Fetch = Callable[[Iterable[str]], Mapping[str, Found | UnknownFoodError]]


@dataclass(frozen=True, slots=True)
class News:
    """A record whose source has another by now.

    Args:
        record: the other.
        before: the one that is used.
        pinned: the day on which that was pinned, empty where it is not.
        differences: in what they differ.
    """

    record: FoodRecord
    before: FoodRecord
    pinned: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class Outlook:
    """What refreshing a shop's records would do.

    Args:
        shop: the shop as it is.
        news: records that are others by now.
        labels: what would change for each recipe.
        findings: sources that did not answer.
    """

    shop: Shop
    news: tuple[News, ...]
    labels: tuple[LabelChange, ...]
    findings: tuple[Finding, ...]


def look(place: Path, as_of: date | None, day: date, fetch: Fetch) -> Outlook:
    """Ask the sources, and work out what would change. Nothing is written.

    Args:
        place: the shop, a folder or a workbook.
        as_of: the day for prices.
        day: the day on which new records would be pinned.
        fetch: gives records of the web service by their numbers.

    Raises:
        ShopError: something in the shop must be mended first.
    """
    shop = Shop.open(place, as_of)
    used = keep.used(shop.model)
    answers = library.find(used, {}, None, fetch)
    news: list[News] = []
    findings: list[Finding] = []
    for key, before in used.items():
        answer = answers[key]
        if not isinstance(answer, library.Found):
            findings.append(Finding("warning", key, f"{answer}".partition("; ")[0], "the record that is used stays"))
        elif answer.origin == "old cache":
            findings.append(Finding("warning", key, "the service does not answer", "the record that is used stays"))
        elif not pins.same(answer.record, before) or answer.record.release != before.release:
            pin = shop.model.pins.get(key)
            found = differences.between(before, answer.record)
            news.append(News(answer.record, before, pin.pinned if pin else "", found))
    labels: tuple[LabelChange, ...] = ()
    if news:
        fresh = used | {one.record.id: one.record for one in news}
        other = Shop(places.read_as(place, fresh, day, as_of), (), as_of)
        labels = tuple(
            changes.of(shop.answer(key), other.answer(key)) for key in shop.model.recipes if key in other.model.recipes
        )
    return Outlook(shop, tuple(news), tuple(one for one in labels if one.anything), tuple(findings))
