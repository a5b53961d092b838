"""What a formula is to reach, as linear rows over the shares of its lines."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import product
from math import isfinite

from panellint.core.errors import ImpossibleFigure, PanellintError
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.units import convert
from panellint.label.statements import stages_in
from panellint.lint import engine
from panellint.maker.component import FINISHED
from panellint.maker.context import Item, label_of, weighed
from panellint.maker.declare.entries import official
from panellint.maker.formula import Formula
from panellint.maker.reconcile import adequacy
from panellint.maker.reformulate.program import TargetRow
from panellint.nutrition import targets
from panellint.nutrition.profiles import RATIO, stage_of
from panellint.nutrition.targets import Target
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings
from panellint.shares.model import Base, Condition

#: The checks that ask for shares of what the name names.
_CHECKS = ("named-share", "named-percentage", "code-share", "named-declared")


def read_target(text: str) -> Target:
    """Returns a content to reach, such as "protein >= 26 %" or "calcium at least 1.5 g per 1000
    kcal". Raises PanellintError where it is not understood, or names no side to be on."""
    try:
        among = ("energy",) if text.strip().lower().startswith("energy") else ()
        target = targets.read_target(text, among)
    except ImpossibleFigure as error:
        raise PanellintError(str(error)) from None
    if target.basis == targets.ENERGY_SHARE or (
        target.part == "energy" and target.basis != targets.AS_FED
    ):
        raise PanellintError(f"`{text}`: energy is asked for in kcal/kg as fed")
    if target.sense == targets.EXACTLY:
        raise PanellintError(f"`{text}` says neither at least nor at most")
    return target


def basis_of(target: Target) -> str:
    """Returns the basis of a target as a formula calls it."""
    return FINISHED if target.basis == targets.AS_FED else target.basis


def target_row(formula: Formula, target: Target, worst: bool) -> TargetRow:
    """The row of a target. Raises PanellintError where it cannot be judged: a moisture that is
    stated, or with `worst` a most of what some ingredients have no figure for."""
    moisture, basis = formula.water.moisture, basis_of(target)
    if target.part == "moisture" and basis == FINISHED and moisture is not None:
        raise PanellintError(
            f"`{target.words}`: the finished moisture is stated ({number(float(moisture))} %), no "
            "weights change it"
        )
    at_least = target.sense == targets.AT_LEAST
    surplus = formula.surplus(target.part, basis, target.value, at_least, worst)
    lost = [
        c.name
        for c, value in zip(formula.components, surplus, strict=True)
        if not isfinite(value) and c.share
    ]
    if lost:
        raise PanellintError(f"`{target.words}`: there is no figure for {listed(lost)}")
    return TargetRow(by_line(formula, surplus), str(target))


def by_line(formula: Formula, by_component: Sequence[Fraction | float]) -> tuple[Fraction, ...]:
    """Factors of components as factors of the lines that they are part of."""
    factors = []
    for line in formula.batch.lines:
        names = {id(batch_line) for batch_line, _ in line.walk()}
        share = formula.batch.share(line)
        own = [
            (component.share, Fraction(factor))
            for component, factor in zip(formula.components, by_component, strict=True)
            if id(component.line) in names
        ]
        if share:
            factors.append(sum((part * factor for part, factor in own), Fraction(0)) / share)
        else:
            factors.append(own[0][1] if len(own) == 1 else Fraction(0))
    return tuple(factors)


def name_rows(
    formula: Formula, name: str, settings: Settings, species: str = ""
) -> Iterator[tuple[TargetRow, ...]]:
    """What a name asks of the weights: alternatives, each a set of rows. The rules about names
    say it; nothing is known here of tiers.

    Raises PanellintError where the name promises nothing, or of what is not in the sheet.
    """
    market = settings.market_for()
    items = [Item(official(c, market), c.share, (c,)) for c in formula.components]
    facts = {"species": species, "market": market}
    context = label_of(items, formula, settings, name=name, facts=facts)
    if not context.promises:
        raise PanellintError(f"“{name}” names no ingredient that is known")
    asked = weighed(context).answers.judged
    choices: list[list[tuple[TargetRow, ...]]] = []
    row = partial(_condition_row, formula)
    for rule in settings.rules_about(context.kind):
        if rule.check not in _CHECKS:
            continue
        asked.clear()
        seen = [o for o in engine.observations(rule, context) if o.certainty is not None]
        if seen and not asked:
            raise PanellintError(f"“{name}”: {engine.message(rule, seen[0])}")
        # A rule asks again, more mildly, where it is not sure; its first question is strict.
        for alternatives in asked[:1]:
            choices.append([tuple(map(row, conditions)) for conditions in alternatives])
    if not choices:
        raise PanellintError(f"“{name}” asks for no share of any ingredient in this market")
    for chosen in product(*choices):
        yield tuple(row for rows in chosen for row in rows)


def _condition_row(formula: Formula, condition: Condition) -> TargetRow:
    """A condition as a row: `sum w x - needs base >= 0`, turned round for a most. The paths of
    the condition are the places of the components in the formula."""
    if condition.base not in (Base.MIX, Base.MIX_WITHOUT_WATER, Base.LISTED):
        raise PanellintError(f"a share of the {condition.base.words} cannot be reached by weights")
    for path in condition.weights:
        if len(path) > 1:
            row = formula.components[path[0]].name
            raise PanellintError(f"{condition.of} has no weight of its own in the row {row}")
    needs = Fraction(condition.needs) / 100
    sign = -1 if condition.at_most else 1
    by_component = []
    for place, component in enumerate(formula.components):
        counts = not (condition.base is Base.MIX_WITHOUT_WATER and component.is_water)
        weight = Fraction(condition.weights.get((place,), 0))
        by_component.append(sign * (weight - (needs if counts else 0)))
    side = "at most" if condition.at_most else "at least"
    asked = f"{side} {number(float(condition.needs))} % of the {condition.base.words}"
    return TargetRow(by_line(formula, by_component), f"{condition.of} {asked}")


def kept_rows(formula: Formula, market: str, species: str, stage: str) -> Iterator[TargetRow]:
    """Rows for each limit of the profile that the formula meets by estimate, with figures for all
    of its ingredients; and one that keeps dry matter in the mix.

    The toxic maxima of a profile are among its limits. Nothing of it where species or stage are
    not known, or the market has no profile.
    """
    least = float(data("data/minor")["least_dry_matter"]["percent"])
    dry = [100 - box.middle["moisture"] - least for box in formula.mixed.boxes]
    if sum(factor * float(c.share) for factor, c in zip(dry, formula.components, strict=True)) >= 0:
        words = f"dry matter at least {number(least)} % of the mix"
        yield TargetRow(by_line(formula, dry), words)
    profile = adequacy.profile_of(market, species, stage_of(stages_in(stage)) if stage else None)
    for judged_limit in adequacy.judged(formula, profile) if profile else ():
        limit, at_least = judged_limit.limit, judged_limit.side == "minimum"
        if limit.basis == RATIO or judged_limit.by_estimate is not True:
            continue
        basis = adequacy.basis_of(limit)
        own, stated = (
            unit.replace("/1000 kcal", "/kg")
            for unit in (formula.content(limit.nutrient, basis).unit, limit.unit)
        )
        value = convert(judged_limit.line / judged_limit.scale, stated, own)
        surplus = formula.surplus(limit.nutrient, basis, value, at_least, False)
        side = "at least" if at_least else "at most"
        words = (
            f"{limit.nutrient.replace('-', ' ')} {side} {number(judged_limit.line)} {limit.unit}"
        )
        yield TargetRow(by_line(formula, surplus), f"{words} of the profile")
