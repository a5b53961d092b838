"""Names that are not listed but regular: qualifiers around a name, and names built by rule."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING, Any, TypeAlias

from panellint.catalogue.figures import Figures
from panellint.catalogue.model import CatalogueEntry, Match
from panellint.catalogue.words import plain

if TYPE_CHECKING:
    from panellint.catalogue.store import Catalogue

#: How many forms may be stacked around one base ("dried X broth powder").
_DEPTH = 3
#: A name of more words than this is prose and not taken apart.
_LONGEST = 12
#: How many answers are kept, for a server that meets the same words again and again.
_REMEMBERED = 10_000
_LATIN = re.compile(r"[a-z]{4,}$")


#: Phrases in plain words, by one of these (by language where it is not English).
Phrases: TypeAlias = dict[str, list[tuple[str, ...]]]
#: The forms that phrases name, with those phrases, by one of their words.
Forms: TypeAlias = dict[str, list[tuple[tuple[str, ...], dict[str, Any]]]]


class Reader:
    """Understands folded names that no entry lists.

    `data` are the tables of `panellint.catalogue.compile`, in which they are explained.
    """

    def __init__(self, catalogue: Catalogue, data: dict[str, Any]) -> None:
        self._catalogue = catalogue
        self._spelling: dict[str, str] = data["spelling"]
        self._qualifiers: Phrases = data["qualifiers"]
        self._last_qualifiers: Phrases = data["last_qualifiers"]
        self._lead_ins: Phrases = data["lead_ins"]
        self._other_qualifiers: Phrases = data["other_qualifiers"]
        self._genera = set(data["genera"])
        self._yeasts = set(data["yeast_genera"])
        self._short_genera: dict[str, str] = data["short_genera"]
        self._after: Forms = data["after"]
        self._before: Forms = data["before"]
        self._memory: dict[tuple[str, str, str], Match | None] = {}

    def read(self, folded: str, market: str, language: str) -> Match | None:
        """What a folded name is, or None; the time is bounded for names of any length."""
        key = (folded, market, language)
        if key not in self._memory:
            if len(self._memory) >= _REMEMBERED:
                self._memory.clear()
            self._memory[key] = self._read(folded, market, language)
        return self._memory[key]

    def _read(self, folded: str, market: str, language: str) -> Match | None:
        if language != "en":
            words = tuple(folded.split(" "))
            return self._foreign(words, market, language) or self._latin(words)
        words = tuple(plain(folded, self._spelling).split(" "))
        if len(words) > _LONGEST:
            return None
        words = self._without_lead_in(words)
        return self._match(words, market, 0) or self._latin(words)

    def _foreign(self, words: tuple[str, ...], market: str, language: str) -> Match | None:
        """A listed name of another language between its qualifiers; no forms are known there."""
        taken: list[str] = []
        phrases = self._other_qualifiers.get(language, [])
        while len(words) > 1:
            for phrase in phrases:
                size = len(phrase)
                if size < len(words) and words[:size] == phrase:
                    words = words[size:]
                elif size < len(words) and words[-size:] == phrase:
                    words = words[:-size]
                else:
                    continue
                taken.append(" ".join(phrase))
                break
            else:
                return None
            if id := self._catalogue.listed(" ".join(words), market, language):
                return Match(self._catalogue.known(id), "qualified", tuple(taken))
        return None

    def _listed(self, words: tuple[str, ...], market: str) -> CatalogueEntry | None:
        id = self._catalogue.listed(" ".join(words), market, "en")
        return self._catalogue.known(id) if id else None

    def _without_lead_in(self, words: tuple[str, ...]) -> tuple[str, ...]:
        while len(words) > 1:
            for phrase in self._lead_ins.get(words[0], ()):
                if words[: len(phrase)] == phrase and len(words) > len(phrase):
                    words = words[len(phrase) :]
                    break
            else:
                return words
        return words

    def _match(self, words: tuple[str, ...], market: str, depth: int) -> Match | None:
        """A listed name, else a qualified one, else one by its form."""
        for start, end, qualifiers in self._strippings(words):
            known = self._listed(words[start:end], market)
            if known:
                return Match(known, "qualified" if qualifiers else "name", qualifiers)
        if depth >= _DEPTH:
            return None
        for start, end, qualifiers in self._strippings(words):
            found = self._by_form(words[start:end], market, depth)
            if found:
                return Match(found.known, "structure", qualifiers + found.qualifiers)
        return None

    def _strippings(self, words: tuple[str, ...]) -> list[tuple[int, int, tuple[str, ...]]]:
        """The ways to take qualifiers off both ends: fewest first, each with what was taken."""
        ways: list[tuple[int, int, tuple[str, ...]]] = [(0, len(words), ())]
        seen = {(0, len(words))}
        for start, end, taken in ways:
            if end - start < 2:
                continue
            steps = [
                (start + len(p), end, (*taken, " ".join(p)))
                for p in self._qualifiers.get(words[start], ())
                if len(p) < end - start and words[start : start + len(p)] == p
            ]
            steps += [
                (start, end - len(p), (*taken, " ".join(p)))
                for p in self._last_qualifiers.get(words[end - 1], ())
                if len(p) < end - start and words[end - len(p) : end] == p
            ]
            for step in steps:
                if step[:2] not in seen:
                    seen.add(step[:2])
                    ways.append(step)
        return ways

    def _by_form(self, words: tuple[str, ...], market: str, depth: int) -> Match | None:
        if len(words) < 2:
            return None
        for phrase, form in self._after.get(words[-1], ()):
            if len(phrase) < len(words) and words[-len(phrase) :] == phrase:
                base = self._match(words[: -len(phrase)], market, depth + 1)
                if base and (made := self._make(base, form, words, after=True)):
                    return made
        for phrase, form in self._before.get(words[0], ()):
            if len(phrase) < len(words) and words[: len(phrase)] == phrase:
                base = self._match(words[len(phrase) :], market, depth + 1)
                if base and (made := self._make(base, form, words, after=False)):
                    return made
        return None

    def _make(
        self, base: Match, form: dict[str, Any], words: tuple[str, ...], *, after: bool
    ) -> Match | None:
        known = base.known
        if known.kind not in form["of"]:
            return None
        name = form["class"].get(known.kind) or form["class"].get("*")
        if not name:
            return None
        part = form["state"].replace(" ", "-")
        id = f"{known.id}-{part}" if after else f"{part}-{known.id}"
        own = self._catalogue.get(id)
        if own:
            return Match(own, "structure", base.qualifiers)
        kind, origin = form["kinds"][name]
        catalogue = self._catalogue
        made = CatalogueEntry(
            id=id,
            names=(" ".join(words),),
            kind=form["kind"] or kind,
            origin=known.origin if origin == "unknown" or known.origin != "unknown" else origin,
            species=known.species,
            family=known.family if form["keep"] else "",
            member=" ".join(words) if form["keep"] and known.family else "",
            state=form["state"],
            figures=Figures(lambda: catalogue.class_figures(name)),
            supplies=known.supplies if kind in ("mineral", "vitamin", "amino-acid") else (),
            carries=known.carries if form["keep"] else (),
            hazards=known.hazards,
            notes=(f"understood by its parts from {known.id}; ranges by sort of material",),
        )
        return Match(made, "structure", base.qualifiers)

    def _latin(self, words: tuple[str, ...]) -> Match | None:
        """A micro-organism by genus, or by its letter where fermentation is named too."""
        fermented = "fermentation" in words or "fermented" in words
        for word, species in pairwise(words[:4]):
            full = word in self._genera
            genus = word if full else self._short_genera.get(word, "")
            if not genus or not (full or fermented):
                continue
            if _LATIN.match(species) or (full and species in ("sp", "spp")):
                return Match(self._organism(genus, species, words, fermented), "structure")
        return None

    def _organism(
        self, genus: str, species: str, words: tuple[str, ...], fermented: bool
    ) -> CatalogueEntry:
        kind = "yeast" if genus in self._yeasts else "probiotic"
        return CatalogueEntry(
            id=f"{genus}-{species}",
            names=(" ".join(words),),
            kind=kind,
            origin="microbial",
            species=f"{genus.capitalize()} {species}",
            state="fermentation product" if fermented else "",
            figures=Figures(lambda: self._catalogue.class_figures("probiotic")),
            notes=("a micro-organism, understood by its Latin name",),
        )
