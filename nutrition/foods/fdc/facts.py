"""A food of FoodData Central as a food record, from what the download or the web service says of it.

>>> from nutrition.foods.fdc.nutrients import identify
>>> fat = identify("1004", "204", "Total lipid (fat)", "G")
>>> found = Facts(171265, "sr-legacy", "Milk, whole", release="2018-04", amounts=((fat, 3.2),)).record()
>>> found.id, found.source, found.composition.amount("total_fat")
('fdc:171265', 'USDA FoodData Central, SR Legacy, release 2018-04, FDC 171265', 3.2)
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from nutrition.composition import Composition
from nutrition.foods import estimates, spec, table
from nutrition.foods.fdc import printed
from nutrition.foods.fdc.kinds import kind
from nutrition.foods.fdc.nutrients import amounts as gather
from nutrition.foods.record import FoodRecord

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutrition.composition import Interval
    from nutrition.foods.fdc.nutrients import Known
    from nutrition.foods.record import Measure

SOURCE = "USDA FoodData Central"
VOLUME = "the record gives it in 100 mL, and nobody said what a millilitre weighs (0.9 to 1.4 g)"
ENERGY = frozenset({"energy", "protein", "total_fat", "total_carbohydrate"})
SOBER = "the package names no alcohol, and its energy is explained without"
OWN_ENERGY = frozenset({"1008", "2048"})
"""Ids of energy by factors of the food itself."""
LISTED = frozenset({"foundation", "sr-legacy", "survey"})
"""Kinds whose records list alcohol where there is some."""


@dataclass(frozen=True, slots=True)
class Facts:
    """What FoodData Central says of one food.

    Args:
        id: its FDC id.
        kind: the name of its kind, as in :data:`nutrition.foods.fdc.kinds.NAMES`.
        name: USDA's description of it.
        release: the release, as a date where there is one.
        published: the ISO date of the record, empty where it has none.
        group: USDA food group code, empty where it has none.
        ndb: NDB number of five digits, empty where it has none.
        amounts: nutrients with their amounts in 100 g, several for one of ours where USDA has several.
        measures: household measures and portions.
        details: what else there is: brand, gtin, ingredients, household serving, category.
        problems: what could not be read, in words.
        serving_g: of a packaged food, the serving that its label is for, g; None where it has none, or by volume.
        by_volume: its amounts are those in 100 mL.
        label: figures of its label for a serving, by our keys.
    """

    id: int
    kind: str
    name: str
    release: str = ""
    published: str = ""
    group: str = ""
    ndb: str = ""
    amounts: tuple[tuple[Known, float], ...] = ()
    measures: tuple[Measure, ...] = ()
    details: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    problems: tuple[str, ...] = ()
    serving_g: float | None = None
    by_volume: bool = False
    label: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def record(self) -> FoodRecord:
        """The food record: amounts from the best source of each nutrient, estimates by USDA food group, marked.

        Refuse and Atwater factors of a food with an NDB number come from the embedded table, which has them; factors
        only where energy was worked out by them.
        """
        known, said, problems = gather(self.amounts)
        if self.serving_g is not None:
            known = printed.intervals(known, self.serving_g, self.label)
        elif self.by_volume:
            said |= dict.fromkeys(known, VOLUME)
            known = printed.of_100_ml(known)
        filled, words = self._filled(known)
        legacy = self._legacy()
        return FoodRecord(
            id=f"fdc:{self.id}",
            name=self.name,
            source=self.source(),
            composition=Composition.of(100.0, filled),
            group=self.group,
            measures=self.measures,
            refuse=legacy.refuse if legacy else None,
            estimated=MappingProxyType(said | dict(words)),
            factors=legacy.factors if legacy and self._by_own_factors() else MappingProxyType({}),
            rounded=self.serving_g is not None,
            made_of=tuple((name, None) for name in printed.parts(self.details.get("ingredients", ""))),
            release=self.release,
            published=self.published,
            details=MappingProxyType(dict(self.details) | ({"ndb": self.ndb} if self.ndb else {})),
            problems=(*self.problems, *(one.what for one in problems)),
        )

    def source(self) -> str:
        """Who says so, which release, which number."""
        release = f", release {self.release}" if self.release else ""
        return f"{SOURCE}, {kind(self.kind).words}{release}, FDC {self.id}"

    def _filled(self, known: dict[str, float | Interval]) -> tuple[Mapping[str, float | Interval], Mapping[str, str]]:
        filled, words = estimates.fill(known, name=self.name, group=self.group)
        if self.kind not in LISTED and "alcohol" not in known:
            # Labels of packages do not list alcohol, so its absence from one says nothing; their energy may.
            others = {key: text for key, text in words.items() if key != "alcohol"}
            filled = {key: value for key, value in filled.items() if key != "alcohol"}
            if known.keys() >= ENERGY and not spec.unexplained({key: _interval(known[key]) for key in ENERGY}):
                return {**filled, "alcohol": 0.0}, MappingProxyType({**others, "alcohol": SOBER})
            return filled, MappingProxyType(others)
        return filled, words

    def _by_own_factors(self) -> bool:
        """Whether energy was worked out by the food's own factors, and not by the general ones (2047)."""
        return any(known.id in OWN_ENERGY for known, _ in self.amounts)

    def _legacy(self) -> FoodRecord | None:
        try:
            return table.food(self.ndb) if self.ndb else None
        except KeyError:
            return None


def _interval(amount: float | Interval) -> Interval:
    return amount if isinstance(amount, tuple) else (amount, amount, amount)
