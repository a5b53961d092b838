"""Which ingredients a rule or a claim is about, chosen by plain words in YAML.

A choice is a list of alternatives (an empty one chooses nothing); each alternative is a
mapping, and an ingredient fits it where every key of it fits: `id`, `kind`, `family`,
`species`, `origin`, `state` (each a word or a list of words, as the catalogue has them),
`words` (regular expressions over the printed name and its notes, any case) and `not` (a choice
that it must not fit).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from operator import attrgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.declared import Ingredient
from panellint.errors import Fault, InputError
from panellint.known import Known
from panellint.source import Span
from panellint.wordlist import Words, pattern

if TYPE_CHECKING:
    from panellint.case import Case

#: Keys that are compared with a field of the catalogue's entry.
FIELDS = ("id", "kind", "family", "species", "origin", "state")

_fields_of: Callable[[Known], tuple[str, ...]] = attrgetter(*FIELDS)

#: Species words of the catalogue that name no one animal.
UNNAMED = frozenset({"", "animal", "poultry", "fish", "game"})


class Listing:
    """Ingredients with what they have between them, by which most choices are seen at once to
    fit none of them."""

    __slots__ = ("entries", "fields", "known", "printed")

    def __init__(self, entries: Sequence[Ingredient]) -> None:
        self.entries = entries
        #: The fields of each, None for a name that is not known.
        self.known = [_fields_of(one.match.known) if one.match else None for one in entries]
        values = zip(*filter(None, self.known), strict=True)
        self.fields = dict(zip(FIELDS, map(frozenset, values), strict=False))
        #: Every name and note.
        self.printed = "\n".join(["\n".join((one.name, *one.notes)) for one in entries])


def listing(case: Case) -> Listing:
    """The declared ingredients and groups of a label."""
    return case.once(_declared)


def _declared(case: Case) -> Listing:
    return Listing(case.entries)


_NONE: frozenset[str] = frozenset()


class Alternative(NamedTuple):
    """One way to be chosen."""

    fields: tuple[tuple[str, frozenset[str]], ...] = ()
    words: Words | None = None
    but: tuple[Alternative, ...] = ()

    def fits(self, entry: Ingredient) -> bool:
        """Whether a declared ingredient fits."""
        if self.fields and (entry.match is None or not self._known(entry.match.known)):
            return False
        if self.words is not None and not self._printed(entry):
            return False
        return not any(other.fits(entry) for other in self.but)

    def may_fit(self, listing: Listing) -> bool:
        """False where surely none of the ingredients fits."""
        for name, wanted in self.fields:
            if wanted.isdisjoint(listing.fields.get(name, _NONE)):
                return False
        return self.words is None or self.words.may_be_in(listing.printed)

    @property
    def reads_words(self) -> bool:
        """Whether what is printed counts, and not the catalogue's entry alone."""
        return self.words is not None or any(other.reads_words for other in self.but)

    def _known(self, known: Known) -> bool:
        return all(getattr(known, name) in wanted for name, wanted in self.fields)

    def _printed(self, entry: Ingredient) -> bool:
        assert self.words is not None
        search = self.words.search
        return search(entry.name) is not None or any(map(search, entry.notes))


class Choice:
    """A compiled choice. `given` is a mapping or a list of mappings, as YAML has them."""

    def __init__(self, given: object, where: str) -> None:
        self.alternatives = _alternatives(given, where)
        self._by_words = [one for one in self.alternatives if one.reads_words]
        self._by_fields = [one for one in self.alternatives if not one.reads_words]
        #: What the alternatives without words say, by the fields that they look at.
        self._answers: dict[tuple[str, ...] | None, bool] = {}

    def fits(self, entry: Ingredient) -> bool:
        """Whether a declared ingredient is among those chosen."""
        known = _fields_of(entry.match.known) if entry.match else None
        return self._fits(entry, known, self._by_words)

    def _fits(
        self, entry: Ingredient, known: tuple[str, ...] | None, by_words: Sequence[Alternative]
    ) -> bool:
        if self._by_fields:
            fits = self._answers.get(known)
            if fits is None:
                fits = self._answers[known] = any(one.fits(entry) for one in self._by_fields)
            if fits:
                return True
        return any(one.fits(entry) for one in by_words) if by_words else False

    def among(self, entries: Sequence[Ingredient]) -> Iterator[Ingredient]:
        """Those that are chosen, in their order."""
        return (entry for entry in entries if self.fits(entry))

    def of(self, listing: Listing) -> list[Ingredient]:
        """Those of a list that are chosen, in their order."""
        by_words = [one for one in self._by_words if one.may_fit(listing)]
        if not by_words and not any(one.may_fit(listing) for one in self._by_fields):
            return []
        pairs = zip(listing.entries, listing.known, strict=True)
        return [entry for entry, known in pairs if self._fits(entry, known, by_words)]

    def place(self, case: Case, entry: Ingredient) -> Span:
        """What to mark: the name, or the words that were looked for where they are its notes'."""
        for alternative in self.alternatives:
            if alternative.words is None or not alternative.fits(entry):
                continue
            own = entry.name_span if entry.members else entry.span
            found = alternative.words.search(case.source.slice(own))
            if found and own.start + found.start() >= entry.name_span.end:
                return Span(own.start + found.start(), own.start + found.end())
        return entry.name_span


def _alternatives(given: object, where: str) -> tuple[Alternative, ...]:
    found: list[Any] = given if isinstance(given, list) else [given]
    if not all(isinstance(one, Mapping) and one for one in found):
        raise _fault(where, given)
    return tuple(_alternative(one, where) for one in found)


def _alternative(given: Mapping[str, Any], where: str) -> Alternative:
    strange = sorted(set(given) - {*FIELDS, "words", "not"})
    if strange:
        raise _fault(where, strange[0])
    words = None
    if "words" in given:
        words = pattern(*_listed(given["words"], where))
    return Alternative(
        tuple((key, frozenset(_listed(given[key], where))) for key in FIELDS if key in given),
        words,
        _alternatives(given["not"], where) if "not" in given else (),
    )


def _listed(value: object, where: str) -> tuple[str, ...]:
    found = value if isinstance(value, list) else [value]
    if not all(isinstance(one, str) for one in found):
        raise _fault(where, value)
    return tuple(found)


def _fault(where: str, what: object) -> InputError:
    expected = f"a choice of ingredients: {', '.join((*FIELDS, 'words', 'not'))}"
    return InputError(Fault(where, None, None, f"{what!r} chooses no ingredient", expected))


def is_one_animal(known: Known) -> bool:
    """Whether an ingredient comes of an animal that is named."""
    return known.origin == "animal" and known.species not in UNNAMED
