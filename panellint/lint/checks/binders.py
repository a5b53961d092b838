"""Binder or bulk: what a starch or gum does at the place where it stands.

The answer is a judgement of the trade; the bound that decided and the published range are
named apart from it. A dry food needs starch to hold its shape, which is neither.
"""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.starch_roles import answers
from panellint.core.findings import Certainty, Observation
from panellint.rulepacks import parameters as takes
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


DECLARATIONS = {
    "check": takes.check(
        takes.text(
            "answer",
            "The answer that gives a finding.",
            "bulk",
            "holds shape",
            "undecided",
            "binds",
        ),
        takes.number("starch-binds-up-to", "percent of the mix", "A binder's part."),
        takes.number("gum-binds-up-to", "percent of the mix", "All gums together."),
        takes.count("bulk-among-first", "entries", "High in the list is so far down."),
        takes.ingredients("starches", "Starches that bind or fill."),
        takes.ingredients("gums", "Gums, which bind in small amounts."),
        takes.ingredients("markers", "What is little itself, such as salt."),
        takes.texts("shaped", "Forms in which starch holds the shape."),
    )
}
