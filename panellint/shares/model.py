"""What can be asked of the formulas that fit a label, and the answers, as plain data; and verdicts
put together from answers.

Two engines give these answers: `order` (no solver, exact, at times wider) and `formulas`
(linear programs with certified bounds). Checks ask one object and need not know which.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple, Protocol, TypeAlias

from panellint.shares.premises import Premise, in_order

Path: TypeAlias = tuple[int, ...]
Number: TypeAlias = int | float | Fraction
Weights: TypeAlias = Mapping[Path, Number]


class Base(StrEnum):
    """What a share is a share of.

    MIX: all ingredients as mixed. MIX_WITHOUT_WATER: the same, without water that is declared
    as such (broth and gravy stay in). FOOD: the finished food, after processing took out or
    added water. DRY_MATTER: everything in the food but water. LISTED: all ingredients by whatever
    weight the list counts; the mix, where that is the weight as mixed.
    """

    MIX = "mix"
    MIX_WITHOUT_WATER = "without processing water"
    FOOD = "finished food"
    DRY_MATTER = "dry matter"
    LISTED = "food as listed"

    @property
    def words(self) -> str:
        """In a sentence: "so much of the ..."."""
        return f"mix {self}" if self is Base.MIX_WITHOUT_WATER else str(self)


class Verdict(StrEnum):
    """REFUTED: no formula does; IMPLIED: every formula does; OPEN: some do, or unknown."""

    REFUTED = "refuted"
    IMPLIED = "implied"
    OPEN = "open"


class Proof(NamedTuple):
    """Why something holds, in sentences that a reader can check with a pencil.

    `exact` is True where the multipliers are simple fractions and the figure is sharp to the
    last digit; otherwise the figure is safe and may be wider by a hair.
    """

    sentences: tuple[str, ...] = ()
    rests_on: tuple[Premise, ...] = ()
    exact: bool = True


def no_proof() -> Proof:
    """What holds of anything needs none."""
    return Proof()


class Bounds:
    """The least and the most of something, in percent of its base unless said otherwise.

    Every formula that fits the label lies inside. `sure` is False where the solver gave no
    answer and the bounds are only those that hold of anything. Proofs are put into words when
    first asked for.
    """

    def __init__(
        self,
        low: float,
        high: float,
        low_words: Callable[[], Proof] = no_proof,
        high_words: Callable[[], Proof] = no_proof,
        sure: bool = True,
    ) -> None:
        self.low = low
        self.high = high
        self.sure = sure
        self._low_words = low_words
        self._high_words = high_words

    @cached_property
    def low_proof(self) -> Proof:
        """Why it is no less."""
        return self._low_words()

    @cached_property
    def high_proof(self) -> Proof:
        """Why it is no more."""
        return self._high_words()

    @property
    def rests_on(self) -> tuple[Premise, ...]:
        """The premises behind either end."""
        return in_order((*self.low_proof.rests_on, *self.high_proof.rests_on))

    @classmethod
    def between(cls, low: Bounds, high: Bounds) -> Bounds:
        """The low end of one and the high end of the other, each with its proof."""
        sure = low.sure and high.sure
        return cls(low.low, high.high, lambda: low.low_proof, lambda: high.high_proof, sure)

    def __repr__(self) -> str:
        return f"Bounds({self.low!r}, {self.high!r}, sure={self.sure})"


class Condition(NamedTuple):
    """The weighted sum of shares is at least (or at most) `needs` percent of the base.

    `weights` maps paths of ingredients or groups to factors; `of` says in plain words what
    they are together ("together", "duck").
    """

    weights: Weights
    needs: Number
    base: Base = Base.MIX
    of: str = "together"
    at_most: bool = False


class ConditionAnswer(NamedTuple):
    """One condition by itself: the least and the most of it, and its own verdict."""

    condition: Condition
    bounds: Bounds
    verdict: Verdict


class Judgement(NamedTuple):
    """A promise judged jointly over its conditions.

    `proof` is why it is refuted or implied. Where it is open, `kept` and `broken` are a formula
    on either side (percent of the mix by leaf path), where one was found.
    """

    verdict: Verdict
    conditions: tuple[ConditionAnswer, ...]
    proof: Proof = Proof()
    kept: Mapping[Path, float] | None = None
    broken: Mapping[Path, float] | None = None


class ClashLine(NamedTuple):
    """One of the statements that cannot all be true."""

    premise: Premise
    words: str


class ShareAnswers(Protocol):
    """What a check may ask, whichever engine answers."""

    @property
    def consistent(self) -> bool:
        """False where it is proven that no formula fits the label."""

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: statements that cannot all be true."""

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The least and the most of a weighted sum of shares, in percent of the base."""

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full."""


