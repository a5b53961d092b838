"""What is looked for in a recall, and whether a printed name holds it."""

from collections.abc import Iterator
from enum import StrEnum
from functools import cached_property
from typing import Any

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import BARE_STATES, CatalogueEntry
from panellint.core.errors import PanellintError
from panellint.core.text import name_key
from panellint.ingredients.selector import is_covered
from panellint.rulepacks.data import data

ANYTHING = "*"


class Level(StrEnum):
    """How sure it is that the ingredient is there."""

    CONTAINS = "contains"
    MAY = "may contain"


class TraceQuery:
    """What is looked for: an ingredient by any of its names, a brand's name or a supplier's code,
    all of an animal, a plant, a class, a family or a kind ("cattle", "poultry", "dairy"), all of a
    part or a form ("liver", "freeze-dried"), or anything (`*`).

    `listed` are the entries of the catalogue that the name stands for in any market and language;
    `above` the animals, plants, classes and families that it names; `kinds` the kinds. With
    `supplier` or `lot`, what a sheet shows to be another's is left out.
    """

    def __init__(
        self, name: str, catalogue: Catalogue | None = None, supplier: str = "", lot: str = ""
    ) -> None:
        self.name, self.supplier, self.lot = name, supplier, lot
        self.catalogue = catalogue or load()
        self.key = name_key(name)
        self.listed: tuple[CatalogueEntry, ...] = ()
        self.above: frozenset[str] = frozenset()
        self.kinds: frozenset[str] = frozenset()
        self.facts: frozenset[tuple[str, str]] = frozenset()
        if name == ANYTHING:
            return
        self.listed = tuple(self.catalogue.all_named(name))
        self.above = self.catalogue.classes_named(name)
        kinds = data("data/trace")["kinds"]
        self.kinds = frozenset(
            kind
            for kind in self.catalogue.kinds
            if not self.above and self.key in map(name_key, (kind, *kinds.get(kind, ())))
        )
        if not self.listed:
            self.facts = self.catalogue.facts_named(name)

    @cached_property
    def whole(self) -> frozenset[str]:
        """The classes that are asked for as a whole: those that no ingredient of the same English
        name is of. Who asks for beef asks for that meat first; who asks for cattle, for all."""
        own = {
            class_id
            for entry in self.listed
            if self.key in map(name_key, entry.names)
            for class_id in entry.classes
        }
        return frozenset(
            class_id
            for class_id in self.above
            if class_id not in own or class_id in self.catalogue.collective
        )

    @cached_property
    def members(self) -> tuple[CatalogueEntry, ...]:
        """The entries that stand for what is looked for where a name is for many things."""
        whole = self.whole or (frozenset() if self.listed else self.above)
        entries = [
            entry
            for entry in self.catalogue
            if not whole.isdisjoint(entry.classes) or entry.kind in self.kinds
        ]
        return (*self.listed, *entries)

    @property
    def is_known(self) -> bool:
        """False where the name is compared with what is printed, and with nothing else."""
        return bool(self.listed or self.above or self.kinds or self.facts or self.name == ANYTHING)

    @property
    def known_as(self) -> str | None:
        """The entry, class, kind or fact of the catalogue that is asked for; None where none."""
        facts = sorted(name for _, name in self.facts)
        names = [
            *sorted(self.whole),
            *(entry.id for entry in self.listed),
            *sorted(self.above),
            *sorted(self.kinds),
            *facts,
        ]
        return names[0] if names else None

    def explained(self) -> str:
        """Returns what is looked for, in words; "" where anything is."""
        if self.name == ANYTHING:
            return ""
        if not self.is_known:
            words = f"{self.name!r} is not known to the catalogue and is compared by its name alone"
            return f"{words}{self.near_names()}"
        first, *others = self.names[:8]
        whole = sorted(self.whole | self.kinds)
        all_of = f", and all of {', '.join(whole)}" if whole and not others else ""
        return f"looking for {first}{', also called ' * bool(others)}{', '.join(others)}{all_of}"

    def near_names(self) -> str:
        """Returns the nearest names of the catalogue, as the tail of a message."""
        near = self.catalogue.suggest(self.name)
        return f"; near names: {', '.join(near)}" if near else ""

    def unknown(self) -> PanellintError:
        """Returns the error of a name that neither the catalogue nor any file has."""
        return PanellintError(
            f"no file has {self.name!r}, and the catalogue does not know it{self.near_names()}"
        )

    @property
    def names(self) -> tuple[str, ...]:
        """Every English name that counts as it, the one that was given first."""
        return tuple(
            dict.fromkeys((self.name, *(name for entry in self.listed for name in entry.names)))
        )

    def is_of_another(self, supplier: str, lot: str) -> bool:
        """Whether a sheet says another supplier or lot than is asked for; silence is no other."""
        pairs = ((supplier, self.supplier), (lot, self.lot))
        return any(own and sought and name_key(own) != name_key(sought) for own, sought in pairs)

    # Levels ----------------------------------------------------------------------------------

    def level(
        self, printed: str, known: CatalogueEntry | None, open_: bool
    ) -> tuple[Level, str] | None:
        """Whether a name holds it, with the reason; None where it does not.

        `open_` is False where members are listed, so that nothing unnamed is left inside.
        """
        if self.name == ANYTHING:
            return Level.CONTAINS, "any ingredient is asked for"
        if name_key(printed) == self.key:
            return Level.CONTAINS, "by this name"
        if known is None:
            return self._by_letters(printed)
        best: tuple[Level, str] | None = None
        for here in self._reasons(printed, known, open_):
            if here[0] is Level.CONTAINS:
                return here
            best = best or here
        return best

    def _reasons(
        self, printed: str, known: CatalogueEntry, open_: bool
    ) -> Iterator[tuple[Level, str]]:
        for entry in self.listed:
            if entry.id in (known.id, known.own_of):
                yield Level.CONTAINS, f"another name of {entry.names[0]}"
            elif known.kind_of == entry.id:
                yield Level.CONTAINS, f"a kind of {entry.names[0]}"
            elif entry.kind_of == known.id and open_:
                yield Level.MAY, f"{known.names[0]} may stand for it"
        if not self.whole.isdisjoint(known.classes):
            yield Level.CONTAINS, f"of {known.species or known.family or self.name}"
        if known.kind in self.kinds:
            yield Level.CONTAINS, f"its kind is {known.kind.replace('-', ' ')}"
        if self.facts and not self.facts.isdisjoint(self.catalogue.facts_of(printed)):
            yield Level.CONTAINS, f"its name says {self.name}"
        for entry in self.listed:
            if reason := self._of_the_same(entry, printed, known):
                yield reason
        if not self.above.isdisjoint(known.classes):
            yield (
                Level.MAY,
                f"also of {known.species or known.family}; from which delivery is not said",
            )
        if open_ and (words := self._collective(known)):
            yield Level.MAY, words

    def _by_letters(self, printed: str) -> tuple[Level, str] | None:
        """Whether a name that the catalogue does not know may be it, by its letters."""
        key = name_key(printed)
        if len(self.key) > 3 and f" {self.key} " in f" {key} ":
            return Level.MAY, "a name that is not known holds these words"
        if not self.is_known:
            return None
        for name in self.catalogue.suggest(printed):
            for entry in self.catalogue.all_named(name):
                if self.level(name, entry, False):
                    return Level.MAY, f"a name that is not known; the nearest is {name}"
        return None

    def _of_the_same(
        self, entry: CatalogueEntry, printed: str, known: CatalogueEntry
    ) -> tuple[Level, str] | None:
        """What an ingredient of the same animal or plant, or of one of its class, holds of it."""
        if not entry.species or entry.species not in known.classes:
            return None
        rules: dict[str, Any] = data("data/trace")
        named = set(self.key.split()) <= set(name_key(printed).split())
        if known.kind == entry.kind:
            if known.species == entry.species:
                plain = name_key(entry.id) == name_key(entry.species)
                if plain or named or known.state not in BARE_STATES:
                    return Level.CONTAINS, f"{known.species} in another form"
                return Level.MAY, f"of {known.species} too"
            if named or known.kind not in rules["parts_differ"]:
                return Level.CONTAINS, f"{entry.names[0]} of {known.species}"
            return None
        if named and entry.species in self.catalogue.collective:
            return Level.CONTAINS, f"{entry.names[0]} of {known.species}"
        derived = rules["made_from"]
        if known.kind in derived["holds"] and entry.kind not in derived["holds"]:
            return Level.CONTAINS, f"made from {known.species}"
        if entry.kind in rules["as_it_comes"] and known.kind in derived["may_hold"]:
            return Level.MAY, f"made from {known.species}, from whose delivery is not said"
        return None

    def _collective(self, known: CatalogueEntry) -> str:
        """Why a name for many things may stand for it; "" where it may not."""
        rules = data("data/trace")
        table = {**data("data/batch")["categories"], **rules["stands_for"]}
        if known.id in table:
            choice = table[known.id]
            covered = any(is_covered(entry, choice) for entry in self.members)
            return f"{known.names[0]} may stand for it" if covered else ""
        if known.state == "premix":
            held = any(entry.kind in rules["premix_holds"] for entry in self.members)
            return "a premix that lists no members" if held else ""
        if known.species not in self.catalogue.collective:
            return ""
        also = frozenset(rules["also_of"].get(known.species, ()))
        for species, kind in self._sorts:
            above = self.catalogue.lineage(species)
            if known.species not in above[1:] and also.isdisjoint(above):
                continue
            mixes = known.kind in rules["mixing_kinds"] and kind in (
                *rules["as_it_comes"],
                "by-product",
            )
            if known.kind == kind or kind in rules["meat"] or mixes:
                one = known.origin if known.origin in ("animal", "plant") else "source"
                return f"{known.names[0]} names no one {one}"
        return ""

    @cached_property
    def _sorts(self) -> tuple[tuple[str, str], ...]:
        """The animals and plants, each with a kind, that are looked for."""
        return tuple(
            dict.fromkeys((entry.species, entry.kind) for entry in self.members if entry.species)
        )
