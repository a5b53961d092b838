"""The daily need of the animal that foods are for."""

from __future__ import annotations

from collections.abc import Iterable

from panellint.core.errors import NotComputable, PanellintError
from panellint.nutrition.requirements import DailyNeed, daily_energy


def need_of(
    kilograms: float | None, species: str | None, life: str, labels: Iterable[str | None]
) -> DailyNeed | None:
    """Returns the daily energy of an animal of that body weight; None where no weight is given.

    `labels` are the species of the labels, and settle the species where `species` is None.
    Raises PanellintError where they do not, or where weight or way of life is not possible.
    """
    if kilograms is None:
        return None
    stated = sorted({one for one in labels if one})
    if species is None and len(stated) != 1:
        what = "are for dogs and for cats" if stated else "do not state the animal"
        raise PanellintError(f"the labels {what}; choose with --species dog or --species cat")
    try:
        return daily_energy(species or stated[0], kilograms, life)
    except NotComputable as fault:
        raise PanellintError(fault.reason) from None
