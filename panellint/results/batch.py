"""What the commands on batch sheets answer: `reconcile`, `declare`, `reformulate`."""

from __future__ import annotations

from typing import TypedDict

from panellint.results.findings import FindingData, Linted


class HeadingRead(TypedDict):
    """A heading of the sheet, and what it was taken for."""

    printed: str
    taken_for: str | None
    unit: str | None


class RemarkData(TypedDict):
    """What is doubtful in a sheet, with its place; rows and columns count from 1."""

    sheet: str
    row: int
    column: int
    message: str


class WeighedPart(TypedDict):
    """A component of the batch, percent of the mix."""

    name: str
    percent: float
    inside: list[str]


class MatchedEntry(TypedDict):
    """An entry of the declaration, and the weighed ingredients that it stands for."""

    entry: str
    path: list[int]
    ingredients: list[WeighedPart]


class SheetRead(TypedDict):
    """How a sheet was read; `worksheet` is its name in a workbook."""

    path: str
    worksheet: str | None
    headings: list[HeadingRead]
    remarks: list[RemarkData]


class SheetData(SheetRead):
    """How a sheet was read and matched; `water` says where the finished moisture is from."""

    matched: list[MatchedEntry]
    water: str | None
    balance: MassBalance | None


MassBalance = TypedDict(
    "MassBalance",
    {
        "mix": float,
        "water_in": float,
        "dry_matter": float,
        "water_out": float,
        "fat_out": float,
        "food": float,
        "moisture": float,
        "from": str,
    },
)
"""What goes in, what leaves and what is left, by estimate, in kg per 100 kg of the mix; moisture in
percent of the food, and what the finished weight is from."""


class ContentData(TypedDict):
    """A content with its range by the tables; `unknown` are ingredients without a figure."""

    low: float | None
    high: float | None
    estimate: float | None
    unit: str
    unknown: list[str]


class EnergyContent(ContentData):
    """The energy, and the method it is worked out by."""

    method: str


class BatchAnalysis(TypedDict, total=False):
    """The six parts on every basis that the sheet allows, and the energy as fed."""

    finished_food: dict[str, ContentData]
    rehydrated: dict[str, ContentData]
    dry_matter: dict[str, ContentData]
    per_1000_kcal: dict[str, ContentData]
    energy: EnergyContent


class ToleranceData(TypedDict):
    """How far the measured value may lie below and above, in the guarantee's unit."""

    below: float | None
    above: float | None
    source: str


class ComparedGuarantee(TypedDict):
    """A guarantee beside what the batch comes to."""

    nutrient: str | None
    printed: str
    bound: str
    value: float
    unit: str
    basis: str
    computed: ContentData
    tolerance: ToleranceData
    margin: float | None
    verdict: str


class ProfileLimit(ContentData):
    """A limit of the profile beside what the batch comes to, in the limit's unit."""

    nutrient: str
    side: str
    limit: float
    verdict: str
    confirmed: bool


class BatchAdequacy(TypedDict):
    """The nutrient profile, limit by limit."""

    profile: str
    stage: str
    basis: str
    limits: list[ProfileLimit]


class BatchData(TypedDict):
    """What a batch comes to; `unknown` are ingredients of which nothing is known."""

    sheet: SheetData
    analysis: BatchAnalysis
    unknown: list[str]
    guarantees: list[ComparedGuarantee]
    adequacy: BatchAdequacy | None


class Reconciliation(Linted):
    """The findings of a label against its batch sheet, and what the batch comes to."""

    batch: BatchData


class EarnedName(TypedDict):
    """A name that was tried, and whether the formula earns it."""

    named: list[str]
    tier: str
    name: str
    earned: bool
    why: str | None
    rule: str | None


class Declaration(TypedDict):
    """The panel file that a batch sheet supports, and what `lint` finds in it."""

    panel: str
    names: list[EarnedName]
    notes: list[str]
    caution: str
    analysis: BatchAnalysis
    sheet: SheetData
    lint: list[FindingData]


class CostChange(TypedDict):
    """The cost of a kg of the mix; None where an ingredient has none."""

    before: float | None
    after: float | None


class NewShare(TypedDict):
    """A line of the sheet: percent of the mix before and after, and the new weight where the
    sheet has weights."""

    name: str
    before: float
    after: float
    kilograms: float | None
    row: int


class LabelSide(TypedDict):
    """A formula as its label would stand: the names it earns, the order of the declaration, the
    guarantees, and what it does not bear of the name and claims that the sheet states."""

    names: list[str]
    declaration: list[str]
    guarantees: list[str]
    claims_lost: list[str]


class LimitCost(TypedDict):
    """A limit that stands against the goal, and how much of what is missing a point more of it
    would make good, in percent."""

    limit: str
    percent: float


class UnknownContent(TypedDict):
    """A target, and the ingredients without a figure for it."""

    target: str
    ingredients: list[str]


class Reformulation(TypedDict, total=False):
    """The least change of weights that reaches the targets, in percentage points; `sheet` is the
    batch sheet with the new weights, as CSV; `goal` says whether change or cost was least, `kept`
    what holds today and had to go on holding, `bound_by` the limits at which a line now stands,
    `before` and `after` how the label stands. Where there is none, `possible` is False, `clash`
    says what cannot all be had, `nearest` how near it comes and `limits_cost` what each limit
    costs."""

    path: str
    read: SheetRead
    possible: bool
    targets: list[str]
    clash: list[str]
    certified: bool
    caution: str
    nearest: list[str]
    limits_cost: list[LimitCost]
    kept: list[str]
    bound_by: list[str]
    before: LabelSide | None
    after: LabelSide | None
    balance: MassBalance | None
    goal: str
    change: float
    least_change: float | None
    least_cost: float | None
    gone: list[str]
    cost_per_kg: CostChange
    without_cost: list[str]
    sheet: str
    unknown: list[UnknownContent]
    ingredients: list[NewShare]
