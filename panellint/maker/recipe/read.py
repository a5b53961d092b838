"""Recipes and the maker's own raw materials from files: steps as the lines of a batch, materials as
lines that weigh nothing yet, every fault at its line."""

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import ImpossibleFigure, InputError
from panellint.core.files import relative
from panellint.core.text import name_key
from panellint.core.units import convert
from panellint.maker.model import PERCENT, Batch, BatchLine, SheetCell
from panellint.maker.recipe import models
from panellint.maker.sheet.quantities import read_amount
from panellint.maker.sheet.read import RECIPES
from panellint.maker.sheet.read import read_materials as from_sheet
from panellint.maker.steps import WATER, Steps
from panellint.nutrition.bases import unit_of
from panellint.rulepacks.compile import yaml_source
from panellint.rulepacks.compile.errors import validated
from panellint.rulepacks.compile.yaml_source import Document, Loc
from panellint.rulepacks.data import data


def read_materials(path: Path, root: Path) -> tuple[dict[str, BatchLine], list[str]]:
    """The materials of a file by folded code and name, and the files that they were read from.
    Raises InputError with every fault of it."""
    if path.suffix.lower() not in RECIPES:
        found_lines, files = from_sheet(path, root)
        return _by_name(found_lines), files
    document = yaml_source.read(path)
    materials = None if document.broken else validated(document, models.Materials)
    if materials is None:
        raise InputError(*document.faults)
    listed = _Listed(document, materials.materials)
    lines = [listed.line(index, ()) for index in range(len(materials.materials))]
    if document.faults:
        raise InputError(*dict.fromkeys(document.faults))
    return _by_name(lines), [str(path)]


def _by_name(lines: list[BatchLine]) -> dict[str, BatchLine]:
    by_name: dict[str, BatchLine] = {}
    faults = []
    for line in lines:
        for word in filter(None, (line.code, line.name)):
            if by_name.setdefault(name_key(word), line) is not line:
                faults.append(line.place.fault(f"`{word}` is a code or a name of two materials"))
    if faults:
        raise InputError(*faults)
    return by_name


class _Listed:
    """The materials of one YAML file, which may be made of one another."""

    def __init__(self, document: Document, materials: list[models.Material]) -> None:
        self.document = document
        self.materials = materials
        self.places = {
            name_key(word): index
            for index, material in enumerate(materials)
            for word in (material.code, material.name)
            if word
        }

    def line(self, index: int, above: tuple[int, ...]) -> BatchLine:
        """A material as a line that weighs nothing, its members in their proportion."""
        material, loc = self.materials[index], ("materials", index)
        figures = dict(self._figures((*loc, "analysis"), material.analysis))
        row, column = self.document.place(loc) or (1, 1)
        line = BatchLine(
            name=material.name,
            weight=Fraction(0),
            place=SheetCell(self.document.path, "", row, column),
            analysis={nutrient: mean for nutrient, (mean, _) in figures.items()},
            spread={nutrient: sd for nutrient, (_, sd) in figures.items() if sd is not None},
            supplier=material.supplier,
            code=material.code or "",
            cost=exact_of(material.cost),
            least=exact_of(material.least),
            most=exact_of(material.most),
            declared_as=material.declared.get("", ""),
            declared_in={market: text for market, text in material.declared.items() if market},
            allergens=tuple(material.allergens),
            origin=material.origin,
            members=tuple(self._members(index, material, (*above, index))),
        )
        if line.over_the_whole:
            self._fault((*loc, "analysis"), line.over_the_whole)
        return line

    def _members(
        self, index: int, material: models.Material, above: tuple[int, ...]
    ) -> Iterator[BatchLine]:
        loc: Loc = ("materials", index, "members")
        units: set[str] = set()
        total = Fraction(0)
        for at, part in enumerate(material.members):
            amount = read_amount(part.amount)
            if isinstance(amount, str):
                self._fault((*loc, at, "amount"), amount)
                continue
            units.add(amount.unit)
            total += amount.value
            known = self.places.get(name_key(part.material))
            if known in above:
                self._fault((*loc, at), f"{material.name} holds itself")
            elif known is not None:
                yield replace(self.line(known, above), weight=amount.value)
            else:
                row, column = self.document.place((*loc, at)) or (1, 1)
                place = SheetCell(self.document.path, "", row, column)
                yield BatchLine(part.material, amount.value, place)
        misses = data("data/batch")["sum_misses_by"]["percent_of_total"]
        if units == {PERCENT} and abs(total - 100) > misses:
            words = f"the parts of {material.name} add up to {float(total):g} %"
            self._fault(loc, words, "100 %, the carrier among them")

    def _figures(
        self, loc: Loc, analysis: Mapping[str, models.Figure]
    ) -> Iterator[tuple[str, tuple[Fraction, Fraction | None]]]:
        for nutrient, figure in analysis.items():
            own = unit_of(nutrient)
            try:
                factor = Fraction(str(convert(1.0, figure.unit or own, own)))
            except ImpossibleFigure as error:
                self._fault((*loc, nutrient), str(error))
                continue
            spread = exact_of(figure.sd)
            mean = Fraction(str(figure.mean)) * factor
            yield nutrient, (mean, spread * factor if spread is not None else None)

    def _fault(self, loc: Loc, words: str, expected: str = "") -> None:
        self.document.refuse(loc, words, expected)


def exact_of(value: float | None) -> Fraction | None:
    return None if value is None else Fraction(str(value))


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
            try:
                self._step(("steps", index), step)
            except InputError as error:
                self.steps.faults += error.faults
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
        given = (("kept", "yield", loss.yield_), ("moisture", "to-moisture", loss.to_moisture))
        stated = {kind: (text, self._place((*loc, key))) for kind, key, text in given if text}
        water = self._amount(loss.water_out, (*loc, "water-out"))
        fat = self._amount(loss.fat_out, (*loc, "fat-out"))
        self.steps.lose(self._place(loc), water, fat, stated)

    def _amount(self, text: str | None, loc: Loc) -> Fraction:
        return (text and self.steps.amount(text, self._place(loc))) or Fraction(0)

    def _place(self, loc: Sequence[str | int]) -> SheetCell:
        line, column = self.document.place(tuple(loc)) or (1, 1)
        return SheetCell(self.document.path, "", line, column)
