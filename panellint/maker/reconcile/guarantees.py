"""The figures of a label against what the batch comes to: guarantees, energy, adequacy, dose."""

from collections.abc import Iterator
from dataclasses import dataclass

from panellint.analysis.context import LabelContext
from panellint.core.errors import NotComputable
from panellint.core.findings import Certainty, Observation
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.label.model import Bound, Guarantee
from panellint.maker.component import DRY_MATTER, FINISHED, BatchContent
from panellint.maker.context import weighed
from panellint.maker.reconcile.listing import percent
from panellint.nutrition.bases import PARTS
from panellint.nutrition.bounds import tolerance, tolerance_source
from panellint.nutrition.energy import MODIFIED_ATWATER, NRC_2006, kcal_per_kg
from panellint.nutrition.profiles import is_under_fediaf
from panellint.rulepacks.model import Rule

HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Compared:
    """A printed figure beside the computed content, both in the printed unit.

    `below` and `above` are how far an analysis may lie from the figure in this market, None
    where no table says. `margin` is how far the estimate lies on the safe side of a guarantee,
    or from a declared value. `verdict`: holds, fails, "estimate fails" or open.
    """

    guarantee: Guarantee
    content: BatchContent
    below: float | None
    above: float | None
    margin: float | None
    verdict: str
    tolerance_source: str = ""


_NOT_WEIGHED = frozenset({"energy", "microorganisms", "enzymes"})
HOLDS, FAILS, ESTIMATE, OPEN = "holds", "fails", "estimate fails", "open"


def compared(context: LabelContext) -> Iterator[Compared]:
    """Every guarantee for which a content can be worked out, in printed order."""
    for guarantee in context.label.guarantees:
        if guarantee.nutrient is None or guarantee.nutrient in _NOT_WEIGHED:
            continue
        basis = DRY_MATTER if guarantee.basis == "dry matter" else FINISHED
        try:
            content = weighed(context).content(guarantee.nutrient, basis)
            content = content.in_unit(guarantee.unit)
        except (NotComputable, KeyError):
            continue
        figure = float(guarantee.value)
        vague = bool(weighed(context).formula.without_figure(guarantee.nutrient, basis))
        away = content.middle - figure
        below, above = tolerance(context.market, guarantee.nutrient, max(0.0, figure))
        yield Compared(
            guarantee,
            content,
            below,
            above,
            None if vague else away if guarantee.bound is not Bound.MAX else -away,
            _verdict(guarantee, content, figure, below, above, vague),
            tolerance_source(context.market, guarantee.nutrient),
        )


def _verdict(
    guarantee: Guarantee,
    content: BatchContent,
    figure: float,
    below: float | None,
    above: float | None,
    vague: bool,
) -> str:
    minimum = guarantee.bound is not Bound.MAX
    maximum = guarantee.bound is not Bound.MIN
    short = minimum and content.high < figure - (below or 0.0) - HAIR
    over = maximum and content.low > figure + (above or 0.0) + HAIR
    # A side for which no table sets a limit is held to nothing where the value is declared.
    declared = guarantee.bound not in (Bound.MIN, Bound.MAX)
    if (short and not (declared and below is None)) or (over and not (declared and above is None)):
        return FAILS
    if vague:
        return HOLDS if minimum and not maximum and content.low >= figure else OPEN
    if declared:
        low = figure - below if below is not None else -float("inf")
        high = figure + above if above is not None else float("inf")
        return HOLDS if low - HAIR <= content.middle <= high + HAIR else ESTIMATE
    kept = content.middle >= figure - HAIR if minimum else content.middle <= figure + HAIR
    return HOLDS if kept else ESTIMATE


