"""What each starch and gum of a declaration does at its place: binds, is bulk, or holds the shape.

The answer is a judgement of the trade; the bound that decided and the published range are
named apart from it. A dry food needs starch to hold its shape, which is neither.
"""

from __future__ import annotations

from collections.abc import Iterator
from operator import attrgetter
from typing import TYPE_CHECKING, NamedTuple

from panellint.analysis.list_position import ListPosition, standing
from panellint.catalogue.model import Binding
from panellint.core.numbers import number
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, listing
from panellint.rulepacks.parameters import Parameters

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext

BINDS, BULK, SHAPE, UNDECIDED = "binds", "bulk", "holds shape", "undecided"


class Answer(NamedTuple):
    """What a binder does: `which` of binds, bulk, holds shape or undecided; `why` names the
    bound or the place that decided; `published` the range at which it binds, and `sources`
    where that is from."""

    entry: Ingredient
    which: str
    why: str
    published: str
    sources: tuple[str, ...]
    stands: ListPosition


def answers(context: LabelContext, limits: Parameters) -> Iterator[Answer]:
    """The answer for each declared starch and gum, in printed order."""
    declared = listing(context)
    gums = limits.built("gums", Choice).of(declared)
    starches = limits.built("starches", Choice).of(declared)
    markers = limits.built("markers", Choice).of(declared) if starches else []
    # The salt or premix that stands first: what comes after it is little.
    marker = next((entry for entry in markers if len(entry.path) == 1), None)
    gum_paths = {entry.path for entry in gums}
    others = [entry for entry in starches if entry.path not in gum_paths]
    for entry in sorted([*gums, *others], key=_path) if others else gums:
        if entry.members and not entry.partial:
            continue
        if entry.path in gum_paths:
            yield _gum(context, entry, limits)
        else:
            yield _starch(context, entry, limits, marker)


_path = attrgetter("path")


def _starch(
    context: LabelContext, entry: Ingredient, limits: Parameters, marker: Ingredient | None
) -> Answer:
    stands = standing(context, entry)
    most = limits.number("starch-binds-up-to")
    after = marker if marker and marker.path[0] < entry.path[0] else None
    first = stands.rank <= limits.number("bulk-among-first") and len(entry.path) == 1
    if after:
        which, why = BINDS, f"it stands after {after.name}"
    elif stands.high <= most:
        which, why = BINDS, f"its upper bound, {number(round(stands.high, 2))} %, decides"
    elif stands.low > most:
        which, why = BULK, f"its lower bound, {number(round(stands.low, 2))} %, decides"
    elif context.form.moisture_class == "dry" and first:
        among = number(limits.number("bulk-among-first"))
        which, why = BULK, f"a place among the first {among} decides"
    else:
        which, why = UNDECIDED, f"its share can be {stands.share}"
    if which == BULK and context.form.moisture_class == "dry":
        which = SHAPE
    return Answer(entry, which, why, published(entry), sources(entry), stands)


def _gum(context: LabelContext, entry: Ingredient, limits: Parameters) -> Answer:
    stands = standing(context, entry)
    if stands.low > limits.number("gum-binds-up-to"):
        why = f"its lower bound, {number(round(stands.low, 2))} %, decides"
        return Answer(entry, BULK, why, published(entry), sources(entry), stands)
    why = f"its share can be {stands.share}, and a gum sets or thickens at a fraction of a percent"
    return Answer(entry, BINDS, why, published(entry), sources(entry), stands)


def published(entry: Ingredient) -> str:
    """The shares at which an ingredient binds, in words; customary where no source has them."""
    return "; ".join(dict.fromkeys(_range(one) for one in _bindings(entry))) or "no level known"


def sources(entry: Ingredient) -> tuple[str, ...]:
    """What it does, and where its range is from."""
    return tuple(f"{entry.name}: {one.function}; {one.source}" for one in _bindings(entry))


def _bindings(entry: Ingredient) -> tuple[Binding, ...]:
    return entry.match.known.binding if entry.match else ()


def _range(binding: Binding) -> str:
    low, high = (number(end) for end in binding.usual)
    return f"{low} to {high} % ({'published' if binding.confirmed else 'customary'})"
