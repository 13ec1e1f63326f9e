"""Writes the content of a batch sheet: from a recipe, its batch and its answer to :class:`BatchSheet`.

Weights are the engine's own: what every step took (:attr:`costing.kitchen.brew.Brew.uses`) and what every step left
(:class:`costing.kitchen.brew.StepRecord`). House bases come first, at the size that this batch takes of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from costing import money, safety
from costing.amounts import Kind
from costing.batch_sheet import amounts, sentences
from costing.batch_sheet.content import BatchSheet, Count, Section, StepLines, Weigh
from costing.batch_sheet.minding import Seen, cautions
from costing.findings import ShopError
from costing.kitchen.bench import KitchenError
from costing.kitchen.verbs import FREE
from nutrition.law.us import allergens

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from costing.desk import Asked, Shop
    from costing.findings import Finding
    from costing.kitchen.bench import Use
    from costing.kitchen.brew import Brew, PartRecord, StepRecord
    from costing.results import RecipeAnswer
    from costing.shop.models import Part, Recipe

FOOT = (
    "Figures are calculated from the recipe and food tables, they are not measured. Trust the scale, and write it down."
)
HEADS = ("Date", "Lot", "Made by", "Started at")
SIGNS = ("Lot code on every container", "Allergen change-over done", "Made by", "Checked by")


def sheet(shop: Shop, key: str, how: Asked | None = None) -> BatchSheet:
    """The content of the batch sheet of a recipe.

    Args:
        shop: the shop.
        key: the recipe.
        how: size of the batch, and whether what trials measured stands in; None: one batch as written.

    Returns:
        The sheet.

    Raises:
        KeyError: no such recipe.
        ShopError: the recipe cannot be made, or something in it must be mended first; carries the findings.

    >>> from costing.desk import Shop
    >>> from nutrition.resources import tree
    >>> made = sheet(Shop.open(str(tree("examples") / "quillfeather")), "quince")
    >>> made.size, made.allergens
    ('1 batch: 9 pints', ('Milk',))
    """
    from costing.desk import Asked

    # A sheet shows plain figures: what a sample would add is not worth its time here.
    how = Asked(size=how.size, trials=how.trials) if how is not None else Asked()
    answer = shop[key].answer(how)
    told = tuple(dict.fromkeys((*answer.findings, *safety.of_recipe(shop.model.recipes[key], shop.model))))
    if any(finding.level == "error" for finding in told):
        raise ShopError(told)
    try:
        return _Writer(shop, key, how, answer, told).sheet()
    except KitchenError as problem:
        raise ShopError((problem.finding,)) from problem


@dataclass(frozen=True, slots=True)
class _Scaled:
    """At what size a part is made: by what the amounts of its recipe are multiplied, and how that is said."""

    size: float
    title: str
    lead: tuple[str, ...] = ()
    base: str = ""
    """the house base that it belongs to"""


class _Writer:
    def __init__(self, shop: Shop, key: str, how: Asked, answer: RecipeAnswer, told: Sequence[Finding]) -> None:
        self.shop = shop
        self.model = shop.model
        self.recipe: Recipe = shop.model.recipes[key]
        self.how = how
        self.answer = answer
        self.locale = _locale(shop.model.locale)
        self.brew: Brew = shop.brew(key, size=how.size, measured=self._measured())
        heats = safety.heats(self.recipe, self.model)
        self.seen = Seen(self.model, frozenset((check.recipe, check.part, check.step) for check in heats))
        self._uses = iter(self.brew.uses)
        self._full: dict[str, float] = {}
        labels = answer.label.notes if answer.label is not None else ()
        about_labels = {(note.level, note.what) for note in labels}
        self.told = [f for f in told if (f.level, f.what) not in about_labels and not _about_money(f)]

    def _measured(self) -> Any:
        from costing.kitchen.run import NOTHING

        if not self.how.trials:
            return NOTHING
        from costing import trials

        return trials.measured(self.model, None)

    def sheet(self) -> BatchSheet:
        sections = tuple(self._section(record) for record in self.brew.parts)
        touched, beside = self._allergens()
        steps = {step.where for recipe in self.model.recipes.values() for part in recipe.parts for step in part.steps}
        loose = [f for f in self.told if f.where not in steps and f.where.startswith("recipes/")]
        return BatchSheet(
            shop=self.model.name,
            recipe=self.recipe.key,
            title=self.recipe.title,
            size=self._size(),
            locale=self.locale,
            letter=_letter(self.locale),
            heads=HEADS,
            allergens=touched,
            beside=beside,
            note=self.recipe.note or "",
            cautions=(*cautions(self.answer.label, self.seen, self.shop.day), *map(_told, loose)),
            sections=sections,
            counts=tuple(self._counts()),
            checks=tuple(self.seen.checks),
            signs=SIGNS,
            foot=FOOT,
        )

    def _size(self) -> str:
        size = self.how.size
        batches = f"{amounts.plain(size, self.locale)} {'batch' if abs(size - 1) < 1e-9 else 'batches'}"
        if not self.brew.filled:
            return f"{batches}: {amounts.grams(float(self.brew.pot.grams()[0]), self.locale)}"
        counts = [amounts.plural(round(float(f.count[0])), f.container.name, self.locale) for f in self.brew.filled]
        return f"{batches}: {', '.join(counts)}"

    def _allergens(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What was ever touched, and what of it is in no container."""
        inside = self.brew.pot.touched
        everywhere = inside.union(*(part.pot.touched for part in self.brew.parts))
        if self.answer.label is not None:
            inside = inside | frozenset(self.answer.label.allergens)
        return _named(everywhere | inside), _named(everywhere - inside)

    # Parts ---------------------------------------------------------------------------------------------------------

    def _section(self, record: PartRecord) -> Section:
        recipe = self.model.recipes[record.recipe]
        part = next(one for one in recipe.parts if one.name == record.name)
        scaled = self._scaled(recipe, part, record)
        self.seen.begin(recipe.key, part.name, scaled.title)
        steps: list[StepLines] = []
        before_ml = 0.0
        for at, step_record in enumerate(record.steps):
            # Behind the last written step the engine may have thrown away what nothing uses.
            step = part.steps[at] if at < len(part.steps) else None
            steps.append(self._step(step, step_record, part, scaled, before_ml))
            before_ml = float(step_record.out_ml[0])
        self.seen.end(part is recipe.parts[-1], recipe.makes or "")
        return Section(
            part.name, scaled.title, recipe.key, scaled.lead, scaled.base if scaled.lead else "", tuple(steps)
        )

    def _scaled(self, recipe: Recipe, part: Part, record: PartRecord) -> _Scaled:
        title = _capital(part.name)
        if recipe.key == self.recipe.key:
            return _Scaled(self.how.size, title)
        if recipe.key not in self._full:
            self._full[recipe.key] = float(self.shop.brew(recipe.key, measured=self._measured()).pot.grams()[0])
        full = self._full[recipe.key]
        last = recipe.parts[-1].name
        behind = self.brew.parts[next(i for i, one in enumerate(self.brew.parts) if one is record) :]
        made = next(float(one.pot.grams()[0]) for one in behind if (one.recipe, one.name) == (recipe.key, last))
        base = recipe.makes or recipe.title
        title = _capital(base) + (f": {part.name}" if len(recipe.parts) > 1 else "")
        if part is not recipe.parts[0]:
            return _Scaled(made / full, title, (), base)
        needed, whole = (amounts.grams(grams, self.locale) for grams in (made, full))
        share = money.percent(100 * made / full, self.locale, 1)
        lead = (
            f"{needed} for this batch: {share} of a full house batch of {whole}.",
            f"If it is made already, take {needed} of it, write its lot here, and go on with the next part.",
            *((recipe.note,) if recipe.note else ()),
        )
        return _Scaled(made / full, title, lead, base)

    def _step(self, step: Any, record: StepRecord, part: Part, scaled: _Scaled, before_ml: float) -> StepLines:
        scene = sentences.Scene(
            record, before_ml, scaled.size, self.locale, self.model.machines, self.brew.filled
        )  # fmt: skip
        weighs = tuple(self._weighs(step, part, scaled)) if record.verb in ("add", "fold") else ()
        after: float | None = float(record.out_g[0])
        what = ""
        if record.verb == "soak":
            what, after = "soaked, lifted out", self._soaked(step, part, record)
        if record.verb in ("note", "rest") or (record.verb in ("add", "fold") and len(weighs) == 1 == record.number):
            after = None
        words = sentences.words(step, record.verb, scene)
        if step is not None:
            self.seen.step(step, record.number, self.locale)
        return StepLines(
            number=record.number,
            verb=record.verb,
            words=words,
            weighs=weighs,
            after_g=after,
            after="" if after is None else amounts.grams(after, self.locale),
            what=what,
            measured=record.verb in FREE or record.verb == "weigh",
            time=self._time(step, scaled),
            notes=(step.note,) if step is not None and step.note else (),
            warnings=tuple(_told(f) for f in self.told if step is not None and f.where == step.where),
        )

    def _time(self, step: Any, scaled: _Scaled) -> str:
        """Who works how long on a step, in words."""
        if step is None or step.labour is None:
            return ""
        text = step.labour.time.text.partition(" per ")[0].strip()
        each = {"batch": " for a full house batch" if scaled.base else "", "run": " a run"}
        role = step.by or next(iter(self.model.wages), "")
        return f"{text}{each.get(step.labour.per, ' a container')}{f', {role}' if role else ''}"

    def _soaked(self, step: Any, part: Part, record: StepRecord) -> float | None:
        """What the soaked things weigh: known where nothing happened to them since they were weighed in."""
        earlier = part.steps[: record.number - 1]
        if any(one.verb not in ("add", "note") for one in earlier):
            return None
        wanted = set(step.of)
        put = sum(grams for name, grams in self.seen.weighed if name in wanted)
        return put * (1.0 + _settled(record, step.uptake.mid)) if put > 0 else None

    # What goes in --------------------------------------------------------------------------------------------------

    def _weighs(self, step: Any, part: Part, scaled: _Scaled) -> Iterator[Weigh]:
        taken: dict[str, Use] = {}
        for use in self._uses:
            taken[use.source] = use
            if len(taken) == len(step.things):
                break
        trimmed = {name: n for n, one in enumerate(part.steps, 1) if one.verb == "trim" for name in one.things}
        for name, amount in step.things.items():
            use = taken[name]
            grams = float(use.grams[0])
            entry = None if self.seen.is_made(name) else self.model.ingredients.get(name)
            # A highly refined oil has no allergen to the kitchen, whatever its entry says.
            touched = self.seen.touched(name) if entry is None else self.shop.pantry[name].allergens
            measure = amounts.measure(amount, scaled.size, self.locale)
            if amount.kind is Kind.ALL and self.seen.used(name):
                measure = "all that is left"
            self.seen.add(name, grams, touched, entry)
            yield Weigh(
                name=name,
                grams=grams,
                shown=amounts.grams(grams, self.locale),
                measure=measure,
                allergens=", ".join(_named(touched)),
                remark=self._remark(name, grams, entry, trimmed.get(name)),
            )

    def _remark(self, name: str, grams: float, entry: Any, trimmed: int | None) -> str:
        if entry is None:
            return self.seen.home(name)
        if trimmed is not None:
            return f"as bought, trimmed in step {trimmed}"
        usable = self.shop.pantry[name].usable
        if usable < 1 - 1e-9 and not entry.comes_from:
            return f"ready to use; about {amounts.grams(grams / usable, self.locale)} as bought"
        return ""

    # What comes out ------------------------------------------------------------------------------------------------

    def _counts(self) -> Iterator[Count]:
        for one in self.brew.filled:
            count, name = round(float(one.count[0])), one.container.name
            each = amounts.grams(float(one.grams[0]), self.locale)
            yield Count(
                f"{_capital(name)}, filled",
                amounts.plural(count, name, self.locale),
                f"{each} ({amounts.millilitres(float(one.ml[0]), self.locale)}) each",
            )
        rest = sum(float(step.discarded_g[0]) for part in self.brew.parts for step in part.steps if step.verb == "fill")
        if rest > 0:
            yield Count(
                "Left over, fills no container", amounts.grams(rest, self.locale), "thrown away, or note where it went"
            )
        for saved in self.brew.saved:
            grams = amounts.grams(float(saved.pot.grams()[0]), self.locale)
            holds = ", ".join(_named(saved.pot.touched))
            remark = f"{f'holds {holds}; ' if holds else ''}lot and date on it"
            yield Count(f"{_capital(saved.name)}, saved", grams, remark)
        if not self.brew.filled:
            made = amounts.grams(float(self.brew.pot.grams()[0]), self.locale)
            yield Count(f"{_capital(self.recipe.makes or self.recipe.title)}, made", made, "lot and date on it")


