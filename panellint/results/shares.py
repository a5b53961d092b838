"""What `shares` answers: percent of the mix, all ingredients as they are put in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict

from panellint.results.likely import LikelyPromise, LikelyRange


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


class ShareData(TypedDict):
    """Least, most and estimate of one ingredient; `path` leads to it through the groups."""

    name: str
    path: list[int]
    group: str | None
    rest: bool
    listed: bool
    low: float
    high: float
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


class JudgedPromise(TypedDict):
    """A promise of the name: refuted, implied or open, with the rule that asks for it."""

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


class Shares(TypedDict):
    """What a label proves of the shares; where no formula fits, `clash` says why."""

    path: str
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
