"""Ingredients of the batch that harm the species, those that the label leaves out among them."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation
from panellint.core.text import one_line
from panellint.lint import engine
from panellint.maker.components import Item, label_of
from panellint.maker.context import weighed
from panellint.maker.reconcile.listing import percent
from panellint.rulepacks.model import Rule


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
