"""What a label's figures prove of the profile that it names, and of its own calorie line; and where
the vitamins and minerals come from of a food that calls itself complete, and what else it
guarantees."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrient_sources import listed_sources, names_of, sources
from panellint.analysis.nutrition_input import statement_of
from panellint.core.errors import NotComputable
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import half_up, number
from panellint.core.phrases import capital
from panellint.core.source import Span
from panellint.label.model import Adequacy, Bound
from panellint.lint.checks.adequacy import complete_claim
from panellint.lint.checks.calories import figure_per_kg
from panellint.lint.checks.support.label_parts import name_of, stated
from panellint.nutrition.adequacy import MISSES, ProfileJudgement, Ratio
from panellint.nutrition.energy import factors
from panellint.nutrition.mixture import energy_range
from panellint.nutrition.profiles import UNREAD
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

_RATIO = "calcium-phosphorus"


def limit(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees that are short of a minimum of the profile, or above a maximum.

    It is proven where every food within the guarantees misses the limit and the limit was read
    first-hand; practice where it was not, and where a guaranteed maximum allows what the profile
    does not: a minimum that is guaranteed low says nothing of the content, and a value without a
    bound has a tolerance.
    """
    claim = _by_profile(context, rule)
    if claim is None or not set(rule.parameters.texts("except-uses")).isdisjoint(context.uses):
        return
    adequacy = statement_of(context).adequacy
    for judgement in adequacy.judgements if adequacy else ():
        if judgement.side != rule.parameters.text("side") or judgement.verdict != MISSES:
            continue
        bound = Bound.MAX if judgement.side == "maximum" else Bound.MIN
        span = _guaranteed(context, judgement.nutrient, bound)
        if span is None or judgement.value is None:
            continue
        certain = judgement.proven and judgement.bound != "declared"
        proven = certain and judgement.confirmed
        # A maximum above the profile's allows what the profile does not; what only a figure that
        # was not read first-hand keeps from proof is a warning.
        allowed = judgement.side == "maximum" and "max" in judgement.bound
        doubt = Certainty.PRACTICE if allowed or certain else Certainty.POSSIBLE
        yield Observation(
            span,
            Certainty.PROVEN if proven else doubt,
            {
                "nutrient": name_of(judgement.nutrient),
                "value": judgement.value,
                "limit": judgement.limit,
                "unit": _unit(judgement),
                "profile": profile_of(judgement),
            },
            variant=_case(judgement, certain),
            rests_on=("guarantees",),
            proof=_proof(judgement),
        )


