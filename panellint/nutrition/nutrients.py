"""The nutrients: their ids, units and classes, and who they are by any name that labels print."""

from functools import cache
from typing import NamedTuple

from panellint.core.text import fold_name
from panellint.rulepacks.data import data


class Nutrient(NamedTuple):
    """A nutrient of `rules/nutrients`: `unit` is the one in which its figures are kept, `sort`
    its class (proximate, amino-acid, vitamin...)."""

    id: str
    unit: str
    sort: str


@cache
def _by_id() -> dict[str, Nutrient]:
    rows = data("nutrients/nutrients")["nutrients"]
    return {row["id"]: Nutrient(row["id"], row["unit"], row["class"]) for row in rows}


@cache
def _by_name() -> dict[str, Nutrient]:
    nutrients: dict[str, Nutrient] = {}
    for row in data("nutrients/nutrients")["nutrients"]:
        for name in (row["id"], *(n for names in row["names"].values() for n in names)):
            nutrients.setdefault(fold_name(str(name)), _by_id()[row["id"]])
    return nutrients


def nutrient_named(name: str) -> Nutrient | None:
    """Returns the nutrient of that name in any language and case; None where there is none."""
    return _by_name().get(fold_name(name))


def unit_of(nutrient: str) -> str:
    """Returns the unit in which figures of a nutrient (by its id) are kept.

    Raises KeyError for an id that is none.
    """
    return _by_id()[nutrient].unit


def sort_of(nutrient: str) -> str:
    """Returns the class of a nutrient (by its id): proximate, amino-acid...; else "other"."""
    row = _by_id().get(nutrient)
    return row.sort if row else "other"
