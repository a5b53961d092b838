"""Recipes from files: steps and materials as the lines of a batch, every fault at its line."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import Fault, InputError
from panellint.core.files import relative
from panellint.core.text import name_key
from panellint.maker.model import PERCENT, Batch, BatchLine, SheetCell
from panellint.maker.recipe import models
from panellint.maker.recipe.materials import read_materials
from panellint.maker.sheet.numbers import read_number
from panellint.maker.sheet.quantities import read_amount
from panellint.rulepacks.compile import yaml_source
from panellint.rulepacks.compile.errors import validated
from panellint.rulepacks.compile.yaml_source import Document, Loc

WATER = "water"


def read_recipe(path: str | Path, root: Path | None = None) -> Batch:
    """The batch that a recipe file makes: what goes in at each step, and what leaves.

    The file of materials must lie below `root` (by default the recipe's own folder). Raises
    InputError with every fault of both.
    """
    file = Path(path).absolute()
    document = yaml_source.read(file)
    recipe = None if document.broken else validated(document, models.Recipe)
    if recipe is None or document.faults:
        raise InputError(*document.faults)
    materials: dict[str, BatchLine] = {}
    files = [relative(file)]
    if recipe.materials:
        named = Path(os.path.normpath(file.parent / recipe.materials))
        if not named.resolve().is_relative_to((root or file.parent).resolve()):
            raise InputError(
                document.fault(("materials",), f"`{recipe.materials}` lies outside {root}")
            )
        if not named.is_file():
            raise InputError(document.fault(("materials",), f"there is no file `{named.name}`"))
        materials, read_from = read_materials(named, (root or file.parent).resolve())
        files += map(relative, read_from)
    return replace(_Worked(document, recipe, materials).batch(), files=tuple(files))


class _Worked:
    """A recipe being worked: what is in so far, and what has left."""

    def __init__(
        self,
        document: Document,
        recipe: models.Recipe,
        materials: dict[str, BatchLine],
    ) -> None:
        self.document = document
        self.recipe = recipe
        self.materials = materials
        self.faults: list[Fault] = []
        self.lines: list[BatchLine] = []
        self.units: set[str] = set()
        self.lost = Fraction(0)
        self.fat_lost = Fraction(0)
        self.net = ""

    def batch(self) -> Batch:
        """The lines of all steps; raises InputError with every fault at once."""
        for index, step in enumerate(self.recipe.steps):
            self._step(("steps", index), step)
        if not self.lines and not self.faults:
            self.faults.append(self.document.fault(("steps",), "no step puts anything in"))
        if len(self.units) > 1:
            words = "percentages and weights stand in one recipe"
            self.faults.append(self.document.fault(("steps",), words, "one or the other"))
        if self.faults:
            raise InputError(*self.faults)
        recipe = self.recipe
        facts = {
            "product_name": recipe.product,
            "species": recipe.species,
            "form": recipe.form,
            "market": recipe.market or "",
            "life_stage": recipe.stage,
            "unit_weight": recipe.unit,
            "net": self.net,
        }
        place = self._place(("steps",))
        return Batch(
            self.document.path,
            tuple(self.lines),
            self.units.pop(),
            {kind: text for kind, text in facts.items() if text},
            dict.fromkeys(facts, place),
            lost=self.lost,
            fat_lost=self.fat_lost,
            worked=True,
        )

    def _step(self, loc: Loc, step: models.Step) -> None:
        for key, used in (("mix", step.mix), ("coat", step.coat)):
            for index, use in enumerate(used or ()):
                self._put(self._use((*loc, key, index), use))
        if step.add_water is not None:
            at = (*loc, "add-water")
            amount = self._amount(step.add_water, at)
            self._put(BatchLine(WATER, amount, self._place(at)) if amount else None)
        for key, loss in (("cook", step.cook), ("dry", step.dry)):
            if loss is not None:
                self._lose((*loc, key), loss)
        if step.fill is not None and self._amount(step.fill.net, (*loc, "fill", "net")):
            self.net = step.fill.net

    def _put(self, line: BatchLine | None) -> None:
        if line is not None:
            self.lines.append(line)

    # ---- what leaves ----

    def _lose(self, loc: Loc, loss: models.Loss) -> None:
        if loss.fat_out is not None:
            self.fat_lost += self._amount(loss.fat_out, (*loc, "fat-out")) or 0
        if loss.to_moisture is not None:
            moisture = self._percent(loss.to_moisture, (*loc, "to-moisture"))
            if moisture is not None:
                self.lines = [replace(line, dried_to=moisture) for line in self.lines]
                self.lost = Fraction(0)
            return
        if any(line.dried_to is not None for line in self.lines):
            words = "what was dried to a moisture loses no stated weight any more"
            self.faults.append(self.document.fault(loc, words, "to-moisture of this step"))
            return
        left = sum((line.weight for line in self.lines), Fraction(0)) - self.lost - self.fat_lost
        if loss.water_out is not None:
            self.lost += self._amount(loss.water_out, (*loc, "water-out")) or 0
        elif loss.yield_ is not None and (kept := self._percent(loss.yield_, (*loc, "yield"))):
            self.lost += left * (1 - kept / 100)
        if sum((line.weight for line in self.lines), Fraction(0)) <= self.lost + self.fat_lost:
            self.faults.append(self.document.fault(loc, "more leaves than is in"))

    # ---- what goes in ----

    def _use(self, loc: Loc, use: models.Use) -> BatchLine | None:
        amount = self._amount(use.amount, (*loc, "amount"))
        if amount is None:
            return None
        place = self._place((*loc, "material"))
        known = self.materials.get(name_key(use.material))
        line = known or BatchLine(use.material, amount, place)
        return replace(line, weight=amount, place=place, lot=use.lot)

    # ---- figures ----

    def _amount(self, text: str, loc: Loc) -> Fraction | None:
        """An amount in grams or percent; None with a fault where it is none."""
        found = read_amount(text)
        if isinstance(found, str):
            self.faults.append(self.document.fault(loc, found))
            return None
        self.units.add(found.unit)
        return found.value

    def _percent(self, text: str, loc: Loc) -> Fraction | None:
        found = read_number(text, comma="," in text and "." not in text)
        if found is None or found[1] != PERCENT or not 0 < found[0] < 100:
            fault = self.document.fault(loc, f"`{text}` is no percentage", "such as 8 %")
            self.faults.append(fault)
            return None
        return found[0]

    def _place(self, loc: Sequence[str | int]) -> SheetCell:
        line, column = self.document.place(tuple(loc)) or (1, 1)
        return SheetCell(self.document.path, "", line, column)
