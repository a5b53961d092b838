"""The label of a batch as plain data: the object of `declare --format json`."""

from __future__ import annotations

from panellint.core.records import to_data
from panellint.maker.declare.label import Declared
from panellint.maker.reconcile.data import analysis_data, sheet_data
from panellint.output.findings.json import file_data
from panellint.output.render_options import CAUTION
from panellint.results.batch import Declaration


def to_dict(declared: Declared) -> Declaration:
    """Returns the panel file, the names that were tried, and what `lint` finds in it."""
    return to_data(
        Declaration,
        declared,
        panel=declared.text,
        names=declared.tiers,
        caution=CAUTION,
        analysis=analysis_data(declared.context),
        sheet=sheet_data(declared.context),
        lint=file_data(declared.linted)["findings"],
    )
