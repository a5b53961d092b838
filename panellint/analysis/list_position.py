"""Where an ingredient stands and how much of it there can be: said in one way by every rule.

No check works out a share; the bounds come from the case, when they are first asked for and
once for each ingredient.
"""

from fractions import Fraction
from functools import cached_property

from panellint.analysis.context import LabelContext
from panellint.core.numbers import number
from panellint.ingredients.model import Ingredient
from panellint.label.model import PercentOf
from panellint.shares.explain import percent_limits
from panellint.shares.model import Bounds, Condition, Path

#: Bounds nearer to nothing or to all than this are not worth a word.
_HAIR = 0.05


class ListPosition:
    """The place of an ingredient and its least and most, in percent of the mix.

    `rank` counts from 1 among the `count` entries of the list it stands in, which is the
    group `inside` or, where that is "", the whole declaration. `printed` is the most by the
    percentages of the food that are printed for it or around it, of whatever moisture they speak;
    100 where there is none.
    """

    def __init__(self, context: LabelContext, path: Path) -> None:
        siblings, self.inside, self.printed = context.declaration.ingredients, "", 100.0
        for depth, place in enumerate(path, 1):
            given = siblings[place].percent
            if given and given.of is PercentOf.FOOD and (most := percent_limits(given)[1]):
                self.printed = min(self.printed, 100 * float(most))
            if depth < len(path):
                siblings, self.inside = siblings[place].members, siblings[place].name
        self.rank, self.count = path[-1] + 1, len(siblings)
        self._answers = context.bounds
        self._path = path
        self._reached: dict[tuple[float, bool], bool] = {}

    @cached_property
    def bounds(self) -> Bounds | None:
        """The bounds of its share; None where no formula fits the label, so that nothing can
        be said."""
        if not self._answers.consistent:
            return None
        return self._answers.bounds({self._path: 1})

    @property
    def low(self) -> float:
        """The least that is sure."""
        return self.bounds.low if self.bounds else 0.0

    @property
    def high(self) -> float:
        """The most that is possible."""
        return self.bounds.high if self.bounds else 100.0

    @property
    def _is_less(self) -> bool:
        """Whether the printed percentages leave it less than what is proven of the mix."""
        return self.printed < self.high - _HAIR

    @property
    def most(self) -> float:
        """The most, as far as printed percentages of the food are those of the mix."""
        return min(self.high, self.printed)

    @property
    def place(self) -> str:
        """ "4th of 28", "2nd of 5 in Gravy"."""
        ending = f" in {self.inside}" if self.inside else ""
        return f"{ordinal(self.rank)} of {self.count}{ending}"

    @property
    def share(self) -> str:
        """ "between 5 and 20 %", "at most 20 %", or that nothing bounds it."""
        return share(self.low, self.high) if self.bounds else "a share that nothing tells"

    @property
    def values(self) -> dict[str, object]:
        """What messages may name: place, share, least, most; the last three when asked for."""
        return {
            "place": self.place,
            "share": lambda: f"{share(0, self.most)} (as printed)" if self._is_less else self.share,
            "least": lambda: self.low,
            "most": lambda: self.most,
        }

    def may_reach(self, percent: float, *, at_most: bool = False) -> bool:
        """Whether nothing proves that the share is less (`at_most`: more) than so many percent: a
        formula that shows it is looked for first, and costs less than the bounds."""
        key = percent, at_most
        if key not in self._reached:
            asked = Condition({self._path: 1}, Fraction(str(percent)), at_most=at_most)
            self._reached[key] = self._answers.refuted([asked]) is None
        return self._reached[key]

    @property
    def rests_on(self) -> tuple[str, ...]:
        """The premises behind the bounds, as plain words."""
        return tuple(str(premise) for premise in self.bounds.rests_on) if self.bounds else ()


def standing(context: LabelContext, entry: Ingredient) -> ListPosition:
    """The standing of a declared ingredient."""
    return context.once(ListPosition, entry.path)


def share(low: float, high: float) -> str:
    """A range of percent in words; said to hundredths where that is fine enough."""
    if low >= 100 - _HAIR:
        return "all"
    if high >= 100 - _HAIR:
        return f"at least {_percent(low)} %" if low > _HAIR else "any share"
    if low <= _HAIR:
        return f"at most {_percent(high)} %"
    if high - low <= _HAIR:
        return f"{_percent(high)} %"
    return f"between {_percent(low)} and {_percent(high)} %"


def _percent(value: float) -> str:
    return number(round(value, 2))


def ordinal(rank: int) -> str:
    """ "1st", "2nd", "11th"."""
    endings = {1: "st", 2: "nd", 3: "rd"}
    return f"{rank}{'th' if rank % 100 in {11, 12, 13} else endings.get(rank % 10, 'th')}"
