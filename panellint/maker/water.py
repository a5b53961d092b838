"""What processing and preparation do to the weight of a food: water lost, water added."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from panellint.core.errors import InputError
from panellint.label.amounts import water_in
from panellint.maker.model import GRAMS, Batch
from panellint.maker.sheet.numbers import read_number
from panellint.nutrition.forms import Form


@dataclass(frozen=True, slots=True)
class ProcessWater:
    """What processing does to the weight. `yield_` is finished food per weight of the mix;
    `moisture` that of the finished food in percent; neither: nothing is lost. `origin` says
    where that is from."""

    yield_: Fraction | None = None
    moisture: Fraction | None = None
    origin: str = "taken as mixed, no water lost"


def water_of(batch: Batch) -> ProcessWater:
    """What the sheet says of processing: a finished moisture, or a yield."""
    if text := batch.facts.get("finished_moisture"):
        amount = _percent(batch, "finished_moisture", text)
        if not 0 <= amount < 100:
            raise InputError(batch.fact_places["finished_moisture"].fault("no moisture of a food"))
        return ProcessWater(moisture=amount, origin="the finished moisture of the batch sheet")
    if text := batch.facts.get("yield"):
        found = _number(text)
        place = batch.fact_places["yield"]
        if found is None or found[0] <= 0:
            raise InputError(place.fault(f"`{text}` is no yield", "a percentage or a weight"))
        if found[1] in GRAMS and batch.unit == "g":
            return ProcessWater(
                found[0] * GRAMS[found[1]] / batch.total, origin="the batch sheet's yield"
            )
        return ProcessWater(_percent(batch, "yield", text) / 100, origin="the batch sheet's yield")
    return ProcessWater()


def _number(text: str) -> tuple[Fraction, str] | None:
    """A number and the unit behind it; a comma alone is a decimal one."""
    return read_number(text, comma="," in text and "." not in text)


def _percent(batch: Batch, fact: str, text: str) -> Fraction:
    found = _number(text)
    if found is None or found[1] not in ("", "%"):
        raise InputError(batch.fact_places[fact].fault(f"`{text}` is no percentage"))
    return found[0]


def added_of(batch: Batch) -> Fraction | None:
    """Water to add before feeding, per weight of the food; None where the sheet says nothing."""
    text = batch.facts.get("water_to_add", "").strip()
    if not text:
        return None
    percent = _number(text)
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
    if formula_water.yield_ is not None or formula_water.moisture is not None:
        return formula_water
    if form.water_lost_usual.high <= little:
        return formula_water
    if declared is not None and 0 <= declared < 100:
        return ProcessWater(
            moisture=Fraction(str(declared)), origin="the moisture that the label declares"
        )
    return None
