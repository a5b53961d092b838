"""What a new formula has to reach, and how far each line may move: what sheet and user say, and
what is usual of small ingredients."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import partial
from itertools import product
from math import isfinite
from typing import Any

from panellint.catalogue import load
from panellint.catalogue.model import CatalogueEntry
from panellint.core.errors import ImpossibleFigure, PanellintError
from panellint.core.numbers import number, read_fraction
from panellint.core.phrases import listed, nearest
from panellint.core.text import name_key
from panellint.core.units import convert
from panellint.label.statements import stages_in
from panellint.lint import engine
from panellint.maker.component import FINISHED, WATER_KIND, names_of
from panellint.maker.context import Item, label_of, weighed
from panellint.maker.declare.entries import official
from panellint.maker.formula import Formula
from panellint.maker.model import Batch, BatchLine
from panellint.maker.reconcile import adequacy
from panellint.maker.reformulate.program import LineLimits, TargetRow
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


_LIMIT = re.compile(
    r"^(?P<name>.+?)\s*=\s*(?P<low>[\d.,]*)\s*(?:\.\.|-|–)\s*(?P<high>[\d.,]*)\s*%?$"
)


def limits_of(
    batch: Batch, given: Iterable[str] = (), held: Iterable[str] = ()
) -> tuple[LineLimits, ...]:
    """The limits of each line: the sheet's own, then what the user gives ("duck=20..50", in
    percent of the mix) and the lines that are to stay as they are.

    A limit of several lines of one name is one of their sum (`shared_rows`), and each may reach
    it. Raises PanellintError for a limit that is none or names no line.
    """
    limits = []
    for line in batch.lines:
        low = Fraction(0) if line.least is None else line.least
        high = Fraction(100) if line.most is None else line.most
        stated = line.least is not None or line.most is not None
        limits.append(LineLimits(low, high, f"the limit of {line.name}" if stated else ""))
    for places, low, high in _given(batch, given, limits):
        for at in places:
            words = f"the limit of {batch.lines[at].name}"
            limits[at] = LineLimits(low if len(places) == 1 else Fraction(0), high, words)
    for name in held:
        for at in _lines_called(batch, name):
            share = 100 * batch.share(batch.lines[at])
            limits[at] = LineLimits(share, share, f"{batch.lines[at].name} is held")
    return tuple(limits)


def _given(
    batch: Batch, given: Iterable[str], now: Sequence[LineLimits]
) -> Iterator[tuple[list[int], Fraction, Fraction]]:
    """The lines of each limit that the user gives, its least and its most."""
    for text in given:
        match = _LIMIT.match(text.strip())
        if match is None or not (match["low"] or match["high"]):
            raise PanellintError(f"`{text}` is no limit; it reads such as `duck=20..50`")
        places = _lines_called(batch, match["name"])
        low = _figure(match["low"], now[places[0]].low)
        high = _figure(match["high"], now[places[0]].high)
        if not 0 <= low <= high <= 100:
            raise PanellintError(f"`{text}`: the least is above the most, or above 100 %")
        yield places, low, high


def shared_rows(batch: Batch, given: Iterable[str]) -> Iterator[TargetRow]:
    """A limit of several lines of one name ("chicken", of two lots), as rows over their sum."""
    free = [LineLimits(Fraction(0), Fraction(100))] * len(batch.lines)
    for places, low, high in _given(batch, given, free):
        if len(places) < 2:
            continue
        names = listed(dict.fromkeys(batch.lines[at].name for at in places))
        within = [Fraction(at in places) for at in range(len(batch.lines))]
        ends = f"{number(float(low))} to {number(float(high))} %"
        words = f"the lines of {names} together {ends}"
        yield TargetRow(tuple(share - low / 100 for share in within), words)
        yield TargetRow(tuple(high / 100 - share for share in within), words)


def usual_limits(
    formula: Formula, limits: Sequence[LineLimits], market: str, species: str
) -> tuple[LineLimits, ...]:
    """The limits, with those of practice for lines of which neither sheet nor user says one:
    premixes and salt stay as they are, added water is not more, and small ingredients keep to
    their customary levels, or to today's where that lies outside. No line passes what the law of
    the market allows of it."""
    batch = formula.batch
    kinds = {id(c.line): c.known for c in formula.components}
    food = Fraction(formula.finished_weight()).limit_denominator(10**6) or Fraction(1)
    usual = []
    for line, limit in zip(batch.lines, limits, strict=True):
        known, share = kinds.get(id(line)), 100 * batch.share(line)
        if not limit.words:
            limit = _customary(line, known, share) or limit
        for legal in data("data/minor")["legal"]:
            most = _legal(legal, line, known, share / food) if known else None
            wrong = market not in legal["markets"] or legal.get("species", species) != species
            if most is not None and not wrong and (most := food * most) < limit.high:
                doubt = "" if legal["confirmed"] else "; not confirmed"
                words = f"{line.name} as the law allows it ({legal['source']}{doubt})"
                limit = LineLimits(min(limit.low, most), most, words)
        usual.append(limit)
    return tuple(usual)


def _customary(line: BatchLine, known: CatalogueEntry | None, share: Fraction) -> LineLimits | None:
    """How far a line moves by itself; None for what makes up the food."""
    minor = data("data/minor")
    held, kinds = minor["held"], minor["kinds"]
    if known and known.kind == WATER_KIND:
        return LineLimits(Fraction(0), share, f"no more {line.name} than now")
    is_held = known and (
        known.kind in held["kinds"] or known.state in held["states"] or known.id in held["ids"]
    )
    if line.members or is_held:
        return LineLimits(share, share, f"{line.name} is held as it is")
    if known is None or known.kind not in kinds:
        return None
    ends = known.usual or kinds[known.kind]
    low, high = (Fraction(str(end)) for end in ends)
    usual = f"{number(float(low))} to {number(float(high))} % is customary"
    low = min(share, low) if share else Fraction(0)
    return LineLimits(low, max(share, high), f"{line.name}, of which {usual}")


def _legal(
    legal: Mapping[str, Any], line: BatchLine, known: CatalogueEntry, now: Fraction
) -> Fraction | None:
    """The most of an ingredient by a row of the law, in percent of the food; None where the row
    says nothing of it. Of a source of an element whose strength the maker does not give, that of
    the strongest, or what there is `now`."""
    if known.id in legal.get("ids", ()):
        return Fraction(str(legal["most"]))
    element = legal.get("supplies")
    strength = known.range_of(element) if element in known.supplies else None
    if element is None or strength is None or strength.high <= 0:
        return None
    own = line.analysis.get(element)
    most = 100 * Fraction(str(legal["mg_per_kg"])) / (own or Fraction(strength.high))
    return most if own else max(most, now)


def _figure(text: str, otherwise: Fraction) -> Fraction:
    if not text:
        return otherwise
    percent = read_fraction(text)
    if percent is None:
        raise PanellintError(f"`{text}` is no percentage")
    return percent


def _kinds(line: BatchLine) -> tuple[str, ...]:
    """The family and the kind of a line, as names."""
    match = load().lookup(line.name)
    names = (match.known.family, match.known.kind) if match else ()
    return tuple(name_key(name.replace("-", " ")) for name in names)


def _lines_called(batch: Batch, name: str) -> list[int]:
    """The lines of that name; where none has it, those that have it without their brackets, then
    those of that family or kind ("chicken", "muscle meat")."""
    wanted = name_key(name)
    lines = list(enumerate(batch.lines))
    places = [at for at, line in lines if name_key(line.name) == wanted]
    places = places or [at for at, line in lines if wanted in map(name_key, names_of(line))]
    places = places or [at for at, line in lines if wanted in _kinds(line)]
    if not places:
        near = nearest(name, [line.name for line in batch.lines])
        hint = f"; did you mean {near}?" if near else ""
        raise PanellintError(f"no line of {batch.path} is called {name!r}{hint}")
    return places
