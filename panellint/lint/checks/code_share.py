"""The tiers of the European code on names, where a figure may be of a part of the food.

The shares are judged by `named-share`, whose parameters these are. A named ingredient whose
percentage counts in a component ("4 % in the chunk"), or rehydrated, cannot be judged from the
text alone: the finding is then a matter to verify by the formula. Where no formula fits the
label at all, its printed percentages are taken at their word.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.ingredients.product_name import supporting
from panellint.label.declaration.percentages import base_stated
from panellint.label.model import PercentOf
from panellint.lint.checks import named_share
from panellint.lint.checks.named_share import share
from panellint.lint.checks.support.descending import between
from panellint.lint.checks.support.phrases import as_in_a_sentence, declared_here
from panellint.rulepacks import parameters as takes
from panellint.shares.model import Base

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule

_OTHERWISE = frozenset({PercentOf.COMPONENT, PercentOf.REHYDRATED, PercentOf.UNCLEAR})


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds what `named-share` finds; practice alone where a printed figure is of a part of the
    food."""
    tiers = rule.parameters.texts("tier")
    needs = Decimal(str(rule.parameters.number("each-at-least")))
    named = [
        named_entry
        for promise in context.promises
        if promise.tier in tiers
        for named_entry in promise.named
    ]
    printed = [between(context.supported[named_entry.span]) for named_entry in named]
    if all(figures and figures.low >= needs for figures in printed):
        # What is printed is enough, whatever else the label says.
        yield from (Observation.met(with_figure.span) for with_figure in named)
        return
    counted = {entry.path: 1 for entry in context.leaves[:1]}
    if counted and not context.order.bounds(counted, Base.LISTED).sure:
        yield from _as_printed(context, rule)
        return
    noted = {
        entry.name_span
        for entry in context.entries
        if entry.percent is not None
        and (entry.percent.of in _OTHERWISE or any(map(base_stated, entry.notes)))
    }
    for observation in share(context, rule):
        if any(related.span in noted for related in observation.related):
            yield observation._replace(certainty=Certainty.PRACTICE, variant="noted")
        else:
            yield observation._replace(values=_rounded_up(observation.values))


def _rounded_up(values: Mapping[str, object]) -> dict[str, object]:
    """Returns the most to the hundredth, rounded up: 13.95 % against a band of 14 % is not "14
    %"."""
    most = values.get("most")
    if not isinstance(most, float):
        return dict(values)
    return {**values, "most": Decimal(repr(most)).quantize(Decimal("0.01"), ROUND_CEILING)}


def _as_printed(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Yields named ingredients whose own printed percentages are under the tier's."""
    needs = Decimal(str(rule.parameters.number("each-at-least")))
    for promise in context.promises:
        if promise.tier not in rule.parameters.texts("tier"):
            continue
        for named in promise.named:
            entries = supporting(named, context.declaration)
            printed = between(entries) if entries else None
            if printed and printed.high < needs:
                yield Observation(
                    named.span,
                    Certainty.PROVEN,
                    {
                        "named": as_in_a_sentence(named.name),
                        "most": printed.high,
                        "needs": needs,
                        "base": "the food by its printed percentage",
                    },
                    rests_on=("percentages",),
                    related=declared_here(entries),
                )


DECLARATIONS = {
    "check": takes.check(*named_share.PARAMETERS, variants=("noted", *named_share.VARIANTS))
}
