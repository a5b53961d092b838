"""Binder or bulk: what a starch or gum does at the place where it stands.

The answer is a judgement of the trade; the bound that decided and the published range are
named apart from it. A dry food needs starch to hold its shape, which is neither.
"""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.starch_roles import answers
from panellint.core.findings import Certainty, Observation
from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the starches and gums of which the answer (they bind, or fill) is the rule's."""
    wanted = rule.parameters.text("answer")
    for answer in answers(context, rule.parameters):
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
