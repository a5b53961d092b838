"""Recipes from files: steps and materials as the lines of a batch, every fault at its line."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import Fault, ImpossibleFigure, InputError
from panellint.core.text import name_key
from panellint.core.units import convert
from panellint.maker.model import PERCENT, Batch, BatchLine, SheetCell
from panellint.maker.recipe import models
from panellint.maker.sheet.numbers import read_number
from panellint.maker.sheet.quantities import SheetUnit, sheet_unit
from panellint.nutrition.nutrients import unit_of
from panellint.rulepacks.compile import yaml_source
from panellint.rulepacks.compile.errors import validated
from panellint.rulepacks.compile.yaml_source import Document, Loc

SUFFIXES = (".yaml", ".yml")
WATER = "water"
_DEEPEST = 8


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
    materials = {}
    files = [os.path.relpath(file)]
    if recipe.materials:
        named = Path(os.path.normpath(file.parent / recipe.materials))
        if not named.resolve().is_relative_to((root or file.parent).resolve()):
            raise InputError(
                document.fault(("materials",), f"`{recipe.materials}` lies outside {root}")
            )
        materials = _materials(named, document)
        files.append(os.path.relpath(named))
    return replace(_Worked(document, recipe, materials).batch(), files=tuple(files))


def _materials(path: Path, recipe: Document) -> dict[str, tuple[Document, int, models.Material]]:
    """The materials by code and by name. Raises InputError with every fault of the file."""
    if not path.is_file():
        raise InputError(recipe.fault(("materials",), f"there is no file `{path.name}`"))
    document = yaml_source.read(path)
    found = None if document.broken else validated(document, models.Materials)
    if found is None:
        raise InputError(*document.faults)
    by_name: dict[str, tuple[Document, int, models.Material]] = {}
    for index, material in enumerate(found.materials):
        for word in filter(None, (material.code, material.name)):
            key = name_key(word)
            if key in by_name:
                words = f"`{word}` is a code or a name of two materials"
                document.faults.append(document.fault(("materials", index), words))
            by_name[key] = document, index, material
    if document.faults:
        raise InputError(*document.faults)
    return by_name


class _Worked:
    """A recipe being worked: what is in so far, and what has left."""

    def __init__(
        self,
        document: Document,
        recipe: models.Recipe,
        materials: dict[str, tuple[Document, int, models.Material]],
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
        line = self._line(use.material, amount, self._place((*loc, "material")), ())
        return replace(line, lot=use.lot) if line else None

    def _line(
        self, called: str, amount: Fraction, place: SheetCell, above: tuple[str, ...]
    ) -> BatchLine | None:
        found = self.materials.get(name_key(called))
        if found is None:
            return BatchLine(called, amount, place)
        document, index, material = found
        if material.name in above or len(above) > _DEEPEST:
            words = f"{material.name} holds itself"
            self.faults.append(document.fault(("materials", index, "members"), words))
            return None
        figures = dict(self._figures(document, ("materials", index, "analysis"), material))
        return BatchLine(
            name=material.name,
            weight=amount,
            place=place,
            analysis={nutrient: mean for nutrient, (mean, _) in figures.items()},
            spread={nutrient: sd for nutrient, (_, sd) in figures.items() if sd is not None},
            supplier=material.supplier,
            code=material.code or "",
            cost=_exact(material.cost),
            least=_exact(material.least),
            most=_exact(material.most),
            declared_as=material.declared.get("", ""),
            declared_in={m: text for m, text in material.declared.items() if m},
            allergens=tuple(material.allergens),
            origin=material.origin,
            members=tuple(self._members(document, index, material, place, above)),
        )

    def _members(
        self,
        document: Document,
        index: int,
        material: models.Material,
        place: SheetCell,
        above: tuple[str, ...],
    ) -> Iterator[BatchLine]:
        units: set[str] = set()
        total = Fraction(0)
        for at, part in enumerate(material.members):
            loc = ("materials", index, "members", at, "amount")
            found = self._read(part.amount, document, loc)
            if found is None:
                continue
            amount, unit = found
            units.add(unit.of_batch)
            total += amount
            line = self._line(part.material, amount, place, (*above, material.name))
            if line is not None:
                yield line
        if units == {PERCENT} and abs(total - 100) > Fraction(1, 2):
            words = f"the parts of {material.name} add up to {float(total):g} %"
            whole = ("materials", index, "members")
            self.faults.append(document.fault(whole, words, "100 %, the carrier among them"))

    def _figures(
        self, document: Document, loc: Loc, material: models.Material
    ) -> Iterator[tuple[str, tuple[Fraction, Fraction | None]]]:
        parts = ("moisture", "protein", "fat", "fibre", "ash", "carbohydrate")
        whole = sum(material.analysis[p].mean for p in parts if p in material.analysis)
        if whole > 101:
            words = f"the parts of this analysis add up to {whole:g} %"
            self.faults.append(document.fault(loc, words))
        for nutrient, figure in material.analysis.items():
            own = unit_of(nutrient)
            try:
                factor = Fraction(str(convert(1.0, figure.unit or own, own)))
            except ImpossibleFigure as error:
                self.faults.append(document.fault((*loc, nutrient), str(error)))
                continue
            mean, spread = Fraction(str(figure.mean)), _exact(figure.sd)
            yield nutrient, (mean * factor, spread * factor if spread is not None else None)

    # ---- figures ----

    def _amount(self, text: str, loc: Loc) -> Fraction | None:
        found = self._read(text, self.document, loc)
        if found is None:
            return None
        self.units.add(found[1].of_batch)
        return found[0]

    def _read(self, text: str, document: Document, loc: Loc) -> tuple[Fraction, SheetUnit] | None:
        """An amount in grams or percent with its unit; None with a fault where it is none."""
        found = read_number(text, comma="," in text and "." not in text)
        unit = sheet_unit(found[1]) if found else None
        if found is None or unit is None or found[0] <= 0:
            fault = document.fault(loc, f"`{text}` is no amount", "a weight with its unit: 290 kg")
            self.faults.append(fault)
            return None
        return found[0] * unit.size, unit

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


def _exact(value: float | None) -> Fraction | None:
    return None if value is None else Fraction(str(value))
