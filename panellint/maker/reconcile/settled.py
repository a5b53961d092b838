"""Rules about shares that a label alone leaves open, settled by the weights of the batch."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation, Severity
from panellint.core.text import one_line
from panellint.lint.engine import observations
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def settled(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Rules about shares that a label alone leaves open, run with the weights of the sheet.

    `checks` are the checks of those rules; thresholds, places and sources stay theirs.
    """
    names = set(rule.parameters.texts("checks"))
    for other in context.settings.rules.values():
        if other.check not in names or not other.is_on or not other.is_about(context.kind):
            continue
        for seen in observations(other, context):
            if seen.certainty is None:
                continue
            yield Observation(
                seen.span,
                _as_grave_as(other, seen.certainty),
                {
                    "title": other.title,
                    "rule": other.id,
                    "marked": one_line(context.source.slice(seen.span)),
                    "source": str(other.source),
                },
                rests_on=("batch sheet",),
                proof=(*seen.proof, f"{other.id}: {other.source}"),
                related=seen.related,
            )


def _as_grave_as(other: Rule, certainty: Certainty) -> Certainty:
    """What stands open on a label is certain now; a rule that weighs such a finding as less
    than an error keeps its weight."""
    sure = Certainty.PRACTICE if certainty is Certainty.PRACTICE else Certainty.PROVEN
    weight = other.severity.get(sure)
    if weight is Severity.ERROR:
        return Certainty.PROVEN
    return Certainty.POSSIBLE if weight is Severity.WARNING else Certainty.PRACTICE


DECLARATIONS = {
    "settled": takes.check(takes.texts("checks", "Checks that a label alone leaves open."))
}
