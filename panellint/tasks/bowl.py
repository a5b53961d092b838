"""What a bowl of several foods is, whoever worked out their amounts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from panellint.core.errors import NotComputable
from panellint.nutrition.bases import PARTS, Analysis, on_dry_matter, on_energy
from panellint.nutrition.serialize import rounded, rounded_parts
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.catalogue.model import Hazard
    from panellint.ingredients.model import Ingredient
    from panellint.results.foods import Completeness
    from panellint.results.nutrition import BasesData


def harmful(context: LabelContext, species: str) -> Iterator[tuple[Ingredient, Hazard]]:
    """Yields the ingredients of a label that can harm a species, with the reason."""
    for entry in context.leaves:
        for hazard in entry.match.known.hazards if entry.match else ():
            if hazard.species == species and hazard.level in ("error", "warning"):
                yield entry, hazard


def bases_of(bowl: Analysis, kcal_per_kg: float | None) -> BasesData:
    """Returns a bowl on every basis; None for what cannot be worked out."""
    empty: dict[str, float | None] = dict.fromkeys(PARTS)
    try:
        dry = on_dry_matter(bowl)
    except NotComputable:
        dry = empty
    return {
        "as_fed": rounded_parts(bowl.as_dict()),
        "dry_matter": rounded_parts(dry),
        "per_1000_kcal": rounded_parts(on_energy(bowl, kcal_per_kg) if kcal_per_kg else empty),
    }


def completeness_of(parts: Sequence[tuple[str, bool | None, float]]) -> Completeness:
    """Returns which part of the energy comes from food that no label calls complete, against the
    customary most; `parts` are names, whether each is complete (None: not said), and the percent
    of the energy that it gives."""
    most = float(data("data/nutrition")["incomplete_energy_share"]["most"])
    incomplete = sum(percent for _, complete, percent in parts if not complete)
    return {
        "incomplete_energy_percent": rounded(incomplete),
        "customary_most_percent": most,
        "practice": True,
        "over": incomplete > most + 1e-9,
        "not_said": [name for name, complete, percent in parts if complete is None and percent > 0],
        "share_percent_at_customary_most": None,
    }


def incomplete_words(found: Completeness) -> Iterator[str]:
    """Yields what is to be said of food that is not complete, in sentences."""
    percent, most = found["incomplete_energy_percent"], found["customary_most_percent"]
    if percent:
        over = (
            f"that is more than the customary {most:g} % (practice), so the ration as a whole may "
            "lack what a complete food holds."
            if found["over"]
            else f"the customary most is {most:g} % (practice)."
        )
        yield f"{percent:.1f} % of the energy comes from food that is not complete; {over}"
    for name in found["not_said"]:
        yield f"Whether {name} is a complete food is not said; it is counted as not complete."
