"""The least change of a formula that reaches a name, a guarantee or a target."""

from panellint.maker.reformulate.best import Reformulated, reformulate
from panellint.maker.reformulate.limits import limits_of
from panellint.maker.reformulate.program import (
    Clash,
    LineLimits,
    NewFormula,
    SolverTrouble,
    TargetRow,
    solve,
)
from panellint.maker.reformulate.targets import (
    name_rows,
    read_target,
    target_row,
)

__all__ = [
    "Clash",
    "LineLimits",
    "NewFormula",
    "Reformulated",
    "SolverTrouble",
    "TargetRow",
    "limits_of",
    "name_rows",
    "read_target",
    "reformulate",
    "solve",
    "target_row",
]
