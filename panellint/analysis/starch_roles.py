"""What each starch and gum of a declaration does at its place: binds, is bulk, or holds the shape.

The answer is a judgement of the trade; the bound that decided and the published range are
named apart from it. A dry food needs starch to hold its shape, which is neither.
"""

from collections.abc import Iterator
from operator import attrgetter
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import ListPosition, standing
from panellint.catalogue.model import Binding
from panellint.core.numbers import number
from panellint.core.phrases import fill
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, listing
from panellint.rulepacks.parameters import Parameters

#: Percentage points that are no more than rounding.
_HAIR = 1e-9
BINDS, BULK, SHAPE, UNDECIDED = "binds", "bulk", "holds shape", "undecided"


class Answer(NamedTuple):
    """What a binder does: `which` of binds, bulk, holds shape or undecided, and the words of what
    decided, with the places of bounds (`low`, `high`, `share`)."""

    entry: Ingredient
    which: str
    decided: str
    stands: ListPosition

    @property
    def why(self) -> str:
        """The bound or the place that decided."""
        ends = {
            "low": lambda: round(self.stands.low, 2),
            "high": lambda: round(self.stands.high, 2),
        }
        return fill(self.decided, {**ends, "share": lambda: self.stands.share})

    @property
    def published(self) -> str:
        """The shares at which it binds, in words; customary where no source has them."""
        ranges = dict.fromkeys(_range(binding) for binding in _bindings(self.entry))
        return "; ".join(ranges) or "no level known"

    @property
    def sources(self) -> tuple[str, ...]:
        """What it does, and where its range is from."""
        return tuple(
            f"{self.entry.name}: {binding.function}; {binding.source}"
            for binding in _bindings(self.entry)
        )


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
        which, decided = BINDS, f"it stands after {after.name}"
    elif not stands.may_reach(most + _HAIR):
        which, decided = BINDS, "its upper bound, {high} %, decides"
    elif not stands.may_reach(most, at_most=True):
        which, decided = BULK, "its lower bound, {low} %, decides"
    elif context.form.moisture_class == "dry" and first:
        among = number(limits.number("bulk-among-first"))
        which, decided = BULK, f"a place among the first {among} decides"
    else:
        which, decided = UNDECIDED, "its share can be {share}"
    shaped = context.form.id in limits.texts("shaped")
    if which == BULK and shaped and context.form.moisture_class == "dry":
        which = SHAPE
    return Answer(entry, which, decided, stands)


def _gum(context: LabelContext, entry: Ingredient, limits: Parameters) -> Answer:
    stands = standing(context, entry)
    if not stands.may_reach(limits.number("gum-binds-up-to"), at_most=True):
        return Answer(entry, BULK, "its lower bound, {low} %, decides", stands)
    why = "its share can be {share}, and a gum sets or thickens at a fraction of a percent"
    return Answer(entry, BINDS, why, stands)


def _bindings(entry: Ingredient) -> tuple[Binding, ...]:
    return entry.match.known.binding if entry.match else ()


def _range(binding: Binding) -> str:
    low, high = (number(end) for end in binding.usual)
    return f"{low} to {high} % ({'published' if binding.confirmed else 'customary'})"
