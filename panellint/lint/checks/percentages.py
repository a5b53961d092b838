"""Percentages in the list: none where it may hold none, none that rises, none beyond its whole.

They count in the order of the list only where they are printed as parts of the food: "in the chunk"
and "rehydrated" say of themselves that they are something else.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from panellint.analysis.context import LabelContext
from panellint.analysis.label_shares import unlisted
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.ingredients.model import Ingredient
from panellint.label.model import PercentOf
from panellint.lint.checks.support.label_parts import declared_here
from panellint.rulepacks.model import Rule

_WHOLE = Decimal(100)


def printed(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds percentages of ingredients inside a list that is to be without figures.

    One finding, at the first. A tail (“2 % or less of”) is no such figure.
    """
    ingredients = [entry for entry in context.entries if entry.percent is not None and entry.name]
    if ingredients:
        first = ingredients[0]
        assert first.percent is not None
        yield Observation(
            first.percent.span,
            Certainty.PROVEN,
            {"name": first.name, "percent": first.percent.value, "count": len(ingredients)},
            related=tuple(
                Related(ingredient.percent.span, f"{ingredient.name} has one too")
                for ingredient in ingredients[1:]
                if ingredient.percent is not None
            ),
        )


def falling(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds printed percentages above one that stands before them in the same list.

    It is only possible where the rounding of the two figures could explain it.
    """
    if not context.once(_prints_percent):
        return
    for entries in _lists(context):
        lowest: Ingredient | None = None
        for entry in entries:
            if not _counts(entry) or _value(entry) == 0:
                continue
            rises = lowest is not None and _value(entry) > _value(lowest)
            least, before = _least(entry), _most(lowest) if lowest else None
            if rises and lowest and least is not None and before is not None:
                sure = least > before
                yield Observation(
                    entry.name_span,
                    Certainty.PROVEN if sure else Certainty.POSSIBLE,
                    {
                        "name": entry.name,
                        "percent": _value(entry),
                        "before": lowest.name,
                        "other": _value(lowest),
                    },
                    variant="" if sure else "rounded",
                    rests_on=("percentages",),
                    related=declared_here((lowest,)),
                )
            if _most(entry) is not None and (lowest is None or not rises):
                lowest = entry


def _prints_percent(context: LabelContext) -> bool:
    """Returns whether any entry has a printed percentage."""
    return any(entry.percent is not None for entry in context.entries)


def sums(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds percentages that are more than their whole: the food, or the entry that they are in.

    Where every entry of the list has one, they must make the whole; half a unit of each last digit
    is passed over on either side.
    """
    if not context.once(_prints_percent):
        return
    slack = Decimal(str(rule.parameters.number("slack")))
    top = context.declaration.ingredients
    given = [entry for entry in top if _least(entry) is not None]
    if given:
        # What the market's text lets a list leave out may be the part that is missing.
        left = unlisted(context)
        full = len(given) == len(top) and None not in left.values()
        room = slack + Decimal(str(float(sum(filter(None, left.values())))))
        yield from _of_the_food(given, full, slack, room)
    for entry in context.entries:
        if not entry.members:
            continue
        whole = _most(entry)
        inside = [m for m in entry.members if m.percent and m.percent.of is PercentOf.FOOD]
        total = sum((_least(ingredient) or Decimal(0) for ingredient in inside), Decimal(0))
        if whole is not None and inside and total > whole + slack:
            yield Observation(
                entry.name_span,
                Certainty.PROVEN,
                {"name": entry.name, "percent": _value(entry), "sum": _sum(inside)},
                variant="members",
                rests_on=("percentages",),
                related=declared_here(inside),
            )


def _of_the_food(
    given: Sequence[Ingredient], full: bool, slack: Decimal, room: Decimal
) -> Iterator[Observation]:
    span = given[0].name_span.cover(given[-1].span)
    values = {"sum": _sum(given), "count": len(given)}
    least = sum((_least(item) or Decimal(0) for item in given), Decimal(0))
    if least > _WHOLE + slack:
        yield Observation(span, Certainty.PROVEN, values, "", ("percentages",))
    elif full and all(_most(item) is not None for item in given):
        most = sum((_most(item) or Decimal(0) for item in given), Decimal(0))
        if most < _WHOLE - room:
            yield Observation(span, Certainty.PROVEN, values, "short", ("percentages",))


def short_of_whole(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a list whose percentages, taken with its order, leave part of the food unsaid.

    Each entry weighs at most what the entries before it print. Lists where every entry has its
    percentage are the matter of `percent-sum`.
    """
    top = context.declaration.ingredients
    if not top or not context.brackets_are_sound or all(entry.percent for entry in top):
        return
    cap: Decimal | None = None
    total = Decimal(0)
    for entry in top:
        own = min((c for c in (_most(entry), entry.at_most, cap) if c is not None), default=None)
        if own is None:
            return
        if entry.at_most is None:
            cap = own
        total += own
    if total < _WHOLE:
        first = top[0]
        has_water = any(entry.match and entry.match.known.kind == "water" for entry in top)
        end = first.percent.span.end if first.percent else first.name_span.end
        yield Observation(
            Span(first.name_span.start, max(end, first.name_span.end)).cover(first.span),
            Certainty.POSSIBLE,
            {"most": total, "first": first.name, "percent": _value(first)},
            variant="" if has_water else "no water",
            rests_on=("order", "percentages"),
        )


def _lists(context: LabelContext) -> Iterator[Sequence[Ingredient]]:
    """Yields the lists that stand in order: the whole, a component's own, and full groups where the
    text orders them."""
    ordered = context.groups["ordered"]
    top = context.declaration.ingredients
    yield [entry for entry in top if entry.at_most is None and not entry.any_of]
    for entry in context.entries:
        full = entry.members and not entry.any_of and not entry.partial
        if full and (entry.component or ordered):
            yield [member for member in entry.members if not member.any_of]


def _counts(entry: Ingredient) -> bool:
    return entry.percent is not None and entry.percent.of in {PercentOf.FOOD, PercentOf.PARENT}


def _least(entry: Ingredient) -> Decimal | None:
    return entry.percent.least if entry.percent and _counts(entry) else None


def _most(entry: Ingredient) -> Decimal | None:
    return entry.percent.most if entry.percent and _counts(entry) else None


def _value(entry: Ingredient) -> Decimal:
    return entry.percent.value if entry.percent else Decimal(0)


def _sum(entries: Sequence[Ingredient]) -> Decimal:
    return sum((_value(entry) for entry in entries), Decimal(0))
