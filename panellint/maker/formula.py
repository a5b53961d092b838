"""A batch with its ingredients known: exact shares, and what the mix and the food can hold.

Composition is the maker's own analysis where the sheet has one, else the catalogue's range, with
the mean of its tables (or the middle of the range) as an estimate; what neither gives is unknown
and never nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import inf

from panellint.catalogue.means import means_of
from panellint.catalogue.model import PARTS, CatalogueEntry, Match, Range
from panellint.core.text import name_key, one_line
from panellint.ingredients.resolve import Names, joined_names
from panellint.maker.content import (
    AS_MIXED,
    DRY_MATTER,
    ENERGY,
    FINISHED,
    REHYDRATED,
    BatchContent,
)
from panellint.maker.model import Batch, BatchLine
from panellint.maker.water import ProcessWater, added_of, water_of
from panellint.nutrition.bases import Analysis
from panellint.nutrition.energy import MODIFIED_ATWATER, NRC_2006, FourSteps, factors, four_steps
from panellint.nutrition.mixture import Box, Mixed, Terms, value
from panellint.nutrition.nutrients import sort_of, unit_of

WATER_KIND = "water"
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
#: A content below this percentage is not worth an estimate of its own (percent).
_TRACE = 2.0
#: Elements that ashing keeps; chlorine goes in part.
_WITHIN_ASH = frozenset({"calcium", "phosphorus", "potassium", "sodium", "magnesium"})
_DRY = {part: 1.0 for part in PARTS if part != "moisture"}


@dataclass(frozen=True, slots=True)
class Component:
    """One ingredient of the mix, premixes looked into. `share` is its part of the mix, 0 to 1.

    `ranges` are in each nutrient's own unit; those named in `own` are the maker's. `inside` are
    the premixes around it. `means` are the averages of the composition tables, where they have
    any. `joined` are the catalogue's ids of what a name joins that is none itself ("peas and
    carrots").
    """

    line: BatchLine
    share: Fraction
    match: Match | None
    ranges: Mapping[str, Range]
    own: frozenset[str]
    inside: tuple[str, ...]
    means: Mapping[str, float]
    joined: frozenset[str] = frozenset()

    @property
    def name(self) -> str:
        """As the sheet calls it."""
        return self.line.name

    @property
    def known(self) -> CatalogueEntry | None:
        """The catalogue's entry, or None."""
        return self.match.known if self.match else None

    @property
    def key(self) -> str:
        """What it is compared by: the catalogue's id, else the folded name."""
        return self.match.known.id if self.match else name_key(self.name)

    @property
    def is_inorganic(self) -> bool:
        """True for water and mineral salts, whose protein and fat are next to nothing."""
        return bool(self.match and self.match.known.kind in (WATER_KIND, "mineral"))

    @property
    def is_water(self) -> bool:
        """True for added water."""
        return bool(self.match and self.match.known.kind == WATER_KIND)


def names_of(line: BatchLine) -> tuple[str, ...]:
    """The names by which a line is looked for: its own, that without its brackets ("duck
    (ground with bone)"), and what it is declared as."""
    bare = one_line(_BRACKETS.sub(" ", line.name))
    return tuple(dict.fromkeys(name for name in (line.name, bare, line.declared_as) if name))


