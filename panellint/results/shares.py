"""What `shares` answers, and the ranges of what is likely."""

from collections.abc import Mapping
from typing import TypedDict


class LikelyRange(TypedDict):
    """Of so many foods of a hundred with such a label, all lie from `low` to `high`; half lie
    below `middle`."""

    low: float
    middle: float
    high: float
    of: int


class LikelyPromise(TypedDict):
    """The part of the foods with such a label that keep a promise of the name, 0 to 1."""

    kept: float


class LikelyPart(TypedDict):
    """A part of the food in percent as fed, in percent of dry matter, and in percent of the
    metabolisable energy (modified Atwater; None for what has no energy)."""

    as_fed: LikelyRange | None
    dry_matter: LikelyRange | None
    energy_share: LikelyRange | None


class HelpfulQuestion(TypedDict):
    """What a maker could say, by what part of its width (0 to 1) that would narrow the likely
    range of a `part` on a `basis`, and how wide it would then be, in points."""

    ask: str
    narrows: float
    to: float
    part: str
    basis: str


class ClashLine(TypedDict):
    """One of the things that cannot all be true, and the premise it comes from."""

    premise: str
    words: str


class Proofs(TypedDict):
    """The sentences that show the least and the most."""

    low: list[str]
    high: list[str]


class RankData(TypedDict):
    """The best and the worst place in a list of so many."""

    best: int
    worst: int
    of: int


class DeclaredShare(TypedDict):
    """What a printed percentage stands for: percent of the food as declared."""

    low: float
    high: float


class ShareData(TypedDict):
    """Least, most and estimate of one ingredient, percent of the mix; `path` leads to it through
    the groups, `declared` is its printed part of the food."""

    name: str
    path: list[int]
    group: str | None
    rest: bool
    listed: bool
    low: float
    high: float
    declared: DeclaredShare | None
    estimate: float | None
    likely: LikelyRange | None
    rests_on: list[str]
    proof: Proofs
    rank_without_water: RankData | None


class FamilyData(TypedDict):
    """Ingredients of one family that are declared apart, as if they were declared as one."""

    family: str
    members: list[str]
    low: float
    high: float
    likely: LikelyRange | None
    rank_as_one: RankData


class ConditionData(TypedDict):
    """One condition of a promise (percent of `base`) beside what the label allows."""

    of: str
    base: str
    needs: float
    bound: str
    low: float
    high: float
    verdict: str


class ExampleData(TypedDict):
    """An ingredient's part (percent of the mix) of a formula that keeps a promise, and of one that
    breaks it; None where no such formula was looked for or found."""

    name: str
    path: list[int]
    kept: float | None
    broken: float | None


class JudgedPromise(TypedDict):
    """A promise of the name: refuted, implied or open, with the rule that asks for it; of an open
    one, formulas on either side as `examples`."""

    id: str
    text: str
    tier: str
    named: list[str]
    rule: str
    verdict: str
    likely: LikelyPromise | None
    rests_on: list[str]
    proof: list[str]
    conditions: list[ConditionData]
    examples: list[ExampleData]


class Shares(TypedDict):
    """What a label proves of the shares; where no formula fits, `clash` says why."""

    path: str
    foods_in_text: list[str]
    premises: list[str]
    premises_left_out: list[str]
    consistent: bool
    clash: list[ClashLine]
    ingredients: list[ShareData]
    families: list[FamilyData]
    promises: list[JudgedPromise]
    origins: Mapping[str, LikelyRange | None]
    order_in_doubt: bool
    notes: list[str]


class CertifiedColumn(TypedDict):
    """An unknown weight: a part of the leaf of that number (None: water taken up)."""

    leaf: int | None
    ingredient: str
    part: str
    water: bool


class CertifiedRow(TypedDict):
    """A sum of weights, by column, that is not below nothing."""

    premises: list[str]
    words: str
    values: dict[str, str]


class CertifiedCondition(TypedDict):
    """A promise's condition: leaves with factors against percent of a base."""

    weights: dict[str, str]
    base: str
    needs: str
    bound: str
    multiplier: str


class Claim(TypedDict):
    """`objective` (by leaf), rows and conditions, each times its multiplier, come in no column to
    more than `bound` times the column's part of the mix."""

    kind: str
    of: str
    objective: dict[str, str]
    bound: str
    rows: dict[str, str]
    conditions: list[CertifiedCondition]


class Certificate(TypedDict):
    """The proofs of one label. Kinds of claims: least, most, refuted, implied, no formula fits."""

    path: str
    premises: list[str]
    columns: list[CertifiedColumn]
    rows: dict[str, CertifiedRow]
    claims: list[Claim]
    verdicts: dict[str, str]
