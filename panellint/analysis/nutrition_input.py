"""From a label to the facts that the arithmetic of nutrition starts from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from panellint.catalogue.model import Range
from panellint.core.errors import NotComputable
from panellint.core.numbers import first_decimal, half_up
from panellint.core.once import once
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bounds import AnalysisLine, ContentBounds, read_lines
from panellint.nutrition.energy import kcal_per_kg
from panellint.nutrition.forms import Ash, Form
from panellint.nutrition.mixture import content_range
from panellint.nutrition.statement import NutritionInput, Refused, Step, refusal
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.ingredients.model import Ingredient
    from panellint.nutrition.statement import Box
    from panellint.shares.solver.formula_set import Formulas

_COMPLETE = {
    "formulated": True,
    "trial": True,
    "family": True,
    "complete": True,
    "intermittent": False,
    "complementary": False,
}
#: A member of a product family stands on the trial of the family's leading product.
_TRIED = ("trial", "family")
_LARGE_SIZE = {"included": True, "excluded": False}

#: Ranges by the name under which they are told, each with the premises it rests on.
Found: TypeAlias = dict[str, list[tuple[Range, tuple[str, ...]]]]


#: Percentage points by which a range is to be tighter to be told beside another.
_WORTH_TELLING = 0.05


class Cost(NamedTuple):
    """What a package costs and weighs; None where the panel file does not say."""

    price: float | None
    currency: str
    kilograms: float | None


def facts_of(context: LabelContext) -> NutritionInput:
    """What one label says, as fed and in the units that nutrients are kept in.

    A line that cannot be read as a content gives no figure and is told among `unread`. An ash
    that the user gives as a fact stands in where the label declares none.
    """
    statements = context.label.adequacy
    first = statements[0] if statements else None
    energy = context.label.energy
    printed, kcal, water = _printed(context), _kcal_per_kg(context), _water(context)
    return NutritionInput(
        printed=printed.result,
        form=_form_of(context, printed.result),
        market=context.market,
        species=context.species,
        stages=context.stages,
        large_size=_LARGE_SIZE.get(first.large_size or "") if first else None,
        complete=_COMPLETE.get(first.route) if first else None,
        trial=any(adequacy.route in _TRIED for adequacy in statements),
        kcal_per_kg=kcal.result,
        kcal_method=energy.method if energy else None,
        water=water.result,
        unread=(*printed.refused, *kcal.refused, *water.refused),
        remarks=water.notes,
    )


def _form_of(context: LabelContext, printed: Mapping[str, ContentBounds]) -> Form:
    """The form with the ash that the first declared entries bring, where that is far above what
    is usual for it; never more than the printed parts leave."""
    form, given = context.form, data("data/forms")["ash_by_list"]
    if form.ash is None or "ash" in printed:
        return form
    point = {part: content.point for part, content in printed.items() if content.point is not None}
    moisture = point.get("moisture", form.moisture_default or 0.0)
    left = max(100 - moisture - sum(point.get(p, 0.0) for p in ("protein", "fat", "fibre")), 0.0)
    usual = form.ash
    by_list = _ash_of_dry_matter(context.declaration.ingredients[: given["first-entries"]])
    ash = min((by_list or 0.0) * (100 - moisture), left)
    if ash > given["beyond"] * usual.high:
        usual = Ash(ash, (1 - given["around"]) * ash, (1 + given["around"]) * ash)
    if usual.typical > left:
        usual = Ash(left, min(usual.low, left), usual.high)
    return form._replace(ash=usual)


def _ash_of_dry_matter(first: Sequence[Ingredient]) -> float | None:
    """The ash of some entries as a part of their dry matter, each weighed by the mean share that
    it has over all lists in descending order; None where one is not known. Salt and minerals are
    small, and what follows them too."""
    kinds = [entry.match.known.kind if entry.match else "" for entry in first]
    first = first[: kinds.index("mineral")] if "mineral" in kinds else first
    ash = dry = 0.0
    for place, entry in enumerate(first):
        known = entry.match.known if entry.match else None
        held = known.range_of("ash") if known else None
        water = known.range_of("moisture") if known else None
        if held is None or water is None:
            return None
        weight = sum(1 / n for n in range(place + 1, len(first) + 1))
        ash += weight * (held.low + held.high) / 2
        dry += weight * (100 - (water.low + water.high) / 2)
    return ash / dry if dry else None


def calculated_kcal(context: LabelContext) -> float | None:
    """The label's energy, kcal per kg as fed, where it says that it was calculated."""
    facts = facts_of(context)
    return facts.kcal_per_kg if facts.kcal_method == "calculated" else None