def far_over(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of many times the profile's minimum, by its unit or its decimal point."""
    claim, with_ = _by_profile(context, rule), rule.parameters
    adequacy = statement_of(context).adequacy if claim else None
    for judgement in adequacy.judgements if adequacy else ():
        if judgement.side != "minimum" or judgement.nutrient not in with_.texts("nutrients"):
            continue
        span = _guaranteed(context, judgement.nutrient)
        if span is None or judgement.value is None or judgement.limit is None:
            continue
        if judgement.value < judgement.limit * with_.number("times"):
            yield Observation.met(span)
            continue
        yield Observation(
            span,
            Certainty.PRACTICE,
            {
                "Nutrient": capital(name_of(judgement.nutrient)),
                "value": judgement.value,
                "limit": judgement.limit,
                "unit": _unit(judgement),
                "times": half_up(judgement.value / judgement.limit, 0),
                "profile": profile_of(judgement),
            },
            rests_on=("guarantees",),
        )


def ratio(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds calcium to phosphorus outside the profile's ratio, where both are guaranteed.

    It is proven where the bounds of both leave no ratio inside; a declared value has a tolerance
    and proves nothing: it is practice where the ratio is outside by more than that.
    """
    claim = _by_profile(context, rule)
    if claim is None:
        return
    statement = statement_of(context)
    computed, adequacy = statement.calcium_phosphorus, statement.adequacy
    span = _guaranteed(context, "calcium")
    if computed is None or computed.value is None or adequacy is None or span is None:
        return
    printed = statement.facts.printed
    exact = not (printed["calcium"].declared or printed["phosphorus"].declared)
    for entry in adequacy.profile.of(_RATIO):
        low, high = entry.low, entry.high
        below = low is not None and computed.value < low
        above = high is not None and computed.value > high
        if not below and not above:
            continue
        proven = exact and entry.confirmed and _never(computed, low, high)
        beyond = (low or 0) / computed.value if below else computed.value / (high or computed.value)
        far = "tolerance" in rule.parameters and beyond > 1 + rule.parameters.number("tolerance")
        doubt = Certainty.PRACTICE if far else Certainty.POSSIBLE
        yield Observation(
            span,
            Certainty.PROVEN if proven else doubt,
            {"ratio": round(computed.value, 2), "limit": low if below else high},
            variant="below" if below else "above",
            rests_on=("guarantees",),
            proof=(
                f"The figures of calcium and phosphorus leave a ratio of "
                f"{_end(computed.low)} to {_end(computed.high)}.",
            ),
        )


def energy(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a calculated energy per kg that no food within the guarantees has by modified Atwater.

    Figures of the dry matter and of dietary fibre bound the parts less surely: a label with such is
    passed over.
    """
    line = context.label.energy
    if line is None or (line.method or "") not in rule.parameters.texts("methods"):
        return
    statement = statement_of(context)
    label, widest = statement.facts.kcal_per_kg, statement.widest
    given = context.label.guarantees
    plain = all(
        guarantee.basis == "as fed" and guarantee.nutrient != "dietary-fibre" for guarantee in given
    )
    if label is None or widest is None or not plain:
        return
    try:
        low, high = energy_range(widest)
    except NotComputable:
        return
    slack = rule.parameters.number("slack-percent") / 100
    if low * (1 - slack) <= label <= high * (1 + slack):
        return
    figure = figure_per_kg(context) or line.figures[0]
    below = label < low
    terms = " + ".join(f"{number(factor)} {part}" for part, factor in factors().items())
    yield Observation(
        figure.span,
        Certainty.PROVEN,
        {"label": half_up(label), "least": half_up(low), "most": half_up(high)},
        variant="below" if below else "above",
        rests_on=("guarantees",),
        proof=(
            f"Within the guarantees, 10 x ({terms}) is "
            f"{'at least' if below else 'at most'} {half_up(low if below else high)} kcal/kg.",
        ),
    )


def _by_profile(context: LabelContext, rule: Rule) -> Adequacy | None:
    """Returns the statement by which the food meets the profile; None where a feeding trial stands
    behind it, which need not."""
    claim = stated(context, rule.parameters.texts("routes"))
    return None if claim is None or statement_of(context).facts.trial else claim


def _guaranteed(context: LabelContext, nutrient: str, bound: Bound | None = None) -> Span | None:
    guarantee = context.guarantee(nutrient, bound) or context.guarantee(nutrient)
    return None if guarantee is None else guarantee.value_span


def profile_of(judgement: ProfileJudgement) -> str:
    """Returns the profile behind a limit, with a word on figures that were not read first-hand."""
    return judgement.source.partition(";")[0] + ("" if judgement.confirmed else UNREAD)


def _case(judgement: ProfileJudgement, certain: bool) -> str:
    if certain:
        return ""
    return "guarantee" if judgement.bound == "min" and judgement.side == "minimum" else "figure"


def _unit(judgement: ProfileJudgement) -> str:
    if judgement.basis != "dry matter":
        return judgement.unit
    corrected = "" if judgement.factor == 1 else ", corrected for its energy"
    return f"{judgement.unit} of dry matter{corrected}"


def _proof(judgement: ProfileJudgement) -> tuple[str, ...]:
    corrected = (
        "" if judgement.factor == 1 else f", times {number(judgement.factor)} for energy density"
    )
    bound = f"{judgement.bound} " if judgement.bound else ""
    value = number(judgement.value or 0.0)
    return (
        f"The label's figure ({bound}{value} {_unit(judgement)}{corrected}) against the "
        f"{judgement.side} of {number(judgement.limit)}.",
    )


def _never(computed: Ratio, low: float | None, high: float | None) -> bool:
    """Returns True where no content within the bounds has a ratio inside the limits."""
    return (low is not None and computed.high is not None and computed.high < low) or (
        high is not None and computed.low is not None and computed.low > high
    )


def _end(value: float | None) -> str:
    return "any figure" if value is None else number(value)


def without_sources(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds nutrients of a complete food without a declared source.

    “missing” is for many nutrients without one (the limits stand with their list), “gap” for few,
    “carried” for those that whole foods carry where none is missing.
    """
    with_ = rule.parameters
    statement = stated(context, with_.texts("routes"))
    claim = None if context.label.adequacy else complete_claim(context, with_)
    place = statement.span if statement else claim
    if place is None or not context.declaration.ingredients or not context.species:
        return
    listed = data(with_.text("nutrients"))
    supply = listed_sources(context, with_.text("nutrients"))
    lost = len(supply.missing)
    if supply.open_list:
        return
    fault, many = with_.text("fault"), listed["many"]
    if not lost:
        if fault != "carried" or len(supply.carried) < with_.number("carried-from"):
            return
    elif fault != (
        "missing" if lost >= many["missing" if supply.supplied else "without_any"] else "gap"
    ):
        return
    yield Observation(
        place,
        Certainty.PRACTICE,
        {
            "missing": list(names_of(supply.missing)),
            "carried": list(names_of(supply.carried)),
            "supplied": list(names_of(supply.supplied)),
            "count": lost,
        },
        variant="few" if supply.supplied and fault == "missing" else "",
        related=(Related(context.label.declaration_span, "the ingredients are declared here"),),
    )


def without_source(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of what no declared ingredient is known to hold."""
    with_ = rule.parameters
    nutrients = with_.texts("nutrients")
    for guarantee in context.label.guarantees:
        if guarantee.nutrient not in nutrients or not context.leaves:
            continue
        supply = sources(context, [guarantee.nutrient], with_["by-kind"], with_["by-note"])
        if supply.missing and not supply.open_list:
            yield Observation(guarantee.name_span, Certainty.PRACTICE, {"name": guarantee.printed})
