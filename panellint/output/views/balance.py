"""A mass balance as one sentence."""

from __future__ import annotations

from panellint.core.numbers import number
from panellint.results.batch import MassBalance


def sentence(found: MassBalance | None) -> str:
    """Returns a balance as one sentence."""
    if found is None:
        lacks = "the finished weight, or a figure for the water of an ingredient of weight"
        return f"mass balance: not known, for want of {lacks}"
    parts = [f"{number(found['water_out'])} kg of water"]
    if found["fat_out"]:
        parts.append(f"{number(found['fat_out'])} kg of fat")
    return (
        f"mass balance: 100 kg of the mix ({number(found['water_in'])} kg of water, "
        f"{number(found['dry_matter'])} kg of dry matter) lose {' and '.join(parts)} and leave "
        f"{number(found['food'])} kg of food at {number(found['moisture'])} % moisture"
    )