@once
def statement_of(context: LabelContext) -> Assessment:
    """All that the figures of a label allow, worked out once."""
    return Assessment(facts_of(context))


def _printed(context: LabelContext) -> Step[dict[str, ContentBounds]]:
    lines = [guarantee for guarantee in context.label.guarantees if guarantee.nutrient is not None]
    read = read_lines(
        AnalysisLine(g.nutrient or "", g.bound.value, float(g.value), g.unit, g.basis)
        for g in lines
    )
    refused: list[Refused] = []
    for place, fault in read.faults:
        row, _ = context.source.position(lines[place].span.start)
        refused += refusal(f"line {row}: {lines[place].printed}", fault)
    printed = read.bounds
    ash = context.fact("ash")
    if ash is not None and "ash" not in printed:
        value = float(first_decimal(ash) or 0)
        if 0 < value < 100:
            printed["ash"] = ContentBounds.value(value)
        else:
            refused.append(Refused("ash", f"{ash!r} is no percentage of ash", ("ash",)))
    return Step(printed, tuple(refused))


def _kcal_per_kg(context: LabelContext) -> Step[float | None]:
    """The label's own energy: the figure per weight, else one whose unit has a weight."""
    what = "the label's calories"
    refused: tuple[Refused, ...] = ()
    for figure in context.label.energy.figures if context.label.energy else ():
        grams = float(figure.grams) if figure.grams is not None else None
        try:
            return Step(kcal_per_kg(float(figure.value), figure.unit, figure.per, grams))
        except NotComputable as fault:
            refused = refused or refusal(what, fault)
    if context.label.energy is None and context.label.sections_of("calories"):
        refused = (Refused(what, "no figure of energy can be read", ("energy",)),)
    return Step(None, refused)


# ---- the bowl ------------------------------------------------------------------------------------


def _water(context: LabelContext) -> Step[float | None]:
    """Weights of water to one of food, as the preparation has it."""
    words = context.fact("preparation")
    if not words:
        return Step(None)
    from panellint.label.amounts import water_in

    water = water_in(words)
    weight = water.food if water else 0.0
    notes: tuple[str, ...] = ()
    reason = ""
    if water is None:
        reason = "how much water goes to how much food is not said"
    elif water.food_unit == "volume":
        reason = "food and water are measured by volume, and no weight is given"
    elif water.food_unit != "g":
        grams = _grams_of(context, water.food_unit)
        weight *= grams or 0.0
        if grams is None:
            reason = f"the weight of one {water.food_unit} of the food is not given"
    elif not water.stated:
        notes = ("parts of food and water are taken by weight, which is not said",)
    if water is None or reason:
        return Step(None, (Refused("prepared food", reason, ("preparation",)),))
    return Step(water.amount / weight, notes=notes)


def _grams_of(context: LabelContext, unit: str) -> float | None:
    """The weight of a unit of food that the calorie line prints, or that follows from its
    figures per unit and per kg."""
    figures = context.label.energy.figures if context.label.energy else ()
    by_weight = [figure for figure in figures if figure.per == "kg" and figure.value > 0]
    for figure in figures:
        if figure.per.lower().rstrip("s") != unit:
            continue
        if figure.grams:
            return float(figure.grams)
        if by_weight and figure.unit == by_weight[0].unit and figure.value > 0:
            return float(1000 * figure.value / by_weight[0].value)
    return None


