"""One raw material declared under several names, each of which slides down the list."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation
from panellint.core.phrases import capital
from panellint.ingredients.model import Ingredient
from panellint.lint.checks.support.phrases import certainty_of, declared_here
from panellint.rulepacks.model import Rule
from panellint.shares.model import Condition, Number, Path

#: Percent that are no more than rounding.
_HAIR = Fraction(1, 10**6)


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds families whose members, declared as one, could take the first place.

    Silent where the first entry is a member already, and where it is proven that the family weighs
    less than the first entry.
    """
    with_ = rule.parameters
    top = context.declaration.ingredients
    families = _families(context, rule)
    if not families or not context.brackets_are_sound:
        return
    minor = with_.texts("until-kinds")
    last = min(
        (entry.path[0] for entry in top if entry.match and entry.match.known.kind in minor),
        default=len(top),
    )
    last = min(last, int(with_.number("within")))
    for family, members in families.items():
        high_up = [member for member in members if member.path[0] < last and member.at_most is None]
        if len(high_up) < 2 or members[0].path[0] == 0:
            continue
        weights: dict[Path, Number] = {member.path: 1 for member in members}
        if context.order.bounds(weights).high < with_.number("together-at-least"):
            continue
        together = context.bounds.bounds(weights)
        if not together.sure or together.high < with_.number("together-at-least"):
            continue
        # Places count from 1 and run over the entries that are not of the family.
        others = [entry for entry in top if not any(m.path[0] == entry.path[0] for m in members)]
        if not others:
            continue
        lead = {**weights, others[0].path: -1}
        if not context.bounds.consistent or context.bounds.refuted([Condition(lead, 0)]):
            continue
        # A formula in which the family is behind shows that it need not be first.
        behind = Condition(lead, -_HAIR, at_most=True)
        first = context.bounds.refuted([behind]) and context.bounds.bounds(lead)
        proof = (*together.low_proof.sentences, *together.high_proof.sentences)
        rests = tuple(together.rests_on)
        yield Observation(
            members[0].name_span,
            certainty_of(first.low_proof.rests_on) if first else Certainty.POSSIBLE,
            {
                "family": capital(family),
                "count": len(members),
                "members": [member.name for member in members],
                "low": together.low,
                "high": together.high,
                "first": others[0].name,
                "place": members[0].path[0] + 1,
            },
            variant="first" if first else "",
            rests_on=rests,
            proof=proof,
            related=declared_here(members[1:]),
        )


def _families(context: LabelContext, rule: Rule) -> dict[str, Sequence[Ingredient]]:
    """Families with two or more members that are different things, in printed order."""
    with_ = rule.parameters
    origins, kinds = with_.texts("origins"), with_.texts("except-kinds")
    passed_over = with_.texts("except-families")
    by_family: dict[str, Sequence[Ingredient]] = {}
    for family, relatives in context.once(_relatives).items():
        if len(relatives) < 2 or family in passed_over:
            continue
        members = [
            ingredient
            for ingredient in relatives
            if ingredient.match
            and ingredient.match.known.origin in origins
            and ingredient.match.known.kind not in kinds
        ]
        if len({member.name.lower() for member in members}) > 1:
            by_family[family] = members
    return by_family


def _relatives(context: LabelContext) -> dict[str, list[Ingredient]]:
    """Returns the declared ingredients of each family, those that may be absent left out."""
    by_family: dict[str, list[Ingredient]] = {}
    for leaf in context.leaves:
        if leaf.match and leaf.match.known.family and not leaf.any_of:
            by_family.setdefault(leaf.match.known.family, []).append(leaf)
    return by_family
