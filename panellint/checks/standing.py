"""Where an ingredient stands and how much of it there can be: said in one way by every rule.

No check works out a share; the bounds come from the case.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from panellint.declared import Ingredient
from panellint.shares.answers import Base, Bounds
from panellint.wording import number

if TYPE_CHECKING:
    from panellint.case import Case

#: Bounds nearer to nothing or to all than this are not worth a word.
_HAIR = 0.05


@dataclass(frozen=True, slots=True)
class Standing:
    """The place of an ingredient and its least and most.

    `rank` counts from 1 among the `count` entries of the list it stands in, which is the
    group `inside` or, where that is "", the whole declaration. `bounds` are in percent of the
    base; None where no formula fits the label, so that nothing can be said.
    """

    rank: int
    count: int
    bounds: Bounds | None
    base: Base = Base.MIX
    inside: str = ""

    @property
    def low(self) -> float:
        """The least that is sure."""
        return self.bounds.low if self.bounds else 0.0

    @property
    def high(self) -> float:
        """The most that is possible."""
        return self.bounds.high if self.bounds else 100.0

    @property
    def place(self) -> str:
        """ "4th of 28", "2nd of 5 in Gravy"."""
        ending = f" in {self.inside}" if self.inside else ""
        return f"{ordinal(self.rank)} of {self.count}{ending}"

    @property
    def share(self) -> str:
        """ "between 5 and 20 %", "at most 20 %", or that nothing bounds it."""
        return share(self.low, self.high)

    @property
    def values(self) -> dict[str, object]:
        """What messages may name: place, share, least, most."""
        return {"place": self.place, "share": self.share, "least": self.low, "most": self.high}

    @property
    def rests_on(self) -> tuple[str, ...]:
        """The premises behind the bounds, as plain words."""
        return tuple(str(premise) for premise in self.bounds.rests_on) if self.bounds else ()


def standing(case: Case, entry: Ingredient, base: Base = Base.MIX) -> Standing:
    """Rank and bounds of a declared ingredient."""
    answers = case.bounds
    bounds = answers.bounds({entry.path: 1}, base) if answers.consistent else None
    siblings, inside = case.declaration.ingredients, ""
    for number in entry.path[:-1]:
        siblings, inside = siblings[number].members, siblings[number].name
    return Standing(entry.path[-1] + 1, len(siblings), bounds, base, inside)


def share(low: float, high: float) -> str:
    """A range of percent in words; said to tenths where that is fine enough."""
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
    ending = "th" if rank % 100 in {11, 12, 13} else {1: "st", 2: "nd", 3: "rd"}.get(rank % 10, "th")
    return f"{rank}{ending}"
