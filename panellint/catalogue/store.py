"""The compiled catalogue and the look-ups in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panellint.catalogue import files
from panellint.catalogue.model import CatalogueEntry, Composition, Figure, Match
from panellint.catalogue.rows import (
    NO_OWN,
    Figures,
    OwnIngredients,
    decoded,
    entry,
    own_ingredients,
)
from panellint.core.cache import Entries, cached, key_of
from panellint.core.errors import unreadable
from panellint.core.text import fold_name, name_key
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.catalogue.composing import Composer
    from panellint.catalogue.name_parser import NameParser

#: The region of a language whose words the labels of a market use.
_REGIONS = {"us": "us", "ca": "us", "uk": "gb", "eu": "gb"}

#: So many printed names are kept in mind; the labels of a brand share most of theirs.
_NAMES = 20_000
#: Names that are looked at for a suggestion; several may be of one ingredient.
_NEAREST = 64


class Catalogue:
    """Known ingredients by printed name and by id.

    `data` is what `panellint.catalogue.compile.names` returns; `own` are a user's own, which go
    before. Figures are read from their own cache file when the first one is asked for.
    """

    def __init__(self, data: Mapping[str, Any], own: OwnIngredients = NO_OWN) -> None:
        self._data = data
        self._own = own
        self._known: dict[str, CatalogueEntry] = {}
        # What each saves: 7 to 12 % of a quick lint, since the labels of a brand share most names;
        # 0.5 ms of each label with an unknown name that came before; 5 ms of each unknown name.
        self._lookup = lru_cache(_NAMES)(self._match)
        self._nearest = lru_cache(_NAMES)(self._suggestions)
        self._names_of = cache(self._all_names)
        self._tables = cache(self._tables_of)

    def lookup(self, name: str, *, market: str = "us", language: str = "en") -> Match | None:
        """What a printed name is: a listed name, one under qualifiers, or a regular name.

        Never the nearest name: what is not understood is None.
        """
        return self._lookup(name, market, language)

    def _match(self, name: str, market: str, language: str) -> Match | None:
        folded = fold_name(name)
        if id := self.listed(folded, market, language):
            return Match(self.known(id), "listed")
        word = data("words/languages")["and"].get(language, "&")
        if "&" in name and word != "&":
            return self._match(name.replace("&", word), market, language)
        match = self._composed_match(folded, market, language) if folded else None
        for letters, letter in data("words/spelling")["spelled-out"].get(language, {}).items():
            folded = folded.replace(letters, fold_name(letter))  # "Huehnerleber"
        return (
            match or (folded != fold_name(name) and self._match(folded, market, language)) or None
        )

    def _composed_match(self, folded: str, market: str, language: str) -> Match | None:
        for parse in self._parser.parses(folded, market, language):
            if composed := self._composer.compose(parse):
                how = "qualified" if composed.qualifiers else "listed"
                how = "composed" if composed.facts else how
                return Match(composed.entry, how, composed.qualifiers)
        organism = self._parser.organism(folded)
        if organism is None:
            return None
        from panellint.catalogue.composing import organism as entry_of

        listed = self.get(f"{organism.genus}-{organism.species}")
        yeasts = self._data["reading"]["yeast_genera"]
        catalogue_entry = listed or entry_of(
            organism, yeasts, lambda: self.class_figures("probiotic")
        )
        return Match(catalogue_entry, "composed")

    def all_named(self, name: str) -> Iterator[CatalogueEntry]:
        """Yields the entries that a name or an id stands for in any market and language, each
        once."""
        seen = set()
        if own := self.get(name):
            seen.add(name)
            yield own
        asked = [("us", "en"), ("uk", "en"), *(("eu", code) for code in self.languages)]
        for market, language in asked:
            match = self.lookup(name, market=market, language=language)
            if match and match.known.id not in seen:
                seen.add(match.known.id)
                yield match.known

    def classes_named(self, name: str) -> frozenset[str]:
        """The animals, plants, classes of them and families that a name stands for, in the
        singular or the plural."""
        words = {name, fold_name(name), name_key(name)}
        trees = {line[0] for word in words if (line := self.lineage(word))}
        families = {*self._data["families"], *self._data["groups"]}
        return frozenset(
            trees | {family for family in families if {family, name_key(family)} & words}
        )

    def facts_named(self, name: str) -> frozenset[tuple[str, str]]:
        """The parts, states and treatments that an English phrase states, by layer."""
        reading = self._data["reading"]
        numbers = {
            number
            for side in ("before", "after")
            for number in reading[side]["en"].get(fold_name(name), ())
        }
        stated = {fact for number in numbers for fact in _stated(reading["facts"][number])}
        treatments = {fact for fact in stated if fact[0] == "treatment"}
        return frozenset(treatments or stated)

    def is_form(self, words: str, language: str) -> bool:
        """Whether words state what of a source is used (oil, heart), where they stand behind it."""
        forms = self._data["reading"]["after"].get(language, {})
        return not forms.keys().isdisjoint((fold_name(words), name_key(words)))

    def facts_of(self, name: str) -> frozenset[tuple[str, str]]:
        """The parts, states and treatments that a printed English name states, by layer."""
        stated: set[tuple[str, str]] = set()
        for parse in self._parser.parses(fold_name(name), "us", "en"):
            if composed := self._composer.compose(parse):
                stated.update(text for fact in composed.facts for text in _stated(fact))
        return frozenset(stated)

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """The kinds that entries are of, sorted."""
        return tuple(sorted({row[1] for row in self._data["known"].values()}))

    def composition(
        self, name: str, *, market: str = "us", language: str = "en"
    ) -> Composition | None:
        """What a printed name states, fact by fact; None where the name is not understood."""
        match = self.lookup(name, market=market, language=language)
        if match is None:
            return None
        states = [match.known.state]
        composition = Composition(match.known.species, state=match.known.state)
        # The shortest source leaves the most to be stated: "lamb lung" is the lung of a sheep.
        for parse in reversed(list(self._parser.parses(fold_name(name), market, language))):
            composed = self._composer.compose(parse)
            if composed is None or composed.entry.id != match.known.id:
                continue
            stated = {fact["layer"]: fact["name"] for fact in composed.facts}
            states = [stated[layer] for layer in ("state", "product") if layer in stated] or states
            treatments = [fact["treatment"] for fact in composed.facts if fact["treatment"]]
            return Composition(
                composition.source, stated.get("part", ""), " ".join(states), " ".join(treatments)
            )
        return composition

    def named(self, name: str, language: str = "en") -> Match | None:
        """What an id, or a name in a language in any market, stands for."""
        if known := self.get(name):
            return Match(known, "listed")
        matches = (self.lookup(name, market=market, language=language) for market in ("us", "uk"))
        return next(filter(None, matches), None)

    def listed(self, folded: str, market: str, language: str) -> str | None:
        """The id that claims a folded name as printed, in a market and language."""
        for table in self._tables(market, language):
            if id := table.get(folded):
                return id
        return None

    def _tables_of(self, market: str, language: str) -> list[Mapping[str, str]]:
        """The tables of ids by folded name that hold in a market and language, the first first."""
        region = f"{language}-{_REGIONS.get(market, 'us')}"
        names = (self._own.names, self._data["names"])
        return [of[key] for of in names for key in (region, language) if key in of]

    def table(self, language: str) -> dict[str, str]:
        """The ids by folded name of a language ("en") or of one region of it ("en-gb")."""
        table: dict[str, str] = self._data["names"].get(language, {})
        own = self._own.names.get(language)
        return {**table, **own} if own else table

    @property
    def spelling(self) -> dict[str, str]:
        """Words with the spelling that stands for each, as `spelled_alike` takes them."""
        spelling: dict[str, str] = self._data["reading"]["spelling"]
        return spelling

    @cached_property
    def _parser(self) -> NameParser:
        from panellint.catalogue.name_parser import NameParser

        return NameParser(self._data["reading"], self._listed_anywhere)

    @cached_property
    def _composer(self) -> Composer:
        from panellint.catalogue.composing import Composer

        return Composer(self._data["reading"], self.get, self.class_figures, self._also_carried)

    def _listed_anywhere(self, folded: str, market: str, language: str) -> str | None:
        """The id that claims a name, in English too where substances have one name for all."""
        id = self.listed(folded, market, language)
        if id is None and language != "en":
            id = self.listed(folded, market, "en")
            if id and self.known(id).kind not in self._data["reading"]["international"]:
                return None
        return id

    def _also_carried(self, id: str, form: str) -> tuple[str, ...]:
        """The nutrients to count on in a form that does not have the substance's own."""
        joined = self._data["known"][id][-1] if id in self._data["known"] else {}
        return tuple(joined.get("also_carries", {}).get(form, ()))

    @cached_property
    def languages(self) -> tuple[str, ...]:
        """The languages that any name is known in, by code ("en")."""
        return tuple(sorted({name.partition("-")[0] for name in self._data["names"]}))

    def get(self, id: str) -> CatalogueEntry | None:
        """The entry with this id, or None."""
        there = id in self._data["known"] or id in self._own.rows
        return self.known(id) if there else None

    def known(self, id: str) -> CatalogueEntry:
        """The entry with this id; raises KeyError where there is none."""
        known = self._known.get(id)
        if known is None:
            if id in self._own.rows:
                known = self._own.entry(id, self._above(id))
            else:
                known = self._build(id, self._data["known"][id])
            self._known[id] = known
        return known

    def _above(self, id: str) -> CatalogueEntry:
        """What an own ingredient is a kind of."""
        row = self._own.rows[id]
        match = load().named(row["kind_of"], row["language"])
        assert match is not None, "compiling refuses what the catalogue does not know"
        return match.known

    def suggest(
        self, name: str, *, market: str = "us", language: str = "en", limit: int = 3
    ) -> list[str]:
        """The listed names nearest to a printed one, best first, of different ingredients; with
        the accents and capitals of a language other than English.

        For the reader's eye only; a match is never made from them.
        """
        return self._nearest(name, market, language)[:limit]

    def _suggestions(self, name: str, market: str, language: str) -> list[str]:
        from rapidfuzz import fuzz, process

        table = self._names_of(language, _REGIONS.get(market, "us"))
        near = process.extract(
            fold_name(name), list(table), scorer=fuzz.ratio, limit=_NEAREST, score_cutoff=70
        )
        near.sort(key=lambda hit: (-hit[1], hit[0]))
        nearest: dict[str, str] = {}
        for text, _, _ in near:
            nearest.setdefault(table[text], text)
        printed: dict[str, str] = self._data["printed"].get(language, {})
        return [printed.get(text, text) for text in nearest.values()]

    def within(self, name: str, slips: int, market: str, language: str) -> int:
        """Returns how many listed ingredients have a name at most so many slips from a printed
        one."""
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        table = self._names_of(language, _REGIONS.get(market, "us"))
        near = process.extract(
            fold_name(name), list(table), scorer=OSA.distance, limit=None, score_cutoff=slips
        )
        return len({table[text] for text, _, _ in near})

    def _all_names(self, language: str, region: str) -> dict[str, str]:
        """Returns every name of a language in a region, sorted, with its id."""
        table = {**self.table(language), **self.table(f"{language}-{region}")}
        return dict(sorted(table.items()))

    def __iter__(self) -> Iterator[CatalogueEntry]:
        """Every entry, in id order."""
        return (self.known(id) for id in sorted([*self._data["known"], *self._own.rows]))

    @cached_property
    def _families_of(self) -> dict[str, list[str]]:
        families: dict[str, list[str]] = {}
        for family, members in self._data["families"].items():
            for id in members:
                families.setdefault(id, []).append(family)
        for group, parts in self._data["groups"].items():
            for part in parts:
                for id in self._data["families"][part]:
                    families.setdefault(id, []).append(group)
        return families

    def _build(self, id: str, row: list[Any]) -> CatalogueEntry:
        source = row[3] or row[2]
        lineage = self._data["lineage"].get(source, (source,))
        families = self._families_of.get(id, ())
        return entry(id, row, families, lineage, Figures(lambda: self._decoded("figures", id)))

    @cached_property
    def _figure_data(self) -> Entries:
        return cached("catalogue-figures", files.figure_inputs(), _figures, apart=["figures"])

    def lineage(self, species: str) -> tuple[str, ...]:
        """An animal, a plant or a class of them, and all that it is a kind of; () if unknown."""
        return tuple(self._data["lineage"].get(species, ()))

    @property
    def collective(self) -> frozenset[str]:
        """The classes of animals and plants of which a name that says no more names no one."""
        return frozenset(self._data["collective"])

    def _decoded(self, table: str, name: str) -> dict[str, Figure]:
        return decoded(self._figure_data[table][name], self._figure_data)

    def class_figures(self, name: str) -> dict[str, Figure]:
        """The wide ranges of a sort of material in `classes.yaml`."""
        return self._decoded("classes", name)


def _stated(fact: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yields what a fact states, by layer; the treatment stands apart from the state."""
    yield fact["layer"], fact["name"]
    if fact["treatment"]:
        yield "treatment", fact["treatment"]


def load(own: tuple[Path, ...] = ()) -> Catalogue:
    """The catalogue, from its cache where that is in time, with a user's own ingredients before
    it; kept in the process for as long as the files of these are the same.

    Raises InputError, with file and line, where a file of the catalogue or an own one is at fault.
    """
    try:
        return _with_own(own, key_of(own)) if own else _built_in()
    except OSError as error:
        raise unreadable(error.filename or own[0], error) from None


@lru_cache(8)
def _with_own(own: tuple[Path, ...], key: str) -> Catalogue:
    """Returns the catalogue; `key` changes with the own files, so that they are read again."""
    return Catalogue(_built_in()._data, own_ingredients(own, _built_in()))


@cache
def _built_in() -> Catalogue:
    apart = ("known", "names", "printed")
    return Catalogue(cached("catalogue-names", files.name_inputs(), _names, apart=apart))


def _names() -> dict[str, Any]:
    from panellint.catalogue.compile import names

    return names()


def _figures() -> dict[str, Any]:
    from panellint.catalogue.compile import figures

    return figures()
