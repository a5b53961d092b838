"""From a label to the facts that the arithmetic of nutrition starts from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panellint.known import Range
from panellint.label.figures import figure_of
from panellint.nutrition.bounds import Bounds
from panellint.nutrition.faults import NotComputable
from panellint.nutrition.printed import Line, read_lines
from panellint.nutrition.statement import Facts
from panellint.nutrition.units import kcal_per_kg

if TYPE_CHECKING:
    from panellint.case import Case

_COMPLETE = {
    "formulated": True,
    "trial": True,
    "family": True,
    "complete": True,
    "intermittent": False,
    "complementary": False,
}
_LARGE_SIZE = {"included": True, "excluded": False}


def facts_of(case: Case) -> Facts:
    """What one label says, as fed and in the units that nutrients are kept in.

    Lines that cannot be read as a content are left out. An ash that the user gives as a fact
    stands in where the label declares none.
    """
    printed = read_lines(
        Line(one.nutrient, one.bound.value, float(one.value), one.unit, one.basis)
        for one in case.label.guarantees
        if one.nutrient is not None
    ).bounds
    ash = case.fact("ash")
    if ash is not None and "ash" not in printed and 0 < figure_of(ash) < 100:
        printed["ash"] = Bounds.value(float(figure_of(ash)))
    statement = case.label.adequacy[0] if case.label.adequacy else None
    energy = case.label.energy
    return Facts(
        printed=printed,
        form=case.form,
        market=case.market,
        species=case.species,
        stages=case.stages,
        large_size=_LARGE_SIZE.get(statement.large_size or "") if statement else None,
        complete=_COMPLETE.get(statement.route) if statement else None,
        kcal_per_kg=_kcal_per_kg(case),
        kcal_method=energy.method if energy else None,
    )


def _kcal_per_kg(case: Case) -> float | None:
    """The label's own energy: the figure per weight, else one whose unit has a weight."""
    for figure in case.label.energy.figures if case.label.energy else ():
        grams = float(figure.grams) if figure.grams is not None else None
        try:
            return kcal_per_kg(float(figure.value), figure.unit, figure.per, grams)
        except NotComputable:
            continue
    return None


def carbohydrate_by_shares(case: Case) -> tuple[tuple[Range, tuple[str, ...]], ...]:
    """Carbohydrate of the finished food, in percent as fed, over all formulas that fit the
    label, with the premises it rests on; nothing where no formula fits or there is no list."""
    from panellint.shares.answers import Base

    if not case.leaves or not case.formulas.consistent:
        return ()
    bounds = case.formulas.nutrient("carbohydrate", Base.FOOD)
    rests_on = tuple(str(premise) for premise in bounds.rests_on)
    return ((Range(bounds.low, bounds.high), rests_on),) if bounds.sure else ()
