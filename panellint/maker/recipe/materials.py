"""The maker's own raw materials, from a YAML file or a sheet, as lines that weigh nothing yet."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import ImpossibleFigure, InputError
from panellint.core.text import name_key
from panellint.core.units import convert
from panellint.maker.model import PERCENT, BatchLine, SheetCell
from panellint.maker.recipe import models
from panellint.maker.sheet.quantities import read_amount
from panellint.maker.sheet.read import RECIPES
from panellint.maker.sheet.read import read_materials as from_sheet
from panellint.nutrition.nutrients import unit_of
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
            cost=_exact(material.cost),
            least=_exact(material.least),
            most=_exact(material.most),
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
            spread = _exact(figure.sd)
            mean = Fraction(str(figure.mean)) * factor
            yield nutrient, (mean, spread * factor if spread is not None else None)

    def _fault(self, loc: Loc, words: str, expected: str = "") -> None:
        self.document.faults.append(self.document.fault(loc, words, expected))


def _exact(value: float | None) -> Fraction | None:
    return None if value is None else Fraction(str(value))
