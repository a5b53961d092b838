"""Rules of a label asked again with the weights of the batch: those about shares that a label alone
leaves open, and those about what harms, of ingredients that the label leaves out too."""

from collections.abc import Iterable, Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Severity
from panellint.core.text import one_line
from panellint.lint import engine
from panellint.lint.engine import observations
from panellint.maker.context import Item, label_of, weighed
from panellint.maker.reconcile.listing import percent
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


def hazards(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """What the rules of `checks` find in a declaration of the whole batch in order of weight,
    with every share known; of those rules only findings of the weights in `severity` count.

    The places are those of the label's entries; what it does not declare marks the list.
    """
    checks = set(rule.parameters.texts("checks"))
    weights = set(rule.parameters.texts("severity"))
    whole = context.once(_whole)
    places = {id(c): path for path, own in weighed(context).matching.own.items() for c in own}
    spans = {entry.path: entry.name_span for entry in context.entries}
    for other in context.settings.rules_about(context.kind):
        if other.check not in checks:
            continue
        for seen in engine.observations(other, whole):
            entry = whole.declaration.top_at(seen.span.start)
            severity = other.severity.get(seen.certainty) if seen.certainty else None
            if entry is None or severity is None or severity.value not in weights:
                continue
            (component,) = weighed(whole).matching.own[entry.path]
            path = places.get(id(component))
            yield Observation(
                context.label.declaration_span if path is None else spans[path],
                Certainty.POSSIBLE,
                {
                    "name": component.name,
                    "title": other.title,
                    "what": seen.values.get("what", ""),
                    "dose": seen.values.get("dose", ""),
                    "rule": other.id,
                },
                variant="" if seen.values.get("what") else "barred",
                rests_on=("batch sheet",),
                proof=(
                    f"{component.name} is {percent(component.share)} of the mix",
                    engine.message(other, seen),
                    f"{other.id}: {other.source}",
                ),
            )


def _whole(context: LabelContext) -> LabelContext:
    """Returns the batch as a label of its own, each ingredient by itself, the heaviest first."""
    formula = weighed(context).formula
    components = sorted((c for c in formula.components if c.share), key=lambda c: -c.share)
    facts = {
        "species": context.species or "",
        "form": context.fact("form") or "",
        "market": context.market,
    }
    items = [Item(c.name, c.share, (c,)) for c in components]
    name = one_line(context.label.product_name)
    return label_of(items, formula, context.settings, name=name, facts=facts)
