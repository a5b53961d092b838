"""Which line of a batch sheet is which entry of the declaration.

An ingredient of the sheet and one of the label are the same where the catalogue takes them for
the same id, or their folded names agree. Names that agree as printed go first, so that
"organic oats" and "oats" find their own. A premix that is declared by its name alone takes what
is inside it; a category takes what is left of its kinds.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from panellint.core.text import name_key
from panellint.ingredients.model import Declaration, Ingredient
from panellint.ingredients.selector import is_covered
from panellint.maker.component import Component, names_of
from panellint.rulepacks.data import data
from panellint.shares.model import Path

CATEGORY = "category"


@dataclass(frozen=True, slots=True)
class Matching:
    """`own` maps the path of an entry to the components that it stands for itself; members of a
    group have their own. `left_over` are components that no entry stands for, `unfound` entries
    that nothing in the sheet stands behind, in printed order."""

    own: Mapping[Path, tuple[Component, ...]]
    left_over: tuple[Component, ...]
    unfound: tuple[Ingredient, ...]
    weights: Mapping[Path, Fraction | None] = field(default_factory=dict)


def match(declaration: Declaration, components: Sequence[Component]) -> Matching:
    """The entries of a declaration with the components behind them, each used once."""
    entries = [entry for entry in declaration.walk() if entry.name]
    own: dict[Path, list[Component]] = {}
    free = [c for c in components if c.share > 0]

    def take(entry: Ingredient, fits: Callable[[Component, Ingredient], bool]) -> None:
        fitting = [c for c in free if fits(c, entry)]
        if fitting:
            own.setdefault(entry.path, []).extend(fitting)
            free[:] = [c for c in free if c not in fitting]

    leaves = [entry for entry in entries if not entry.members]
    groups = [entry for entry in entries if entry.members]
    for entry in leaves:
        take(entry, _same_name)
    for fresh in (True, False):
        for entry in leaves:
            if not fresh or entry.path not in own:
                take(entry, _same_id)
    for entry in (*leaves, *groups):
        if entry.path not in own:
            take(entry, _inside)
    for entry in groups:
        take(entry, lambda c, e: _same_name(c, e) or _same_id(c, e))
    named = frozenset(own)
    for entry in entries:
        take(entry, _covered)
    together = _together(leaves, own, free)
    fixed = {path: tuple(taken) for path, taken in own.items()}
    weights = _weights(entries, fixed)
    unfound = tuple(
        entry
        for entry in entries
        if weights[entry.path] is None
        and (not entry.members or entry.partial)
        and not entry.any_of
        and entry.path not in together
        # What the sheet holds as one thing under the group's own name it need not tell apart.
        and not any(entry.path[:depth] in named for depth in range(1, len(entry.path)))
    )
    return Matching(fixed, tuple(free), unfound, weights)


def _together(
    leaves: Iterable[Ingredient], own: Mapping[Path, list[Component]], free: list[Component]
) -> frozenset[Path]:
    """The entries that one row stands for between them ("peas and carrots"), none of which has a
    weight of its own; the rows are taken out of those that are free."""
    places: set[Path] = set()
    for component in [c for c in free if c.joined]:
        parts = {e.known_as: e.path for e in leaves if e.path not in own and e.path not in places}
        if component.joined <= parts.keys():
            places |= {parts[id] for id in component.joined}
            free.remove(component)
    return frozenset(places)


def _same_name(component: Component, entry: Ingredient) -> bool:
    return name_key(entry.name) in map(name_key, names_of(component.line))


def _same_id(component: Component, entry: Ingredient) -> bool:
    return entry.known_as is not None and component.key == entry.known_as


def _inside(component: Component, entry: Ingredient) -> bool:
    """Part of a premix that the entry names as a whole."""
    return name_key(entry.name) in map(name_key, component.inside)


def _covered(component: Component, entry: Ingredient) -> bool:
    """Whether the entry is a category that the component falls in."""
    known = component.known
    if known is None or entry.match is None or entry.match.known.kind != CATEGORY:
        return False
    category = data("data/batch")["categories"].get(entry.known_as)
    return category is not None and is_covered(known, category)


def _weights(
    entries: Iterable[Ingredient], own: Mapping[Path, tuple[Component, ...]]
) -> dict[Path, Fraction | None]:
    """Every entry's part of the mix, groups with all that is in them; None where unknown."""
    weights: dict[Path, Fraction | None] = {}
    for entry in reversed(list(entries)):
        mine = own.get(entry.path)
        weight = sum((c.share for c in mine), Fraction(0)) if mine else None
        inside = [weights.get(member.path) for member in entry.members]
        known = [inner for inner in inside if inner is not None]
        if entry.members and (known and (entry.partial or len(known) == len(inside) or mine)):
            weight = (weight or Fraction(0)) + sum(known, Fraction(0))
        elif entry.members and known:
            # A member that the sheet lacks weighs nothing there; it is told by itself.
            weight = sum(known, Fraction(0))
        if weight is None and entry.any_of:
            weight = Fraction(0)
        weights[entry.path] = weight
    return weights
