"""The percentages that a product's name promises, held against all formulas that fit.

`named-share` serves every market by its parameters alone; meeting one of the sets of conditions is
enough. Where only the stricter reading of the processing water fails, a finding is not proven.
Shares come from the case; nothing here adds them up.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction

from panellint.analysis.context import LabelContext
from panellint.analysis.promised_shares import (
    Support,
    all_declared,
    asked_of,
    conditions,
    names_of,
    support_of,
    weights_of,
)
from panellint.core.findings import Certainty, Observation, State
from panellint.core.phrases import capital
from panellint.core.source import Span
from panellint.ingredients.product_name import Promise
from panellint.ingredients.selector import Choice
from panellint.label.declaration.percentages import base_stated
from panellint.label.model import Bound, PercentOf
from panellint.lint.checks.support.label_parts import between, certainty_of, declared_here
from panellint.rulepacks.model import Rule
from panellint.shares.model import (
    Base,
    Condition,
    ConditionAnswer,
    Judgement,
    Path,
    Verdict,
    verdict_of,
)

#: What a figure counts in that the text alone does not set against the whole food.
_OTHERWISE = frozenset({PercentOf.COMPONENT, PercentOf.REHYDRATED, PercentOf.UNCLEAR})


def share(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds names whose percentage no formula that fits the label can reach."""
    for promise in context.promises:
        asked = asked_of(promise, context, rule)
        if asked is not None:
            support, sets = asked
            seen = list(
                judged(context, promise, support, sets, rule.parameters.texts("perhaps-water"))
            )
            yield from seen
            if "bulk" in rule.parameters and seen[0].state is State.OPEN:
                yield from _hardly(context, promise, support, rule)


def _hardly(
    context: LabelContext, promise: Promise, support: Support, rule: Rule
) -> Iterator[Observation]:
    """Yields that a promise that is open leaves next to nothing for what a food holds much of."""
    own = {entry.path for _, entries in support for entry in entries}
    bulk = [
        entry
        for entry in rule.parameters.built("bulk", Choice).among(context.leaves)
        if entry.at_most is None and entry.path not in own
    ]
    if bulk:
        values = {
            "Named": capital(names_of(support)),
            "others": [entry.name for entry in bulk],
            "rest": 100 - rule.parameters.number("together-at-least"),
        }
        yield Observation(
            promise.span,
            Certainty.PRACTICE,
            values,
            variant="hardly",
            related=declared_here(bulk),
            state=State.OPEN,
        )


