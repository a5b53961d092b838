"""The checks by name: ours, as rules/data/checks.yaml lists them, and those of other packages.

A rule names its check; the function is imported when the rule first runs. A check is
`check(context, rule) -> Iterable[Observation]` and knows neither severity nor wording. To add
one: write the function in `panellint/lint/checks/`, and list it. Other packages add theirs
through the entry-point group `panellint.checks`, which is looked at only for a name that is
not listed.
"""

from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum
from functools import cache
from importlib import import_module
from typing import Any, NamedTuple

from panellint.core.errors import PanellintError, UnknownName
from panellint.core.findings import Observation
from panellint.rulepacks.data import CHECKS, data
from panellint.rulepacks.parameters import Declaration, declared

GROUP = "panellint.checks"

#: The check that judges waivers; it looks at the findings, so `lint` runs it after all others.
WAIVER = "waiver"


class Needs(StrEnum):
    """What a check looks at; it runs, and is imported, only where that is there."""

    LABEL = "label"
    BATCH_SHEET = "batch sheet"
    NAMED_SHEET = "name of a batch sheet"


#: The function that gives a label the batch sheet that is written out in its panel file.
_SHEET_OF_LABEL = "maker.context.with_written_sheet"


class Check(NamedTuple):
    """A check that is ready to run; `package` is the package it comes from, "" for ours."""

    name: str
    function: Callable[[Any, Any], Iterable[Observation]]
    package: str = ""


def ours() -> Mapping[str, Mapping[str, Any]]:
    """Returns what is stated of each check of ours: the function that runs, what it needs, what
    its rules may give."""
    stated: Mapping[str, Mapping[str, Any]] = data(CHECKS)
    return stated


def names() -> tuple[str, ...]:
    """Returns every check that can be named: ours and those of installed packages, sorted."""
    return tuple(sorted({*ours(), *_foreign()}))


@cache
def needs(name: str) -> Needs:
    """Returns what a check looks at; those of other packages look at a label."""
    return Needs(ours()[name].get("needs", Needs.LABEL)) if name in ours() else Needs.LABEL


def is_elsewhere(name: str) -> bool:
    """Returns whether a check is at work in `reconcile` alone, where the batch sheet is at hand."""
    return needs(name) is not Needs.LABEL


@cache
def find(name: str) -> Check:
    """Returns the check of that name, imported. Raises UnknownName, with the nearest name.

    What goes wrong while a package of somebody else is imported is raised as PanellintError that
    names the package.
    """
    if name in ours():
        return Check(name, _imported(ours()[name]["run"]))
    entry = _foreign().get(name)
    if entry is None:
        from panellint.core.phrases import nearest

        raise UnknownName("check", name, nearest(name, names()))
    package = entry.dist.name if entry.dist else entry.value.partition(".")[0]
    try:
        loaded = entry.load()
    except Exception as error:
        raise PanellintError(
            f"check `{name}` of package {package} cannot be loaded: {type(error).__name__}: {error}"
        ) from error
    if not callable(loaded):
        raise PanellintError(f"check `{name}` of package {package} is not a function")
    return Check(name, loaded, package)


def with_written_sheet(context: Any) -> Any:
    """Returns the context with the batch sheet written out in its panel file, None without one."""
    return _imported(_SHEET_OF_LABEL)(context)


def _imported(place: str) -> Any:
    """Returns the function of ours at a place such as "lint.checks.split.check"."""
    module, _, name = place.rpartition(".")
    return getattr(import_module(f"panellint.{module}"), name)


def declaration(name: str) -> Declaration | None:
    """Returns what a rule of the check may give; None where a check of another package declares
    nothing: its module states it under `DECLARATIONS`, by the function's name, as
    rules/data/checks.yaml states ours. Raises UnknownName, and PanellintError where the package
    cannot be loaded or states what cannot be read."""
    if name in ours():
        return declared(name, ours())
    function, package = find(name)[1:]
    stated = getattr(import_module(function.__module__), "DECLARATIONS", {})
    try:
        return declared(function.__name__, stated) if function.__name__ in stated else None
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise PanellintError(
            f"what check `{name}` of package {package} declares cannot be read: {error!r}"
        ) from error


@cache
def _foreign() -> dict[str, Any]:
    """Returns the entry points of other packages by name; the first by package name wins."""
    from importlib.metadata import entry_points

    points = sorted(
        entry_points(group=GROUP), key=lambda entry: (entry.name, str(entry.dist), entry.value)
    )
    return {entry.name: entry for entry in reversed(points)}
