"""What a food costs, for its energy and for a day. Prices are in the currency that was given."""

from __future__ import annotations

from panellint.core.numbers import check_amount


def cost_per_1000_kcal(price: float, net_weight_kg: float, kcal_per_kg: float) -> float:
    """Price of 1000 kcal: price / (kg x kcal/kg) x 1000. Raises ImpossibleFigure."""
    energy = check_amount("net weight", net_weight_kg) * check_amount("energy", kcal_per_kg)
    return check_amount("price", price) * 1000 / energy


def grams_per_day(kcal_per_day: float, kcal_per_kg: float) -> float:
    """Grams as fed that give the day's energy. Raises ImpossibleFigure."""
    need = check_amount("daily energy", kcal_per_day)
    return need / check_amount("energy", kcal_per_kg) * 1000


def cost_per_day(
    price: float, net_weight_kg: float, kcal_per_kg: float, kcal_per_day: float
) -> float:
    """Price of one day's energy. Raises ImpossibleFigure."""
    need = check_amount("daily energy", kcal_per_day)
    return cost_per_1000_kcal(price, net_weight_kg, kcal_per_kg) * need / 1000