def printed_share(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a percentage printed in the name (“97 % tuna”) that no formula can reach.

    It holds where it is met of the whole mix or of the mix less declared water, to half a unit of
    its last digit.
    """
    for promise in context.promises:
        if promise.percent is None:
            continue
        support = support_of(promise.named, context)
        if not all_declared(support):
            continue
        needs = least_of(promise.percent)
        beside = list(conditions(rule.parameters["also"].get(promise.tier, {}), support))
        sets = [
            [Condition(weights_of(support), needs, base, names_of(support)), *beside]
            for base in (Base.MIX, Base.MIX_WITHOUT_WATER)
        ]
        values = {"printed": promise.percent}
        yield from judged(
            context, promise, support, sets, rule.parameters.texts("perhaps-water"), values
        )


def code_share(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds what `named-share` finds; practice alone where a printed figure is of a part of the
    food ("4 % in the chunk") or rehydrated, which the formula alone verifies, where a dried
    material may count as fresh, and of a plant beside an animal ("Chicken & Rice").

    Where no formula fits the label at all, its printed percentages are taken at their word.
    """
    promises = [p for p in context.promises if p.tier in rule.parameters.texts("tier")]
    if all(_is_printed(context, rule, promise) for promise in promises):
        # What is printed is enough, whatever else the label says.
        yield from (Observation.met(named.span) for promise in promises for named in promise.named)
        return
    counted = {entry.path: 1 for entry in context.leaves[:1]}
    if counted and not context.order.bounds(counted, Base.LISTED).sure:
        for promise in promises:
            yield from _as_printed(context, rule, promise)
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
            continue
        observation = observation._replace(values=_rounded_up(observation.values))
        most = observation.values.get("most")
        if most is not None and _counts_dried(context, rule, observation.span, float(str(most))):
            observation = observation._replace(certainty=Certainty.PRACTICE, variant="dried")
        yield observation
        if observation.state is State.OPEN and "least" in rule.says:
            own = (promise for promise in promises if promise.span == observation.span)
            yield from _least_printed(context, rule, own)


def _least_printed(
    context: LabelContext, rule: Rule, promises: Iterable[Promise]
) -> Iterator[Observation]:
    """Yields named ingredients printed as "min. 3 %", where that least is under the tier's."""
    for promise in promises:
        each, _ = _needs(rule, promise)
        for named in promise.named:
            entries = context.supported[named.span]
            bounds = {entry.percent.bound for entry in entries if entry.percent}
            printed = between(entries) if Bound.MIN in bounds else None
            if printed is None or not 0 < printed.low < each <= printed.high:
                continue
            if not _counts_dried(context, rule, named.span, float(printed.low)):
                yield Observation(
                    named.span,
                    Certainty.POSSIBLE,
                    {"named": capital(named.name), "least": printed.low, "needs": each},
                    variant="least",
                    related=declared_here(entries),
                )


def _counts_dried(context: LabelContext, rule: Rule, span: Span, share: float) -> bool:
    """Returns whether a share under the band keeps it where dried material counts as so many times
    its weight."""
    start, end = span
    states = {
        entry.match.known.state
        for place, own in context.supported.items()
        if start <= place.start < end
        for entry in own
        if entry.match
    }
    counted = share * rule.parameters.number("dried-counts")
    is_dried = not states.isdisjoint(rule.parameters.texts("dried"))
    needs = rule.parameters.get("together-at-least") or rule.parameters.number("each-at-least")
    return is_dried and counted >= needs


def _rounded_up(values: Mapping[str, object]) -> dict[str, object]:
    """Returns the most to the hundredth, rounded up: 13.95 % against a band of 14 % is not "14
    %"."""
    most = values.get("most")
    if not isinstance(most, float):
        return dict(values)
    return {**values, "most": Decimal(repr(most)).quantize(Decimal("0.01"), ROUND_CEILING)}


def _needs(rule: Rule, promise: Promise) -> tuple[Decimal, Decimal]:
    """Returns what each named ingredient needs, and what all need together."""
    each, together = (
        Decimal(str(rule.parameters.get(key, 0))) for key in ("each-at-least", "together-at-least")
    )
    return (each if len(promise.named) > 1 else max(each, together)), together


def _is_printed(context: LabelContext, rule: Rule, promise: Promise) -> bool:
    """Returns whether the printed percentages of the named ingredients are enough."""
    each, together = _needs(rule, promise)
    printed = [between(context.supported[named.span]) for named in promise.named]
    lows = [figures.low for figures in printed if figures]
    return len(lows) == len(printed) and min(lows) >= each and sum(lows) >= together


def _as_printed(context: LabelContext, rule: Rule, promise: Promise) -> Iterator[Observation]:
    """Yields named ingredients whose own printed percentages are under the tier's."""
    needs, _ = _needs(rule, promise)
    for named in promise.named:
        entries = context.supported[named.span]
        printed = between(entries) if entries else None
        if printed and printed.high < needs:
            yield Observation(
                named.span,
                Certainty.PROVEN,
                {
                    "named": capital(named.name),
                    "most": printed.high,
                    "needs": needs,
                    "base": "the food by its printed percentage",
                },
                rests_on=("percentages",),
                related=declared_here(entries),
            )


def least_of(percent: Decimal) -> Fraction:
    """Returns the least that a printed figure stands for, to half a unit of its last digit."""
    return Fraction(percent) - Fraction(1, 2) * Fraction(10) ** int(percent.as_tuple().exponent)


def judged(
    context: LabelContext,
    promise: Promise,
    support: Support,
    sets: Sequence[Sequence[Condition]],
    perhaps_water: Sequence[str],
    values: Mapping[str, object] | None = None,
) -> Iterator[Observation]:
    """Yields whether a formula keeps one of the sets of conditions, or that none does and by how
    much; it is not proven where that fails once what is `perhaps_water` counts as added water."""
    judgement = context.bounds.refuted(*sets)
    if judgement is None:
        # A quick look does not ask: no finding hangs on it.
        kept = not context.quick and any(all(_is_kept(context, o) for o in each) for each in sets)
        yield Observation.of_state(State.MET if kept else State.OPEN, promise.span)
        return
    certainty = certainty_of(judgement.proof.rests_on)
    wet = [
        leaf.path
        for leaf in context.leaves
        if leaf.match and leaf.match.known.kind in perhaps_water
    ]
    if wet and certainty is Certainty.PROVEN:
        milder = context.bounds.refuted(
            *([_milder(c, wet) for c in conditions] for conditions in sets)
        )
        certainty = certainty if milder else Certainty.POSSIBLE
    broken = _broken(judgement)
    entries = [ingredient for _, ingredients in support for ingredient in ingredients]
    span = Span(support[0].named.span.start, support[-1].named.span.end)
    if promise.percent is not None:
        span = Span(min(promise.span.start, span.start), span.end)
    answer = broken or judgement.conditions[0]
    condition = answer.condition
    own = [named for named, _ in support if named.name == condition.of]
    if broken and len(own) == 1 and len(support) > 1:
        span = own[0].span
    of = condition.of if broken else names_of(support)
    shown: dict[str, object] = {
        "named": of,
        "Named": capital(of),
        "descriptor": promise.descriptor,
        "most": answer.bounds.high,
        "least": answer.bounds.low,
        "needs": condition.needs,
        "base": _base_words(condition.base, context),
        **(values or {}),
    }
    yield Observation(
        span,
        certainty,
        shown,
        variant="jointly" if broken is None else "too much" if condition.at_most else "",
        rests_on=tuple(judgement.proof.rests_on),
        proof=judgement.proof.sentences,
        related=declared_here(entries),
    )


def _is_kept(context: LabelContext, condition: Condition) -> bool:
    """Returns whether every formula meets a condition, by what the order of the list alone says."""
    bounds = context.order.bounds(condition.weights, condition.base)
    return verdict_of(condition, bounds) is Verdict.IMPLIED


def _milder(condition: Condition, wet: Iterable[Path]) -> Condition:
    """Returns the same condition where what may count as processing water is left out of the base:
    the sum over what is left reaches the same part of a smaller whole."""
    if condition.base is not Base.MIX_WITHOUT_WATER or condition.at_most:
        return condition
    weights = dict(condition.weights)
    for path in wet:
        weights[path] = weights.get(path, 0) + Fraction(condition.needs) / 100
    return Condition(weights, condition.needs, condition.base, condition.of)


def _broken(judgement: Judgement) -> ConditionAnswer | None:
    """Returns the condition that fails by itself, by the most where several do."""
    refuted = [answer for answer in judgement.conditions if answer.verdict is Verdict.REFUTED]
    if not refuted:
        return None

    def shortfall(answer: ConditionAnswer) -> float:
        if answer.condition.at_most:
            return float(answer.condition.needs) / answer.bounds.low
        return answer.bounds.high / float(answer.condition.needs)

    return min(refuted, key=shortfall)


def _base_words(base: Base, context: LabelContext) -> str:
    if base is Base.LISTED:
        return f"the {base}"
    water = any(leaf.match and leaf.match.known.kind == "water" for leaf in context.leaves)
    if base is Base.MIX_WITHOUT_WATER and water:
        return "the recipe without processing water"
    return "the recipe" if not water else "the whole recipe, water counted"
