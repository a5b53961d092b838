"""The least change of a formula that reaches a name, a guarantee or a target."""

from panellint.maker.reformulate.best import Reformulated, reformulate
from panellint.maker.reformulate.program import Clash, Found, Limits, Row, SolverTrouble, solve
from panellint.maker.reformulate.targets import (
    limits_of,
    name_rows,
    read_target,
    target_row,
)

__all__ = [
    "Clash",
    "Found",
    "Limits",
    "Reformulated",
    "Row",
    "SolverTrouble",
    "limits_of",
    "name_rows",
    "read_target",
    "reformulate",
    "solve",
    "target_row",
]
