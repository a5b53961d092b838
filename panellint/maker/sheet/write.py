"""A batch sheet as it is, with other weights: facts, analyses, limits and all else are kept."""

from collections.abc import Sequence
from fractions import Fraction

from panellint.maker.model import Batch, BatchLine, Table
from panellint.maker.sheet.headers import PERCENTAGE, unit_of_cell
from panellint.maker.sheet.quantities import PERCENT, pounds_and_ounces, read_number

#: Digits behind the point, of kilograms or percent: what is left out weighs nothing on any scale.
_DIGITS = 9


def rewritten(batch: Batch, shares: Sequence[Fraction]) -> list[list[str]]:
    """The cells of a sheet with a new share, in percent of the mix, for each of its lines, each
    written in the unit and with the decimal mark that the sheet has. The batch stays as heavy.

    Raises ValueError for a batch that was not read from a sheet.
    """
    table = batch.table
    if table is None:
        raise ValueError("no sheet with headings")
    beside = table.headings.of(PERCENTAGE)
    rows = {row: list(cells) for row, cells in table.rows}
    width = len(table.rows[table.headings.row][1])
    for cells in list(rows.values())[table.headings.row :]:
        cells.extend([""] * (width - len(cells)))
    for line, share in zip(batch.lines, shares, strict=True):
        if share == 100 * batch.share(line):
            continue  # as it is printed, to the last nought
        cells = rows[line.place.row]
        if beside is not None and cells[beside.at]:
            cells[beside.at] = _printed(share, table.decimal)
        weight = share * batch.total / 100
        cells[line.place.column - 1] = _weight(cells, table, line, weight)
    return list(rows.values())


def _weight(cells: Sequence[str], table: Table, line: BatchLine, weight: Fraction) -> str:
    """A weight in grams or percent as its cell has it: in its unit, which may stand behind."""
    column = next(c for c in table.headings.columns if c.at == line.place.column - 1)
    text = cells[column.at]
    ounces = pounds_and_ounces(text) is not None
    read = (weight, "oz") if ounces else read_number(text, table.decimal == ",")
    behind = read[1] if read else ""
    unit, _ = unit_of_cell(table.headings, column, cells, behind)
    printed = _printed(weight / (unit or PERCENT).size, table.decimal)
    return f"{printed} {behind}" if behind else printed


def _printed(value: Fraction, decimal: str) -> str:
    digits = f"{float(value):.{_DIGITS}f}".rstrip("0").rstrip(".")
    return digits.replace(".", decimal)
