"""What a mix of ingredients can hold: sums and ratios over the parts of each, exactly bounded.

Each ingredient is a box of its six parts (moisture, protein, fat, fibre, ash, carbohydrate) in
percent of its weight, together 100. The ingredients are independent of one another, so a
linear sum over a mix of known shares is largest where each ingredient's own sum is; and a ratio
of two such sums is largest at the least `t` with `max (over - t under) <= 0` (Dinkelbach 1967,
Management Science 13:492). A food of a label is a mix of one: its parts lie between the bounds
that the label leaves, in percent as fed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from panellint.catalogue.model import PARTS, Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure
from panellint.core.numbers import decimal
from panellint.nutrition import bases
from panellint.nutrition.energy import factors
from panellint.nutrition.targets import AS_FED, DRY_MATTER, ENERGY_SHARE

_ROUNDS = 60
NOTHING = Range(0.0, 0.0)
_SAME = 1e-12


@dataclass(frozen=True, slots=True)
class Terms:
    """A linear sum over one ingredient: factors of its parts, and of what stands beside them.

    `beside` is the range of a content that is no part of the six (iron in mg/kg), `middle` its
    estimate.
    """

    factors: Mapping[str, float] = field(default_factory=dict)
    beside: Range = NOTHING
    middle: float = 0.0


@dataclass(frozen=True, slots=True)
class Box:
    """The parts of one ingredient: least and most of each in percent, tightened so that every
    end can be reached, and an estimate of each that adds up to 100."""

    low: Mapping[str, float]
    high: Mapping[str, float]
    middle: Mapping[str, float]

    @classmethod
    def of(cls, ranges: Mapping[str, Range], means: Mapping[str, float] | None = None) -> Box:
        """From ranges that can be true together, missing parts being 0 to 100. `means` are
        estimates for some parts, moved as little as makes the whole."""
        low = {part: ranges[part].low if part in ranges else 0.0 for part in PARTS}
        high = {part: ranges[part].high if part in ranges else 100.0 for part in PARTS}
        least, most = sum(low.values()), sum(high.values())
        if high["protein"] > 100:
            # Crude protein is an analysis and may pass the whole: by difference, carbohydrate is
            # then below nothing.
            below = min(0.0, 100 - high["protein"] + low["protein"] - least)
            least += below
            low["carbohydrate"] += below
        tight_low = {p: max(low[p], 100 - (most - high[p])) for p in PARTS}
        tight_high = {p: min(high[p], 100 - (least - low[p])) for p in PARTS}
        known = {p: m for p, m in (means or {}).items() if p in PARTS}
        middle = {
            p: min(
                max(known.get(p, (tight_low[p] + tight_high[p]) / 2), tight_low[p]), tight_high[p]
            )
            for p in PARTS
        }
        # The rest that makes the whole goes first to parts without a mean, then to the others.
        for among in ([p for p in PARTS if p not in known], list(PARTS)):
            rest = 100 - sum(middle.values())
            ends = tight_high if rest > 0 else tight_low
            room = {p: abs(ends[p] - middle[p]) for p in among}
            if (total := sum(room.values())) > _SAME:
                part = min(1.0, abs(rest) / total)
                middle |= {p: middle[p] + part * (ends[p] - middle[p]) for p in among}
        return cls(tight_low, tight_high, middle)

    def point(self, factors: Mapping[str, float], up: bool) -> Mapping[str, float]:
        """The parts at which a linear sum of them is largest (or least)."""
        sign = 1 if up else -1
        parts = dict(self.low)
        rest = 100 - sum(parts.values())
        for part in sorted(PARTS, key=lambda p: (-sign * factors.get(p, 0.0), p)):
            take = min(rest, self.high[part] - self.low[part])
            if take > 0:
                parts[part] += take
                rest -= take
        return parts


def value(factors: Mapping[str, float], parts: Mapping[str, float]) -> float:
    """The sum of factor times part."""
    return sum(factor * parts[part] for part, factor in factors.items())


@dataclass(frozen=True, slots=True)
class Mixed:
    """A mix: the box of each ingredient with its share (0 to 1)."""

    boxes: Sequence[Box]
    shares: Sequence[float]

    def estimate(self, terms: Sequence[Terms]) -> float:
        """The sum at the estimates."""
        return sum(
            share * (value(term.factors, box.middle) + term.middle)
            for box, share, term in zip(self.boxes, self.shares, terms, strict=True)
        )

    def extreme(self, terms: Sequence[Terms], up: bool) -> float:
        """The most (or least) of a linear sum."""
        return sum(
            share
            * (
                value(term.factors, box.point(term.factors, up))
                + (term.beside.high if up else term.beside.low)
            )
            for box, share, term in zip(self.boxes, self.shares, terms, strict=True)
            if share
        )

    def ratio(self, over: Sequence[Terms], under: Sequence[Terms], up: bool) -> float:
        """The most (or least) of one sum over another.

        The lower sum may have no part beside the six. Infinite where it can vanish while the
        upper does not; where it always vanishes, infinite or 0 by the upper.
        """
        most_over = self.extreme(over, True)
        if up and most_over == inf:
            return inf
        _, most_under = self._sums(over, under, under, True)
        if most_under <= _SAME:
            return inf if up and most_over > _SAME else 0.0
        sign = 1 if up else -1
        quotient = self.estimate(over) / (self.estimate(under) or most_under)
        for _ in range(_ROUNDS):
            differences = [
                Terms({p: a.factors.get(p, 0.0) - quotient * b.factors.get(p, 0.0) for p in PARTS})
                for a, b in zip(over, under, strict=True)
            ]
            top, bottom = self._sums(over, under, differences, up)
            if sign * (top - quotient * bottom) <= _SAME * max(1.0, abs(top)):
                return quotient
            if bottom <= _SAME:
                return inf
            quotient = top / bottom
        return quotient

    def _sums(
        self, over: Sequence[Terms], under: Sequence[Terms], by: Sequence[Terms], up: bool
    ) -> tuple[float, float]:
        """Two sums at the parts at which a third is most (or least)."""
        top = bottom = 0.0
        for box, share, a, b, terms in zip(self.boxes, self.shares, over, under, by, strict=True):
            if share:
                parts = box.point(terms.factors, up)
                top += share * (value(a.factors, parts) + (a.beside.high if up else a.beside.low))
                bottom += share * value(b.factors, parts)
        return top, bottom


_SLACK = 1e-9
_DRY = {part: 1.0 for part in bases.PARTS if part != "moisture"}


def check_box(box: Mapping[str, Range]) -> None:
    """Raise ContradictoryFigures where no food fits the box.

    `excess` is by how much the parts miss the whole, in percentage points.
    """
    for part in bases.PARTS:
        low, high = box[part]
        if low > high + _SLACK:
            raise ContradictoryFigures(
                f"{part} is at least {decimal(low)} % and at most {decimal(high)} %",
                part,
                excess=low - high,
            )
    least = sum([box[part].low for part in bases.PARTS])
    most = sum([box[part].high for part in bases.PARTS])
    if least > 100 + _SLACK:
        raise ContradictoryFigures(
            f"the parts are at least {decimal(least)} % together",
            *(part for part in bases.PARTS if box[part].low > 0),
            excess=least - 100,
        )
    if most < 100 - _SLACK:
        raise ContradictoryFigures(
            f"the parts are at most {decimal(most)} % together", *bases.PARTS, excess=100 - most
        )


def extremes(
    box: Mapping[str, Range],
    numerator: Mapping[str, float],
    denominator: Mapping[str, float] | None = None,
    times: float = 1.0,
) -> Range:
    """The least and most of a linear sum of the parts, or of the ratio of two such sums.

    The sums are weights by part, on parts in percent as fed; the result is multiplied by
    `times`. Where only the divisor can vanish the most is infinite. Raises ContradictoryFigures
    where no food fits, and ImpossibleFigure where the divisor vanishes everywhere.
    """
    check_box(box)
    food = Mixed([Box.of(box)], [1.0])
    over = [Terms(numerator)]
    if denominator is None:
        return Range(*(times * food.extreme(over, up) for up in (False, True)))
    under = [Terms(denominator)]
    if food.extreme(under, True) <= _SLACK:
        raise ImpossibleFigure("nothing is left to divide by")
    return Range(*(times * food.ratio(over, under, up) for up in (False, True)))


def content_range(box: Mapping[str, Range], part: str, basis: str = AS_FED) -> Range:
    """The range of one part on a basis of `panellint.nutrition.targets`: in percent as fed, of the
    dry matter or of the energy, or in grams per 1000 kcal, by modified Atwater."""
    if basis == AS_FED:
        return extremes(box, {part: 1.0})
    if basis == DRY_MATTER:
        return extremes(box, {part: 1.0}, _DRY, 100)
    weights = factors()
    if basis == ENERGY_SHARE:
        return extremes(box, {part: weights[part]}, weights, 100)
    # 1 % is 10 g/kg, and ten times the weighted sum is kcal/kg.
    return extremes(box, {part: 1.0}, weights, 1000)


def energy_range(box: Mapping[str, Range]) -> Range:
    """The range of energy in kcal/kg as fed, by modified Atwater."""
    return extremes(box, factors(), times=10)


def dry_matter_of(box: Mapping[str, Range]) -> Range:
    """The range of the dry matter itself, in percent as fed."""
    return extremes(box, _DRY)
