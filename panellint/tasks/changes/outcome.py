"""What the changes of a label come to: promises, likely carbohydrate, pack and price."""

from collections.abc import Iterator, Sequence

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_parts, likely_share
from panellint.analysis.nutrition_input import cost_of
from panellint.analysis.shares_report import promises
from panellint.core.phrases import listed
from panellint.ingredients.model import Ingredient
from panellint.output.document import likely_words, money
from panellint.tasks.changes.pairing import LabelChange, paired
from panellint.tasks.food import food_of

#: Parts of a label of which the likely carbohydrate depends.
_MAKES = ("ingredients", "guarantees", "energy")


def verdicts(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    """Yields promises that the label keeps, settles or leaves open otherwise than before."""
    spans = {promise.id: promise.span for promise in new.promises}
    pairs, _, _ = paired(promises(old), promises(new), lambda row: tuple(row["named"]))
    for row, other in pairs:
        if row["verdict"] != other["verdict"]:
            says = (
                f"The promise of {listed(other['named'])} is {other['verdict']} by the label now; "
                f"it was {row['verdict']}."
            )
            span = spans.get(other["id"])
            yield LabelChange("name", "verdict", other["text"], says, None, span)


def likely_shares(
    old: LabelContext, new: LabelContext, before: Ingredient, after: Ingredient
) -> str:
    """Returns what is likely of an entry before and after, in a sentence; "" where nothing is."""
    was, now = (
        likely_share(context, {entry.path: 1}) if entry.path in _leaves(context) else None
        for context, entry in ((old, before), (new, after))
    )
    if not was or not now:
        return ""
    return f" Its likely share was {likely_words(was)} % and is now {likely_words(now)} %."


def _leaves(context: LabelContext) -> set[tuple[int, ...]]:
    if context.quick or not context.formulas.consistent:
        return set()
    return {leaf.path for leaf in context.formulas.tree.leaves}


def carbohydrate(
    old: LabelContext, new: LabelContext, changes: Sequence[LabelChange]
) -> Iterator[LabelChange]:
    """Yields the likely carbohydrate before and after, where anything changed that it rests on."""
    if not any(change.part in _MAKES for change in changes):
        return
    before, after = (likely_parts(context).get("carbohydrate") for context in (old, new))
    was, now = (part["dry_matter"] if part else None for part in (before, after))
    if was and now and likely_words(was) != likely_words(now):
        says = (
            f"Carbohydrate is likely {likely_words(now)} % of the dry matter and was likely "
            f"{likely_words(was)} %."
        )
        yield LabelChange("likely", "changed", "carbohydrate", says)


def pack_and_price(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    """Yields a pack of another weight, and energy that costs another price."""
    was, now = cost_of(old), cost_of(new)
    if was.kilograms and now.kilograms and was.kilograms != now.kilograms:
        says = (
            f"The pack holds {now.kilograms:.4g} kg and held {was.kilograms:.4g} kg: "
            f"{_percent(was.kilograms, now.kilograms)}."
        )
        kind = "rose" if now.kilograms > was.kilograms else "fell"
        yield LabelChange("cost", kind, "pack", says)
    before, after = (food_of(context).cost_of_energy(1000) for context in (old, new))
    if before and after and was.currency == now.currency and f"{before:.2f}" != f"{after:.2f}":
        costs, cost = (money(value, now.currency) for value in (after, before))
        says = f"1000 kcal cost {costs} and cost {cost}: {_percent(before, after)}."
        yield LabelChange("cost", "rose" if after > before else "fell", "1000 kcal", says)


def _percent(before: float, after: float) -> str:
    change = 100 * (after / before - 1)
    return f"{abs(change):.0f} % {'more' if change > 0 else 'less'}"
