"""What no formula can be: a label that none fits, a profile that none reaches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import inf
from typing import TYPE_CHECKING

from panellint.analysis.nutrition_input import statement_of
from panellint.catalogue.model import PARTS
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.phrases import number
from panellint.core.units import convert
from panellint.label.model import Bound
from panellint.lint.checks.nutrient_sources import names_of
from panellint.lint.checks.support.label_parts import where
from panellint.lint.checks.support.phrases import certainty_of
from panellint.nutrition.adequacy import MEETS
from panellint.nutrition.errors import NotComputable
from panellint.nutrition.guaranteed import unit_of
from panellint.nutrition.profiles import DRY_MATTER, profile
from panellint.shares.model import Base
from panellint.shares.premises import Premise

if TYPE_CHECKING:
    from panellint.analysis.context import Case
    from panellint.label.model import Guarantee
    from panellint.nutrition.profiles import Limit, Profile
    from panellint.rulepacks.packs import Rule
    from panellint.shares.model import Bounds, Path
    from panellint.shares.solver.formula_set import Formulas

#: Order against printed percentages, and their sum: rules of their own speak of it.
_SPOKEN_OF = frozenset({Premise.ORDER, Premise.PERCENTAGES})


def clash(case: Case, rule: Rule) -> Iterator[Observation]:
    """A label that no formula fits, with the smallest set of statements that was found to clash.

    A quick look does not ask, and the solver is not asked where a usual recipe is seen to fit.
    Order against percentages alone is other rules' matter.
    """
    if case.quick or not case.leaves or _some_recipe_fits(case) or case.bounds.consistent:
        return
    lines = case.formulas.clash
    rests_on = case.formulas.clash_rests_on
    if _SPOKEN_OF.issuperset(rests_on):
        return
    certainty = certainty_of(rests_on)
    guaranteed = Premise.GUARANTEES in rests_on
    declared = case.label.declaration_span
    yield Observation(
        where(case, "guarantees" if guaranteed else "declaration"),
        certainty,
        {"count": len(lines), "premises": [str(premise) for premise in rests_on]},
        case="ranges" if Premise.COMPOSITION in rests_on else "",
        rests_on=tuple(map(str, rests_on)),
        proof=tuple(line.words for line in lines),
        related=(Related(declared, "the ingredients are declared here"),) if guaranteed else (),
    )


def out_of_reach(case: Case, rule: Rule) -> Iterator[Observation]:
    """Nutrients of which no formula of the declared ingredients reaches the profile's minimum,
    while nothing is declared to supply them.

    `routes` are routes of the statement that rest on the profile itself. A quick look does not
    ask; a nutrient that some ingredient holds in an unknown amount is left alone, and so is a
    minimum that was not read first-hand.
    """
    routes = rule.parameters.words("routes")
    claim = next((one for one in case.label.adequacy if one.route in routes), None)
    if case.quick or claim is None or not case.leaves:
        return
    statement = statement_of(case)
    judged = statement.adequacy
    if statement.facts.trial or judged is None:
        return
    met = {one.nutrient for one in judged.judgements if one.verdict == MEETS}
    recipe = _recipe(case)
    asked = [
        limit
        for limit in _limits(judged.profile, statement.facts.large_size, case)
        if limit.nutrient not in met
        and _is_known(case, limit.nutrient)
        and not _is_enough(case, recipe, limit)
    ]
    if not asked or not case.formulas.consistent:
        return
    found = [
        (limit, bounds)
        for limit in asked
        if (bounds := _most(case.formulas, limit)) is not None
        and bounds.high < _least(case.formulas, limit)
    ]
    if not found:
        return
    rests_on = tuple(dict.fromkeys(str(p) for _, b in found for p in b.high_proof.rests_on))
    short = [
        f"{next(names_of([limit.nutrient]), limit.nutrient)} ({_reached(case, limit, bounds)})"
        for limit, bounds in found
    ]
    yield Observation(
        claim.span,
        Certainty.POSSIBLE,
        {"short": short, "count": len(short)},
        rests_on=rests_on,
        proof=tuple(s for _, bounds in found for s in bounds.high_proof.sentences),
        related=(Related(case.label.declaration_span, "the ingredients are declared here"),),
    )


def _some_recipe_fits(case: Case) -> bool:
    """True where a recipe is found that fits the label, guarantees of minerals and the like
    included; where none is found, nothing is said."""
    recipe = _recipe(case)
    return recipe is not None and all(
        _holds(case, recipe, one) for one in case.label.guarantees if one.nutrient not in PARTS
    )


def _recipe(case: Case) -> Mapping[Path, float] | None:
    """A usual recipe (percent of the mix by leaf) that fits the declaration and the guarantees of
    the six parts, where one is found."""
    from panellint.shares.exact.feasible_recipe import Witnesses

    finder = Witnesses(case.order.tree, case.label.guarantees, case.form.water_lost)
    return finder.keeps(((),))


def _is_enough(case: Case, recipe: Mapping[Path, float] | None, limit: Limit) -> bool:
    """True where a recipe that fits can hold the minimum even as mixed, water and all. The six
    parts hang together, so that of them a recipe alone tells nothing."""
    if recipe is None or limit.nutrient in PARTS:
        return False
    held = 0.0
    for leaf in case.leaves:
        found = leaf.match.known.range_of(limit.nutrient) if leaf.match else None
        held += recipe.get(leaf.path, 0.0) / 100 * (found.high if found else 0.0)
    return held >= convert(limit.low or 0.0, limit.unit, unit_of(limit.nutrient))


def _holds(case: Case, recipe: Mapping[Path, float], one: Guarantee) -> bool:
    """Whether a recipe can hold what a guarantee of another nutrient says, however much water
    left; an ingredient of which nothing is known can hold any of it."""
    if one.nutrient is None or one.nutrient == "energy":
        return True
    if one.basis != "as fed":
        return False
    try:
        value = convert(float(one.value), one.unit, unit_of(one.nutrient))
    except NotComputable:
        return False
    lost = case.form.water_lost
    least = most = 0.0
    for leaf in case.leaves:
        known = leaf.match.known if leaf.match else None
        found = known.range_of(one.nutrient) if known else None
        share = recipe.get(leaf.path, 0.0) / 100
        if found is None:
            most += share * inf if share else 0.0
        else:
            least, most = least + share * found.low, most + share * found.high
    enough = one.bound is Bound.MAX or most >= value * (1 - lost.low / 100)
    return enough and (one.bound is Bound.MIN or least <= value * (1 - lost.high / 100))


def _limits(judged: Profile, large_size: bool | None, case: Case) -> Iterator[Limit]:
    """The minima on dry matter, whatever basis the food was judged on: the shares know no
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
                food="wet" if case.form.moisture_class == "wet" else "dry",
                large_size=large_size,
            )
        except NotComputable:
            return
    for limit in by_dry.limits:
        if limit.low is not None and limit.basis == DRY_MATTER and limit.confirmed:
            yield limit


def _is_known(case: Case, nutrient: str) -> bool:
    """False where an ingredient supplies the nutrient, may hold any amount of it, or is one of
    which nothing is known."""
    for leaf in case.leaves:
        known = leaf.match.known if leaf.match else None
        if known is None or nutrient in known.supplies or known.range_of(nutrient) is None:
            return False
    return True


def _most(formulas: Formulas, limit: Limit) -> Bounds | None:
    bounds = formulas.nutrient(limit.nutrient, Base.DRY_MATTER)
    return bounds if bounds.sure else None


def _least(formulas: Formulas, limit: Limit) -> float:
    """The minimum in the nutrient's own unit."""
    return convert(limit.low or 0.0, limit.unit, formulas.units.get(limit.nutrient, "%"))


def _reached(case: Case, limit: Limit, bounds: Bounds) -> str:
    unit = case.formulas.units.get(limit.nutrient, "%")
    most = convert(bounds.high, unit, limit.unit)
    return f"at most {number(most)} of {number(limit.low or 0.0)} {limit.unit}"
