"""What `outline` answers: what was understood of a label, where it stands, and what the food is."""

from __future__ import annotations

from typing import TypedDict


class Position(TypedDict):
    """A line and a column, both from 1; columns count Unicode code points."""

    line: int
    column: int


class Place(TypedDict):
    """A stretch of text; `end` is exclusive."""

    start: Position
    end: Position


class FormData(TypedDict):
    """The form of the food, and the word that said so."""

    id: str
    how: str
    word: str


class IngredientData(Place):
    """One entry of the declaration. `known_as` is an id of the catalogue; `percent` is the
    printed percentage, its bound exact, min, max or about; `at_most` the cap of its tail."""

    name: str
    known_as: str | None
    kind: str | None
    origin: str | None
    qualifiers: list[str]
    percent: float | None
    percent_bound: str | None
    percent_of: str | None
    partial: bool
    at_most: float | None
    marks: list[str]
    notes: list[str]
    any_of: bool
    component: bool
    members: list[IngredientData]


class Footnote(TypedDict):
    """A footnote with the mark that leads to it."""

    mark: str
    text: str


class GuaranteeData(Place):
    """A guaranteed or declared constituent; `bound` is min, max or declared."""

    nutrient: str
    known: bool
    printed: str
    bound: str
    value: float | None
    unit: str
    basis: str


class AdditiveData(Place):
    """An additive of the EU's heading, with its number and amount where they are printed, or an
    active ingredient with its amount in the unit that `group` names."""

    name: str
    number: str | None
    value: float | None
    unit: str
    group: str


class PromiseData(Place):
    """What the product name promises, by its tier."""

    id: str
    tier: str
    text: str
    named: list[str]
    percent: float | None


class NameData(TypedDict):
    """The product name and its promises."""

    text: str
    promises: list[PromiseData]


class AdequacyStatement(Place):
    """A statement of nutritional adequacy; `route` is how it is supported."""

    route: str
    species: str | None
    stages: list[str]
    large_size: str | None


class AdequacyData(TypedDict, total=False):
    """The first statement, and all of them; empty where there is none."""

    route: str
    species: str | None
    stages: list[str]
    large_size: str | None
    start: Position
    end: Position
    statements: list[AdequacyStatement]


class EnergyFigure(TypedDict):
    """One figure of the calorie line; `grams` is the weight of the unit it is given for."""

    value: float | None
    unit: str
    per: str
    grams: float | None


class EnergyLine(TypedDict, total=False):
    """The calorie line; empty where there is none."""

    method: str | None
    figures: list[EnergyFigure]
    start: Position
    end: Position


class ClaimData(Place):
    """A claim as printed, its class (None where its words are of none), what it owes, and the rules
    that judge such claims."""

    text: str
    kind: str | None
    owes: str | None
    rules: list[str]


class SectionData(Place):
    """A section of the label, with its heading as printed."""

    kind: str
    heading: str


class UnreadData(Place):
    """Words that could not be read; `maybe` are the parts of a label that they may be, by
    evidence, the likeliest first."""

    text: str
    section: str
    maybe: list[str]


class StretchData(Place):
    """What became of a stretch of the text: `fate` is read, prose, set aside or unread; `kind` is
    what was read ("" where nothing was), `section` the kind of the section around it."""

    fate: str
    kind: str
    section: str
    text: str


class FirstEntry(TypedDict):
    """One of the first entries: what it is, and its share in percent of the mix."""

    name: str
    kind: str | None
    origin: str | None
    species: str | None
    low: float | None
    high: float | None


#: A nutrient of the profile: `source` is declared, whole food, unlisted premix or none found;
#: `from` are the names that it comes from. (`from` is no name that a class body may use.)
NutrientSource = TypedDict(
    "NutrientSource", {"nutrient": str, "name": str, "source": str, "from": list[str]}
)


class CatNeed(NutrientSource):
    """What a cat must eat; `not_from` are names that are no source of it to a cat."""

    not_from: list[str]
    note: str


class BinderRole(TypedDict):
    """What a starch or gum does there, and why that is thought."""

    name: str
    does: str
    why: str


class Glance(TypedDict):
    """What is in a food at a glance; `animals` are names by species, "" where none is named.
    `beside_a_diet` is true of a food that need not supply vitamins and minerals."""

    first: list[FirstEntry]
    animals: dict[str, list[str]]
    nutrients: list[NutrientSource]
    palatants: list[str]
    preservatives: list[str]
    binders: list[BinderRole]
    unknown: list[str]
    cat: list[CatNeed]
    beside_a_diet: bool


class Outline(TypedDict):
    """What was understood of a label; `animals` are those that it is for, both where it names
    both; `foods_in_text` the names in a text of several, of which this is the first."""

    path: str
    foods_in_text: list[str]
    market: str
    edition: str
    species: str | None
    animals: list[str]
    stages: list[str]
    form: FormData
    uses: list[str]
    declaration: list[IngredientData]
    footnotes: list[Footnote]
    guarantees: list[GuaranteeData]
    additives: list[AdditiveData]
    actives: list[AdditiveData]
    name: NameData
    glance: Glance
    adequacy: AdequacyData
    energy: EnergyLine
    claims: list[ClaimData]
    sections: list[SectionData]
    unread: list[UnreadData]
    ledger: list[StretchData]
