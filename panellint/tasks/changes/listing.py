"""What changed in the ingredient list.

Entries of the two declarations are paired by printed name, then by what the catalogue takes
them for; what is left over was added or removed. Of paired entries the fewest that explain the
new order have moved.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import ordinal, standing
from panellint.core.sequences import longest_run
from panellint.core.text import fold_name
from panellint.ingredients.model import Ingredient
from panellint.tasks.changes.amounts import LabelChange, likely_shares, paired


def ingredients(old: LabelContext, new: LabelContext) -> Iterator[LabelChange]:
    """Entries in the new order, then what was split or joined, then what is gone."""
    pairs, gone, come = paired(
        [entry for entry in old.declaration.walk() if entry.name],
        [entry for entry in new.declaration.walk() if entry.name],
        lambda entry: (fold_name(entry.name), len(entry.path)),
        lambda entry: fold_name(entry.name),
        lambda entry: entry.known_as,
    )
    gone, come, split = _split(gone, come, pairs, old, new)
    partner = {after.path: before for before, after in pairs}
    moved = set(_moved(pairs, partner))
    ranked: list[tuple[tuple[int, ...], int, LabelChange]] = []
    for before, after in pairs:
        for rank, change in enumerate(
            _entry(old, new, before, after, after.path in moved, partner)
        ):
            ranked.append((after.path, rank, change))
    for entry in come:
        more = {"now": standing(new, entry)}
        change = LabelChange("ingredients", "added", entry.name, now=entry, more=more)
        ranked.append((entry.path, 0, change))
    yield from (change for _, _, change in sorted(ranked, key=lambda row: row[:2]))
    yield from split
    for entry in gone:
        more = {"was": standing(old, entry)}
        yield LabelChange("ingredients", "removed", entry.name, entry, more=more)


def _moved(
    pairs: Sequence[tuple[Ingredient, Ingredient]], partner: dict[tuple[int, ...], Ingredient]
) -> Iterator[tuple[int, ...]]:
    """The new paths of entries that moved within their list, or to another one."""
    lists: dict[tuple[int, ...], list[tuple[Ingredient, Ingredient]]] = {}
    for before, after in pairs:
        parent = partner.get(after.path[:-1])
        if (parent.path if parent else ()) == before.path[:-1]:
            lists.setdefault(after.path[:-1], []).append((before, after))
        else:
            yield after.path
    for together in lists.values():
        together.sort(key=lambda pair: pair[1].path)
        kept = longest_run([before.path[-1] for before, _ in together])
        yield from (after.path for n, (_, after) in enumerate(together) if n not in kept)


def _entry(
    old: LabelContext, new: LabelContext, before: Ingredient, after: Ingredient, moved: bool,
    partner: dict[tuple[int, ...], Ingredient],
) -> Iterator[LabelChange]:  # fmt: skip
    def change(kind: str, **more: Any) -> LabelChange:
        return LabelChange("ingredients", kind, after.name, before, after, more=more)

    if fold_name(before.name) != fold_name(after.name):
        yield change("renamed")
    if moved:
        was, now = standing(old, before), standing(new, after)
        parent = partner.get(after.path[:-1])
        if (parent.path if parent else ()) != before.path[:-1]:
            yield change("regrouped", was=was, now=now)
        else:
            way = "up" if after.path[-1] < before.path[-1] else "down"
            if after.path[-1] == before.path[-1]:
                way = "past others"
            ranks = ordinal(was.rank), ordinal(now.rank)
            likely = likely_shares(old, new, before, after)
            yield change(f"moved {way}", was=was, now=now, ranks=ranks, likely=likely)
    if _percent(before) != _percent(after):
        yield change("percentage")
    if before.at_most != after.at_most:
        yield change("tail")
    if bool(before.members) != bool(after.members):
        yield change("members")
    if _notes(before) != _notes(after):
        yield change("notes")


def _notes(entry: Ingredient) -> list[str]:
    return [fold_name(note) for note in entry.notes]


def _percent(entry: Ingredient) -> tuple[object, ...] | None:
    percent = entry.percent
    return None if percent is None else (percent.value, percent.bound, percent.of)


def _split(
    gone: list[Ingredient], come: list[Ingredient],
    pairs: Sequence[tuple[Ingredient, Ingredient]], old: LabelContext, new: LabelContext,
) -> tuple[list[Ingredient], list[Ingredient], list[LabelChange]]:  # fmt: skip
    """Entries of one family that became several, or several that became one: such a change
    takes an ingredient down or up the list, so it is told as one."""
    changes: list[LabelChange] = []
    families = dict.fromkeys(
        entry.match.known.family for entry in (*gone, *come) if entry.match and not entry.members
    )
    for family in filter(None, families):
        before, after = (
            [e for e in context.declaration.leaves() if e.match and e.match.known.family == family]
            for context in (old, new)
        )
        if (
            not before
            or not after
            or len(before) == len(after)
            or 1 not in map(len, (before, after))
        ):
            continue
        kind = "split" if len(after) > 1 else "joined"
        places = before[0].name_span, after[0].name_span
        changes.append(LabelChange("ingredients", kind, family, before, after, places))
        gone = [entry for entry in gone if entry not in before]
        come = [entry for entry in come if entry not in after]
    return gone, come, changes
