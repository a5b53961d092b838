"""What `shares --format certificate` answers: every proof as numbers that anyone can add up.

All numbers that a proof rests on are fractions in words, such as "1/3".
"""

from __future__ import annotations

from typing import TypedDict


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
