"""What changed in the figures (guarantees, additives, energy) and in what follows from them."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, TypeVar

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_parts, likely_share
from panellint.analysis.nutrition_input import cost_of
from panellint.analysis.shares_report import promises
from panellint.core.source import Span
from panellint.core.text import fold_name
from panellint.ingredients.model import Ingredient
from panellint.label.model import Label
from panellint.output.document import likely_words
from panellint.results.shares import LikelyRange
from panellint.tasks.food import food_of

Item = TypeVar("Item")
#: The places of a change in the old and in the new text, None where it stands in one only.
Places = tuple[Span | None, Span | None]


@dataclass(frozen=True, slots=True)
class LabelChange:
    """One change: `kind` a plain word, `what` it is about, and what it `was` and is `now`, None
    where it is not. `more` is what else its sentence says. `places` are by default those of the
    two."""

    part: str
    kind: str
    what: str
    was: Any = None
    now: Any = None
    places: Places | None = None
    more: Mapping[str, Any] = field(default_factory=dict)

    @property
    def spans(self) -> Places:
        """Returns where it stands in the old and in the new text."""
        return self.places or (_span(self.was), _span(self.now))


def _span(stands: Any) -> Span | None:
    return stands.name_span if isinstance(stands, Ingredient) else getattr(stands, "span", None)


def way(old: Decimal | float, new: Decimal | float) -> str:
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
    come: Iterable[Item],
    gone: Iterable[Item],
    what: Callable[[Item], str],
    kinds: tuple[str, str] = ("new", "gone"),
    **more: str,
) -> Iterator[LabelChange]:
    """Yields what came, then what went, each as `what` calls it; `kinds` names the two."""
    for item in come:
        yield LabelChange(part, kinds[0], what(item), now=item, more=more)
    for item in gone:
        yield LabelChange(part, kinds[1], what(item), item, more=more)


def guarantees(old: Label, new: Label) -> Iterator[LabelChange]:
    """Guarantees and constituents that rose, fell, came or went."""
    pairs, gone, come = paired(
        old.guarantees,
        new.guarantees,
        lambda line: (line.nutrient or fold_name(line.printed), line.bound, line.basis, line.unit),
        lambda line: line.nutrient or fold_name(line.printed),
    )
    for was, now in pairs:
        one_scale = (was.bound, was.unit, was.basis) == (now.bound, now.unit, now.basis)
        if not one_scale or was.value != now.value:
            kind = way(was.value, now.value) if one_scale else "changed"
            yield LabelChange("guarantees", kind, now.printed, was, now)
    yield from come_and_gone("guarantees", come, gone, lambda line: line.printed)


def additives(old: Label, new: Label) -> Iterator[LabelChange]:
    """Additives of the EU heading and active ingredients, by name, then by number."""
    pairs, gone, come = paired(
        (*old.additives, *old.actives),
        (*new.additives, *new.actives),
        lambda additive_amount: fold_name(additive_amount.printed),
        lambda additive_amount: additive_amount.number,
    )
    thing = "active ingredient" if old.actives or new.actives else "additive"
    for was, now in pairs:
        if was.value is None or now.value is None:
            continue
        if (was.unit, was.value) != (now.unit, now.value):
            kind = "changed" if was.unit != now.unit else way(was.value, now.value)
            yield LabelChange("additives", kind, now.printed, was, now, more={"thing": thing})
    yield from come_and_gone("additives", come, gone, lambda line: line.printed, thing=thing)


def energy(old: Label, new: Label) -> Iterator[LabelChange]:
    """The calorie line, figure by figure."""
    before, after = old.energy, new.energy
    if before is None or after is None:
        come_lines, gone_lines = ([line] if line else [] for line in (after, before))
        yield from come_and_gone("energy", come_lines, gone_lines, lambda _: "energy")
        return
    pairs, gone, come = paired(
        before.figures, after.figures, lambda energy_figure: (energy_figure.unit, energy_figure.per)
    )
    for was, now in pairs:
        if was.value != now.value:
            yield LabelChange("energy", way(was.value, now.value), now.per, was, now)
        elif was.grams != now.grams:
            yield LabelChange("energy", "weight", now.per, was, now)
    yield from come_and_gone("energy", come, gone, lambda figure: figure.per)
    if before.method != after.method:
        yield LabelChange("energy", "method", "method", before, after)


#: Parts of a label that make its carbohydrate.
_MAKES = ("ingredients", "guarantees", "energy")


def verdicts(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    """Yields promises that the label keeps, settles or leaves open otherwise than before."""
    spans = {promise.id: promise.span for promise in new.promises}
    pairs, _, _ = paired(promises(old), promises(new), lambda row: tuple(row["named"]))
    for was, now in pairs:
        if was["verdict"] != now["verdict"]:
            places = (None, spans.get(now["id"]))
            yield LabelChange("name", "verdict", now["text"], was, now, places)


def likely_shares(
    old: LabelContext, new: LabelContext, before: Ingredient, after: Ingredient
) -> tuple[LikelyRange | None, ...]:
    """Returns what is likely of an entry before and after; None where nothing is."""
    return tuple(
        likely_share(context, {entry.path: 1}) if entry.path in _leaves(context) else None
        for context, entry in ((old, before), (new, after))
    )


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
        yield LabelChange("likely", "changed", "carbohydrate", was, now)


def pack_and_price(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    """Yields a pack of another weight, and energy that costs another price."""
    before, after = cost_of(old), cost_of(new)
    was, now = before.kilograms, after.kilograms
    if was and now and was != now:
        yield LabelChange("cost", way(was, now), "pack", was, now)
    was, now = (food_of(context).cost_of_energy(1000) for context in (old, new))
    currency = after.currency
    if was and now and before.currency == currency and f"{was:.2f}" != f"{now:.2f}":
        yield LabelChange("cost", way(was, now), "1000 kcal", was, now, more={"currency": currency})
