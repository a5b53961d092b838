"""What can be known of an ingredient: plain types that the catalogue fills and others read."""

from collections.abc import Mapping
from typing import NamedTuple

#: The six parts an ingredient is made of, in percent of its as-added weight. "fibre" is
#: crude fibre and "carbohydrate" is nitrogen-free extract, as guarantees count them;
#: "protein" is N x 6.25.
PARTS = ("moisture", "protein", "fat", "fibre", "ash", "carbohydrate")

#: States of an ingredient that is named without another word.
BARE_STATES = frozenset({"raw", "fresh", "whole", "dry", "fluid"})


class Range(NamedTuple):
    """The least and the most of a nutrient, in its unit, on the as-added basis."""

    low: float
    high: float


#: What an unknown ingredient, or a nutrient that no table gives, may hold of the six parts.
ANYTHING = Range(0.0, 100.0)


class Figure(NamedTuple):
    """A range of one nutrient with where it comes from.

    `unit` is the nutrient's own unit in `rules/nutrients/nutrients.yaml` (percent as added
    for the six parts). `source` names table, edition and item number; `confirmed` is False
    where the figure is from memory.
    """

    range: Range
    unit: str
    source: str
    confirmed: bool = True


class Glycaemic(NamedTuple):
    """A human glycaemic index: `value` with the form that was tested, a proxy for pets."""

    value: float
    form: str
    source: str
    confirmed: bool = True


class Binding(NamedTuple):
    """What a binder does and at which share of the food as fed, in percent."""

    function: str
    forms: tuple[str, ...]
    usual: Range
    source: str
    confirmed: bool = True


class Hazard(NamedTuple):
    """A danger to one species: `level` is error, warning or "do not flag". `also` are the forms
    that it stays with beside those of the substance itself ("oil", "extract")."""

    species: str
    level: str
    what: str
    dose: str
    source: str
    confirmed: bool = True
    also: tuple[str, ...] = ()


class Composition(NamedTuple):
    """What a name states of an ingredient, each "" where it states none: the animal or plant,
    the part of it, the state (raw, dried, broth, meal) and the treatment that led to it
    (freeze-dried)."""

    source: str
    part: str = ""
    state: str = ""
    treatment: str = ""


class CatalogueEntry(NamedTuple):
    """One ingredient of the catalogue.

    `kind` is one of the kinds in `rules/ingredients/kinds.yaml`; `origin` is animal, plant,
    mineral, microbial, synthetic or unknown; `species` the animal or plant it comes from, in
    plain words, or "". `figures` maps nutrient ids to ranges; what is absent is unknown and
    never zero. `supplies` are the nutrient ids that an additive (or a whole food that is
    counted on for it) supplies. `usual` is the customary level in percent as mixed. `classes`
    are what it is a kind of, itself first: its family, its animal or plant and all that these are
    kinds of, up to the kingdom. `composed`: it is not listed, and its ranges are worked out or
    those of its sort of material. `nitrogen` is the crude protein (6.25 x nitrogen) that a gram
    of its nitrogenous part is analysed as, where that is not near one. `kind_of` is the id of the
    listed entry that it is a cut or a kind of, under whose name it may stand (chicken breast:
    chicken), or "". `own_of` is the id of the entry that an ingredient of a user's own is a kind
    of, else "".
    """

    id: str
    names: tuple[str, ...]
    kind: str
    origin: str
    species: str = ""
    family: str = ""
    member: str = ""
    state: str = ""
    figures: Mapping[str, Figure] = {}
    supplies: tuple[str, ...] = ()
    carries: tuple[str, ...] = ()
    glycaemic: tuple[Glycaemic, ...] = ()
    binding: tuple[Binding, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    usual: Range | None = None
    notes: tuple[str, ...] = ()
    classes: tuple[str, ...] = ()
    composed: bool = False
    nitrogen: Range | None = None
    kind_of: str = ""
    own_of: str = ""

    def range_of(self, nutrient: str) -> Range | None:
        """The range of a nutrient in its own unit; None where nothing is known of it."""
        figure = self.figures.get(nutrient)
        return figure.range if figure else None


class Match(NamedTuple):
    """What a printed name was taken for.

    `how` is "listed" (a name of the catalogue), "qualified" (such a name under qualifiers such
    as "organic", kept in `qualifiers`) or "composed" (of a listed source and facts).
    """

    known: CatalogueEntry
    how: str
    qualifiers: tuple[str, ...] = ()