class Formula:
    """A batch of known ingredients. Make one with `Formula.of`."""

    def __init__(
        self,
        batch: Batch,
        components: tuple[Component, ...],
        water: ProcessWater,
        added: Fraction | None = None,
    ) -> None:
        self.batch = batch
        self.components = components
        self.water = water
        self.added = added

    @classmethod
    def of(
        cls,
        batch: Batch,
        names: Names,
        *,
        market: str = "us",
        language: str = "en",
        water: ProcessWater | None = None,
    ) -> Formula:
        """The formula of a batch; `water` goes before what the sheet says of it."""
        found: list[Component] = []
        spoken = {"market": market, "language": language}

        def add(line: BatchLine, share: Fraction, inside: tuple[str, ...]) -> None:
            if line.members:
                total = sum((member.weight for member in line.members), Fraction(0))
                for member in line.members if total else ():
                    add(member, share * member.weight / total, (*inside, line.name))
                return
            match = None
            for name in names_of(line):
                match = match or names.lookup(name, **spoken)
            ranges, own = _ranges(line, match)
            means = means_of(match.known.own_of or match.known.id) if match else {}
            means = {n: m for n, m in means.items() if n in ranges and n not in own}
            joined = frozenset(
                one.match.known.id
                for one in (() if match else joined_names(line.name, names, **spoken))
                if one.match
            )
            found.append(Component(line, share, match, ranges, own, inside, means, joined))

        for line in batch.lines:
            add(line, batch.share(line), ())
        return cls(batch, tuple(found), water or water_of(batch), added_of(batch))

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
        if self.water.moisture is None:
            return 1.0, 1.0
        dry = [Terms(_DRY)] * len(self.components)
        keeps = 100 - float(self.water.moisture)
        return self.mixed.extreme(dry, False) / keeps, self.mixed.extreme(dry, True) / keeps

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
        if nutrient == "moisture" and basis in (FINISHED, REHYDRATED):
            return self._moisture(basis)
        over, unknown = self._terms(nutrient, unit)
        literature = any(
            c.share and nutrient not in c.own for c in self.components if c.name not in unknown
        ) or bool(unknown)
        low, high, middle = self._over(over, basis)
        if basis != ENERGY:
            high = min(high, 100.0) if unit == "%" else high
            return BatchContent(low, high, middle, unit, unknown, literature)
        # Percent over kcal/kg: 1 % is 10 g/kg, and the amount is wanted per 1000 kcal.
        per, amount = (10_000.0, "g") if unit == "%" else (1000.0, unit.partition("/")[0])
        found = BatchContent(low, high, middle, unit, unknown, literature)
        return found.times(per, f"{amount}/1000 kcal")

    def _terms(self, nutrient: str, unit: str) -> tuple[list[Terms], tuple[str, ...]]:
        if nutrient in PARTS:
            loose = tuple(c.name for c in self.components if c.share and nutrient not in c.ranges)
            return [Terms({nutrient: 1.0})] * len(self.components), loose
        terms: list[Terms] = []
        unknown: list[Component] = []
        for component, box in zip(self.components, self.mixed.boxes, strict=True):
            found = component.ranges.get(nutrient)
            if found is None:
                most = _most(nutrient, unit, box)
                terms.append(Terms(beside=Range(0.0, most)))
                if component.share and not (component.is_inorganic and most < _TRACE):
                    unknown.append(component)
            else:
                middle = component.means.get(nutrient, (found.low + found.high) / 2)
                middle = min(max(middle, found.low), found.high)
                terms.append(Terms(beside=found, middle=middle))
        heaviest = sorted(unknown, key=lambda c: -c.share)
        return terms, tuple(dict.fromkeys(c.name for c in heaviest))

    def _over(self, over: Sequence[Terms], basis: str) -> tuple[float, float, float]:
        """Least, most and estimate of a sum over what a basis divides by."""
        under = [self._under(basis)] * len(self.components)
        bottom = self.mixed.estimate(under)
        return (
            self.mixed.ratio(over, under, False),
            self.mixed.ratio(over, under, True),
            self.mixed.estimate(over) / bottom if bottom else inf,
        )

    def _under(self, basis: str) -> Terms:
        """What a basis divides by, as a sum over the parts of each ingredient."""
        if basis == ENERGY:
            return Terms({part: 10 * one for part, one in factors(MODIFIED_ATWATER).items()})
        if basis == DRY_MATTER:
            return Terms(dict.fromkeys(_DRY, 0.01))
        if basis in (FINISHED, REHYDRATED):
            return self._per_food(basis)
        return Terms(dict.fromkeys(PARTS, 0.01))

    def surplus(
        self, nutrient: str, basis: str, figure: float, at_least: bool, worst: bool
    ) -> list[float]:
        """For each component, per unit of its share, by how much it brings a content above the
        figure (or below, for a most): the content is on the right side where the sum over the
        mix is not below nothing.

        At the estimate, or with `worst` at the end of each range that is against it. In that
        case what has no figure counts as nothing towards a least, and is infinite for a most.
        `figure` is in the nutrient's unit (amount per 1000 kcal on that basis).
        """
        unit = unit_of(nutrient)
        sign = 1.0 if at_least else -1.0
        over, _ = self._terms(nutrient, unit)
        under = self._under(basis)
        if basis == ENERGY:
            figure /= 10_000.0 if unit == "%" else 1000.0
        if nutrient == "moisture" and basis in (FINISHED, REHYDRATED):
            # Water that processing takes out leaves the upper sum, and the lower one is the food.
            keeps = 1.0 if self.water.yield_ is None else float(self.water.yield_)
            lost = Terms(dict.fromkeys(PARTS, -(1 - keeps)))
        else:
            lost = Terms()
        found = []
        for box, term in zip(self.mixed.boxes, over, strict=True):
            weights = {
                part: sign
                * (
                    term.factors.get(part, 0.0)
                    + lost.factors.get(part, 0.0)
                    - figure * under.factors.get(part, 0.0)
                )
                for part in PARTS
            }
            if worst:
                beside = term.beside.low if at_least else term.beside.high
                found.append(value(weights, box.point(weights, False)) + sign * beside)
            else:
                found.append(value(weights, box.middle) + sign * term.middle)
        return found

    def _per_food(self, basis: str) -> Terms:
        """What the weight of the food is, per weight of the mix, as a sum over parts."""
        more = 1.0 + float(self.added or 0) if basis == REHYDRATED else 1.0
        if self.water.yield_ is not None:
            return Terms(dict.fromkeys(PARTS, 0.01 * float(self.water.yield_) * more))
        if self.water.moisture is not None:
            keeps = 100 - float(self.water.moisture)
            return Terms(dict.fromkeys(_DRY, more / keeps))
        return Terms(dict.fromkeys(PARTS, 0.01 * more))

    def _moisture(self, basis: str) -> BatchContent:
        """Moisture of the food: stated, or what is left of the mix's after the loss."""
        more = float(self.added or 0) if basis == REHYDRATED else 0.0
        if self.water.moisture is not None:
            held = (float(self.water.moisture) + 100 * more) / (1 + more)
            return BatchContent(held, held, held, "%", literature=False)
        keeps = 1.0 if self.water.yield_ is None else float(self.water.yield_)
        mix = self.content("moisture", AS_MIXED)
        lost = 100 * (1 - keeps)

        def of(value: float) -> float:
            return min(100.0, (max(0.0, value - lost) / keeps + 100 * more) / (1 + more))

        return BatchContent(
            of(mix.low), of(mix.high), of(mix.middle), "%", mix.unknown, mix.literature
        )

    def energy(self, method: str = MODIFIED_ATWATER, species: str | None = None) -> BatchContent:
        """kcal/kg of the finished food. By plain factors the bounds are sharp; those of the NRC
        equation are an enclosure from the bounds of each of its steps."""
        if method == NRC_2006:
            return self._nrc(species)
        weights = {part: 10 * factor for part, factor in factors(method, species).items()}
        terms = [Terms(weights)] * len(self.components)
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


