"""Ingredients of the batch that harm the species, those that the label leaves out among them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.core.source import Source
from panellint.core.text import one_line
from panellint.lint import engine
from panellint.maker.context import BatchContext, batch_context
from panellint.maker.formula import Component
from panellint.maker.reconcile.listing import percent
from panellint.rulepacks import registry

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def hazards(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """What the rules of `checks` find in a declaration of the whole batch in order of weight,
    with every share known; of those rules only findings of the weights in `severity` count.

    The places are those of the label's entries; what it does not declare marks the list.
    """
    found = batch_context(context)
    if found is None:
        return
    checks = set(rule.parameters.words("checks"))
    weights = set(rule.parameters.words("severity"))
    others = [
        other
        for other in found.settings.rules.values()
        if other.check in checks and other.is_on and other.is_about(found.kind)
    ]
    if not others:
        return
    whole, components = _declared_in_full(found)
    entries = dict(
        zip((e.name_span for e in whole.declaration.ingredients), components, strict=False)
    )
    places = {id(c): path for path, mine in found.matching.own.items() for c in mine}
    spans = {entry.path: entry.name_span for entry in found.declaration.walk()}
    for other in others:
        for seen in registry.find(other.check).function(whole, other):
            component = next(
                (c for at, c in entries.items() if at.start <= seen.span.start < at.end), None
            )
            severity = other.severity.get(seen.certainty)
            if component is None or severity is None or severity.value not in weights:
                continue
            path = places.get(id(component))
            yield Observation(
                found.label.declaration_span if path is None else spans[path],
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


def _declared_in_full(context: BatchContext) -> tuple[BatchContext, list[Component]]:
    """The batch as a plain declaration, each ingredient by itself, the heaviest first."""
    components = sorted((c for c in context.formula.components if c.share), key=lambda c: -c.share)
    facts = [
        f"{heading}: {text}"
        for heading, text in (
            ("Product name", one_line(context.label.product_name)),
            ("Species", context.species or ""),
            ("Form", context.fact("form") or ""),
        )
        if text
    ]
    names = (one_line(c.name.translate(_MARKS)) for c in components)
    text = "\n".join([*facts, f"Market: {context.market}", f"Ingredients: {', '.join(names)}", ""])
    return BatchContext(
        Source(text, context.source.path), context.settings, context.batch
    ), components


#: Marks that would part a name into several entries.
_MARKS = {ord(mark): " " for mark in ",;:()[]{}*"}