def guarantees(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A guarantee or declared value that the batch does not bear out.

    Certain where the maker's own analyses alone decide, possible where the catalogue's whole
    range misses it, practice where only the estimate does.
    """
    if not weighed(context).finished_known:
        return
    for comparison in compared(context):
        if comparison.verdict not in (FAILS, ESTIMATE):
            continue
        guarantee, content = comparison.guarantee, comparison.content
        fails, kept = comparison.verdict == FAILS, _kept_by_tolerance(comparison)
        yield Observation(
            guarantee.span,
            certainty_of(fails, content.literature),
            {
                "nutrient": guarantee.printed,
                "printed": guarantee.value,
                "unit": guarantee.unit,
                "estimate": round(content.middle, 2),
                "range": span(content.low, content.high, 2),
                "by": round(abs(comparison.margin), 2) if comparison.margin is not None else "",
                "bound": _BOUNDS[guarantee.bound],
            },
            variant="" if fails else "within" if kept else "estimate",
            rests_on=rests_on(content.literature),
            proof=tuple(_steps(context, comparison)),
        )


_BOUNDS = {Bound.MIN: "at least", Bound.MAX: "at most"}
_BOUNDS |= {bound: "a declared" for bound in Bound if bound not in _BOUNDS}


def _kept_by_tolerance(comparison: Compared) -> bool:
    over = comparison.content.middle - float(comparison.guarantee.value)
    below, above = comparison.below, comparison.above
    if comparison.guarantee.bound is Bound.MIN:
        return below is not None and over >= -below
    return comparison.guarantee.bound is Bound.MAX and above is not None and over <= above


def span(low: float, high: float, places: int) -> str:
    """Returns a range as text, one figure where its ends round to the same: "8.5 to 22.6"."""
    ends = dict.fromkeys(number(round(end, places or None)) for end in (low, high))
    return " to ".join(ends)


def certainty_of(fails: bool, literature: bool) -> Certainty:
    """Returns how sure a departure is: that of the estimate alone, or of the whole range by the
    maker's own figures, or by the `literature` or what was not read first-hand."""
    sure = Certainty.POSSIBLE if literature else Certainty.PROVEN
    return sure if fails else Certainty.PRACTICE


def rests_on(literature: bool) -> tuple[str, ...]:
    """Returns what such a finding rests on."""
    return ("batch sheet", "composition") if literature else ("batch sheet",)


def _steps(context: LabelContext, comparison: Compared) -> Iterator[str]:
    """The largest contributions, the water, the tolerance."""
    nutrient, formula = comparison.guarantee.nutrient or "", weighed(context).formula
    yield f"weight of the finished food: {formula.water.origin}"
    if nutrient != "moisture":
        held = [
            (float(c.share) * sum(c.ranges[nutrient]) / 2, c)
            for c in formula.components
            if nutrient in c.ranges
        ]
        for amount, component in sorted(held, key=lambda pair: -pair[0])[:4]:
            whose = "own analysis" if nutrient in component.own else "catalogue"
            held_by = span(*component.ranges[nutrient], 9)
            unit = " %" if comparison.content.unit == "%" else ""
            yield (
                f"{component.name}: {percent(component.share)} of the mix with {held_by}{unit} "
                f"({whose}) brings about {number(amount)}"
            )
    widths = (("below", comparison.below), ("above", comparison.above))
    if sides := [f"{number(width)} {word}" for word, width in widths if width is not None]:
        yield f"analytical tolerance {' and '.join(sides)}: {comparison.tolerance_source}"
    if comparison.content.unknown:
        yield f"not known for {listed(comparison.content.unknown)}"


def energy_content(context: LabelContext) -> tuple[BatchContent, str] | None:
    """kcal/kg of the food by the method of the market, with the method; None without one, or where
    an ingredient of weight has no figure."""
    formula = weighed(context).formula
    if any(map(formula.without_figure, PARTS)):
        return None
    by_nrc = context.species and is_under_fediaf(context.market)
    method = NRC_2006 if by_nrc else MODIFIED_ATWATER
    try:
        return formula.energy(method, context.species), method
    except NotComputable:
        return None


def calories(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A calorie line that the batch does not bear out, by `percent` or more."""
    if context.label.energy is None or not weighed(context).finished_known:
        return
    computed = energy_content(context)
    if computed is None:
        return
    content, method = computed
    most = rule.parameters.number("percent")
    for figure in context.label.energy.figures:
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
                "range": span(content.low, content.high, 0),
                "by": round(abs(away)),
                "side": "above" if away > 0 else "below",
                "method": method.replace("-", " "),
            },
            rests_on=rests_on(content.literature),
            proof=tuple(
                f"{part} {number(round(weighed(context).content(part).middle, 2))} %"
                for part in ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")
            ),
        )
        return
