"""Field types of the checked models: each takes the text of a YAML scalar and gives a value with its unit."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, PlainValidator

from costing import units
from costing.amounts import Amount, Figure

AnyAmount = Annotated[Amount, PlainValidator(units.amount)]
Weight = Annotated[Figure, PlainValidator(units.weight)]
Volume = Annotated[Figure, PlainValidator(units.volume)]
Share = Annotated[Figure, PlainValidator(units.share)]
ShareOrWeight = Annotated[Amount, PlainValidator(units.share_or_weight)]
WeightOrVolume = Annotated[Amount, PlainValidator(units.weight_or_volume)]
Target = Annotated[Amount, PlainValidator(units.target)]
Duration = Annotated[Figure, PlainValidator(units.duration)]
Temperature = Annotated[Figure, PlainValidator(units.temperature)]


class Checked(BaseModel):
    """Base of all checked models: nothing unknown, nothing changed afterwards."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, arbitrary_types_allowed=True)
