"""Reads a shop folder into checked models, and collects everything that is wrong with it by file and line.

:func:`read` gives the shop only when no error stands against it; :func:`everything` gives what could be read all the
same, so that names are compared across files in the same run (:mod:`costing.shop.check` does).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Final, Literal, Protocol, TypeVar

from pydantic import Field, PlainValidator

from costing.digits import UnreadableError, clean, number
from costing.findings import Finding, cell_place
from costing.prices.rates import Rate
from costing.shop import (
    channels,
    csv_lists,
    label_choices,
    label_places,
    pricelists,
    recipes,
    records,
    sources,
    spec_csv,
    triallists,
    words,
)
from costing.shop import fields as f
from costing.shop.building import Builder, lines_of, nearest
from costing.shop.models import (
    PREFERENCES,
    Channel,
    Container,
    Ingredient,
    Machine,
    Overhead,
    PriceRow,
    Recipe,
    ShopModel,
)
from costing.shop.sources import Report
from costing.shop.suppliers import Supplier
from costing.shop.yaml_lines import LARGEST, Group, Node, Text, decode, parse

SHOP: Final = "shop.yaml"
INGREDIENTS: Final = "ingredients.yaml"
YAML: Final = (".yaml", ".yml")
CSV: Final = ".csv"
WORKBOOKS: Final = (".xlsx", ".xlsm", ".xltx", ".xltm", ".xlsb", ".xls", ".ods")
"""Endings of files that are taken for a shop in a workbook; only the first can be read."""
_NEEDED: Final = ("name", "currency", "locale", "law", "as of")
M = TypeVar("M", Machine, Container, Channel, Ingredient, Supplier)
_CURRENCY: Final = re.compile(r"[A-Z]{3}")
_UNDECIDED: Final = re.compile(r"(?m)(\bfood: +)\?(?= *(?:#.*)?(?:$|[,}]))")
"""A food that is yet to be chosen, written without the quotation marks that YAML wants."""


def _currency(value: object) -> str:
    plain = clean(value).upper()
    from babel.core import get_global

    if plain not in get_global("all_currencies"):
        raise UnreadableError(f"'{value}' is not a currency", "write its three letters, such as USD")
    return plain


def _locale(value: object) -> str:
    from babel import Locale, UnknownLocaleError

    plain = clean(value).replace("-", "_")
    try:
        return str(Locale.parse(plain))
    except (UnknownLocaleError, ValueError):
        raise UnreadableError(f"'{value}' is not a locale", "write language and country, such as en_US") from None


def _rates(value: object) -> dict[str, Rate]:
    if not isinstance(value, Mapping):
        raise UnreadableError("this must be currencies with what one of each costs", "write it as {EUR: 1.08}")
    found: dict[str, Rate] = {}
    for code, rate in value.items():
        if isinstance(rate, Mapping):
            dated = {pricelists.iso_day(str(day)): _rate(one, code) for day, one in rate.items()}
            found[_currency(code)] = dict(sorted(dated.items()))
        else:
            found[_currency(code)] = _rate(rate, code)
    return found


def _rate(value: object, code: object) -> float:
    if isinstance(value, (Mapping, list, tuple)):
        raise UnreadableError(f"the rate of {code} is no number", "write it as {EUR: {2026-01-01: 1.08}}")
    worth = float(number(clean(value)))
    if not 0 < worth < 1e9:
        raise UnreadableError(f"a rate of {value} for {code} is absurd", "write what one of it costs here")
    return worth


class _ShopFile(f.Checked):
    """The plain entries of ``shop.yaml``."""

    name: f.Words
    address: Annotated[tuple[str, ...], PlainValidator(words.names)] = ()
    currency: Annotated[str, PlainValidator(_currency)] = "USD"
    locale: Annotated[str, PlainValidator(_locale)] = "en_US"
    law: Literal["us"] = "us"
    as_of: Annotated[date, PlainValidator(lambda text: pricelists.iso_day(clean(text)))] | None = Field(
        default=None, alias="as of"
    )
    wages: dict[str, f.Hourly] = Field(default_factory=dict)
    overhead: Overhead = Field(default_factory=Overhead)
    fixed_costs: dict[str, f.Monthly] = Field(default_factory=dict, alias="fixed costs")
    rates: Annotated[dict[str, Rate], PlainValidator(_rates)] = Field(default_factory=dict)
    prefer: Literal[PREFERENCES] = "cheapest"  # type: ignore[valid-type]
    count_freight: Annotated[bool, PlainValidator(words.yes_no)] = Field(default=False, alias="count freight")
    price_endings: f.PriceEndings = Field(default=(), alias="price endings")
    label: label_choices.LabelChoices | None = None
    business: label_choices.Business | None = None


@dataclass(slots=True)
class Reading:
    """What could be read of a shop folder.

    Args:
        model: the shop as far as it could be read, None where there is nothing to speak of.
        findings: everything found wrong.
        broken: by section (``ingredients``, ``recipes`` ...) the names that are there but could not be read, so that
            nobody is told that they are missing; None where the whole section could not be read.
    """

    model: ShopModel | None
    findings: tuple[Finding, ...]
    broken: Mapping[str, frozenset[str] | None] = field(default_factory=dict)

    def hides(self, section: str, name: str) -> bool:
        """Whether a name may well stand in a section, in what could not be read of it."""
        names = self.broken.get(section, frozenset())
        return names is None or name in names


def read(folder: Path, as_of: date | None = None) -> tuple[ShopModel | None, tuple[Finding, ...]]:
    """Read and check a shop folder.

    Args:
        folder: where it lies.
        as_of: the day for prices; None: the shop's own day, or today.

    Returns:
        The shop, None where an error stands against it; and every finding, file by file and line by line.
    """
    from costing.shop import check

    reading = everything(folder)
    found = reading.findings
    if reading.model is not None:
        found = ordered([*found, *check.findings(reading.model, as_of, reading)])
    failed = any(one.level == "error" for one in found)
    return (None if failed else reading.model), found


def everything(folder: Path) -> Reading:
    """Read what can be read of a shop folder, errors or not.

    Args:
        folder: where it lies.
    """
    folder = Path(folder)
    if folder.suffix.casefold() in WORKBOOKS and not folder.is_dir():
        from costing.shop.sheets.opening import everything as of_workbook

        return of_workbook(folder)
    problem = sources.folder_problem(folder)
    if problem is not None:
        return Reading(None, (Finding("error", str(folder), *problem),))
    return of_origin(folder, FolderOrigin(folder), Report())


def of_origin(place: Path, origin: Origin, report: Report) -> Reading:
    """Read what can be read of a shop, whatever holds it.

    Args:
        place: the folder or file that it came from.
        origin: gives its contents.
        report: takes what is wrong.
    """
    reader = _Reader(place, origin, report)
    model = reader.shop()
    return Reading(model, ordered(report.findings), reader.broken)


def ordered(findings: list[Finding]) -> tuple[Finding, ...]:
    """Findings file by file and line by line, each once; errors of a whole file first, for others follow from them."""

    def place(one: Finding) -> tuple[bool, str, int, str]:
        file, _, line = one.where.rpartition(":")
        if line.isdigit():
            return True, file, int(line), one.what
        cell = cell_place(one.where)
        return (True, *cell, one.what) if cell else (one.level != "error", one.where, 0, one.what)

    return tuple(sorted(dict.fromkeys(findings), key=place))


class Origin(Protocol):
    """What holds the contents of a shop."""

    def root(self, file: str, report: Report) -> Group | None:
        """The entries of a file (``shop.yaml``), None where there are none, after saying why."""
        ...

    def names(self, folder: str, report: Report) -> list[tuple[str, str]]:
        """Short name and file of everything in a sub-folder."""
        ...

    def lists(
        self, kind: csv_lists.Kind, report: Report
    ) -> Iterable[tuple[csv_lists.CsvList, Iterator[tuple[int, Mapping[str, str]]]]]:
        """The lists of one kind, each with line and cells of its rows."""
        ...


class FolderOrigin:
    """A shop folder.

    Args:
        folder: where it lies.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def root(self, file: str, report: Report) -> Group | None:
        """The entries of a file."""
        raw = sources.raw(self.folder / file, file, LARGEST, report)
        if raw is None:
            return None
        text, problems = decode(raw)
        root = Group(1)
        if not problems and file.casefold().endswith(CSV):
            return spec_csv.entries(text, file, report)
        if not problems:
            root, problems = parse(_UNDECIDED.sub(r"\1'?'", text) if file == INGREDIENTS else text)
        for problem in problems:
            report.add(report.where(file, problem.line), problem.what, problem.mend)
        return root if root.entries else None

    def names(self, folder: str, report: Report) -> list[tuple[str, str]]:
        """Short name and file of everything in a sub-folder."""
        found = sources.listed(self.folder, folder, (*YAML, CSV) if folder == "specs" else YAML, report)
        return [(path.stem, f"{folder}/{path.name}") for path in found]

    def lists(
        self, kind: csv_lists.Kind, report: Report
    ) -> Iterator[tuple[csv_lists.CsvList, Iterator[tuple[int, Mapping[str, str]]]]]:
        """The lists of one kind, each with line and cells of its rows."""
        return csv_lists.in_folder(self.folder, kind, report)


