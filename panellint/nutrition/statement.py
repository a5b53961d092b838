"""What the figures of one food come to: all bases, ranges, energy and profile.

Nothing here reads a label: who does gathers `Facts`, and `panellint.nutrition.working.state`
makes the statement.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from panellint.known import Range
from panellint.nutrition import energy as me
from panellint.nutrition.adequacy import Adequacy, Ratio
from panellint.nutrition.bases import PARTS, Analysis, on_dry_matter, on_energy
from panellint.nutrition.bounds import Bounds
from panellint.nutrition.faults import NotComputable, check_amount
from panellint.nutrition.forms import Form

#: The six parts, each between a least and a most, percent as fed.
Box: TypeAlias = Mapping[str, Range]


class Refused(NamedTuple):
    """What could not be worked out, and why; `names` are the figures in the way."""

    what: str
    reason: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of a food before any arithmetic.

    `printed` are bounds by nutrient id, as fed, each in the nutrient's own unit. `kcal_per_kg`
    is the label's own energy as fed and `kcal_method` how it was found ("calculated", "fed" or
    None). `water` is weights of water to one of food, where the food is to be prepared.
    `complete` is whether the label calls the food complete; None where it does not say. `trial`
    is True where feeding trials, and not the profile, are what it rests on. `unread` are printed
    figures that could not be used, and `remarks` what was taken for granted in reading the
    others. Raises ImpossibleFigure for an energy that is no amount.
    """

    printed: Mapping[str, Bounds]
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

    `difference` is the label's less the computed, kcal/kg, and `percent` that of the computed.
    `possible` is False where no food that fits the guarantees has this energy by modified
    Atwater (None where that cannot be told).
    """

    kcal_per_kg: float
    method: str | None
    difference: float
    percent: float
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


class Statement(NamedTuple):
    """All that was worked out for one food.

    `analysis` is the point estimate, percent as fed; the parts in `assumed` were not printed.
    `boxes` are the ranges of the parts with the premises that each rests on, widest first.
    """

    facts: Facts
    analysis: Analysis
    assumed: tuple[str, ...]
    boxes: tuple[tuple[Box, tuple[str, ...]], ...]
    energy: Energy | None
    adequacy: Adequacy | None
    calcium_phosphorus: Ratio | None
    prepared: Analysis | None
    refused: tuple[Refused, ...]
    notes: tuple[str, ...]

    @property
    def kcal_per_kg(self) -> float | None:
        """The computed energy as fed, by the main method."""
        return self.energy.kcal_per_kg if self.energy else None

    @property
    def dry_matter(self) -> dict[str, float | None]:
        """The parts in percent of dry matter; all None where that cannot be told."""
        try:
            return on_dry_matter(self.analysis)
        except NotComputable:
            return dict.fromkeys(PARTS)

    @property
    def per_1000_kcal(self) -> dict[str, float | None]:
        """The parts in grams per 1000 kcal; all None where that cannot be told."""
        return (
            on_energy(self.analysis, self.kcal_per_kg) if self.kcal_per_kg else dict.fromkeys(PARTS)
        )

    def range_of(
        self, quantity: Callable[[Box], Range]
    ) -> tuple[tuple[Range, tuple[str, ...]], ...]:
        """A range of the module `ranges` over every box, with what each rests on."""
        found = []
        for bounds, rests_on in self.boxes:
            try:
                found.append((quantity(bounds), rests_on))
            except NotComputable:
                continue
        return tuple(found)
