"""What processing and preparation do to the weight of a food: water lost, water added."""

from dataclasses import dataclass, replace
from fractions import Fraction

from panellint.core.errors import InputError, PanellintError
from panellint.core.numbers import number
from panellint.label.amounts import water_in
from panellint.maker.model import Batch, SheetCell
from panellint.maker.sheet.quantities import read_stated, weight_in
from panellint.nutrition.forms import Form

#: A figure without a unit up to here may be a part of one or a percentage.
_NO_PERCENT = Fraction(3, 2)


@dataclass(frozen=True, slots=True)
class ProcessWater:
    """What processing does to the weight. `yield_` is finished food per weight of the mix;
    `moisture` that of the finished food in percent; neither: nothing is lost. `origin` says
    where that is from. `beside` is a yield that the sheet states beside a moisture;
    `fat_lost` is fat that leaves with the drip or is rendered out, per weight of the mix;
    `known` that all of it is told by the steps of a recipe."""

    yield_: Fraction | None = None
    moisture: Fraction | None = None
    origin: str = "taken as mixed, no water lost"
    beside: Fraction | None = None
    fat_lost: Fraction = Fraction(0)
    known: bool = False


def water_of(batch: Batch) -> ProcessWater:
    """What the sheet says of processing: a finished moisture, a yield, or water that left.

    Raises InputError for a figure that is none, or that can be read two ways.
    """
    fat = batch.fat_lost / batch.total
    if batch.worked and not batch.facts.keys() & {"yield", "finished_moisture"}:
        dried = any(line.dried_to is not None for line in batch.lines)
        kept = None if dried or not batch.lost else 1 - batch.lost / batch.total - fat
        return ProcessWater(kept, origin="the steps of the recipe", fat_lost=fat, known=True)
    stated = _stated_yield(batch)
    text = batch.facts.get("finished_moisture")
    if not text:
        return replace(stated or ProcessWater(), fat_lost=fat)
    return ProcessWater(
        moisture=moisture_of(text, batch.fact_places["finished_moisture"]),
        origin="the finished moisture of the batch sheet",
        beside=stated.yield_ if stated else None,
        fat_lost=fat,
    )


def kept_of(text: str, place: SheetCell, total: Fraction, unit: str) -> Fraction:
    """Returns the part of a weight that a stated yield keeps, 0 to 1: "62 %", or "310 kg" of a
    `total` in the batch's `unit`. Raises InputError where it is none, or may be either."""
    figure = read_stated(text)
    if figure is None or figure[0] <= 0:
        raise InputError(place.fault(f"`{text}` is no yield", "a percentage or a weight"))
    weight = weight_in(figure) if unit == "g" else None
    return weight / total if weight else _percent(text, place) / 100


def moisture_of(text: str, place: SheetCell) -> Fraction:
    """Returns the moisture of a food, in percent. Raises InputError where it is none."""
    amount = _percent(text, place)
    if not 0 <= amount < 100:
        raise InputError(place.fault(f"`{text}` is no moisture of a food"))
    return amount


def _stated_yield(batch: Batch) -> ProcessWater | None:
    """The yield that a sheet states or that follows from the water that it says has left."""
    if text := batch.facts.get("yield"):
        kept = kept_of(text, batch.fact_places["yield"], batch.total, batch.unit)
        return ProcessWater(kept, origin="the batch sheet's yield")
    if batch.lost:
        kept = 1 - (batch.lost + batch.fat_lost) / batch.total
        return ProcessWater(kept, origin="the water that the batch sheet takes off")
    return None


def _percent(text: str, place: SheetCell) -> Fraction:
    figure = read_stated(text)
    if figure is None or figure[1] not in ("", "%"):
        raise InputError(place.fault(f"`{text}` is no percentage"))
    if figure[1] == "" and 0 < figure[0] <= _NO_PERCENT:
        both = f"{text} % or {number(float(100 * figure[0]))} %"
        raise InputError(place.fault(f"`{text}` may be {both}", "it written so"))
    return figure[0]


def with_water(batch: Batch, moisture: float | None, finished: float | None) -> Batch:
    """Returns the sheet with the moisture of the finished food (percent), or its weight (percent
    of the mix), in place of the sheet's own.

    Raises PanellintError where both are given, since each follows from the other.
    """
    if moisture is None and finished is None:
        return batch
    if moisture is not None and finished is not None:
        raise PanellintError("state the finished moisture or the yield, not both")
    facts = {k: v for k, v in batch.facts.items() if k not in ("finished_moisture", "yield")}
    kind, value = ("yield", finished) if moisture is None else ("finished_moisture", moisture)
    return replace(
        batch,
        facts={**facts, kind: f"{value} %"},
        fact_places={**batch.fact_places, kind: SheetCell(batch.path, "", 1, 1)},
    )


def added_of(batch: Batch) -> Fraction | None:
    """Water to add before feeding, per weight of the food; None where the sheet says nothing."""
    text = batch.facts.get("water_to_add", "").strip()
    if not text:
        return None
    percent = read_stated(text)
    if percent is not None and percent[1] == "%" and percent[0] > 0:
        return percent[0] / 100
    stated = water_in(text, first_water=True)
    if stated is None or stated.food_unit != "g":
        place = batch.fact_places["water_to_add"]
        raise InputError(place.fault(f"`{text}` is no water to add", "such as 300 ml per 100 g"))
    return Fraction(str(stated.amount)) / Fraction(str(stated.food))


def settled_water(
    formula_water: ProcessWater, form: Form, declared: float | None, little: float
) -> ProcessWater | None:
    """The water of a formula whose sheet says nothing of it: as mixed for forms that lose
    next to none, else the label's declared moisture; None where neither can be taken."""
    stated = formula_water.yield_ is not None or formula_water.moisture is not None
    if stated or formula_water.known:
        return formula_water
    if form.water_lost_usual.high <= little:
        return formula_water
    if declared is not None and 0 <= declared < 100:
        return ProcessWater(
            moisture=Fraction(str(declared)), origin="the moisture that the label declares"
        )
    return None
