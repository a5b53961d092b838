"""Which ingredients a rule or a claim is about, chosen by plain words in YAML.

A choice is a list of alternatives (an empty one chooses nothing); each alternative is a
mapping, and an ingredient fits it where every key of it fits: `id`, `kind`, `family`,
`species`, `origin`, `state` (each a word or a list of words, as the catalogue has them), `is`
(an animal, a plant, a class or a family that it is a kind of: cattle, poultry, gluten cereal),
`words`, `exact` and `regex` (what stands in the printed name or a note, see `core.wording`) and
`not` (a choice that it must not fit).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.catalogue.model import CatalogueEntry
from panellint.core.errors import Fault, InputError
from panellint.core.once import once
from panellint.core.source import Span
from panellint.core.wording import LINEAR, Wording
from panellint.ingredients.model import Ingredient
from panellint.rulepacks.parameters import CHOICE_FIELDS, CHOICE_WORDS

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext


def _values(known: CatalogueEntry, field: str) -> tuple[str, ...]:
    """What the catalogue has in a field; `is` has many, and an ingredient of one's own fits by
    the id of what it is a kind of too."""
    if field == "is":
        return known.classes
    return (known.id, known.own_of) if field == "id" else (getattr(known, field),)


class Listing:
    """Ingredients with what they have between them, by which those that a choice may fit are
    found at once."""

    __slots__ = ("_known", "_places", "entries", "text")

    def __init__(self, entries: Sequence[Ingredient]) -> None:
        self.entries = entries
        self._known = [(at, entry.match.known) for at, entry in enumerate(entries) if entry.match]
        self._places: dict[str, dict[str, list[int]]] = {}
        self.text = " .\n".join(words for entry in entries for words in (entry.name, *entry.notes))

    def places(self, field: str) -> dict[str, list[int]]:
        """Where the ingredients stand in the list, by what the catalogue has in a field."""
        places = self._places.get(field)
        if places is None:
            places = self._places[field] = {}
            for place, known in self._known:
                for value in _values(known, field):
                    places.setdefault(value, []).append(place)
        return places


@once
def listing(context: LabelContext) -> Listing:
    """The declared ingredients and groups of a label."""
    return Listing(context.entries)


class Alternative(NamedTuple):
    """One way to be chosen."""

    fields: tuple[tuple[str, frozenset[str]], ...] = ()
    words: Wording | None = None
    but: tuple[Alternative, ...] = ()

    def fits(self, entry: Ingredient) -> bool:
        """Whether a declared ingredient fits."""
        if not self._fits_but_for_words(entry):
            return False
        return self.words is None or _is_printed(entry, self.words.search)

    def among(self, listing: Listing) -> Iterable[int]:
        """The places in a list of the ingredients that fit."""
        places: Iterable[int] = range(len(listing.entries))
        if self.fields:
            field, wanted = self.fields[0]
            known = listing.places(field)
            places = {place for value in known.keys() & wanted for place in known[value]}
            if not places or (len(self.fields) == 1 and self.words is None and not self.but):
                return places
        if self.words is not None:
            if self.words.is_phrases and self.words.search(listing.text) is None:
                return ()
            search = self.words.compiled().search
            places = [place for place in places if _is_printed(listing.entries[place], search)]
        entries = ((place, listing.entries[place]) for place in places)
        return [place for place, entry in entries if self._fits_but_for_words(entry)]

    def _fits_but_for_words(self, entry: Ingredient) -> bool:
        if self.fields and (entry.match is None or not self._has_fields(entry.match.known)):
            return False
        return not (self.but and any(other.fits(entry) for other in self.but))

    def covers(self, known: CatalogueEntry) -> bool:
        """Whether what the catalogue knows fits, whatever is printed."""
        return self._has_fields(known) and not any(other.covers(known) for other in self.but)

    def _has_fields(self, known: CatalogueEntry) -> bool:
        return all(not wanted.isdisjoint(_values(known, field)) for field, wanted in self.fields)


def _is_printed(entry: Ingredient, search: Callable[[str], object]) -> bool:
    """Whether the words that `search` looks for stand in the name or in a note."""
    return search(entry.name) is not None or any(map(search, entry.notes))


class Choice:
    """A compiled choice. `given` is a mapping or a list of mappings, as YAML has them."""

    def __init__(self, given: object, where: str) -> None:
        self.alternatives = _alternatives(given, where)

    def fits(self, entry: Ingredient) -> bool:
        """Whether a declared ingredient is among those chosen."""
        return any(alternative.fits(entry) for alternative in self.alternatives)

    def among(self, entries: Sequence[Ingredient]) -> Iterator[Ingredient]:
        """Those that are chosen, in their order."""
        return (entry for entry in entries if self.fits(entry))

    def of(self, listing: Listing) -> list[Ingredient]:
        """Those of a list that are chosen, in their order."""
        places: set[int] = set()
        for alternative in self.alternatives:
            places.update(alternative.among(listing))
        return [listing.entries[place] for place in sorted(places)] if places else []

    def place(self, context: LabelContext, entry: Ingredient) -> Span:
        """What to mark: the name, or the words that were looked for where they are its notes'."""
        for alternative in self.alternatives:
            if alternative.words is None or not alternative.fits(entry):
                continue
            own = entry.name_span if entry.members else entry.span
            match = alternative.words.search(context.source.slice(own))
            if match and own.start + match.start() >= entry.name_span.end:
                return Span(own.start + match.start(), own.start + match.end())
        return entry.name_span


def _alternatives(given: object, where: str) -> tuple[Alternative, ...]:
    alternatives: list[Any] = given if isinstance(given, list) else [given]
    if not all(isinstance(alternative, Mapping) and alternative for alternative in alternatives):
        raise _fault(where, given)
    return tuple(_alternative(alternative, where) for alternative in alternatives)


def _alternative(given: Mapping[str, Any], where: str) -> Alternative:
    searches = (*CHOICE_WORDS, LINEAR)
    strange = sorted(set(given) - {*CHOICE_FIELDS, *searches, "not"})
    if strange:
        raise _fault(where, strange[0])
    printed = {key: given[key] for key in searches if key in given}
    fields = ((key, _listed(given[key], where)) for key in CHOICE_FIELDS if key in given)
    return Alternative(
        tuple((key, frozenset(words)) for key, words in fields),
        Wording(printed) if printed else None,
        _alternatives(given["not"], where) if "not" in given else (),
    )


def _listed(value: object, where: str) -> tuple[str, ...]:
    words = value if isinstance(value, list) else [value]
    if not all(isinstance(word, str) for word in words):
        raise _fault(where, value)
    return tuple(words)


def _fault(where: str, what: object) -> InputError:
    expected = f"a choice of ingredients: {', '.join((*CHOICE_FIELDS, *CHOICE_WORDS, 'not'))}"
    return InputError(Fault(where, None, None, f"{what!r} chooses no ingredient", expected))


def is_covered(known: CatalogueEntry, given: Mapping[str, Any]) -> bool:
    """Whether what the catalogue knows of an ingredient fits a choice without `words`."""
    return any(choice.covers(known) for choice in _alternatives(given, "a choice of kinds"))


def names_one(species: str) -> bool:
    """Whether a word for the source of an ingredient names one animal, and no class of them."""
    from panellint.catalogue import load

    return bool(species) and species not in load().collective


def is_one_animal(known: CatalogueEntry) -> bool:
    """Whether an ingredient comes of an animal that is named."""
    return known.origin == "animal" and names_one(known.species)
