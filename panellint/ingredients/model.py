"""The declaration once its names are known: a tree of ingredients and groups."""

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from panellint.catalogue.model import Match
from panellint.core.source import Span
from panellint.label.model import Mark, Percent, TextFault


class Ingredient(NamedTuple):
    """One entry of the declaration, as printed, with what it was taken for.

    `path` are the indexes from the top of the tree. `members` are listed inside it; with
    `partial` they are only some of it ("of which"). `notes` are brackets and phrases that
    qualify and list nothing. `at_most` is the cap of the "2 % or less" tail, in percent as
    mixed; entries of one tail stand in no order. `any_of`: may be absent, in no order.
    `component` marks a heading of its own ("Gravy: water, ..."). `unranked`: whether it stands
    in the order by itself is not sure ("carrots and peas" amid a list may be one entry).
    """

    name: str
    name_span: Span
    span: Span
    path: tuple[int, ...]
    match: Match | None = None
    percent: Percent | None = None
    members: tuple["Ingredient", ...] = ()
    partial: bool = False
    any_of: bool = False
    at_most: Decimal | None = None
    marks: tuple[Mark, ...] = ()
    notes: tuple[str, ...] = ()
    component: bool = False
    unranked: bool = False

    @property
    def known_as(self) -> str | None:
        """The catalogue id, or None for a name that is not known."""
        return self.match.known.id if self.match else None

    @property
    def is_leaf(self) -> bool:
        """True where no full list of members stands in for it."""
        return not self.members or self.partial


class Declaration(NamedTuple):
    """All ingredients of a label, in printed order."""

    ingredients: tuple[Ingredient, ...]
    faults: tuple[TextFault, ...] = ()

    def walk(self) -> Iterator[Ingredient]:
        """Every ingredient and group, parents before members, in printed order."""
        stack = list(reversed(self.ingredients))
        while stack:
            entry = stack.pop()
            yield entry
            if entry.members:
                stack.extend(reversed(entry.members))

    def leaves(self) -> Iterator[Ingredient]:
        """Every entry without members, in printed order.

        The named members of a partial list are leaves beside their parent's rest.
        """
        return (entry for entry in self.walk() if not entry.members)

    def top_at(self, place: int) -> Ingredient | None:
        """The entry of the outer list in which a place of the text lies, or None."""
        tops = self.ingredients
        return next((top for top in tops if top.span.start <= place < top.span.end), None)

    def weighable(self) -> "Declaration":
        """The same for who concludes from the order: what is unranked stands in none."""
        return self._replace(ingredients=tuple(map(_weighable, self.ingredients)))


def _weighable(entry: Ingredient) -> Ingredient:
    return entry._replace(
        any_of=entry.any_of or entry.unranked, members=tuple(map(_weighable, entry.members))
    )
