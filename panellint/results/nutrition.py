"""What `nutrition` answers: a food on every basis, its energy, and the profile beside it."""

from typing import TypeAlias, TypedDict

from panellint.results.shares import HelpfulQuestion, LikelyPart

#: Protein, fat, fibre, moisture, ash and carbohydrate, or those of them that a basis has.
Parts: TypeAlias = dict[str, float | None]


class FormRead(TypedDict):
    """The form of the food and how it is known; `moisture_class` is dry, semi-moist or wet."""

    id: str
    how: str
    moisture_class: str | None


class PrintedLimit(TypedDict):
    """What the label prints of a nutrient, in its unit."""

    bound: str
    low: float | None
    high: float | None
    unit: str


class BasesData(TypedDict):
    """The parts: percent as fed, percent of the dry matter, g per 1000 kcal."""

    as_fed: Parts
    dry_matter: Parts
    per_1000_kcal: Parts


class RangeData(TypedDict):
    """How wide a figure can be, and what that rests on; None is without limit."""

    low: float | None
    high: float | None
    rests_on: list[str]


class MethodEnergy(TypedDict):
    """The energy by one method, with its source."""

    method: str
    kcal_per_kg: float | None
    source: str


class EnergyFromMinima(TypedDict):
    """The energy as practice expects it from guaranteed minima."""

    kcal_per_kg: float | None
    factor: float
    practice: bool


class LabelEnergy(TypedDict):
    """The label's own energy beside the computed one; `possible` is whether any food within the
    guarantees has it."""

    kcal_per_kg: float
    method: str | None
    difference: float
    difference_percent: float
    possible: bool | None


class EnergyData(TypedDict):
    """The computed energy; `shares` are percent of it, `steps` those of the method."""

    kcal_per_kg: float | None
    method: str
    source: str
    shares: Parts
    by_method: list[MethodEnergy]
    from_minima: EnergyFromMinima | None
    steps: Parts | None
    label: LabelEnergy | None


class CarbohydrateTarget(TypedDict):
    """A target of the trade, and where the food stands: below, within or above; None where the
    label does not tell."""

    low: float
    high: float
    practice: bool
    says: str
    of_energy: str | None
    of_dry_matter: str | None


class Study(TypedDict):
    """What animals chose or were fed in a study, percent of the energy."""

    what: str
    protein: float | None
    fat: float | None
    carbohydrate: float | None
    source: str
    confirmed: bool


class CarbohydrateData(TypedDict):
    """Carbohydrate beside practice and research."""

    energy_share: float | None
    dry_matter: float | None
    target: CarbohydrateTarget | None
    research: list[Study]
    research_says: str
    requirement: str
    requirement_source: str


class JudgementData(TypedDict):
    """A limit of the profile beside the label's figure; `verdict` is meets, misses or open."""

    nutrient: str
    side: str
    verdict: str
    proven: bool
    value: float | None
    limit: float
    outside_percent: float | None
    unit: str
    basis: str
    bound: str
    legal: bool
    source: str
    confirmed: bool
    notes: list[str]


class ProfileData(TypedDict):
    """The nutrient profile and what the label lets one say of it."""

    authority: str
    edition: str
    title: str
    species: str
    stage: str
    columns: list[str]
    basis: str
    kcal_per_kg_dry_matter: float | None
    presumed: float
    corrected_by: float
    judged: list[JudgementData]
    not_judged: list[str]
    notes: list[str]


class PreparedFood(TypedDict):
    """The food in the bowl, with water as the label says."""

    water_per_weight: float
    as_fed: Parts
    kcal_per_kg: float | None
    energy_method: str | None


class NotComputed(TypedDict):
    """What cannot be worked out, and why."""

    what: str
    because: str
    names: list[str]


class Assessed(TypedDict):
    """A food's figures on every basis."""

    ash_assumed: bool
    moisture_assumed: bool
    form: FormRead
    species: str | None
    stages: list[str]
    market: str
    printed: dict[str, PrintedLimit]
    bases: BasesData
    ranges: dict[str, list[RangeData]]
    energy: EnergyData | None
    carbohydrate: CarbohydrateData
    calcium_phosphorus: Parts | None
    profile: ProfileData | None
    prepared: PreparedFood | None
    not_computed: list[NotComputed]
    notes: list[str]


class Nutrition(Assessed):
    """The same with the label's path and product name, and the foods of a text of several."""

    path: str
    foods_in_text: list[str]
    name: str | None
    likely: dict[str, LikelyPart]
    questions: list[HelpfulQuestion]