def _most(nutrient: str, unit: str, box: Box) -> float:
    """The most of a content without a figure that the six parts leave room for.

    Amino acids are no more than their nitrogen times 6.25 makes crude protein: tyrosine, the
    poorest in nitrogen (7.73 % by formula weight), is 48 % crude protein. Fatty acids lie within
    fat, the major minerals within ash.
    """
    if unit != "%":
        return inf
    sort = sort_of(nutrient)
    if sort == "amino-acid":
        return min(100.0, box.high["protein"] / 0.48)
    if sort == "fatty-acid":
        return box.high["fat"]
    return box.high["ash"] if nutrient in _WITHIN_ASH else 100.0


def _ranges(line: BatchLine, match: Match | None) -> tuple[dict[str, Range], frozenset[str]]:
    """Own figures, and the catalogue's for the rest; where both cannot be true, the own."""
    own = {n: Range(float(v), float(v)) for n, v in line.analysis.items()}
    listed = {} if match is None else {n: f.range for n, f in match.known.figures.items()}
    rest = {n: r for n, r in listed.items() if n not in own}
    parts = {p: own.get(p) or rest.get(p) or Range(0.0, 100.0) for p in PARTS}
    fits = sum(r.low for r in parts.values()) <= 100 <= sum(r.high for r in parts.values())
    if not fits:
        rest = {n: r for n, r in rest.items() if n not in PARTS}
        total = sum(own[p].low for p in PARTS if p in own)
        if total > 100 or (total < 100 and all(p in own for p in PARTS)):
            # Rounding of a whole analysis: told to 100 by proportion.
            own = {n: Range(r.low * 100 / total, r.high * 100 / total) if n in PARTS else r
                   for n, r in own.items()}  # fmt: skip
    return {**rest, **own}, frozenset(own)
