"""The premises a proof may rest on, and the numbers behind them.

The numbers are kept with their sources in `rules/data/premises.yaml`.
"""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from panellint.catalogue.model import CatalogueEntry
from panellint.rulepacks.data import data as rules_data


class Premise(StrEnum):
    """What a row rests on. The user can leave any of them out, `composition` aside.

    `READING` marks what holds under one reading of the order only, and so is no proof.
    `COMPOSITION` marks what comes from literature ranges and from no word of the label, `COMPOSED`
    those that no table prints: worked out from the parts of an ingredient's name.
    """

    ORDER = "order"
    GROUPS = "groups"
    PERCENTAGES = "percentages"
    TAIL = "tail"
    WATER = "water"
    GUARANTEES = "guarantees"
    CALORIES = "calories"
    COMPOSITION = "composition"
    COMPOSED = "composition (composed)"
    NAME = "name"
    PRACTICE = "practice"
    READING = "one reading of the order"


class Reading(StrEnum):
    """What weight the place in a list goes by.

    MIXED: the weight as mixed. DRY: the dry matter, which orders a list as the weight at one
    moisture for all does. EITHER: what every reading allows, those two and any weight between.
    """

    MIXED = "as mixed"
    DRY = "at the moisture of the food"
    EITHER = "either"


_ALL = tuple(Premise)

#: The premises that are taken unless the user asks otherwise.
DEFAULT: tuple[Premise, ...] = (
    Premise.ORDER,
    Premise.GROUPS,
    Premise.PERCENTAGES,
    Premise.TAIL,
    Premise.WATER,
    Premise.GUARANTEES,
)

#: What the user may choose among, in the order in which they are told.
CHOICES: tuple[Premise, ...] = (*DEFAULT, Premise.CALORIES, Premise.NAME, Premise.PRACTICE)

#: The premises that are the label's own words.
LABEL_ALONE = frozenset(
    {Premise.ORDER, Premise.GROUPS, Premise.PERCENTAGES, Premise.TAIL, Premise.NAME}
)

#: The premises that rest on what ingredients are known to hold.
LITERATURE = frozenset({Premise.COMPOSITION, Premise.COMPOSED})


class Margin(NamedTuple):
    """How far a printed guarantee may lie from the truth: points, or a share of the figure."""

    points: Fraction
    share: Fraction

    def around(self, percent: Fraction) -> Fraction:
        """The margin in percentage points at a printed figure in percent."""
        return max(self.points, self.share * percent)


class Together(NamedTuple):
    """The most of several small ingredients together, in percent of the mix.

    Counted is what is of one of the `kinds` and, where `supplies` is given, supplies something
    and nothing else.
    """

    name: str
    kinds: frozenset[str]
    supplies: frozenset[str]
    most: Fraction

    def counts(self, known: CatalogueEntry) -> bool:
        """Whether an ingredient is one of them."""
        if known.kind not in self.kinds:
            return False
        return not self.supplies or bool(known.supplies and self.supplies >= set(known.supplies))


class Numbers(NamedTuple):
    """The numbers behind the premises.

    `kappa`: the most water that processing takes out, as a part of the mix. `near`: margins by
    nutrient id. `ceilings`: the most of an ingredient by catalogue id, `usual` by kind, and
    `together`, in percent of the mix. `additives`: the most of additives that are listed apart,
    in percent of the mix. `room`: how many times its usual level an ingredient may reach.
    `left_out`: by market, what a list of ingredients need not name; `dry_up_to`: the moisture
    (percent) from which on it has to be declared there. `calories`: how far a
    calculated calorie line may lie from its formula, as a part of its figure.
    """

    kappa: Fraction
    near: Mapping[str, Margin]
    ceilings: Mapping[str, Fraction]
    room: Fraction
    usual: Mapping[str, Fraction]
    together: tuple[Together, ...]
    additives: Fraction
    left_out: Mapping[str, tuple[str, ...]]
    dry_up_to: Fraction
    calories: Fraction


def chosen(names: Iterable[str]) -> tuple[Premise, ...]:
    """The premises by name, in canonical order.

    Raises ValueError naming every word that is no premise, with the list to choose from.
    """
    asked = list(names)
    wrong = [name for name in asked if name not in set(CHOICES)]
    if wrong:
        raise ValueError(
            f"unknown premise {', '.join(repr(str(name)) for name in wrong)}; "
            f"choose among {', '.join(CHOICES)}"
        )
    return tuple(premise for premise in CHOICES if premise in asked)


def in_order(premises: Iterable[Premise]) -> tuple[Premise, ...]:
    """Distinct premises in canonical order."""
    distinct = set(premises)
    return tuple(premise for premise in _ALL if premise in distinct) if distinct else ()


@cache
def numbers() -> Numbers:
    """The numbers of `rules/data/premises.yaml`."""
    data = rules_data("data/premises")["premises"]
    near = data["near_the_truth"]["margins"]
    left_out = data["left_out"]
    return Numbers(
        kappa=exact(data["kappa"]["value"]),
        near={
            part: Margin(*map(exact, (near[part]["points"], near[part]["share"]))) for part in near
        },
        ceilings={row["ingredient"]: exact(row["most"]) for row in data["ceilings"]},
        room=exact(data["usual_room"]["value"]),
        usual={kind: exact(most) for kind, most in data["usual_by_kind"]["most"].items()},
        together=tuple(
            Together(
                row["name"],
                frozenset(row["kinds"]),
                frozenset(row.get("supplies", ())),
                exact(row["most"]),
            )
            for row in data["together"]
        ),
        additives=exact(data["additives_apart"]["most"]),
        left_out={
            part: tuple(kinds) for part, kinds in left_out.items() if isinstance(kinds, list)
        },
        dry_up_to=exact(left_out["dry_up_to"]),
        calories=exact(data["calories"]["share"]),
    )


def exact(number: object) -> Fraction:
    """Returns a number as it was written, without binary rounding."""
    return Fraction(str(number))
