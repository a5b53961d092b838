"""What is known of one food before any arithmetic, and the records of what it comes to.

Nothing here reads a label: `panellint.analysis.nutrition_input` gathers a `NutritionInput`, and
`panellint.nutrition.assessment.Assessment` works out the rest.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeAlias, TypeVar

from panellint.catalogue.model import Range
from panellint.core.errors import NotComputable
from panellint.core.numbers import check_amount
from panellint.nutrition import energy as me
from panellint.nutrition.bounds import ContentBounds
from panellint.nutrition.forms import Form

T = TypeVar("T")

#: The six parts, each between a least and a most, percent as fed.
Box: TypeAlias = Mapping[str, Range]


class Refused(NamedTuple):
    """What could not be worked out, and why; `names` are the figures in the way."""

    what: str
    because: str
    names: tuple[str, ...] = ()


def refusal(what: str, fault: NotComputable) -> tuple[Refused]:
    """Returns a fault as the one thing that was refused."""
    return (Refused(what, fault.reason, fault.names),)


class Step(NamedTuple, Generic[T]):
    """One step of reading or arithmetic: its result, why parts of it could not be had, and what
    is to be known beside it."""

    result: T
    refused: tuple[Refused, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NutritionInput:
    """What is known of a food before any arithmetic.

    `printed` are bounds by nutrient id, as fed, each in the nutrient's own unit. `kcal_per_kg`
    is the label's own energy as fed and `kcal_method` how it was found ("calculated", "fed" or
    None). `water` is weights of water to one of food, where the food is to be prepared.
    `complete` is whether the label calls the food complete; None where it does not say. `trial`
    is True where feeding trials, and not the profile, are what it rests on. `unread` are printed
    figures that could not be used, and `remarks` what was taken for granted in reading the
    others. Raises ImpossibleFigure for an energy that is no amount.
    """

    printed: Mapping[str, ContentBounds]
    form: Form
    market: str = "us"
    species: str | None = None
    stages: tuple[str, ...] = ()
    large_size: bool | None = None
    complete: bool | None = None
    trial: bool = False
    kcal_per_kg: float | None = None
    kcal_method: str | None = None
    water: float | None = None
    unread: tuple[Refused, ...] = ()
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.kcal_per_kg is not None:
            check_amount("energy", self.kcal_per_kg)


class LabelEnergy(NamedTuple):
    """The label's own energy beside the one worked out from its figures.

    `difference` is the label's less the computed, kcal/kg, and `difference_percent` of the
    computed.
    `possible` is False where no food that fits the guarantees has this energy by modified
    Atwater; None where that cannot be told.
    """

    kcal_per_kg: float
    method: str | None
    difference: float
    difference_percent: float
    possible: bool | None


class Energy(NamedTuple):
    """Energy by every method that the figures allow, kcal/kg as fed; `method` is the main one.

    `steps` are those of the NRC equation where it could be used. `uplift` is what practice
    multiplies the computed figure by, since guarantees of protein and fat are minima; None where
    they are not.
    """

    kcal_per_kg: float
    method: str
    by_method: dict[str, float]
    shares: me.EnergyShares
    steps: me.FourSteps | None
    label: LabelEnergy | None
    uplift: float | None
