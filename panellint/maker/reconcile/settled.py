"""Rules about shares that a label alone leaves open, settled by the weights of the batch."""

from collections.abc import Iterable, Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Severity
from panellint.core.text import one_line
from panellint.lint.engine import observations
from panellint.maker.context import weighed
from panellint.rulepacks.model import Rule

#: How the tag begins that names the rule which the weights settle.
SETTLES = "settles:"


def settled_rules(rules: Iterable[Rule]) -> frozenset[str]:
    """Returns the ids of the rules about shares that the weights of a batch settle."""
    rules = tuple(rules)
    checks = {
        check
        for rule in rules
        if rule.check == "sheet-settles"
        for check in rule.parameters.texts("checks")
    }
    return frozenset(rule.id for rule in rules if rule.check in checks)


def settled(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Rules about shares that a label alone leaves open, run with the weights of the sheet.

    `checks` are the checks of those rules; thresholds, places and sources stay theirs.
    """
    names = set(rule.parameters.texts("checks"))
    for other in context.settings.rules_about(context.kind):
        if other.check not in names:
            continue
        answers = weighed(context).answers
        answers.judged.clear()
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
                    "short": f": {short}" if (short := answers.shortfall()[0]) else "",
                },
                rests_on=("batch sheet",),
                proof=(*seen.proof, f"{other.id}: {other.source}"),
                related=seen.related,
                tags=(f"{SETTLES}{other.id}",),
            )


def _as_grave_as(other: Rule, certainty: Certainty) -> Certainty:
    """What stands open on a label is certain now; a rule that weighs such a finding as less
    than an error keeps its weight."""
    sure = Certainty.PRACTICE if certainty is Certainty.PRACTICE else Certainty.PROVEN
    weight = other.severity.get(sure)
    if weight is Severity.ERROR:
        return Certainty.PROVEN
    return Certainty.POSSIBLE if weight is Severity.WARNING else Certainty.PRACTICE
