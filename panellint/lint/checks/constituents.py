"""The analytical constituents of the EU and the UK: which stand there, under which names, and
that they are declared values and no bounds."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.core.text import fold, one_line
from panellint.label.bound_words import bound_words
from panellint.label.model import Bound
from panellint.lint.checks.support.label_parts import is_whole, lacking, maybe_nutrients, where
from panellint.rulepacks.model import Rule


def missing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds constituents that a label does not declare.

    It is proven of complete foods, and of complementary ones whose figures leave no room for the
    ash of a mineral feed, which owes others. What an unread line may be is no missing one.
    """
    if not is_whole(context) or not context.label.product_name:
        return
    with_ = rule.parameters
    stated = {statement.route for statement in context.label.adequacy}
    if not stated.isdisjoint(with_.texts("except-routes")):
        return
    if with_.texts("only-routes") and stated.isdisjoint(with_.texts("only-routes")):
        return
    if not set(with_.texts("except-uses")).isdisjoint(context.uses):
        return
    given = {guarantee.nutrient: guarantee.value for guarantee in context.label.guarantees}
    lost = {id: name for id, name in with_["nutrients"].items() if id not in given}
    for nutrients, seen in maybe_nutrients(context, lost).items():
        yield seen
        lost = {id: name for id, name in lost.items() if id not in nutrients}
    if not lost and context.label.guarantees:
        yield Observation.met(where(context, "guarantees"))
    if not lost:
        return
    others = (given[nutrient] for nutrient in with_["nutrients"] if nutrient in given)
    ash = given.get("ash", 100 - sum(others))
    proven = with_.texts("routes" if ash >= with_["mineral-ash"] else "also-routes")
    complete = not stated.isdisjoint(proven)
    yield lacking(
        context,
        where(context, "guarantees"),
        Certainty.PROVEN if complete else Certainty.POSSIBLE,
        {
            "missing": listed(lost.values(), "or" if context.label.guarantees else "and"),
            "count": len(lost),
        },
        "" if context.label.guarantees else "all",
        "guarantees",
    )


def moisture(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a food whose form, or whose other constituents, show more water than may go undeclared:
    no dry food that is complete has so little of them together."""
    above = rule.parameters.number("above")
    usual = context.form.moisture_usual
    if not context.label.guarantees or context.guarantee("moisture"):
        return
    declared = [context.guarantee(nutrient) for nutrient in ("protein", "fat", "fibre", "ash")]
    known = sum(given.value for given in declared if given and given.unit == "%")
    solids = known if all(declared) else 100
    is_complete = any(statement.route == "complete" for statement in context.label.adequacy)
    place = where(context, "guarantees")
    # The powder of a milk is called one too, and holds no water.
    if usual and usual.low > above and known < rule.parameters.number("dry-from"):
        values = {"form": context.form.word or context.form.id, "usual": usual.low, "above": above}
        yield lacking(context, place, Certainty.PRACTICE, values, "", "moisture")
    elif is_complete and solids < rule.parameters.number("solids-under"):
        values = {"solids": solids, "above": above}
        yield lacking(context, place, Certainty.PRACTICE, values, "solids", "moisture")


def as_declared(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a constituent printed as a minimum or a maximum; the market reads a declared value."""
    for guarantee in context.label.guarantees:
        if not guarantee.bound_printed or guarantee.bound not in {Bound.MIN, Bound.MAX}:
            continue
        start, end = guarantee.name_span.end, guarantee.span.end
        match = bound_words().search(context.source.text, start, end)
        if match is None or guarantee.nutrient is None:
            continue
        values = {"nutrient": guarantee.printed, "printed": one_line(match["word"])}
        yield Observation(Span(*match.span("word")), Certainty.PRACTICE, values)
        return


def other_names(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds constituents under a name of another market."""
    foreign = rule.parameters["foreign"]
    for guarantee in context.label.guarantees:
        name = fold(guarantee.printed)
        other = foreign.get(guarantee.nutrient)
        if other and name in other["names"]:
            values = {"printed": guarantee.printed, "wanted": other["wanted"]}
            yield Observation(guarantee.name_span, Certainty.PRACTICE, values)
