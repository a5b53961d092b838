"""What belongs together in two versions, and one thing that changed."""

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from panellint.core.source import Span

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
