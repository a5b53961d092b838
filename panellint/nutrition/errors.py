"""Why a figure cannot be worked out. Nothing here ever makes up a number instead."""

from __future__ import annotations

from math import isfinite


class NotComputable(ValueError):
    """A figure cannot be worked out from what was given; the message says why.

    `names` are the figures that stand in the way, as nutrient ids.
    """

    def __init__(self, reason: str, *names: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.names = names


class MissingFigure(NotComputable):
    """A figure that is needed was not given."""


class ImpossibleFigure(NotComputable):
    """A figure that nothing can have: not a number, below nothing, over 100 %, no dry matter."""


class ContradictoryFigures(NotComputable):
    """Figures that cannot all be true: a least above a most, parts beyond the whole.

    `excess` is by how many percentage points they clash.
    """

    def __init__(self, reason: str, *names: str, excess: float = 0.0) -> None:
        super().__init__(reason, *names)
        self.excess = excess


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
