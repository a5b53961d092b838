"""One thing declared more than once: a raw material under several names, each of which slides down
the list, and an ingredient that stands twice, under one name or under two."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.phrases import capital
from panellint.core.text import fold, fold_name
from panellint.ingredients.model import Ingredient
from panellint.lint.checks.support.label_parts import certainty_of, declared_here
from panellint.rulepacks.data import data
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
                "low": round(together.low, 1),
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


@cache
def _synonyms() -> dict[str, int]:
    sets = data("words/synonyms")["synonyms"]
    return {name: number for number, names in enumerate(sets) for name in names}


def _single(context: LabelContext) -> tuple[list[Ingredient], list[str]]:
    """Returns the entries that are looked at, and their names folded."""
    entries = [
        entry for entry in context.entries if not entry.any_of and not entry.members and entry.name
    ]
    return entries, [fold(entry.name) for entry in entries]


def duplicates(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds entries that an earlier one of their list equals, by name or by another name.

    Members of a group are compared among themselves only: the salt of a cheese and the salt of the
    food are two additions. Alternatives (“and/or”), component lists and what both notes tell apart
    ("poultry (dried)", "poultry (hydrolysed)") are passed over.
    """
    by_name = rule.parameters.text("by") == "name"
    looked_at, names = context.once(_single)
    keys = names if by_name else list(map(_synonyms().get, names))
    known = [key for key in keys if key is not None]
    if len(set(known)) == len(known):
        return
    first: dict[tuple[tuple[int, ...], str | int], Ingredient] = {}
    for entry, name, key in zip(looked_at, names, keys, strict=True):
        if key is None:
            continue
        earlier = first.setdefault((entry.path[:-1], key), entry)
        if earlier is entry or (not by_name and fold(earlier.name) == name):
            continue
        notes = [fold_name(" ".join(each.notes)).split() for each in (entry, earlier)]
        noted = [set(filter(str.isalpha, words)) for words in notes]
        if all(noted) and noted[0] != noted[1]:
            continue
        yield Observation(
            entry.name_span,
            Certainty.PROVEN if by_name else Certainty.PRACTICE,
            {
                "name": entry.name,
                "other": earlier.name,
                "line": context.source.position(earlier.name_span.start)[0],
            },
            related=(Related(earlier.name_span, "first declared here"),),
        )
