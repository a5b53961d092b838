"""One ingredient of a mix: what it is, what part of the mix, and what it can hold; and how much of
something a batch holds, with the bases on which that is told."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf

from panellint.catalogue.model import PARTS, CatalogueEntry, Match, Range
from panellint.core.text import name_key, one_line
from panellint.core.units import convert
from panellint.maker.model import BatchLine
from panellint.nutrition.bases import sort_of
from panellint.nutrition.mixture import Box

WATER_KIND = "water"
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
#: Elements that ashing keeps; chlorine goes in part.
_WITHIN_ASH = frozenset({"calcium", "phosphorus", "potassium", "sodium", "magnesium"})


@dataclass(frozen=True, slots=True)
class Component:
    """One ingredient of the mix, premixes looked into. `share` is its part of the mix, 0 to 1.

    `ranges` are in each nutrient's own unit; those named in `own` are the maker's. `inside` are
    the premixes around it. `means` are the averages of the composition tables, where they have
    any. `joined` are the catalogue's ids of what a name joins that is none itself ("peas and
    carrots"). `dried_to` is the moisture to which it is dried, in percent.
    """

    line: BatchLine
    share: Fraction
    match: Match | None
    ranges: Mapping[str, Range]
    own: frozenset[str]
    inside: tuple[str, ...]
    means: Mapping[str, float]
    joined: frozenset[str] = frozenset()
    dried_to: Fraction | None = None

    @property
    def name(self) -> str:
        """As the sheet calls it."""
        return self.line.name

    @property
    def known(self) -> CatalogueEntry | None:
        """The catalogue's entry, or None."""
        return self.match.known if self.match else None

    @property
    def key(self) -> str:
        """What it is compared by: the catalogue's id, else the folded name."""
        return self.match.known.id if self.match else name_key(self.name)

    @property
    def is_inorganic(self) -> bool:
        """True for water and mineral salts, whose protein and fat are next to nothing."""
        return bool(self.match and self.match.known.kind in (WATER_KIND, "mineral"))

    @property
    def is_water(self) -> bool:
        """True for added water."""
        return bool(self.match and self.match.known.kind == WATER_KIND)


def names_of(line: BatchLine) -> tuple[str, ...]:
    """The names by which a line is looked for: its own, that without its brackets ("duck
    (ground with bone)"), and what it is declared as."""
    bare = one_line(_BRACKETS.sub(" ", line.name))
    names = (line.name, bare, line.declared_as, *line.declared_in.values())
    return tuple(dict.fromkeys(name for name in names if name))


def usual_order(name: str, lookup: Callable[[str], Match | None]) -> str:
    """Returns "deboned chicken" for "chicken, deboned" or "chicken deboned", where the catalogue
    lists it the other way round alone; any other name as it is."""
    head, *behind = name.split(" (")
    first, comma, last = head.rpartition("," if "," in head else " ")
    turned = f"{last.strip()} {first.strip()}"
    match, whole = lookup(turned) if first else None, lookup(head) if comma == " " else None
    if match is None or match.how != "listed" or (whole is not None and whole.how == "listed"):
        return name
    return " (".join((turned, *behind))


def most_of(nutrient: str, unit: str, box: Box) -> float:
    """The most of a content without a figure that the six parts leave room for.

    Amino acids are no more than their nitrogen times 6.25 makes crude protein: tyrosine, the
    poorest in nitrogen (7.73 % by formula weight), is 48 % crude protein. Fatty acids lie within
    fat, the major minerals within ash.
    """
    if unit != "%":
        return inf
    sort = sort_of(nutrient)
    if sort == "amino-acid":
        return min(100.0, box.high["protein"] / 0.48)
    if sort == "fatty-acid":
        return box.high["fat"]
    return box.high["ash"] if nutrient in _WITHIN_ASH else 100.0


def ranges_of(line: BatchLine, match: Match | None) -> tuple[dict[str, Range], frozenset[str]]:
    """Own figures, and the catalogue's for the rest; where both cannot be true, the own."""
    own = {n: Range(float(v), float(v)) for n, v in line.analysis.items()}
    listed = {} if match is None else {n: f.range for n, f in match.known.figures.items()}
    rest = {n: r for n, r in listed.items() if n not in own}
    parts = {p: own.get(p) or rest.get(p) or Range(0.0, 100.0) for p in PARTS}
    fits = sum(r.low for r in parts.values()) <= 100 <= sum(r.high for r in parts.values())
    if not fits:
        rest = {n: r for n, r in rest.items() if n not in PARTS}
        total = sum(own[p].low for p in PARTS if p in own)
        if total > 100 or (total < 100 and all(p in own for p in PARTS)):
            # Rounding of a whole analysis: told to 100 by proportion.
            own = {n: Range(r.low * 100 / total, r.high * 100 / total) if n in PARTS else r
                   for n, r in own.items()}  # fmt: skip
    return {**rest, **own}, frozenset(own)


AS_MIXED, FINISHED, REHYDRATED, DRY_MATTER, ENERGY = (
    "as mixed",
    "finished food",
    "rehydrated",
    "dry matter",
    "per 1000 kcal",
)


@dataclass(frozen=True, slots=True)
class BatchContent:
    """How much of something the food holds, in `unit`: least, most, estimate.

    `unknown` names ingredients for which no figure is known; they count from nothing to all
    (`high` is infinite where the unit is no part of the weight), and `middle` leaves them out.
    `literature` is True where any figure is the catalogue's.
    """

    low: float
    high: float
    middle: float
    unit: str
    unknown: tuple[str, ...] = ()
    literature: bool = True

    def times(self, factor: float, unit: str) -> BatchContent:
        """The same content in another unit, of which it holds `factor` times as many."""
        low, high, middle = (factor * end for end in (self.low, self.high, self.middle))
        return replace(self, low=low, high=high, middle=middle, unit=unit)

    def in_unit(self, unit: str) -> BatchContent:
        """The same content in another unit; a content per 1000 kcal stays one.

        Raises ImpossibleFigure where the units are of different things.
        """
        own, other = (name.replace("/1000 kcal", "/kg") for name in (self.unit, unit))
        return self.times(convert(1.0, own, other), unit)
