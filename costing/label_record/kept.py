"""Reads an earlier label's record. It may come from anywhere, so its size, its nesting and every value are checked."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from costing.findings import Finding, ShopError
from costing.label_record.keep import VERSION

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

LARGEST = 16_000_000
"""bytes of a file; the record of a recipe has a few hundred thousand"""
SCHEMA = 1
NEW = "write labels anew with `creamery label SHOP --out FOLDER`, and compare with these from then on"

Text = Annotated[str, Field(max_length=20_000)]
Number = Annotated[float, Field(allow_inf_nan=False)]
# JSON has no tuples, so a list of three is one.
Interval = Annotated[tuple[Number, Number | None, Number], Field(strict=False)]
Said = Annotated[dict[Text, Text], Field(max_length=2000)]


class _Kept(BaseModel):
    """What is not known is let by; what is known must be right."""

    model_config = ConfigDict(frozen=True, extra="ignore", strict=True)


class Serving(_Kept):
    """The serving as it was printed."""

    measure: Text
    g: Number
    g_text: Text
    per_container: Text
    columns: list[Text]


class Line(_Kept):
    """A line of the panel as it was printed, with its unrounded amounts."""

    key: Text
    name: Text
    unit: Text
    per_serving: Number | None
    per_container: Number | None
    per_container_low: Number
    per_container_high: Number
    declared: dict[Text, Text]
    dv_pct: dict[Text, int]


class Named(_Kept):
    """The name of the food."""

    wanted: Text
    allowed: Text
    text: Text = ""


class Label(_Kept):
    """A label as it was printed."""

    recipe: Text
    title: Text
    serving: Serving
    nutrients: Annotated[list[Line], Field(max_length=200)]
    ingredients: Text
    contains: Text
    name: Named
    net_quantity: Text
    not_significant: Text = ""
    left_out: list[Text] = Field(default_factory=list)
    business: list[Text] = Field(default_factory=list)
    advisory: Text = ""
    bioengineered: Text = ""


class Share(_Kept):
    """What an ingredient brought to a line of a container."""

    ingredient: Text
    added_g: Number
    per_container: Number | None
    per_container_low: Number
    per_container_high: Number


class LineEvidence(_Kept):
    """The shares of a line."""

    shares: list[Share]


class Evidence(_Kept):
    """The evidence of a label, as far as a later one is held against it."""

    nutrients: dict[Text, LineEvidence]


class StepSaid(_Kept):
    """A step as it was written."""

    verb: Text
    where: Text
    said: Said


class PartSaid(_Kept):
    """A part as it was written."""

    name: Text
    said: Said
    steps: Annotated[list[StepSaid], Field(max_length=1000)]


class RecipeSaid(_Kept):
    """A recipe as it was written."""

    where: Text
    said: Said
    parts: Annotated[list[PartSaid], Field(max_length=1000)]


class IngredientSaid(_Kept):
    """An entry of an ingredient."""

    food: Text
    said: Said


class Food(_Kept):
    """A food record."""

    name: Text
    source: Text
    sha256: Text
    refuse: Number | None = None
    measures: dict[Text, Number] = Field(default_factory=dict)
    per_100g: dict[Text, Interval]


class Record(_Kept):
    """What is kept of how a label came about."""

    version: int
    made_by: Text
    as_of: Text
    rules_of: Text | None
    size: Number
    trials: bool
    measured: Said = Field(default_factory=dict)
    choices: Said
    gtin: Text | None = None
    net_g: Number
    evidence: Evidence
    recipes: dict[Text, RecipeSaid]
    shop: dict[Text, Said]
    ingredients: dict[Text, IngredientSaid]
    foods: dict[Text, Food]
    rules: Said
    provisions: list[Text]


class Kept(_Kept):
    """An earlier label; without a record of how it came about where its file is older than records."""

    where: str
    label: Label
    record: Record | None


def read(place: Path, recipes: Iterable[str]) -> tuple[dict[str, Kept], tuple[Finding, ...]]:
    """Earlier labels of some recipes.

    Args:
        place: a folder of ``recipe.json`` files, or one such file.
        recipes: keys of the recipes.

    Returns:
        Recipe to its earlier label, and what there is to know: recipes without one, records without their reasons.

    Raises:
        ShopError: the place does not exist, or a file in it is damaged, foreign or newer than this program.
    """
    wanted = tuple(recipes)
    if not place.exists():
        raise _error(place, "there is no such file or folder", "name the folder of the earlier labels, or one .json")
    files = {key: place / f"{key}.json" for key in wanted} if place.is_dir() else {}
    labels: dict[str, Kept] = {}
    findings: list[Finding] = []
    wrong: list[Finding] = []
    for path in [path for path in files.values() if path.is_file()] if place.is_dir() else [place]:
        try:
            for one in _read(path):
                if one.label.recipe in wanted:
                    labels[one.label.recipe] = one
                    if one.record is None:
                        what = "this label was kept before records were complete: texts are compared, reasons unknown"
                        findings.append(Finding("warning", str(path), what, NEW))
        except ShopError as error:
            wrong += error.findings
    if wrong:
        raise ShopError(tuple(wrong))
    for key in wanted:
        if key not in labels:
            what = f"there is no earlier label of {key} to compare with"
            findings.append(Finding("note", str(files.get(key, place)), what, ""))
    return labels, tuple(findings)


def _read(path: Path) -> list[Kept]:
    document = _json(path)
    if not isinstance(document, dict) or not isinstance(document.get("results"), list):
        raise _error(path, "this is no label that creamery kept: it has no results", NEW)
    if document.get("schema") != SCHEMA:
        what = f"its schema is {_shown(document.get('schema'))}, and this program reads {SCHEMA}"
        raise _error(path, what, "use the program that wrote it, or a newer one")
    record = document.get("record")
    if record is not None:
        version = record.get("version") if isinstance(record, dict) else None
        if not isinstance(version, int) or isinstance(version, bool) or version < 1:
            raise _error(path, f"its record has no version: {_shown(version)}", NEW)
        if version > VERSION:
            what = f"its record is of version {version}, and this program reads up to {VERSION}"
            raise _error(path, what, "use a newer program")
    out = []
    for result in document["results"]:
        try:
            label = Label.model_validate(result)
            found = None if record is None else Record.model_validate(record)
        except ValidationError as problem:
            raise ShopError(tuple(_told(path, problem))) from None
        out.append(Kept(where=str(path), label=label, record=found))
    if record is not None and len(out) != 1:
        raise _error(path, f"a record belongs to one label, and there are {len(out)} in it", NEW)
    return out


def _json(path: Path) -> Any:
    def refuse(word: str) -> Any:
        raise ValueError(f"{word} is no number of JSON")

    try:
        size = path.stat().st_size
        if size > LARGEST:
            raise _error(path, f"the file has {size:,} bytes, and no label has more than {LARGEST:,}", NEW)
        return json.loads(path.read_bytes().decode("utf-8"), parse_constant=refuse)
    except OSError as error:
        raise _error(path, f"it cannot be read: {error.strerror or error}", "check the place and its rights") from None
    except RecursionError:
        raise _error(path, "it is nested too deeply for a label", NEW) from None
    except ValueError as error:
        # No text in UTF-8, no JSON, a number that is none: all of them are ValueErrors.
        raise _error(path, f"the file is damaged: {_shown(str(error))}", NEW) from None


def _told(path: Path, problem: ValidationError) -> Iterable[Finding]:
    for one in problem.errors(include_url=False, include_input=False)[:5]:
        place = ".".join(str(part) for part in one["loc"])
        yield Finding("error", str(path), f"the label is damaged at {_shown(place)}: {one['msg']}", NEW)


def _shown(value: Any) -> str:
    return repr(value)[:120] if not isinstance(value, str) else value[:120]


def _error(path: Path, what: str, mend: str) -> ShopError:
    return ShopError((Finding("error", str(path), what, mend),))
