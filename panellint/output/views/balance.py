"""A mass balance as one sentence."""

from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.results.batch import MassBalance


def sentence(balance: MassBalance | None) -> str:
    """Returns a balance as one sentence."""
    if balance is None:
        lacks = "the finished weight, or a figure for the water of an ingredient of weight"
        return f"mass balance: not known, for want of {lacks}"
    water = balance["water_out"]
    parts = [f"{'take up' if water < 0 else 'lose'} {number(abs(water))} kg of water"]
    if balance["fat_out"]:
        parts.append(f"lose {number(balance['fat_out'])} kg of fat")
    return (
        f"mass balance: 100 kg of the mix ({number(balance['water_in'])} kg of water, "
        f"{number(balance['dry_matter'])} kg of dry matter) {listed([*parts, 'leave'])} "
        f"{number(balance['food'])} kg of food at {number(balance['moisture'])} % moisture"
    )