class _Reader:
    """One reading of one shop."""

    def __init__(self, folder: Path, origin: Origin, report: Report) -> None:
        self.folder = folder
        self.origin = origin
        self.report = report
        self.broken: dict[str, frozenset[str] | None] = {}
        self.half_read: dict[str, Group] = {}
        """recipes with something wrong in them, by file"""
        self.currency = ""
        self.lines: dict[str, str] = {}
        """keys of the shop's own file to where they stand"""

    def shop(self) -> ShopModel | None:
        """The shop, as far as it can be read."""
        plain, machines, containers, channels, suppliers = self._shop_file()
        ingredients = self._ingredients()
        foods = records.read(self.origin, ingredients, self.report)
        self.broken["specs"] = foods.broken
        ingredients = foods.ingredients
        found = self._recipes()
        self._strangers(ingredients, found)
        prices: tuple[PriceRow, ...] = pricelists.rows(self.origin, self.report)
        trials = triallists.rows(self.origin, found, self.broken["recipes"] or frozenset(), self.report)
        known: dict[str, Any] = {} if plain is None else {name: getattr(plain, name) for name in _ShopFile.model_fields}
        return ShopModel(
            folder=self.folder,
            **{"name": "", **known},
            containers=containers,
            machines=machines,
            channels=channels,
            suppliers=suppliers,
            ingredients=ingredients,
            recipes=found,
            prices=prices,
            foods=foods.records,
            spec_files=foods.spec_files,
            trials=trials,
            pins=foods.pins,
            lines=self.lines,
            origins=foods.origins,
        )

    def _strangers(self, ingredients: Mapping[str, Ingredient], found: Mapping[str, Recipe]) -> None:
        """Name what a recipe puts in and nobody knows, even where something else keeps the recipe from being read."""
        hidden = self.broken["ingredients"]
        if hidden is None:
            return
        bases = {one.makes for one in found.values() if one.makes} | (self.broken["bases"] or frozenset())
        for file, root in self.half_read.items():
            known = {*ingredients, *hidden, *bases, *recipes.makes(root)}
            for name, line in recipes.put_in(root):
                if name not in known:
                    mend = nearest(name, known, "add it to ingredients.yaml, or make it in an earlier part")
                    self.report.add(
                        self.report.where(file, line), f"there is no ingredient or part called '{name}'", mend
                    )

    def _shop_file(
        self,
    ) -> tuple[_ShopFile | None, dict[str, Machine], dict[str, Container], dict[str, Channel], dict[str, Supplier]]:
        root = self.origin.root(SHOP, self.report)
        if root is None:
            self.broken.update(dict.fromkeys(("containers", "machines", "channels", "wages")))
            return None, {}, {}, {}, {}
        # A section with nothing but comments in it is a section left out.
        entries = {
            key: entry
            for key, entry in root.entries.items()
            if key in _NEEDED or not (isinstance(entry[1], Text) and entry[1].empty)
        }
        currency = entries.get("currency")
        if currency is not None and isinstance(currency[1], Text):
            self.currency = currency[1].text.strip().upper()
        self.currency = self.currency if _CURRENCY.fullmatch(self.currency) else "" if currency else "USD"
        builder = Builder(SHOP, self.report, self.currency)
        allowed = [info.alias or name for name, info in _ShopFile.model_fields.items()]
        sections = ("containers", "machines", "channels", "suppliers")
        known = builder.known_keys(Group(1, entries), (*allowed, *sections), "shop.yaml")
        self.lines = {key: builder.where(line) for key, (line, _) in known.items()}
        whole = builder.where(1)
        if cell_place(whole):  # a workbook has no file to name
            self.lines[""] = whole
        simple = {key: entry for key, entry in known.items() if key not in sections}
        if "overhead" in simple and isinstance(simple["overhead"][1], Group):
            keys = [info.alias or name for name, info in Overhead.model_fields.items()]
            builder.known_keys(simple["overhead"][1], keys, "overhead")
        simple = label_choices.known(builder, simple, ("label", "business"))
        raw = {key: node.plain() for key, (_, node) in simple.items()}
        plain = builder.check(_ShopFile, raw, simple, 1, "shop.yaml")
        if plain is None:
            self.broken["wages"] = None
        machines = self._section(builder, known.get("machines"), "machines", Machine, "a machine")
        containers = self._section(builder, known.get("containers"), "containers", Container, "a container")
        channels = self._section(builder, known.get("channels"), "channels", Channel, "a channel")
        suppliers = self._section(builder, known.get("suppliers"), "suppliers", Supplier, "a supplier")
        return plain, machines, containers, channels, suppliers

    def _section(
        self, builder: Builder, entry: tuple[int, Node] | None, section: str, kind: type[M], what: str
    ) -> dict[str, M]:
        """Entries by name, each a model of one kind."""
        if entry is None:
            return {}
        group = builder.group(entry[1], section, f"{section}: with one name below it for each")
        found: dict[str, M] = {}
        broken: set[str] = set()
        for name, (line, node) in group.entries.items() if group else ():
            inner = builder.group(node, f"'{name}'", f"what {what} needs below it, indented")
            one = self._one(builder, name, line, inner, kind, what) if inner else None
            if one is None:
                broken.add(name)
            else:
                found[name] = one
        self.broken[section] = frozenset(broken) if group else None
        return found

    def _one(self, builder: Builder, name: str, line: int, group: Group, kind: type[M], what: str) -> M | None:
        given = {"name": name, "where": builder.where(line), "lines": lines_of(group, builder, line)}
        group = Group(line, dict(group.entries))
        if kind is Channel:
            return channels.channel(builder, group, given, self.currency)  # type: ignore[return-value]
        if kind is Container:
            group = label_places.known(builder, group)
        return builder.model(kind, group, what, given)

    def _ingredients(self) -> dict[str, Ingredient]:
        root = self.origin.root(INGREDIENTS, self.report)
        if root is None:
            self.broken["ingredients"] = None
            return {}
        builder = Builder(INGREDIENTS, self.report, self.currency)
        return self._section(builder, (1, root), "ingredients", Ingredient, "an ingredient")

    def _recipes(self) -> dict[str, Recipe]:
        found: dict[str, Recipe] = {}
        broken: set[str] = set()
        makes: set[str] = set()
        for name, file in self.origin.names("recipes", self.report):
            if name in found or name in broken:
                self.report.add(file, f"two files are called '{name}'", "rename one of them")
                continue
            root = self.origin.root(file, self.report)
            recipe = recipes.recipe(name, root, Builder(file, self.report, self.currency)) if root else None
            if recipe is None:
                broken.add(name)
                if root is not None:
                    self.half_read[file] = root
                made = root.get("makes") if root else None
                if isinstance(made, Text):
                    makes.add(made.text)
            else:
                found[name] = recipe
        if not found and not broken:
            self.report.add("recipes", "the shop has no recipe", "add one as recipes/name.yaml")
        self.broken["recipes"] = frozenset(broken)
        self.broken["bases"] = frozenset(makes)
        return found
