"""A batch sheet as it is, with other weights: facts, analyses, limits and all else are kept."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from panellint.maker.model import GRAMS, Batch, BatchLine
from panellint.maker.sheet.headers import PERCENTAGE, Headings, find_headings, unit_in
from panellint.maker.sheet.numbers import decimal_comma, read_number

#: Digits behind the point, of kilograms or percent: what is left out weighs nothing on any scale.
_DIGITS = 9


def rewritten(batch: Batch, shares: Sequence[Fraction]) -> list[list[str]]:
    """The cells of a sheet with a new share, in percent of the mix, for each of its lines, each
    written in the unit and with the decimal mark that the sheet has. The batch stays as heavy.

    Raises ValueError for a batch that was not read from a sheet.
    """
    headings = find_headings(batch.rows)
    if headings is None:
        raise ValueError("no sheet with headings")
    comma = decimal_comma((c for _, cells in batch.rows for c in cells), batch.delimiter)
    beside = headings.of(PERCENTAGE)
    rows = {row: list(cells) for row, cells in batch.rows}
    width = len(batch.rows[headings.row][1])
    for cells in list(rows.values())[headings.row :]:
        cells.extend([""] * (width - len(cells)))
    for line, share in zip(batch.lines, shares, strict=True):
        if share == 100 * batch.share(line):
            continue  # as it is printed, to the last nought
        cells = rows[line.place.row]
        at = line.place.column - 1
        if beside is not None and cells[beside.at]:
            cells[beside.at] = _printed(share, comma)
        cells[at] = _weight(cells, headings, line, share * batch.total / 100, comma)
    return list(rows.values())


def _weight(
    cells: Sequence[str], headings: Headings, line: BatchLine, weight: Fraction, comma: bool
) -> str:
    """A weight in grams or percent as its cell has it: in its unit, which may stand behind."""
    column = next(one for one in headings.columns if one.at == line.place.column - 1)
    read = read_number(cells[column.at], comma)
    behind = read[1] if read else ""
    unit, _ = unit_in(headings, column, cells, behind)
    printed = _printed(weight / GRAMS.get(unit, Fraction(1)), comma)
    return f"{printed} {behind}" if behind else printed


def _printed(value: Fraction, comma: bool) -> str:
    digits = f"{float(value):.{_DIGITS}f}".rstrip("0").rstrip(".")
    return digits.replace(".", ",") if comma else digits
