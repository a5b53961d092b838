"""Workbooks whose worksheets are the steps of a recipe: what each puts in and takes out."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from panellint.core.errors import InputError
from panellint.core.phrases import listed
from panellint.core.text import name_key
from panellint.maker.model import Batch, BatchLine, Column, Remark, SheetCell
from panellint.maker.sheet import table
from panellint.maker.sheet.cells import Grid
from panellint.maker.sheet.headers import find_headings, is_list_of_materials, step_of
from panellint.maker.sheet.quantities import two_readings
from panellint.maker.steps import WATER, Steps
from panellint.rulepacks.data import data

#: What a step takes out by weight.
_OUT = ("water_out", "fat_out")
#: A line with its premix looked into.
Members = Callable[[BatchLine, Grid], BatchLine]


def step_grids(grids: Sequence[Grid], columns: Mapping[str, str]) -> list[Grid]:
    """Returns the worksheets that are steps of a recipe; none where fewer than two kinds of step
    stand in the workbook, or none of them has a table of ingredients."""
    steps = [grid for grid in grids if step_of(grid.name)]
    kinds = {step_of(grid.name) for grid in steps}
    return steps if len(kinds) > 1 and any(find_headings(g.rows, columns) for g in steps) else []


def read_steps(
    grids: Sequence[Grid],
    beside: Sequence[Grid],
    columns: Mapping[str, str],
    decimal: str,
    members: Members,
) -> Batch:
    """Returns the batch of a recipe whose steps are worksheets, in their order.

    `beside` are the other worksheets: a list of raw materials lends its figures to the rows that
    have its codes or names, and one without a table states facts of the whole. Raises InputError
    with every fault at once.
    """
    return _Worksheets(columns, decimal, members).batch(grids, beside)


class _Worksheets:
    """The steps being read, worksheet by worksheet."""

    def __init__(self, columns: Mapping[str, str], decimal: str, members: Members) -> None:
        self.columns = columns
        self.decimal = decimal
        self.members = members
        self.steps = Steps()
        self.facts: dict[str, str] = {}
        self.places: dict[str, SheetCell] = {}
        self.shown: list[Column] = []
        self.remarks: list[Remark] = []
        self.materials: dict[str, BatchLine] = {}

    def batch(self, grids: Sequence[Grid], beside: Sequence[Grid]) -> Batch:
        """The whole recipe."""
        for grid in beside:
            if is_list_of_materials(grid.name):
                for line in table.read_material_rows(grid):
                    known = filter(None, (line.code, line.name))
                    self.materials |= {name_key(word): line for word in known}
            elif find_headings(grid.rows) is None:
                self._take(*table.read_facts(grid, strict=False))
        for grid in grids:
            try:
                self._step(grid)
            except InputError as error:
                self.steps.faults += error.faults
        names = listed([grid.name for grid in grids])
        words = f"the worksheets {names} are read as the steps of a recipe, in this order"
        about = Remark(grids[0].place(1, 1), words)
        remarks = (*grids[0].remarks, about, *self.remarks)
        place = SheetCell(grids[0].path, "", 1, 1)
        return self.steps.batch(place, self.facts, self.places, tuple(self.shown), remarks)

    def _take(self, facts: Mapping[str, str], places: Mapping[str, SheetCell]) -> None:
        """Takes what is said of the whole food, that which was said first before what follows."""
        self.facts = {**facts, **self.facts}
        self.places = {**places, **self.places}

    def _step(self, grid: Grid) -> None:
        water = fat = Fraction(0)
        headed = find_headings(grid.rows, self.columns) is not None
        if not headed:
            facts, places = table.read_facts(grid, strict=True)
        else:
            batch = table.read_table(grid, self.columns, self.decimal, table.STEP)
            facts, places = dict(batch.facts), dict(batch.fact_places)
            water, fat = batch.lost, batch.fat_lost
            self.steps.lines += [self._known(self.members(line, grid)) for line in batch.lines]
            self.steps.units |= {batch.unit} if batch.lines else set()
            self.remarks += batch.remarks
            self.shown += batch.headings
        own = {kind: facts.pop(kind) for kind in data("data/batch")["step_facts"] if kind in facts}
        self._take(facts, places)
        if not (own or headed):
            words = "this step puts nothing in and takes nothing out"
            raise InputError(grid.place(1, 1).fault(words, "ingredients, or `Water out: 12 kg`"))
        if "water_in" in own:
            place = places["water_in"]
            self.steps.lines.append(BatchLine(WATER, self._amount(own["water_in"], place), place))
        stated = {kind: (own[kind], places[kind]) for kind in ("kept", "moisture") if kind in own}
        out = {kind: self._amount(own[kind], places[kind]) for kind in _OUT if kind in own}
        if water or fat or out or stated:
            water, fat = water + out.get("water_out", 0), fat + out.get("fat_out", 0)
            place = next((places[kind] for kind in own if kind in places), grid.place(1, 1))
            self.steps.lose(place, water, fat, stated)
        elif step_of(grid.name) in ("cook", "dry"):
            words = f"{grid.name} says of no water, yield or moisture: nothing leaves in it"
            self.remarks.append(Remark(grid.place(1, 1), words))

    def _known(self, line: BatchLine) -> BatchLine:
        """A row with what the list of materials says of it; its own analysis goes before."""
        known = self.materials.get(name_key(line.code)) if line.code else None
        known = known or self.materials.get(name_key(line.name))
        if known is None or line.analysis:
            return line
        return replace(
            known,
            weight=line.weight,
            place=line.place,
            lot=line.lot or known.lot,
            members=line.members or known.members,
        )

    def _amount(self, text: str, place: SheetCell) -> Fraction:
        """An amount of a fact, nothing with a fault where it is none or can be read two ways."""
        if not self.decimal and two_readings(text):
            self.steps.faults.append(place.fault(f"`{text}` may be two numbers"))
            return Fraction(0)
        return self.steps.amount(text.lstrip("-"), place) or Fraction(0)
