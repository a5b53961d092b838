"""What changed in the figures (guarantees, additives, energy) and in what follows from them."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_parts, likely_share
from panellint.analysis.nutrition_input import cost_of
from panellint.analysis.shares_report import promises
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.core.text import fold_name
from panellint.ingredients.model import Ingredient
from panellint.label.model import EnergyFigure, Guarantee, Label
from panellint.output.document import likely_words, money
from panellint.tasks.food import food_of

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True)
class LabelChange:
    """One change: `kind` a plain word, `what` it is about, `says` the sentence. `old` and
    `new` are the places in either text, None where it stands in one only."""

    part: str
    kind: str
    what: str
    says: str
    old: Span | None = None
    new: Span | None = None


def way(old: Decimal, new: Decimal) -> str:
    """Returns which way a figure went."""
    return "rose" if new > old else "fell"


def paired(
    old: Iterable[Item], new: Iterable[Item], *keys: Callable[[Item], Hashable | None]
) -> tuple[list[tuple[Item, Item]], list[Item], list[Item]]:
    """Pairs that agree in the first key, then in the next among what is left; and the rest.
    A key of None agrees with nothing. Items with one key pair up in their order."""
    pairs: list[tuple[Item, Item]] = []
    left, right = list(old), list(new)
    for key in keys:
        waiting: dict[Hashable, list[Item]] = {}
        for item in right:
            waiting.setdefault(key(item), []).append(item)
        rest, taken = [], set()
        for item in left:
            mark = key(item)
            if mark is not None and waiting.get(mark):
                match = waiting[mark].pop(0)
                taken.add(id(match))
                pairs.append((item, match))
            else:
                rest.append(item)
        left, right = rest, [item for item in right if id(item) not in taken]
    return pairs, left, right


def come_and_gone(
    part: str,
    come: Iterable[tuple[str, str, Span]],
    gone: Iterable[tuple[str, str, Span]],
    kinds: tuple[str, str] = ("new", "gone"),
) -> Iterator[LabelChange]:
    """Yields what came, then what went, each given as what it is, the sentence and its place;
    `kinds` names the two."""
    for what, says, span in come:
        yield LabelChange(part, kinds[0], what, says, None, span)
    for what, says, span in gone:
        yield LabelChange(part, kinds[1], what, says, span)


_BOUNDS = {"min": "minimum", "max": "maximum"}


def guarantees(old: Label, new: Label) -> Iterator[LabelChange]:
    """Guarantees and constituents that rose, fell, came or went."""
    pairs, gone, come = paired(
        old.guarantees,
        new.guarantees,
        lambda line: (line.nutrient or fold_name(line.printed), line.bound, line.basis, line.unit),
        lambda line: line.nutrient or fold_name(line.printed),
    )
    for guarantee, other in pairs:
        if len({(g.bound, g.unit, g.basis, g.value) for g in (guarantee, other)}) == 1:
            continue
        one_scale = len({(g.bound, g.unit, g.basis) for g in (guarantee, other)}) == 1
        kind = way(guarantee.value, other.value) if one_scale else "changed"
        was, now = _amount(guarantee), _amount(other)
        verb = f"{kind} from {was} to" if one_scale else f"was {was} and is now"
        says = f"{other.printed} {verb} {now}."
        yield LabelChange("guarantees", kind, other.printed, says, guarantee.span, other.span)
    yield from come_and_gone(
        "guarantees",
        ((g.printed, f"{g.printed} is guaranteed now: {_amount(g)}.", g.span) for g in come),
        (
            (g.printed, f"{g.printed} is guaranteed no longer; it was {_amount(g)}.", g.span)
            for g in gone
        ),
    )


def _amount(guarantee: Guarantee) -> str:
    bound = f" ({_BOUNDS[guarantee.bound]})" if guarantee.bound in _BOUNDS else ""
    basis = "" if guarantee.basis == "as fed" else f" on {guarantee.basis}"
    return f"{number(guarantee.value)} {guarantee.unit}{basis}{bound}"


def _energy(figure: EnergyFigure) -> str:
    return f"{number(figure.value)} {figure.unit}"


def additives(old: Label, new: Label) -> Iterator[LabelChange]:
    """Additives of the EU heading and active ingredients, by name, then by number."""
    pairs, gone, come = paired(
        (*old.additives, *old.actives),
        (*new.additives, *new.actives),
        lambda additive_amount: fold_name(additive_amount.printed),
        lambda additive_amount: additive_amount.number,
    )
    thing = "active ingredient" if old.actives or new.actives else "additive"
    for amount, other in pairs:
        if amount.value is None or other.value is None:
            continue
        if (amount.unit, amount.value) == (other.unit, other.value):
            continue
        kind = "changed" if amount.unit != other.unit else way(amount.value, other.value)
        says = (
            f"{other.printed} is {number(other.value)} {other.unit} "
            f"and was {number(amount.value)} {amount.unit}."
        )
        yield LabelChange("additives", kind, other.printed, says, amount.span, other.span)
    yield from come_and_gone(
        "additives",
        ((a.printed, f"{a.printed} is an {thing} now.", a.span) for a in come),
        ((a.printed, f"{a.printed} is no {thing} any more.", a.span) for a in gone),
    )


def energy(old: Label, new: Label) -> Iterator[LabelChange]:
    """The calorie line, figure by figure."""
    before, after = old.energy, new.energy
    if before is None or after is None:
        come_lines = [("energy", "A calorie line appeared.", after.span)] if after else []
        gone_lines = [("energy", "The calorie line is gone.", before.span)] if before else []
        yield from come_and_gone("energy", come_lines, gone_lines)
        return
    pairs, gone, come = paired(
        before.figures, after.figures, lambda energy_figure: (energy_figure.unit, energy_figure.per)
    )
    for figure, other in pairs:
        if figure.value != other.value:
            kind = way(figure.value, other.value)
            ends = f"from {number(figure.value)} to {_energy(other)}"
            says = f"The energy per {other.per} {kind} {ends}."
            yield LabelChange("energy", kind, other.per, says, figure.span, other.span)
        elif figure.grams != other.grams:
            now, was = (f"{number(f.grams)} g" if f.grams else "no weight" for f in (other, figure))
            says = f"One {other.per} has {now}; it had {was}."
            yield LabelChange("energy", "weight", other.per, says, figure.span, other.span)
    yield from come_and_gone(
        "energy",
        ((f.per, f"The energy per {f.per} is given now: {_energy(f)}.", f.span) for f in come),
        (
            (f.per, f"The energy per {f.per} is given no longer; it was {_energy(f)}.", f.span)
            for f in gone
        ),
    )
    if before.method != after.method:
        now, was = (line.method or "given without a method" for line in (after, before))
        says = f"The energy is {now}; before it was {was}."
        yield LabelChange("energy", "method", "method", says, before.span, after.span)


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
