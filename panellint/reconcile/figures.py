"""The figures of a label against what the batch comes to: guarantees, energy, adequacy, dose."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from panellint.batch.formula import DRY_MATTER, ENERGY, FINISHED, Content
from panellint.findings import Certainty, Observation
from panellint.label.model import Bound, Guarantee
from panellint.nutrition.energy import MODIFIED_ATWATER, NRC_2006
from panellint.nutrition.faults import NotComputable
from panellint.nutrition.profiles import (
    DRY_MATTER as ON_DRY_MATTER,
)
from panellint.nutrition.profiles import (
    RATIO,
    RATIOS,
    Limit,
    Profile,
    authority_of,
    profile,
    stage_of,
)
from panellint.nutrition.tolerances import tolerance, tolerance_basis
from panellint.nutrition.units import convert, kcal_per_kg
from panellint.reconcile.case import BatchCase, batch_case
from panellint.reconcile.listing import percent
from panellint.wording import listed, number

if TYPE_CHECKING:
    from panellint.case import Case
    from panellint.packs import Rule

_HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Compared:
    """A printed figure beside the computed content, both in the printed unit.

    `below` and `above` are how far an analysis may lie from the figure in this market, None
    where no table says. `margin` is how far the estimate lies on the safe side of a guarantee,
    or from a declared value. `verdict`: holds, fails, "estimate fails" or open.
    """

    guarantee: Guarantee
    content: Content
    below: float | None
    above: float | None
    margin: float | None
    verdict: str
    tolerance_source: str = ""


HOLDS, FAILS, ESTIMATE, OPEN = "holds", "fails", "estimate fails", "open"


def compared(case: BatchCase) -> Iterator[Compared]:
    """Every guarantee for which a content can be worked out, in printed order."""
    for guarantee in case.label.guarantees:
        if guarantee.nutrient is None or guarantee.nutrient in ("energy", "microorganisms"):
            continue
        basis = DRY_MATTER if guarantee.basis == "dry matter" else FINISHED
        try:
            content = _in_unit(case.content(guarantee.nutrient, basis), guarantee.unit)
        except (NotComputable, KeyError):
            continue
        figure = float(guarantee.value)
        below, above = tolerance(case.market, guarantee.nutrient, max(0.0, figure))
        where = tolerance_basis(case.market, guarantee.nutrient, max(0.0, figure))
        source = ""
        if where:
            source = where.source + ("" if where.confirmed else " (from memory)")
        yield Compared(
            guarantee,
            content,
            below,
            above,
            _margin(guarantee, content, figure),
            _verdict(guarantee, content, figure, below, above),
            source,
        )


def _in_unit(content: Content, unit: str) -> Content:
    factor = convert(1.0, content.unit, unit)
    return Content(
        content.low * factor,
        content.high * factor,
        content.middle * factor,
        unit,
        content.unknown,
        content.literature,
    )


def _margin(guarantee: Guarantee, content: Content, figure: float) -> float | None:
    if content.unknown and content.high == float("inf"):
        return None
    if guarantee.bound is Bound.MAX:
        return figure - content.middle
    return content.middle - figure


def _verdict(
    guarantee: Guarantee, content: Content, figure: float, below: float | None, above: float | None
) -> str:
    minimum = guarantee.bound is not Bound.MAX
    maximum = guarantee.bound is not Bound.MIN
    short = minimum and content.high < figure - (below or 0.0) - _HAIR
    over = maximum and content.low > figure + (above or 0.0) + _HAIR
    # A side for which no table sets a limit is held to nothing where the value is declared.
    declared = guarantee.bound not in (Bound.MIN, Bound.MAX)
    if (short and not (declared and below is None)) or (over and not (declared and above is None)):
        return FAILS
    if content.unknown and not isfinite(content.high):
        return HOLDS if minimum and not maximum and content.low >= figure else OPEN
    if declared:
        low = figure - below if below is not None else -float("inf")
        high = figure + above if above is not None else float("inf")
        return HOLDS if low - _HAIR <= content.middle <= high + _HAIR else ESTIMATE
    kept = content.middle >= figure - _HAIR if minimum else content.middle <= figure + _HAIR
    return HOLDS if kept else ESTIMATE


def guarantees(case: Case, rule: Rule) -> Iterator[Observation]:
    """A guarantee or declared value that the batch does not bear out.

    Certain where the maker's own analyses alone decide, possible where the catalogue's whole
    range misses it, practice where only the estimate does.
    """
    found = batch_case(case)
    if found is None or not found.finished_known:
        return
    for one in compared(found):
        if one.verdict not in (FAILS, ESTIMATE):
            continue
        guarantee, content = one.guarantee, one.content
        certainty = Certainty.PRACTICE
        if one.verdict == FAILS:
            certainty = Certainty.POSSIBLE if content.literature else Certainty.PROVEN
        kept = _kept_by_tolerance(one)
        yield Observation(
            guarantee.span,
            certainty,
            {
                "nutrient": guarantee.printed,
                "printed": guarantee.value,
                "unit": guarantee.unit,
                "estimate": round(content.middle, 2),
                "low": round(content.low, 2),
                "high": round(content.high, 2),
                "by": round(abs(one.margin), 2) if one.margin is not None else "",
                "bound": _BOUNDS[guarantee.bound],
            },
            case=("within" if kept else "estimate") if one.verdict == ESTIMATE else "",
            rests_on=_rests(content),
            proof=tuple(_steps(found, one)),
        )


_BOUNDS = {Bound.MIN: "at least", Bound.MAX: "at most"}
_BOUNDS |= {bound: "a declared" for bound in Bound if bound not in _BOUNDS}


def _kept_by_tolerance(one: Compared) -> bool:
    figure = float(one.guarantee.value)
    if one.guarantee.bound is Bound.MIN:
        return one.below is not None and one.content.middle >= figure - one.below
    if one.guarantee.bound is Bound.MAX:
        return one.above is not None and one.content.middle <= figure + one.above
    return False


def _rests(content: Content) -> tuple[str, ...]:
    return ("batch sheet", "composition") if content.literature else ("batch sheet",)


def _steps(case: BatchCase, one: Compared) -> Iterator[str]:
    """The largest contributions, the water, the tolerance."""
    nutrient = one.guarantee.nutrient or ""
    yield f"weight of the finished food: {case.formula.water.told}"
    if nutrient != "moisture":
        held = [
            (float(c.share) * (c.ranges[nutrient].low + c.ranges[nutrient].high) / 2, c)
            for c in case.formula.components
            if nutrient in c.ranges
        ]
        for amount, component in sorted(held, key=lambda pair: -pair[0])[:4]:
            low, high = component.ranges[nutrient]
            whose = "own analysis" if nutrient in component.own else "catalogue"
            span = number(low) if low == high else f"{number(low)} to {number(high)}"
            yield (
                f"{component.name}: {percent(component.share)} of the mix with {span} "
                f"{one.content.unit if one.content.unit == '%' else ''}".rstrip()
                + f" ({whose}) brings about {number(amount)}"
            )
    if one.below is not None or one.above is not None:
        sides = [
            f"{number(width)} {word}"
            for width, word in ((one.below, "below"), (one.above, "above"))
            if width is not None
        ]
        yield f"analytical tolerance {' and '.join(sides)}: {one.tolerance_source}"
    if one.content.unknown:
        yield f"not known for {listed(one.content.unknown)}"


def energy_content(case: BatchCase) -> tuple[Content, str] | None:
    """kcal/kg of the food by the method of the market, with the method; None without one."""
    method = NRC_2006 if case.market in ("eu", "uk") and case.species else MODIFIED_ATWATER
    try:
        return case.formula.energy(method, case.species), method
    except NotComputable:
        return None


def calories(case: Case, rule: Rule) -> Iterator[Observation]:
    """A calorie line that the batch does not bear out, by `percent` or more."""
    found = batch_case(case)
    if found is None or found.label.energy is None or not found.finished_known:
        return
    computed = energy_content(found)
    if computed is None:
        return
    content, method = computed
    most = rule.parameters.number("percent")
    for figure in found.label.energy.figures:
        try:
            grams = float(figure.grams) if figure.grams is not None else None
            printed = kcal_per_kg(float(figure.value), figure.unit, figure.per, grams)
        except NotComputable:
            continue
        away = 100 * (printed - content.middle) / content.middle if content.middle else 0.0
        if abs(away) <= most:
            continue
        outside = printed < content.low or printed > content.high
        yield Observation(
            figure.span,
            Certainty.POSSIBLE if outside else Certainty.PRACTICE,
            {
                "printed": round(printed),
                "estimate": round(content.middle),
                "low": round(content.low),
                "high": round(content.high),
                "by": round(abs(away)),
                "side": "above" if away > 0 else "below",
                "method": method.replace("-", " "),
            },
            rests_on=_rests(content),
            proof=tuple(
                f"{part} {number(round(found.content(part).middle, 2))} %"
                for part in ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")
            ),
        )
        return


@dataclass(frozen=True, slots=True)
class Judged:
    """One limit of a nutrient profile against the batch. `verdict` is meets, misses, open or
    unknown (no figure for the ingredients in `unknown`)."""

    limit: Limit
    side: str
    line: float
    low: float
    high: float
    middle: float
    verdict: str
    unknown: tuple[str, ...]
    literature: bool


def adequacy_of(case: BatchCase) -> tuple[Profile, tuple[Judged, ...]] | None:
    """The batch against the profile of its market, species and stage, nutrient by nutrient;
    None where no profile applies."""
    stage = stage_of(case.stages)
    if case.species is None or stage is None:
        return None
    authority, edition = authority_of(case.market)
    large = next((a.large_size for a in case.label.adequacy if a.large_size), None)
    food = {"wet": "wet", "dry": "dry"}.get(case.form.moisture_class or "")
    try:
        found = profile(
            authority,
            case.species,
            stage,
            edition,
            food=food,
            large_size=None if large is None else large == "included",
        )
    except NotComputable:
        return None
    return found, tuple(_judged(case, found))


def _judged(case: BatchCase, prof: Profile) -> Iterator[Judged]:
    factor = 1.0
    if prof.basis == ON_DRY_MATTER:
        from panellint.nutrition.adequacy import density_factor

        dry = 100 - case.content("moisture").middle
        if dry > 0:
            factor = density_factor(prof, case.formula.energy().middle / dry * 100)
    for limit in prof.limits:
        content = _on(case, limit)
        if content is None:
            continue
        scale = 1.0 if limit.legal or limit.basis == RATIO else factor
        low, high, middle = (scale * end for end in (content.low, content.high, content.middle))
        minimum = limit.low is not None
        line = limit.low if limit.low is not None else limit.high
        assert line is not None
        slack = _HAIR * max(1.0, abs(line))
        if (low >= line - slack) if minimum else (high <= line + slack):
            verdict = "meets"
        elif (high < line - slack) if minimum else (low > line + slack):
            verdict = "misses"
        else:
            verdict = "unknown" if content.unknown else "open"
        yield Judged(
            limit, "minimum" if minimum else "maximum", line, low, high, middle, verdict,
            content.unknown, content.literature,
        )  # fmt: skip


def _on(case: BatchCase, limit: Limit) -> Content | None:
    """A content on a limit's basis and in its unit; None where it cannot be told."""
    if limit.nutrient in RATIOS:
        over, under = RATIOS[limit.nutrient]
        if len(over) > 1:
            return None
        top, bottom = case.content(over[0]), case.content(under[0])
        scale = convert(1.0, top.unit, bottom.unit)
        return Content(
            scale * top.low / bottom.high if isfinite(bottom.high) and bottom.high else 0.0,
            scale * top.high / bottom.low if bottom.low else float("inf"),
            scale * top.middle / bottom.middle if bottom.middle else 0.0,
            "",
            tuple(dict.fromkeys((*top.unknown, *bottom.unknown))),
            top.literature or bottom.literature,
        )
    try:
        if limit.basis == ON_DRY_MATTER:
            return _in_unit(case.content(limit.nutrient, DRY_MATTER), limit.unit)
        content = case.content(limit.nutrient, ENERGY)
        amount = content.unit.removesuffix("/1000 kcal")
        wanted = limit.unit.removesuffix("/1000 kcal")
        return _in_unit(
            Content(content.low, content.high, content.middle, f"{amount}/kg", content.unknown,
                    content.literature),
            f"{wanted}/kg",
        )  # fmt: skip
    except (NotComputable, KeyError):
        return None


