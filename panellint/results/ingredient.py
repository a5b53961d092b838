"""What `ingredient` answers."""

from typing import TypedDict


class LowAndHigh(TypedDict):
    """The least and the most, percent of the mix."""

    low: float
    high: float


class FigureData(LowAndHigh):
    """A nutrient's range, in `unit` as added, with its source."""

    unit: str
    source: str
    confirmed: bool


class GlycaemicData(TypedDict):
    """A glycaemic index measured in people, with the form that was tested."""

    value: float
    form: str
    source: str
    confirmed: bool


class BindingData(TypedDict):
    """What a binder does in which forms, and its usual share of the food as fed, percent."""

    function: str
    forms: list[str]
    usual: LowAndHigh
    source: str
    confirmed: bool


class HazardData(TypedDict):
    """A danger to one species."""

    species: str
    level: str
    what: str
    dose: str
    source: str
    confirmed: bool
    also: list[str]


class CompositionData(TypedDict):
    """What a name states of an ingredient; None where it states nothing."""

    source: str | None
    part: str | None
    state: str | None
    treatment: str | None


class IngredientEntry(TypedDict):
    """What the catalogue knows of an ingredient, and how the name led to it."""

    name: str
    known_as: str
    how: str
    qualifiers: list[str]
    names: list[str]
    kind: str
    origin: str
    species: str
    family: str
    state: str
    composed_of: CompositionData | None
    kind_of: list[str]
    usual: LowAndHigh | None
    figures: dict[str, FigureData]
    supplies: list[str]
    carries: list[str]
    glycaemic: list[GlycaemicData]
    binding: list[BindingData]
    hazards: list[HazardData]
    notes: list[str]