class PromiseAnswers(ShareAnswers, Protocol):
    """What checks ask: share answers that also look for a proof that a promise is not kept."""

    def refuted(self, *alternatives: Sequence[Condition]) -> Judgement | None:
        """The judgement where no formula meets any of the alternatives; None where one may."""


def verdict_of(condition: Condition, bounds: Bounds) -> Verdict:
    """What the bounds of one condition say of it."""
    if not bounds.sure:
        return Verdict.OPEN
    needs = condition.needs
    if condition.at_most:
        if bounds.low > needs:
            return Verdict.REFUTED
        return Verdict.IMPLIED if bounds.high <= needs else Verdict.OPEN
    if bounds.high < needs:
        return Verdict.REFUTED
    return Verdict.IMPLIED if bounds.low >= needs else Verdict.OPEN


def answered(asked: ShareAnswers, condition: Condition) -> ConditionAnswer:
    """One condition by itself."""
    bounds = asked.bounds(condition.weights, condition.base)
    return ConditionAnswer(condition, bounds, verdict_of(condition, bounds))


def deciding(answer: ConditionAnswer) -> Proof:
    """The proof of the end that decides a condition."""
    upper = (answer.verdict is Verdict.REFUTED) != answer.condition.at_most
    return answer.bounds.high_proof if upper else answer.bounds.low_proof


def joined(proofs: Sequence[Proof]) -> Proof:
    """Several proofs as one, no sentence twice."""
    if len(proofs) == 1:
        return proofs[0]
    sentences = tuple(dict.fromkeys(s for proof in proofs for s in proof.sentences))
    rests = in_order(premise for proof in proofs for premise in proof.rests_on)
    return Proof(sentences, rests, all(proof.exact for proof in proofs))


def combined(
    alternatives: Sequence[tuple[Verdict, Proof]], answers: Sequence[ConditionAnswer]
) -> Judgement:
    """The verdict over alternatives: one that is implied is enough, all must be refuted."""
    for verdict, proof in alternatives:
        if verdict is Verdict.IMPLIED:
            return Judgement(verdict, tuple(answers), proof)
    if alternatives and all(verdict is Verdict.REFUTED for verdict, _ in alternatives):
        return Judgement(
            Verdict.REFUTED, tuple(answers), joined([proof for _, proof in alternatives])
        )
    return Judgement(Verdict.OPEN, tuple(answers))


def alone(answers: Sequence[ConditionAnswer]) -> tuple[Verdict, Proof]:
    """What the conditions say one by one: one refuted refutes all."""
    for answer in answers:
        if answer.verdict is Verdict.REFUTED:
            return Verdict.REFUTED, deciding(answer)
    if all(answer.verdict is Verdict.IMPLIED for answer in answers):
        return Verdict.IMPLIED, joined([deciding(answer) for answer in answers])
    return Verdict.OPEN, Proof()


def goes_by_order(proof: Proof) -> bool:
    """Whether a proof needs more of the list than its percentages."""
    return not {Premise.ORDER, Premise.GROUPS}.isdisjoint(proof.rests_on)


def by_one_reading(judgement: Judgement, words: str) -> Judgement:
    """A judgement that holds under one reading of the list, which `words` name: no proof."""
    proof = judgement.proof
    rests_on = in_order((*proof.rests_on, Premise.READING))
    return judgement._replace(proof=Proof((*proof.sentences, words), rests_on, proof.exact))
