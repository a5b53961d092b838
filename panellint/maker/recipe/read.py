"""Recipes from files: steps and materials as the lines of a batch, every fault at its line."""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import InputError
from panellint.core.files import relative
from panellint.core.text import name_key
from panellint.maker.model import PERCENT, Batch, BatchLine, SheetCell
from panellint.maker.recipe import models
from panellint.maker.recipe.materials import read_materials
from panellint.maker.sheet.quantities import read_stated
from panellint.maker.steps import WATER, Loss, Steps
from panellint.rulepacks.compile import yaml_source
from panellint.rulepacks.compile.errors import validated
from panellint.rulepacks.compile.yaml_source import Document, Loc


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
        if not os.path.isfile(named):
            raise InputError(document.fault(("materials",), f"there is no file `{named.name}`"))
        materials, read_from = read_materials(named, (root or file.parent).resolve())
        files += map(relative, read_from)
    return replace(_Worked(document, recipe, materials).batch(), files=tuple(files))


@dataclass
class _Worked:
    """A recipe being worked, each of its steps read at its line."""

    document: Document
    recipe: models.Recipe
    materials: Mapping[str, BatchLine]
    steps: Steps = field(default_factory=Steps)

    def batch(self) -> Batch:
        """The lines of all steps; raises InputError with every fault at once."""
        for index, step in enumerate(self.recipe.steps):
            self._step(("steps", index), step)
        recipe = self.recipe
        facts = {
            "product_name": recipe.product,
            "species": recipe.species,
            "form": recipe.form,
            "market": recipe.market or "",
            "life_stage": recipe.stage,
            "unit_weight": recipe.unit,
        }
        place = self._place(("steps",))
        stated = {kind: text for kind, text in facts.items() if text}
        return self.steps.batch(place, stated, dict.fromkeys(facts, place))

    def _step(self, loc: Loc, step: models.Step) -> None:
        for key, used in (("mix", step.mix), ("coat", step.coat)):
            for index, use in enumerate(used or ()):
                at: Loc = (*loc, key, index)
                self._put(use.material, (*at, "material"), use.amount, (*at, "amount"), use.lot)
        if step.add_water is not None:
            at = (*loc, "add-water")
            self._put(WATER, at, step.add_water, at)
        for key, loss in (("cook", step.cook), ("dry", step.dry)):
            if loss is not None:
                self._lose((*loc, key), loss)
        if step.fill is not None:
            self._amount(step.fill.net, (*loc, "fill", "net"))

    def _put(self, material: str, loc: Loc, text: str, amount_loc: Loc, lot: str = "") -> None:
        if amount := self._amount(text, amount_loc):
            place = self._place(loc)
            line = self.materials.get(name_key(material)) or BatchLine(material, amount, place)
            self.steps.lines.append(replace(line, weight=amount, place=place, lot=lot))

    def _lose(self, loc: Loc, loss: models.Loss) -> None:
        kept = self._percent(loss.yield_, (*loc, "yield"))
        self.steps.lose(
            self._place(loc),
            Loss(
                self._amount(loss.water_out, (*loc, "water-out")),
                self._amount(loss.fat_out, (*loc, "fat-out")),
                None if kept is None else kept / 100,
                self._percent(loss.to_moisture, (*loc, "to-moisture")),
            ),
        )

    def _amount(self, text: str | None, loc: Loc) -> Fraction | None:
        return None if text is None else self.steps.amount(text, self._place(loc))

    def _percent(self, text: str | None, loc: Loc) -> Fraction | None:
        if text is None:
            return None
        number = read_stated(text)
        if number is None or number[1] != PERCENT or not 0 < number[0] < 100:
            fault = self.document.fault(loc, f"`{text}` is no percentage", "such as 8 %")
            self.steps.faults.append(fault)
            return None
        return number[0]

    def _place(self, loc: Sequence[str | int]) -> SheetCell:
        line, column = self.document.place(tuple(loc)) or (1, 1)
        return SheetCell(self.document.path, "", line, column)
