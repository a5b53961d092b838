"""The label of a batch as plain data: the object of `declare --format json`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panellint.maker.declare.label import Declared
from panellint.maker.reconcile.data import analysis_data, sheet_data
from panellint.output.findings.json import file_data
from panellint.output.render_options import CAUTION

if TYPE_CHECKING:
    from panellint.results.batch import Declaration


def to_dict(declared: Declared) -> Declaration:
    """Returns the panel file, the names that were tried, and what `lint` finds in it."""
    return {
        "panel": declared.text,
        "names": [
            {
                "named": list(one.named),
                "tier": one.tier,
                "name": one.name,
                "earned": one.earned,
                "why": one.why or None,
                "rule": one.rule or None,
            }
            for one in declared.tiers
        ],
        "notes": list(declared.notes),
        "caution": CAUTION,
        "analysis": analysis_data(declared.context),
        "sheet": sheet_data(declared.context),
        "lint": file_data(declared.linted)["findings"],
    }
