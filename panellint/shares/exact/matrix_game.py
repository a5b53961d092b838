"""Small matrix games in exact arithmetic: can several conditions hold together?

Standard simplex method of linear programming (Dantzig) with Bland's rule, on fractions.
"""

from collections.abc import Sequence
from fractions import Fraction


def _solve(table: Sequence[Sequence[Fraction]]) -> tuple[Fraction, list[Fraction]]:
    """The value, and the mix of rows that keeps it down, with all columns at hand."""
    rows, columns = len(table), len(table[0])
    shift = 1 - min(min(row) for row in table)
    # max sum x, x >= 0, sum_k x_k (table_kj + shift) <= 1 for every j: x is the mix of rows
    # over the value. One slack for each j.
    lines = [
        [table[k][j] + shift for k in range(rows)]
        + [Fraction(int(i == j)) for i in range(columns)]
        + [Fraction(1)]
        for j in range(columns)
    ]
    goal = [Fraction(-1)] * rows + [Fraction(0)] * (columns + 1)
    basis = [rows + j for j in range(columns)]
    while (enter := next((c for c in range(rows + columns) if goal[c] < 0), None)) is not None:
        leave = min(
            (j for j in range(columns) if lines[j][enter] > 0),
            key=lambda j: (lines[j][-1] / lines[j][enter], basis[j]),
        )
        pivot = lines[leave][enter]
        lines[leave] = [value / pivot for value in lines[leave]]
        for other in (*(line for line in lines if line is not lines[leave]), goal):
            factor = other[enter]
            if factor:
                other[:] = [a - factor * b for a, b in zip(other, lines[leave], strict=True)]
        basis[leave] = enter
    value = 1 / goal[-1]
    mix = [Fraction(0)] * rows
    for j, column in enumerate(basis):
        if column < rows:
            mix[column] = lines[j][-1] * value
    return value - shift, mix


def play(table: Sequence[Sequence[Fraction]]) -> Fraction:
    """Returns the value of a game: the most, over mixes of columns, of the least row.

    `table[k][j]` is paid to the chooser of columns. Columns are brought in as they beat the mix
    of rows so far, so that many columns cost little.
    """
    columns = list(zip(*table, strict=True))
    used = sorted({max(range(len(columns)), key=lambda j: row[j]) for row in table})
    while True:
        value, mix = _solve([[row[j] for j in used] for row in table])
        paid = [sum(m * v for m, v in zip(mix, column, strict=True) if m) for column in columns]
        best = max(range(len(columns)), key=paid.__getitem__)
        if paid[best] <= value:
            return value
        used.append(best)