# ---- what it costs -------------------------------------------------------------------------------


def cost_of(context: LabelContext) -> Cost:
    """The price that the user notes, and the weight that it is the price of: what is said with
    it, else the net weight."""
    from panellint.label.amounts import kilograms_in, price_in

    words = context.fact("price")
    price = price_in(words) if words else None
    net = context.fact("net-contents")
    weight = kilograms_in(net) if net else None
    if price is None or not price.amount > 0:
        return Cost(None, "", weight)
    return Cost(price.amount, _code(price.currency, context.market), price.kilograms or weight)


def _code(printed: str, market: str) -> str:
    """Returns the code of a currency, by its sign and the market; what is printed where none is
    known."""
    written = data("words/amounts")
    in_market = written["currency_by_market"].get(printed, {})
    return str(in_market.get(market) or written["currency_codes"].get(printed, printed))


# ---- tighter ranges from the shares of ingredients -----------------------------------------------


def ranges_by_shares(context: LabelContext, statement: Assessment) -> Found:
    """Carbohydrate and ash over all formulas that fit the label, where that is tighter than what
    the guarantees alone leave; nothing where no formula fits or there is no list.

    Carbohydrate is told by the label and the ranges of the catalogue, with a calculated calorie
    line beside them, and with what is practice in the trade.
    """
    from panellint.shares.premises import Premise

    ranges: Found = {}
    if not context.leaves or not statement.boxes or not context.formulas.consistent:
        return ranges
    for part in ("carbohydrate", "ash"):
        _add(ranges, part, context.formulas, statement.boxes[0])
    more = [(Premise.PRACTICE, statement.boxes[-1])] if len(statement.boxes) > 1 else []
    if calculated_kcal(context):
        more.insert(0, (Premise.CALORIES, statement.boxes[0]))
    for premise, box in more:
        formulas = _with(context, premise)
        if formulas.consistent:
            _add(ranges, "carbohydrate", formulas, box)
    return ranges


def calories_clash(context: LabelContext) -> str:
    """Returns that the calorie line cannot be true with what else the label says; "" where it can,
    where none was calculated, or where the rest cannot be true either."""
    from panellint.shares.premises import Premise

    kcal = calculated_kcal(context)
    if not kcal or not context.leaves or not context.formulas.consistent:
        return ""
    none = f"no recipe that fits the list and the guarantees gives {half_up(kcal)} kcal/kg"
    if not _with(context, Premise.CALORIES).consistent:
        return f"the label's numbers cannot all be true, or the catalogue is too narrow: {none}"
    usual = _with(context, Premise.PRACTICE).consistent
    if usual and not _with(context, Premise.PRACTICE, Premise.CALORIES).consistent:
        return f"the label's numbers cannot all be near the truth, as makers mostly print: {none}"
    return ""


def _with(context: LabelContext, *more: str) -> Formulas:
    """The formulas that fit under more premises than those that are on."""
    return context.formulas_under((*map(str, context.formulas.premises), *more))


def _add(ranges: Found, part: str, formulas: Formulas, widest: tuple[Box, tuple[str, ...]]) -> None:
    """The range of a part that shares and guarantees leave together, where it is the tighter."""
    from panellint.shares.model import Base

    bounds, (box, rests_on) = formulas.nutrient(part, Base.FOOD), widest
    try:
        by_lines = content_range(box, part)
    except NotComputable:
        return
    low, high = max(bounds.low, by_lines.low), min(bounds.high, by_lines.high)
    gained = (low - by_lines.low) + (by_lines.high - high)
    if not bounds.sure or low > high or gained < _WORTH_TELLING:
        return
    premises = tuple(dict.fromkeys((*rests_on, *map(str, bounds.rests_on))))
    known = ranges.setdefault(part, [])
    # What a further premise does not narrow is the same range again.
    if all(premises != others for _, others in known):
        known.append((Range(low, high), premises))
