"""Binder or bulk: what a starch or gum does at the place where it stands.

The answer is a judgement of the trade; the bound that decided and the published range are
named apart from it. A dry food needs starch to hold its shape, which is neither.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.analysis.starch_roles import Answer, answers
from panellint.core.findings import Certainty, Observation
from panellint.rulepacks.parameters import Parameters

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """One observation for each binder whose answer is the rule's `answer`."""
    wanted = rule.parameters.text("answer")
    for answer in _answers(context, rule.parameters):
        if answer.which == wanted:
            yield Observation(
                answer.entry.name_span,
                Certainty.PRACTICE,
                values={
                    "name": answer.entry.name,
                    "why": answer.why,
                    "published": answer.published,
                    "form": context.form.id,
                    **answer.stands.values,
                },
                rests_on=answer.stands.rests_on,
                proof=answer.sources,
            )


#: What an answer depends on beside the label.
_LIMITS = (
    "starches",
    "gums",
    "markers",
    "starch-binds-up-to",
    "gum-binds-up-to",
    "bulk-among-first",
)


def _answers(context: LabelContext, limits: Parameters) -> list[Answer]:
    """The answers, found once for all rules that take the same limits."""
    known = context.once(_given)
    for given, found in known:
        if all(given[key] == limits[key] for key in _LIMITS):
            return found
    found = list(answers(context, limits))
    known.append((limits, found))
    return found


def _given(context: LabelContext) -> list[tuple[Parameters, list[Answer]]]:
    """The limits that were asked for so far, with the answers."""
    return []