def adequacy(case: Case, rule: Rule) -> Iterator[Observation]:
    """A limit of the profile that the statement claims and the batch misses.

    Only where the label calls the food complete by formulation: `routes`.
    """
    found = batch_case(case)
    if found is None or not found.finished_known:
        return
    routes = set(rule.parameters.words("routes"))
    statement = next((a for a in found.label.adequacy if a.route in routes), None)
    judged = adequacy_of(found) if statement else None
    if statement is None or judged is None:
        return
    prof, limits = judged
    for one in limits:
        estimate = not one.unknown and (
            one.middle < one.line if one.side == "minimum" else one.middle > one.line
        )
        if one.verdict != "misses" and not (one.verdict == "open" and estimate):
            continue
        certainty = Certainty.PRACTICE
        if one.verdict == "misses":
            certainty = Certainty.POSSIBLE if one.literature else Certainty.PROVEN
        yield Observation(
            statement.span,
            certainty,
            {
                "nutrient": one.limit.nutrient.replace("-", " "),
                "side": one.side,
                "limit": one.line,
                "unit": "to 1" if one.limit.basis == RATIO else one.limit.unit,
                "basis": "weight" if one.limit.basis == RATIO else one.limit.basis,
                "low": one.low,
                "high": one.high,
                "estimate": one.middle,
                "profile": prof.title,
            },
            case="" if one.verdict == "misses" else "estimate",
            rests_on=("batch sheet", "composition") if one.literature else ("batch sheet",),
            proof=(f"{prof.title}; {one.limit.source}",),
        )
