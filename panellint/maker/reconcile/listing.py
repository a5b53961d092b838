"""The declaration against the weights: order, what is missing, groups, tails, percentages.

Messages say what is wrong without a weight, so that any output may show them; the weights
stand in the proofs, which only the outputs meant for the maker keep.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Edit, Observation, Related, Remedy
from panellint.core.numbers import number
from panellint.core.phrases import nearest
from panellint.core.sequences import longest_run
from panellint.core.source import Span
from panellint.core.text import name_key
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Percent, PercentOf
from panellint.maker.component import Component
from panellint.maker.context import weighed
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.shares.tree import Tree

#: A remedy or a proof that holds weights of the sheet; outputs for others leave it out.
SECRET = "weights"


def percent(share: Fraction | float) -> str:
    """A part of the mix as text: 0.5812 is "58.12 %"; four digits, more where it is small."""
    return f"{number(float(100 * Fraction(share)), 4)} %"


def order(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Entries that do not stand in the order of their weights, with the swap that mends it."""
    weights = weighed(context).matching.weights
    for chain in context.once(_tree).chains:
        placed = [
            (entry, weight)
            for entry in chain.entries
            if (weight := weights.get(entry.path)) is not None and not _dried_away(context, entry)
        ]
        yield from _misplaced(context, [e for e, _ in placed], [w for _, w in placed])


def _tree(context: LabelContext) -> Tree:
    """The declaration with what its edition says of order and of groups."""
    return Tree(
        context.declaration,
        groups_ranked=context.groups["ranked"],
        groups_ordered=context.groups["ordered"],
    )


def _dried_away(context: LabelContext, entry: Ingredient) -> bool:
    """True for added water that has all left the food again."""
    water = entry.match is not None and entry.match.known.kind == "water"
    return water and not weighed(context).formula.keeps_water


def _misplaced(
    context: LabelContext, entries: Sequence[Ingredient], weights: Sequence[Fraction]
) -> Iterator[Observation]:
    if all(a >= b for a, b in pairwise(weights)):
        return
    right = sorted(range(len(entries)), key=lambda i: (-weights[i], i))
    if all(right[there] == at for at, there in enumerate(right)):
        for at, there in enumerate(right):
            if at < there:
                yield _swap(context, entries[at], entries[there], weights[at], weights[there])
        return
    kept = longest_run([-weight for weight in weights])
    for index in range(len(entries)):
        if index not in kept:
            yield _moved(entries, weights, right, index)


def _swap(
    context: LabelContext,
    first: Ingredient,
    second: Ingredient,
    lighter: Fraction,
    heavier: Fraction,
) -> Observation:
    def text(entry: Ingredient) -> str:
        return context.source.slice(entry.span)

    return Observation(
        first.name_span,
        Certainty.PROVEN,
        {"first": first.name, "second": second.name},
        variant="swap",
        rests_on=("batch sheet",),
        proof=(
            f"{second.name} is {percent(heavier)} of the mix and {first.name} {percent(lighter)}",
        ),
        related=(Related(second.name_span, f"{second.name} weighs more and stands here"),),
        remedies=(
            Remedy(
                f"Let {first.name} and {second.name} change places",
                (Edit(first.span, text(second)), Edit(second.span, text(first))),
            ),
        ),
    )


def _moved(
    entries: Sequence[Ingredient], weights: Sequence[Fraction], right: Sequence[int], index: int
) -> Observation:
    entry, place = entries[index], right.index(index)
    before = entries[right[place - 1]] if place else None
    around = [index, *(at for at in right[max(0, place - 1) : place + 2] if at != index)]
    return Observation(
        entry.name_span,
        Certainty.PROVEN,
        {"name": entry.name, "after": before.name if before else ""},
        variant="" if before else "first",
        rests_on=("batch sheet",),
        proof=("; ".join(f"{entries[at].name} is {percent(weights[at])}" for at in around),),
        related=(Related(before.name_span, "its place is behind this"),) if before else (),
    )


