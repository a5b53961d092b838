"""A batch with its ingredients known: exact shares, and what the mix and the food can hold.

Composition is the maker's own analysis where the sheet has one, else the catalogue's range, with
the mean of its tables (or the middle of the range) as an estimate; what neither gives is unknown
and never nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from math import inf, sqrt

from panellint.catalogue import Catalogue
from panellint.catalogue.model import PARTS, Range
from panellint.catalogue.rows import means_of
from panellint.ingredients.resolve import joined_names
from panellint.maker.component import (
    DRY_MATTER,
    ENERGY,
    FINISHED,
    REHYDRATED,
    BatchContent,
    Component,
    most_of,
    names_of,
    ranges_of,
    usual_order,
)
from panellint.maker.model import Batch, BatchLine
from panellint.maker.water import ProcessWater, added_of, water_of
from panellint.nutrition.bases import Analysis, sort_of, unit_of
from panellint.nutrition.energy import MODIFIED_ATWATER, NRC_2006, FourSteps, factors, four_steps
from panellint.nutrition.mixture import Box, Mixed, Terms, value
from panellint.rulepacks.data import data

#: A content below this percentage is not worth an estimate of its own (percent).
_TRACE = 2.0
#: What a material may bring to a content, in points, without its spread.
_TRACE_SPREAD = 0.5
_ENERGY = "energy"
_DRY = {part: 1.0 for part in PARTS if part != "moisture"}


@dataclass(eq=False)
class Formula:
    """A batch of known ingredients. Make one with `Formula.of`."""

    batch: Batch
    components: tuple[Component, ...]
    water: ProcessWater
    added: Fraction | None = None

    @classmethod
    def of(
        cls, batch: Batch, names: Catalogue, *, market: str = "us", language: str = "en"
    ) -> Formula:
        """The formula of a batch."""
        components: list[Component] = []
        language = _language(batch, names, market, language)
        spoken = {"market": market, "language": language}
        lookup = partial(names.lookup, market=market, language=language)

        def add(
            line: BatchLine, share: Fraction, inside: tuple[str, ...], dried: Fraction | None
        ) -> None:
            if line.members:
                total = sum((member.weight for member in line.members), Fraction(0))
                for member in line.members if total else ():
                    add(member, share * member.weight / total, (*inside, line.name), dried)
                return
            match = None
            for name in names_of(line):
                match = match or lookup(usual_order(name, lookup))
            ranges, own = ranges_of(line, match)
            means = means_of(match.known.own_of or match.known.id) if match else {}
            means = {n: m for n, m in means.items() if n in ranges and n not in own}
            joined = frozenset(
                ingredient.match.known.id
                for ingredient in (() if match else joined_names(line.name, names, **spoken))
                if ingredient.match
            )
            components.append(
                Component(line, share, match, ranges, own, inside, means, joined, dried)
            )

        for line in batch.lines:
            add(line, batch.share(line), (), line.dried_to)
        return cls(batch, tuple(components), water_of(batch), added_of(batch))

    # ---- shares ----

    @cached_property
    def processing_water(self) -> Fraction:
        """Added water as a part of the mix, 0 to 1."""
        return sum((c.share for c in self.components if c.is_water), Fraction(0))

    @property
    def keeps_water(self) -> bool:
        """Whether added water is in the finished food, so that it has a place in the list."""
        return self.yield_range()[1] > float(1 - self.processing_water)

    def yield_range(self) -> tuple[float, float]:
        """Finished food per weight of the mix, least and most."""
        if self.water.yield_ is not None:
            return float(self.water.yield_), float(self.water.yield_)
        food = self._food()
        return self.mixed.extreme(food, False), self.mixed.extreme(food, True)

    def dry_matter(self) -> tuple[float, float, float]:
        """Dry matter that is left of the mix, per weight of it: least, most, estimate."""
        dry = self._under(DRY_MATTER)
        ends = self.mixed.extreme(dry, False), self.mixed.extreme(dry, True)
        return (*ends, self.mixed.estimate(dry))

    def spread(self, nutrient: str) -> float | None:
        """The standard deviation of a content of the finished food, in its unit, by the maker's own
        figures, the materials being independent; None where one that holds any has no figure."""
        total = 0.0
        for component in self.components:
            own = component.line.spread.get(nutrient)
            if own is None and component.share:
                held = component.ranges.get(nutrient)
                if held is None or held.high * float(component.share) > _TRACE_SPREAD:
                    return None
            total += (float(component.share) * float(own or 0)) ** 2
        return sqrt(total) / (self.finished_weight() or 1.0)

    def finished_weight(self) -> float:
        """The estimate of the finished food, per weight of the mix."""
        return self.mixed.estimate(self._food())

    # ---- contents ----

    @cached_property
    def mixed(self) -> Mixed:
        """The boxes of all ingredients with their shares."""
        return Mixed(
            [Box.of(c.ranges, c.means) for c in self.components],
            [float(c.share) for c in self.components],
        )

    def content(self, nutrient: str, basis: str = FINISHED) -> BatchContent:
        """How much of a nutrient the food holds.

        Percent or the nutrient's own unit on the bases of weight; grams or that unit's amount
        per 1000 kcal of modified Atwater energy on the basis of energy.
        """
        unit = unit_of(nutrient)
        if nutrient == "moisture" and basis == FINISHED and self.water.moisture is not None:
            held = float(self.water.moisture)
            return BatchContent(held, held, held, unit, literature=False)
        over, unknown = self._terms(nutrient, unit, basis)
        literature = any(
            c.share and nutrient not in c.own for c in self.components if c.name not in unknown
        ) or bool(unknown)
        low, high, middle = self._over(over, basis)
        if basis != ENERGY:
            low, middle = max(low, 0.0), max(middle, 0.0)
            high = min(high, 100.0) if unit == "%" else high
            return BatchContent(low, high, middle, unit, unknown, literature)
        # Percent over kcal/kg: 1 % is 10 g/kg, and the amount is wanted per 1000 kcal.
        per, amount = (10_000.0, "g") if unit == "%" else (1000.0, unit.partition("/")[0])
        content = BatchContent(low, high, middle, unit, unknown, literature)
        return content.times(per, f"{amount}/1000 kcal")

    def without_figure(self, nutrient: str, basis: str = FINISHED) -> tuple[str, ...]:
        """The ingredients without a figure for a nutrient, where together they could move the
        content by more than a trace, so that no estimate of it is worth its name; else ()."""
        unknown = self.content(nutrient, basis).unknown
        unit = unit_of(nutrient)
        moved = sum(
            float(component.share)
            * (
                box.high[nutrient] - box.low[nutrient]
                if nutrient in PARTS
                else most_of(nutrient, unit, box)
            )
            for component, box in zip(self.components, self.mixed.boxes, strict=True)
            if component.name in unknown
        )
        most = float(data("data/batch")["unknown_moves_at_most"]["points"])
        return tuple(sorted(unknown)) if moved > most else ()

    def _terms(self, nutrient: str, unit: str, basis: str) -> tuple[list[Terms], tuple[str, ...]]:
        """A content as a sum over what each ingredient brings, and the ingredients without a
        figure for it."""
        if nutrient == _ENERGY:
            held = {part: 10 * factor for part, factor in factors(MODIFIED_ATWATER).items()}
            return [self._sum(held)] * len(self.components), ()
        if nutrient in PARTS:
            loose = tuple(c.name for c in self.components if c.share and nutrient not in c.ranges)
            if nutrient == "moisture" and basis in (FINISHED, REHYDRATED):
                return self._water_kept(basis), loose
            return [self._sum({nutrient: 1.0})] * len(self.components), loose
        terms: list[Terms] = []
        unknown: list[Component] = []
        for component, box in zip(self.components, self.mixed.boxes, strict=True):
            content = component.ranges.get(nutrient)
            if content is None:
                most = most_of(nutrient, unit, box)
                terms.append(Terms(beside=Range(0.0, most)))
                if component.share and not (component.is_inorganic and most < _TRACE):
                    unknown.append(component)
            else:
                middle = component.means.get(nutrient, (content.low + content.high) / 2)
                middle = min(max(middle, content.low), content.high)
                if self.water.fat_lost and sort_of(nutrient) == "fatty-acid":
                    # Which fatty acids leave with the fat is not known; by estimate, all alike.
                    content, middle = Range(0.0, content.high), middle * self._fat_kept()
                terms.append(Terms(beside=content, middle=middle))
        heaviest = sorted(unknown, key=lambda c: -c.share)
        return terms, tuple(dict.fromkeys(c.name for c in heaviest))

    def _over(self, over: Sequence[Terms], basis: str) -> tuple[float, float, float]:
        """Least, most and estimate of a sum over what a basis divides by."""
        under = self._under(basis)
        bottom = self.mixed.estimate(under)
        return (
            self.mixed.ratio(over, under, False),
            self.mixed.ratio(over, under, True),
            self.mixed.estimate(over) / bottom if bottom else inf,
        )

    def _under(self, basis: str) -> list[Terms]:
        """What a basis divides by, as a sum over the parts of each ingredient."""
        if basis in (FINISHED, REHYDRATED):
            return self._food(1.0 + float(self.added or 0) if basis == REHYDRATED else 1.0)
        factors_of = {
            ENERGY: {part: 10 * factor for part, factor in factors(MODIFIED_ATWATER).items()},
            DRY_MATTER: dict.fromkeys(_DRY, 0.01),
        }
        whole = dict.fromkeys(PARTS, 0.01)
        return [self._sum(factors_of.get(basis, whole))] * len(self.components)

    def _sum(self, weights: Mapping[str, float]) -> Terms:
        """A sum over the parts of an ingredient, less what leaves with the fat of the mix."""
        return self._less(weights, weights.get("fat", 0.0))

    def _less(self, weights: Mapping[str, float], fat: float) -> Terms:
        """A sum over parts, less the fat that leaves the mix at a weight of its own: the parts make
        100 and the shares 1, so that a constant is a factor of each part."""
        lost = fat * float(self.water.fat_lost)
        return Terms({part: weights.get(part, 0.0) - lost for part in PARTS} if lost else weights)

    def _fat_kept(self) -> float:
        """The part of the mix's fat that stays in the food, by estimate, 0 to 1."""
        fat_in = self.mixed.estimate([Terms({"fat": 1.0})] * len(self.components))
        return max(0.0, 1 - 100 * float(self.water.fat_lost) / fat_in) if fat_in else 1.0

    def _dried(self, component: Component) -> float | None:
        """The moisture to which an ingredient is dried, in percent; None where it stays."""
        dried = component.dried_to if component.dried_to is not None else self.water.moisture
        return None if dried is None or self.water.yield_ is not None else float(dried)

    @cached_property
    def _moisture_left(self) -> float | None:
        """The moisture of what is dried, fat that left before among it; None where nothing is."""
        return next((m for c in self.components if (m := self._dried(c)) is not None), None)

    def _food(self, more: float = 1.0) -> list[Terms]:
        """The weight of the food, `more` times, per weight of the mix: what is dried keeps its dry
        matter and the moisture that is left in it."""
        if self.water.yield_ is not None:
            whole = dict.fromkeys(PARTS, 0.01 * float(self.water.yield_) * more)
            return [Terms(whole)] * len(self.components)
        left = self._moisture_left
        fat = 0.01 * more if left is None else more / (100 - left)
        return [
            self._less(dict.fromkeys(PARTS, 0.01 * more), fat)
            if (dried := self._dried(component)) is None
            else self._less(dict.fromkeys(_DRY, more / (100 - dried)), fat)
            for component in self.components
        ]

    def _water_kept(self, basis: str) -> list[Terms]:
        """The moisture of the food, that which preparation adds included."""
        more = float(self.added or 0) if basis == REHYDRATED else 0.0
        kept = 1.0 if self.water.yield_ is None else float(self.water.yield_)
        lost = max(0.0, 1 - kept - float(self.water.fat_lost)) if kept < 1 else 1 - kept
        left = self._moisture_left
        fat = 0.0 if left is None else left / (100 - left)
        rows = []
        for component, food in zip(self.components, self._food(more), strict=True):
            dried = self._dried(component)
            if dried is None:
                own = self._less({p: (p == "moisture") - lost for p in PARTS}, fat)
            else:
                own = self._less(dict.fromkeys(_DRY, dried / (100 - dried)), fat)
            rows.append(
                Terms({p: own.factors.get(p, 0.0) + 100 * food.factors.get(p, 0.0) for p in PARTS})
                if more
                else own
            )
        return rows

    def surplus(
        self, nutrient: str, basis: str, figure: float, at_least: bool, worst: bool
    ) -> list[float]:
        """For each component, per unit of its share, by how much it brings a content above the
        figure (or below, for a most): the content is on the right side where the sum over the
        mix is not below nothing.

        At the estimate, or with `worst` at the end of each range that is against it. In that
        case what has no figure counts as nothing towards a least, and is infinite for a most.
        `figure` is in the nutrient's unit (amount per 1000 kcal on that basis; kcal/kg for
        "energy").
        """
        unit = "" if nutrient == _ENERGY else unit_of(nutrient)
        sign = 1.0 if at_least else -1.0
        over, _ = self._terms(nutrient, unit, basis)
        if basis == ENERGY:
            figure /= 10_000.0 if unit == "%" else 1000.0
        values = []
        for box, term, under in zip(self.mixed.boxes, over, self._under(basis), strict=True):
            weights = {
                part: sign * (term.factors.get(part, 0.0) - figure * under.factors.get(part, 0.0))
                for part in PARTS
            }
            if worst:
                beside = term.beside.low if at_least else term.beside.high
                values.append(value(weights, box.point(weights, False)) + sign * beside)
            else:
                values.append(value(weights, box.middle) + sign * term.middle)
        return values

    def energy(self, method: str = MODIFIED_ATWATER, species: str | None = None) -> BatchContent:
        """kcal/kg of the finished food. By plain factors the bounds are sharp; those of the NRC
        equation are an enclosure from the bounds of each of its steps."""
        if method == NRC_2006:
            return self._nrc(species)
        weights = {part: 10 * factor for part, factor in factors(method, species).items()}
        terms = [self._sum(weights)] * len(self.components)
        literature = any(not c.own.issuperset(weights) for c in self.components if c.share)
        low, high, middle = self._over(terms, FINISHED)
        return BatchContent(low, high, middle, "kcal/kg", literature=literature)

    def _nrc(self, species: str | None) -> BatchContent:
        animal = species or ""
        ends = {part: self.content(part) for part in PARTS}

        def steps(pick: Callable[[BatchContent], float]) -> FourSteps:
            parts = {part: min(pick(content), 100.0) for part, content in ends.items()}
            return four_steps(
                animal, Analysis(**parts | {"moisture": min(parts["moisture"], 99.0)})
            )

        # Gross energy and urine losses rise with each part; digestibility falls with fibre in
        # the dry matter, and that rises with moisture.
        least, most = steps(lambda c: c.low), steps(lambda c: c.high)
        low = least.gross * max(0.0, most.digestibility) / 100 - _urine(most)
        high = most.gross * least.digestibility / 100 - _urine(least)
        middle = steps(lambda c: c.middle).metabolisable
        return BatchContent(max(0.0, min(low, middle)), max(high, middle), middle, "kcal/kg")


def _urine(steps: FourSteps) -> float:
    return steps.digestible - steps.metabolisable


def _language(batch: Batch, names: Catalogue, market: str, usual: str) -> str:
    """Returns the language in which the sheet names its materials: the usual one, but where it
    knows less than half of them and another one knows the most."""
    lines = [line for line, _ in batch.walk()]

    def known(code: str) -> int:
        lookup = partial(names.lookup, market=market, language=code)
        return sum(any(map(lookup, names_of(line))) for line in lines)

    return usual if 2 * known(usual) >= len(lines) else max((usual, *names.languages), key=known)
