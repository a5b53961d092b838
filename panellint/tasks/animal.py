"""The daily need of the animal that foods are for."""

from collections.abc import Iterable
from typing import NamedTuple

from panellint.core.errors import PanellintError
from panellint.core.records import to_data
from panellint.nutrition.energy import DailyNeed, daily_energy, losing_energy
from panellint.nutrition.serialize import PLACES
from panellint.results.foods import AnimalNeed


class Animal(NamedTuple):
    """The animal that is fed: its weight in kg, its way of life by id, the aim (keep, lose, gain),
    the weight to reach, and its species (None: that of the labels)."""

    kilograms: float
    life: str = "adult"
    aim: str = "keep"
    target: float | None = None
    species: str | None = None


def animal_data(species: str, need: DailyNeed) -> AnimalNeed:
    """Returns the need of an animal as plain data."""
    return to_data(
        AnimalNeed, need, PLACES, species=species, kcal_per_day=need.kcal, **need.range._asdict()
    )


def species_of(species: str | None, labels: Iterable[str | None]) -> str:
    """Returns the species that is asked for, else that of the labels. Raises PanellintError where
    they do not settle it."""
    stated = sorted({label for label in labels if label})
    if species is None and len(stated) != 1:
        what = "are for dogs and for cats" if stated else "do not state the animal"
        raise PanellintError(f"the labels {what}; choose with --species dog or --species cat")
    return species or stated[0]


def needs_of(animal: Animal | None, labels: Iterable[str | None]) -> dict[str, DailyNeed]:
    """Returns the daily needs by species of an animal of that weight, for each species that the
    labels are for, or of the one that is asked for; it counts for foods that do not say theirs.

    Nothing without an animal. Raises PanellintError as `need_of`, and where nothing says a species.
    """
    if animal is None:
        return {}
    own = animal.species
    kinds = {own} if own else {label for label in labels if label}
    if not kinds:
        species_of(None, ())
    needs = {kind: need_of(animal, [kind]) for kind in sorted(kinds)}
    return {**needs, **({"": needs[own]} if own else {})}


def need_of(animal: Animal, labels: Iterable[str | None]) -> DailyNeed:
    """Returns the daily energy of an animal.

    `labels` are the species of the labels, and settle the species where the animal has none. One
    that is to lose gets what its target weight rests on, one that is to gain the need of that
    weight. Raises PanellintError where the species is not settled, the target weight is lacking or
    on the wrong side, or weight or way of life is not possible.
    """
    kilograms, life, aim, target, species = animal
    kind = species_of(species, labels)
    if aim != "keep" and target is None:
        raise PanellintError(f"to {aim} weight needs the weight to reach: --target-weight")
    if target is not None and (target < kilograms) != (aim == "lose"):
        raise PanellintError(f"a target of {target:g} kg is not to {aim} from {kilograms:g} kg")
    if aim == "lose" and target is not None:
        return losing_energy(kind, target)
    return daily_energy(kind, target or kilograms, life)


def animal_of(body_weight: float | None, species: str | None, life: str) -> Animal | None:
    """Returns an animal that keeps its weight, in kg; None where no weight is given."""
    return None if body_weight is None else Animal(body_weight, life, species=species)
