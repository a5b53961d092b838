"""The checks of reconciling as the registry knows them: nothing is imported for a label that
has no batch sheet, so that `lint` stays in its own lane."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.core.findings import Observation
    from panellint.rulepacks.model import Rule

Check = Callable[["LabelContext", "Rule"], Iterable["Observation"]]


def _only_with_a_sheet(module: str, function: str) -> Check:
    def check(context: LabelContext, rule: Rule) -> Iterable[Observation]:
        if not hasattr(context, "batch") and "batch-sheet" not in context.label.facts:
            return ()
        found: Check = getattr(import_module(f"panellint.maker.reconcile.{module}"), function)
        return found(context, rule)

    check.__name__ = check.__qualname__ = function
    return check


order = _only_with_a_sheet("listing", "order")
not_declared = _only_with_a_sheet("listing", "not_declared")
not_in_sheet = _only_with_a_sheet("listing", "not_in_sheet")
tail = _only_with_a_sheet("listing", "tail")
percentage = _only_with_a_sheet("listing", "percentage")
settled = _only_with_a_sheet("listing", "settled")
guarantees = _only_with_a_sheet("figures", "guarantees")
calories = _only_with_a_sheet("figures", "calories")
adequacy = _only_with_a_sheet("adequacy", "adequacy")
hazards = _only_with_a_sheet("hazards", "hazards")
named = _only_with_a_sheet("sheet_reference", "named")
