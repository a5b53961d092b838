"""Several foods side by side on one basis, with what they cost and what the numbers hide."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations
from typing import TYPE_CHECKING

from panellint.core.errors import ImpossibleFigure, NotComputable
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bases import PARTS
from panellint.nutrition.cost import cost_per_1000_kcal, cost_per_day, grams_per_day
from panellint.nutrition.requirements import DailyNeed
from panellint.nutrition.serialize import rounded, rounded_parts
from panellint.tasks.food import Food

if TYPE_CHECKING:
    from panellint.results.foods import ComparedFood, Comparison

#: The bases that foods are told on; of the energy only protein, fat and carbohydrate have a part.
BASES = ("as fed", "dry matter", "per 1000 kcal", "energy share")

#: What foods are sorted by: the largest first, but the cheapest and the first name first.
ORDERS = (*PARTS, "energy", "cost", "name")

#: Parts of which the words speak where the printed order turns round without the water.
_TOLD_PARTS = ("protein", "fat", "carbohydrate")


def values_on(statement: Assessment, basis: str) -> dict[str, float | None]:
    """The parts of a food on one of BASES. Raises ImpossibleFigure for another."""
    if basis == "as fed":
        return statement.analysis.as_dict()
    if basis == "dry matter":
        return statement.dry_matter
    if basis == "per 1000 kcal":
        return statement.per_1000_kcal
    if basis == "energy share":
        shares = statement.energy.shares._asdict() if statement.energy else {}
        return {part: shares.get(part) for part in PARTS}
    raise ImpossibleFigure(f"unknown basis {basis!r}; there are {', '.join(BASES)}")


def compare(
    foods: Sequence[Food],
    *,
    basis: str = "dry matter",
    sort_by: str = "protein",
    need: DailyNeed | None = None,
) -> Comparison:
    """Returns the foods on one basis, sorted, as plain data: the object of `compare --format json`.

    `need` is an animal's daily energy, for portions and costs of a day. Foods that lack what
    they are sorted by come last; ties go by name and path. Raises ImpossibleFigure for an
    unknown basis or order.
    """
    if sort_by not in ORDERS:
        raise ImpossibleFigure(f"unknown order {sort_by!r}; there are {', '.join(ORDERS)}")
    rows = [_row(food, basis, need) for food in foods]
    notes = []
    currencies = sorted({food.currency for food in foods if food.price is not None})
    if len(currencies) > 1:
        notes.append(
            f"prices are in {' and '.join(c or 'no stated currency' for c in currencies)}: "
            "they are not compared"
        )
    by_cost = sort_by == "cost" and len(currencies) <= 1
    rows.sort(key=lambda row: _key(row, sort_by, by_cost))
    return {
        "basis": basis,
        "sorted_by": sort_by,
        "animal": None
        if need is None
        else {
            "title": need.title,
            "kcal_per_day": rounded(need.kcal),
            "low": rounded(need.range.low),
            "high": rounded(need.range.high),
            "formula": need.formula,
            "source": need.source,
        },
        "foods": rows,
        "words": words(foods),
        "notes": notes,
    }


def _row(food: Food, basis: str, need: DailyNeed | None) -> ComparedFood:
    statement = food.statement
    kcal = food.kcal_per_kg
    refused = [f"{one.what}: {one.reason}" for one in statement.refused]
    cost = day = grams = None
    try:
        if kcal is not None and need is not None:
            grams = grams_per_day(need.kcal, kcal)
        if kcal is not None and food.price is not None and food.net_weight_kg is not None:
            cost = cost_per_1000_kcal(food.price, food.net_weight_kg, kcal)
            if need is not None:
                day = cost_per_day(food.price, food.net_weight_kg, kcal, need.kcal)
    except NotComputable as fault:
        refused.append(f"cost: {fault.reason}")
    return {
        "name": food.name,
        "path": food.path,
        "form": statement.facts.form.id,
        "values": rounded_parts(values_on(statement, basis)),
        "energy_shares": rounded_parts(statement.energy.shares._asdict())
        if statement.energy
        else None,
        "kcal_per_kg": rounded(kcal),
        "energy_from": None
        if kcal is None
        else "label"
        if statement.facts.kcal_per_kg
        else "computed",
        "cost_per_1000_kcal": rounded(cost),
        "grams_per_day": rounded(grams),
        "cost_per_day": rounded(day),
        "currency": food.currency,
        "assumed": list(statement.assumed),
        "not_computed": refused,
    }


def _key(row: ComparedFood, sort_by: str, by_cost: bool) -> tuple[bool, float, str, str]:
    if sort_by == "name":
        value = None
    elif sort_by == "cost":
        value = row["cost_per_1000_kcal"] if by_cost else None
    elif sort_by == "energy":
        value = row["kcal_per_kg"]
    else:
        value = row["values"][sort_by]
    sign = 1 if sort_by == "cost" else -1
    return (value is None, sign * (value or 0.0), row["name"], row["path"])


def words(foods: Sequence[Food]) -> list[str]:
    """Why a smaller printed number can be the larger one: a sentence for each part where the
    order of two foods turns round when their water is taken out.

    The pair with the widest gap of moisture is told, the earlier one where several are alike.
    """
    return [sentence for part in _TOLD_PARTS if (sentence := _turned_round(foods, part))]


def _turned_round(foods: Sequence[Food], part: str) -> str | None:
    told_of = [(food.name, found) for food in foods if (found := _figures(food, part))]
    best: tuple[float, str] | None = None
    for (wet, (a, c, water)), (dry, (b, d, less)) in permutations(told_of, 2):
        if a < b and c > d and (best is None or water - less > best[0]):
            best = (
                water - less,
                f"{wet} has {_percent(a)} {part} and {dry} {_percent(b)}, as they are fed. But "
                f"{_percent(water)} of {wet} is water, against {_percent(less)} of {dry}: without "
                f"the water it is {_percent(c)} against {_percent(d)}. The smaller number is the "
                "larger one.",
            )
    return None if best is None else best[1]


def _figures(food: Food, part: str) -> tuple[float, float, float] | None:
    """A part as fed and in the dry matter, and the moisture; None where one is unknown."""
    fed = food.statement.analysis.as_dict()
    printed, dry, moisture = fed[part], food.statement.dry_matter[part], fed["moisture"]
    if printed is None or dry is None or moisture is None:
        return None
    return printed, dry, moisture


def _percent(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0") + " %"
