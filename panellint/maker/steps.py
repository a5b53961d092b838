"""A food as it is made, step by step: what is in so far, and what has left of it."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from panellint.core.errors import Fault, InputError
from panellint.maker.model import Batch, BatchLine, Column, Remark, SheetCell
from panellint.maker.sheet.quantities import read_amount
from panellint.maker.water import kept_of, moisture_of

WATER = "water"
#: What is stated of a step, each with its place.
Stated = Mapping[str, tuple[str, SheetCell]]


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

    def lose(self, place: SheetCell, water: Fraction, fat: Fraction, stated: Stated) -> None:
        """Takes out what leaves in a step of heat: weights of water and fat in the unit of the
        batch; or what is not `kept` of all that is in; or all water down to the `moisture` after
        it. Raises InputError where one of the two is none."""
        if bool(water) + len(stated) > 1:
            words = "water out, yield and moisture follow from one another: give one"
            self.faults.append(place.fault(words))
            return
        if "kept" in stated and fat:
            words = "a yield holds the fat that leaves: give water out beside fat out"
            self.faults.append(place.fault(words))
            return
        before = self.left
        self.fat_lost += fat
        if "moisture" in stated:
            moisture = moisture_of(*stated["moisture"])
            self.lines = [replace(line, dried_to=moisture) for line in self.lines]
            self.lost = Fraction(0)
            return
        if any(line.dried_to is not None for line in self.lines):
            words = "what was dried to a moisture loses no stated weight any more"
            self.faults.append(place.fault(words, "the moisture after this step"))
            return
        self.lost += water
        if "kept" in stated:
            unit = next(iter(self.units), "g")
            self.lost += before * (1 - kept_of(*stated["kept"], before, unit))
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