def _settled(record: StepRecord, written: float) -> float:
    """A share as the scale settled it, 0 to 1, else as written."""
    name, _, figure = record.free_figure.partition(" ")
    return float(figure.rstrip(" %")) / 100 if name and figure.endswith("%") else written


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _about_money(finding: Finding) -> bool:
    """Whether a finding is for the office: on the wall nobody asks what something costs."""
    return any(word in finding.what for word in ("money", "cost", "price"))


def _told(finding: Finding) -> str:
    """A finding for a cook; how to mend the recipe's file (``write within: 4 h``) is no matter for the wall."""
    what = _capital(finding.what)
    return f"{what}; {finding.mend}." if finding.mend and ":" not in finding.mend else f"{what}."


def _named(touched: frozenset[str]) -> tuple[str, ...]:
    """Allergens in words, in the order of the law; what is none of the law's is kept as written.

    >>> _named(frozenset({"tree nut: pistachio", "milk", "lupin"}))
    ('Milk', 'Tree Nut (Pistachio)', 'Lupin')
    """
    lawful = [text for text in touched if allergens.problem(text) is None]
    others = sorted(text for text in touched if allergens.problem(text) is not None)
    names = [*(str(one) for one in allergens.ordered(lawful)), *others]
    return tuple(
        f"{head.title()} ({kind.strip().title()})" if kind else head.title() for head, _, kind in map(_parted, names)
    )


def _parted(name: str) -> tuple[str, str, str]:
    return name.partition(":")


def _locale(name: str) -> str:
    try:
        money.locale(name)
    except ValueError:
        return "en_US"
    return name


def _letter(locale: str) -> bool:
    from costing.workbook.formats import LETTER

    return money.locale(locale).territory in LETTER
