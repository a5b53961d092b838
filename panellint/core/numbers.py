"""Figures: what one can be, and how messages print it."""

from __future__ import annotations

from math import isfinite

from panellint.core.errors import ImpossibleFigure, MissingFigure


def number(text: float) -> str:
    """A figure as messages print it: no more digits than it needs, at most four."""
    return f"{text:.4f}".rstrip("0").rstrip(".")


def need(**figures: float | None) -> tuple[float, ...]:
    """The figures, all present; raises MissingFigure naming every one that is not."""
    missing = [name for name, value in figures.items() if value is None]
    if missing:
        words = " and ".join(name.replace("_", " ") for name in missing)
        raise MissingFigure(f"{words} not given", *missing)
    return tuple(value for value in figures.values() if value is not None)


def check_percent(name: str, value: float) -> float:
    """`value` if it can be a percentage; raises ImpossibleFigure otherwise."""
    if 0 <= value <= 100:
        return value
    if not isfinite(value):
        raise ImpossibleFigure(f"{name} is not a number", name)
    if value < 0:
        raise ImpossibleFigure(f"{name} of {number(value)} % is below nothing", name)
    raise ImpossibleFigure(f"{name} of {number(value)} % is more than the whole", name)


def check_amount(name: str, value: float) -> float:
    """`value` if it is finite and above zero; raises ImpossibleFigure otherwise."""
    if not isfinite(value) or value <= 0:
        raise ImpossibleFigure(f"{name} of {number(value)} is not an amount", name)
    return value
