"""A food as it is made, step by step: what is in so far, and what has left of it."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from panellint.core.errors import Fault, InputError
from panellint.maker.model import Batch, BatchLine, Column, Remark, SheetCell
from panellint.maker.sheet.quantities import read_amount

WATER = "water"


class Loss(NamedTuple):
    """What a step of heat takes out: `water` and `fat` as weights in the unit of the batch, or the
    part that is `kept` of all that is in (0 to 1), or the `moisture` after it, in percent."""

    water: Fraction | None = None
    fat: Fraction | None = None
    kept: Fraction | None = None
    moisture: Fraction | None = None


class Steps:
    """The steps of a recipe, one after the other. Faults are gathered in `faults`."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.lines: list[BatchLine] = []
        self.units: set[str] = set()
        self.lost = Fraction(0)
        self.fat_lost = Fraction(0)

    @property
    def left(self) -> Fraction:
        """The weight of what is in and has not left again."""
        total = sum((line.weight for line in self.lines), Fraction(0))
        return total - self.lost - self.fat_lost

    def amount(self, text: str, place: SheetCell) -> Fraction | None:
        """An amount in grams or percent; None with a fault where it is none."""
        amount = read_amount(text)
        if isinstance(amount, str):
            self.faults.append(place.fault(amount))
            return None
        self.units.add(amount.unit)
        return amount.value

    def lose(self, place: SheetCell, loss: Loss) -> None:
        """Takes out what leaves in a step."""
        if sum(stated is not None for stated in (loss.water, loss.kept, loss.moisture)) > 1:
            words = "water out, yield and moisture follow from one another: give one"
            self.faults.append(place.fault(words))
            return
        if loss.kept is not None and loss.fat:
            words = "a yield holds the fat that leaves: give water out beside fat out"
            self.faults.append(place.fault(words))
            return
        before = self.left
        self.fat_lost += loss.fat or 0
        if loss.moisture is not None:
            self.lines = [replace(line, dried_to=loss.moisture) for line in self.lines]
            self.lost = Fraction(0)
            return
        if any(line.dried_to is not None for line in self.lines):
            words = "what was dried to a moisture loses no stated weight any more"
            self.faults.append(place.fault(words, "the moisture after this step"))
            return
        self.lost += loss.water or 0
        if loss.kept is not None:
            self.lost += before * (1 - loss.kept)
        if self.left <= 0:
            self.faults.append(place.fault("more leaves than is in"))

    def batch(
        self,
        place: SheetCell,
        facts: Mapping[str, str],
        places: Mapping[str, SheetCell],
        shown: tuple[Column, ...] = (),
        remarks: tuple[Remark, ...] = (),
    ) -> Batch:
        """The lines of all steps; raises InputError with every fault at once."""
        if not self.lines and not self.faults:
            self.faults.append(place.fault("no step puts anything in"))
        if len(self.units) > 1:
            words = "percentages and weights stand in one recipe"
            self.faults.append(place.fault(words, "one or the other"))
        if self.faults:
            raise InputError(*dict.fromkeys(self.faults))
        return Batch(
            place.path,
            tuple(self.lines),
            self.units.pop(),
            facts,
            places,
            lost=self.lost,
            fat_lost=self.fat_lost,
            worked=True,
            remarks=remarks,
            shown=shown,
        )
