"""What is looked for in a recall, and whether a printed name holds it."""

from __future__ import annotations

from enum import StrEnum

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import BARE_STATES, CatalogueEntry, Match
from panellint.core.text import fold_name, name_key
from panellint.ingredients.selector import is_covered
from panellint.rulepacks.data import data

ANYTHING = "*"


class Level(StrEnum):
    """How sure it is that the ingredient is there."""

    CONTAINS = "contains"
    MAY = "may contain"


class TraceQuery:
    """What is looked for: an ingredient by any of its names, all that comes of an animal or plant
    or of a class of them ("cattle", "poultry"), or anything (`*`)."""

    def __init__(self, name: str, catalogue: Catalogue | None = None) -> None:
        self.name = name
        self.catalogue = catalogue or load()
        self.known: CatalogueEntry | None = None
        #: The animal, plant or class that is asked for as a whole, "" where an ingredient is.
        self.whole = ""
        if name == ANYTHING:
            return
        match = self._lookup(name)
        self.known = match.known if match else None
        if lineage := self.catalogue.lineage(fold_name(name)):
            listed = self.known is not None and name.casefold() in self.known.names
            if lineage[0] in self.catalogue.collective or not listed:
                self.whole = lineage[0]
                self.known = self._example(lineage)

    def _lookup(self, name: str) -> Match | None:
        for market in ("us", "uk"):
            if match := self.catalogue.lookup(name, market=market):
                return match
        for language in ("fr", "de", "es", "it", "nl"):
            if match := self.catalogue.lookup(name, market="eu", language=language):
                return match
        return None

    def _example(self, lineage: tuple[str, ...]) -> CatalogueEntry:
        """An entry of the plain animal or plant asked for, of the kind that such things have."""
        kinds = [
            known.kind
            for known in self.catalogue
            if lineage[0] in known.classes and known.kind in _WHOLE
        ]
        kind = next((kind for kind in _WHOLE if kind in kinds), "other")
        return CatalogueEntry(
            lineage[0], (self.name,), kind, lineage[-1], lineage[0], state="raw", classes=lineage
        )

    @property
    def is_known(self) -> bool:
        """False where the name is compared with what is printed, and with nothing else."""
        return self.known is not None or self.name == ANYTHING

    def explained(self) -> str:
        """Returns which names are looked for, in words; "" where anything is."""
        if self.known is not None:
            first, *others = self.names[:8]
            return f"looking for {first}{', also called ' * bool(others)}{', '.join(others)}"
        if self.name == ANYTHING:
            return ""
        words = f"{self.name!r} is not known to the catalogue and is compared by its name alone"
        return f"{words}{self.near_names()}"

    def near_names(self) -> str:
        """Returns the nearest names of the catalogue, as the tail of a message."""
        near = self.catalogue.suggest(self.name)
        return f"; near names: {', '.join(near)}" if near else ""

    @property
    def names(self) -> tuple[str, ...]:
        """Every name that counts as it."""
        return self.known.names if self.known else (self.name,)

    def level(
        self, printed: str, known: CatalogueEntry | None, open_: bool
    ) -> tuple[Level, str] | None:
        """Whether a name holds it, with the reason; None where it does not.

        `open_` is False where members are listed, so that nothing unnamed is left inside.
        """
        if self.name == ANYTHING:
            return Level.CONTAINS, "any ingredient is asked for"
        if name_key(printed) == name_key(self.name):
            return Level.CONTAINS, "by this name"
        if self.known is None or known is None:
            return None
        if known.id == self.known.id and not self.whole:
            return Level.CONTAINS, f"another name of {self.known.names[0]}"
        if self.whole and self.whole in known.classes:
            return Level.CONTAINS, f"of {known.species or self.whole}"
        if self.known.species in known.classes and (found := self._of_the_same(printed, known)):
            return found
        if open_ and (words := self._collective(known)):
            return Level.MAY, words
        return None

    def _of_the_same(self, printed: str, known: CatalogueEntry) -> tuple[Level, str] | None:
        """What an ingredient of the same animal or plant holds of it."""
        assert self.known is not None
        if known.kind == self.known.kind and known.species == self.known.species:
            plain = name_key(self.known.id) == name_key(self.known.species)
            named = f" {name_key(self.name)} " in f" {name_key(printed)} "
            if plain or named or known.state not in BARE_STATES:
                return Level.CONTAINS, f"{known.species} in another form"
            return Level.MAY, f"of {known.species} too"
        derived = data("data/batch")["made_from"]
        if known.kind in derived["holds"] and self.known.kind not in derived["holds"]:
            return Level.CONTAINS, f"made from {known.species}"
        if self.known.kind in _WHOLE and known.kind in derived["may_hold"]:
            return Level.MAY, f"made from {known.species}, from whose delivery is not said"
        return None

    def _collective(self, known: CatalogueEntry) -> str:
        """Why a name for many things may stand for it; "" where it may not."""
        assert self.known is not None
        practice = data("data/batch")
        table = {**practice["categories"], **practice["stands_for"]}
        if known.id in table:
            if is_covered(self.known, table[known.id]):
                return f"{known.names[0]} may stand for it"
            return ""
        if known.state == "premix":
            held = practice["premix_holds"]
            return "a premix that lists no members" if self.known.kind in held else ""
        above = self.known.classes if self.known.species else ()
        if known.species not in self.catalogue.collective or known.species not in above[1:]:
            return ""
        mixes = known.kind in practice["mixing_kinds"] and self.known.kind in (
            *_WHOLE,
            "by-product",
        )
        if known.kind == self.known.kind or self.known.kind in _MUSCLE or mixes:
            return f"{known.names[0]} names no one {_KINGDOMS.get(known.origin, 'source')}"
        return ""


#: Kinds that are an animal or a part of it as it comes.
_MUSCLE = ("muscle-meat", "fish")
_WHOLE = (
    *_MUSCLE, "organ", "egg", "dairy", "insect", "grain", "pseudo-grain", "legume", "tuber",
    "vegetable", "fruit", "seed", "nut", "algae",
)  # fmt: skip
_KINGDOMS = {"animal": "animal", "plant": "plant"}