def not_declared(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """An ingredient of the sheet that no entry of the label stands for.

    Water that processing takes out again needs no place. `additive-kinds` may stand among the
    additives of a label that has such a section.
    """
    if not context.declaration.ingredients:
        return
    additives = {name_key(context.source.slice(amount.span)) for amount in context.label.additives}
    kinds = set(rule.parameters.texts("additive-kinds"))
    for component in weighed(context).matching.left_over:
        known = component.known
        if component.is_water and (
            not weighed(context).formula.keeps_water
            or context.market in rule.parameters.texts("water-may-be-silent")
        ):
            continue
        kind = "additive" if additives and known and known.kind in kinds else ""
        if kind and known and _stands_by_function(context, known.kind):
            continue
        if not kind or not any(_stands_among(name, component) for name in additives):
            yield _absent(context, component, kind)


def _stands_by_function(context: LabelContext, kind: str) -> bool:
    """True where the label names the function ("antioxidants"), which is enough for some."""
    function = data("data/batch")["additives"]["functions"].get(kind)
    return bool(function) and function.lower() in context.source.text.lower()


def _stands_among(printed: str, component: Component) -> bool:
    known = component.known
    names = {name_key(component.name), *(name_key(name) for name in (known.names if known else ()))}
    words = set(printed.split())
    return any(name in printed or set(name.split()) <= words for name in names if name)


def _absent(context: LabelContext, component: Component, kind: str) -> Observation:
    weights = weighed(context).matching.weights
    before = None
    for entry in context.declaration.ingredients:
        weight = weights.get(entry.path)
        if weight is not None and weight >= component.share:
            before = entry
    name = component.line.declared_as or component.name
    inside = f" (in {component.inside[-1]})" if component.inside else ""
    place = before or context.declaration.ingredients[0]
    at = place.span.end if before else place.span.start
    edit = Edit(Span(at, at), f", {name}" if before else f"{name}, ")
    return Observation(
        place.name_span,
        Certainty.PROVEN,
        {"name": f"{component.name}{inside}", "after": place.name},
        variant=kind or ("" if before else "first"),
        rests_on=("batch sheet",),
        proof=(f"{component.name} is {percent(component.share)} of the mix",),
        remedies=() if kind else (Remedy(f"Declare {name} here", (edit,)),),
    )


def not_in_sheet(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """An entry of the label behind which the sheet has nothing, with the name that is near."""
    free = [component.name for component in weighed(context).matching.left_over]
    for entry in weighed(context).matching.unfound:
        near = (nearest(entry.name, free) or "") if free else ""
        yield Observation(
            entry.name_span,
            Certainty.PROVEN,
            {"name": entry.name, "near": near},
            variant="near" if near else "",
            rests_on=("batch sheet",),
        )


def tail(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A member of a "2 % or less" list that weighs more."""
    for entry in context.declaration.walk():
        weight = weighed(context).matching.weights.get(entry.path)
        if entry.at_most is None or weight is None or len(entry.path) > 1:
            continue
        if 100 * weight > Fraction(entry.at_most):
            yield Observation(
                entry.name_span,
                Certainty.PROVEN,
                {"name": entry.name, "cap": entry.at_most},
                rests_on=("batch sheet",),
                proof=(f"{entry.name} is {percent(weight)} of the mix",),
            )


def percentage(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A printed percentage that the weights do not bear out, to half a unit of its last digit."""
    about = Fraction(str(rule.parameters.number("about-percent"))) / 100
    for entry in context.declaration.walk():
        weight = weighed(context).matching.weights.get(entry.path)
        if entry.percent is None or weight is None:
            continue
        bases = list(_bases(context, entry, entry.percent))
        ends = [100 * weight / base for _, base in bases if base]
        if not ends or any(_holds(entry.percent, end, about) for end in ends):
            continue
        places = max(0, -int(entry.percent.value.as_tuple().exponent))
        right = f"{float(ends[0]):.{places}f}"
        printed = context.source.slice(entry.percent.span)
        digits = str(entry.percent.value)
        mended = printed.replace(digits, right) if digits in printed else ""
        yield Observation(
            entry.percent.span,
            Certainty.PROVEN,
            {"name": entry.name, "printed": entry.percent.value},
            variant="" if ends[0] > Fraction(entry.percent.value) else "less",
            rests_on=("batch sheet",),
            proof=(f"{entry.name} is {percent(ends[0] / 100)} of the {bases[0][0]}",),
            remedies=(Remedy(f"Print {right} %", (Edit(entry.percent.span, mended),)),)
            if mended
            else (),
            tags=(SECRET,),
        )


def _bases(
    context: LabelContext, entry: Ingredient, printed: Percent
) -> Iterator[tuple[str, Fraction | None]]:
    """What the percentage can be a percentage of: words, and the part of the mix."""
    weights, tree = weighed(context).matching.weights, context.once(_tree)
    if printed.of is PercentOf.PARENT:
        parent = tree.parent(entry.path)
        yield (parent.name, weights.get(parent.path)) if parent else ("mix", Fraction(1))
    elif printed.of is PercentOf.COMPONENT:
        component = tree.component(entry.path)
        if component:
            yield component.name, weights.get(component.path)
    else:
        formula = weighed(context).formula
        yield "mix", Fraction(1)
        if printed.of is PercentOf.REHYDRATED and formula.added is not None:
            for end in set(formula.yield_range()):
                yield "rehydrated food", Fraction(end) * (1 + formula.added)
        elif printed.of is PercentOf.UNCLEAR:
            for end in set(formula.yield_range()):
                yield "finished food", Fraction(end)
            yield "mix without processing water", 1 - formula.processing_water


def _holds(printed: Percent, value: Fraction, about: Fraction) -> bool:
    figure, half = Fraction(printed.value), Fraction(printed.half_unit)
    if printed.bound is Bound.MIN:
        return value >= figure - half
    if printed.bound is Bound.MAX:
        return value <= figure + half
    if printed.bound is Bound.ABOUT:
        return abs(value - figure) <= max(half, about * figure)
    return abs(value - figure) <= half
