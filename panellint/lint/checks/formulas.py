"""What no formula can be: a label that none fits, a profile that none reaches."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import statement_of
from panellint.core.errors import NotComputable
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import number
from panellint.core.units import convert
from panellint.lint.checks.support.label_parts import certainty_of, name_of, stated, where
from panellint.nutrition.adequacy import MEETS
from panellint.nutrition.bases import unit_of
from panellint.nutrition.profiles import DRY_MATTER, UNREAD, Profile, ProfileLimit, profile
from panellint.rulepacks.model import Rule
from panellint.shares.model import Base, Bounds
from panellint.shares.premises import LITERATURE, Premise

#: Order against printed percentages, and their sum: rules of their own speak of it.
_SPOKEN_OF = frozenset({Premise.ORDER, Premise.PERCENTAGES})


def clash(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label that no formula fits, with the smallest set of statements that conflict.

    A quick run does not ask. Order against percentages alone is other rules' matter.
    """
    if context.quick or not context.leaves or context.bounds.consistent:
        return
    if context.order.clash and _SPOKEN_OF.issuperset(c.premise for c in context.order.clash):
        return
    lines = context.formulas.clash
    rests_on = context.formulas.clash_rests_on
    if _SPOKEN_OF.issuperset(rests_on):
        return
    certainty = certainty_of(rests_on)
    guaranteed = Premise.GUARANTEES in rests_on
    declared = context.label.declaration_span
    yield Observation(
        where(context, "guarantees" if guaranteed else "declaration"),
        certainty,
        {"count": len(lines), "premises": [str(premise) for premise in rests_on]},
        variant="" if LITERATURE.isdisjoint(rests_on) else "ranges",
        rests_on=tuple(map(str, rests_on)),
        proof=tuple(line.words for line in lines),
        related=(Related(declared, "the ingredients are declared here"),) if guaranteed else (),
    )


def out_of_reach(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds nutrients of which no formula of the declared ingredients reaches the profile's
    minimum, while nothing is declared to supply them.

    A quick run does not ask. A nutrient that some ingredient holds in an unknown amount is passed
    over.
    """
    claim = stated(context, rule.parameters.texts("routes"))
    if context.quick or claim is None or not context.leaves:
        return
    statement = statement_of(context)
    judged = statement.adequacy
    if statement.facts.trial or judged is None:
        return
    met = {judgement.nutrient for judgement in judged.judgements if judgement.verdict == MEETS}
    asked = [
        limit
        for limit in _limits(judged.profile, statement.facts.large_size, context)
        if limit.nutrient not in met
        and _is_known(context, limit.nutrient)
        and not context.may_hold(limit.nutrient, _least(limit))
    ]
    if not asked or not context.formulas.consistent:
        return
    unreached = [
        (limit, bounds)
        for limit in asked
        if (bounds := context.formulas.nutrient(limit.nutrient, Base.DRY_MATTER)).sure
        and bounds.high < _least(limit)
    ]
    if not unreached:
        return
    rests_on = tuple(dict.fromkeys(str(p) for _, b in unreached for p in b.high_proof.rests_on))
    short = [
        f"{name_of(limit.nutrient)} ({_reached(context, limit, bounds)})"
        for limit, bounds in unreached
    ]
    yield Observation(
        claim.span,
        Certainty.POSSIBLE,
        {"short": short, "count": len(short)},
        rests_on=rests_on,
        proof=tuple(s for _, bounds in unreached for s in bounds.high_proof.sentences),
        related=(Related(context.label.declaration_span, "the ingredients are declared here"),),
    )


def _limits(
    judged: Profile, large_size: bool | None, context: LabelContext
) -> Iterator[ProfileLimit]:
    """Yields the minima on dry matter, whatever basis the food was judged on: the shares know no
    energy. A correction for energy density only raises what is needed."""
    by_dry = judged
    if judged.basis != DRY_MATTER:
        try:
            by_dry = profile(
                judged.authority,
                judged.species,
                judged.stage,
                judged.edition,
                basis=DRY_MATTER,
                food="wet" if context.form.moisture_class == "wet" else "dry",
                large_size=large_size,
            )
        except NotComputable:
            return
    for limit in by_dry.limits:
        if limit.low is not None and limit.basis == DRY_MATTER:
            yield limit


def _is_known(context: LabelContext, nutrient: str) -> bool:
    """Returns False where an ingredient supplies the nutrient, may hold any amount of it, or is one
    of which nothing is known."""
    for leaf in context.leaves:
        known = leaf.match.known if leaf.match else None
        if known is None or nutrient in known.supplies or known.range_of(nutrient) is None:
            return False
    return True


def _least(limit: ProfileLimit) -> float:
    """Returns the minimum in the nutrient's own unit."""
    return convert(limit.low or 0.0, limit.unit, unit_of(limit.nutrient))


def _reached(context: LabelContext, limit: ProfileLimit, bounds: Bounds) -> str:
    unit = context.formulas.units.get(limit.nutrient, "%")
    most = convert(bounds.high, unit, limit.unit)
    doubt = "" if limit.confirmed else UNREAD
    return f"at most {number(most)} of {number(limit.low or 0.0)} {limit.unit}{doubt}"
