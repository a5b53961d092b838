"""The least change, or the least cost, of a formula that reaches what is asked for."""

from panellint.maker.reformulate.best import reformulate
from panellint.maker.reformulate.limits import read_target

__all__ = ["read_target", "reformulate"]
