"""Field types of the checked models: each takes the text of a YAML scalar and gives a value with its unit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, ValidationInfo

from costing import endings, units
from costing.amounts import Amount, Figure
from costing.shop import words

AnyAmount = Annotated[Amount, PlainValidator(units.amount)]
Weight = Annotated[Figure, PlainValidator(units.weight)]
Volume = Annotated[Figure, PlainValidator(units.volume)]
Share = Annotated[Figure, PlainValidator(units.share)]
Ratio = Annotated[Figure, PlainValidator(units.ratio)]
"""A share that may pass the whole."""
ShareOrWeight = Annotated[Amount, PlainValidator(units.share_or_weight)]
WeightOrVolume = Annotated[Amount, PlainValidator(units.weight_or_volume)]
Target = Annotated[Amount, PlainValidator(units.target)]
Duration = Annotated[Figure, PlainValidator(units.duration)]
Temperature = Annotated[Figure, PlainValidator(units.temperature)]
SomeWeight = Annotated[Figure, PlainValidator(lambda text: words.positive(units.weight(text)))]
SomeVolume = Annotated[Figure, PlainValidator(lambda text: words.positive(units.volume(text)))]
SomeShare = Annotated[Figure, PlainValidator(lambda text: words.positive(units.share(text)))]
"""Weight, volume and share that must be above zero."""
PlainShare = Annotated[float, PlainValidator(words.plain_share)]
"""A share, 0 to below 1, that is no measurement."""
Words = Annotated[str, PlainValidator(words.words)]
"""One line of text, not empty."""
Count = Annotated[int, PlainValidator(words.whole_number)]


def in_currency(parse: Callable[[object, str], object]) -> PlainValidator:
    """A field that is read with the shop's currency at hand.

    Args:
        parse: takes the text and the currency's three letters, gives the value.
    """

    def check(value: object, info: ValidationInfo) -> object:
        context: Any = info.context or {}
        return parse(value, str(context.get("currency", "")))

    return PlainValidator(check)


Money = Annotated[float, in_currency(words.money)]
"""An amount of money in the shop's currency; more decimals than the currency has are kept."""
Hourly = Annotated[float, in_currency(words.money_per_hour)]
"""Money per hour, in the shop's currency."""
Monthly = Annotated[float, in_currency(words.money_per_month)]
PerKg = Annotated[float, in_currency(words.money_per_kg)]
PriceEndings = Annotated[tuple[str, ...], in_currency(endings.read)]
"""Last digits that selling prices may have."""


class Checked(BaseModel):
    """Base of all checked models: nothing unknown, nothing changed afterwards."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, arbitrary_types_allowed=True)


class Placed(Checked):
    """Something that stands in a file of the shop folder.

    Args:
        where: file and line, relative to the folder (``recipes/quince.yaml:9``).
        lines: for what it names (things, keys), file and line where these differ.
    """

    where: str
    lines: dict[str, str] = Field(default_factory=dict, repr=False)

    def at(self, name: str) -> str:
        """File and line of something that it names, else its own."""
        return self.lines.get(name, self.where)
