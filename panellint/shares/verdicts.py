"""From bounds to verdicts, whichever engine gave the bounds."""

from __future__ import annotations

from collections.abc import Sequence

from panellint.shares.model import Bounds, Condition, ConditionAnswer, Judgement, Proof, Verdict
from panellint.shares.premises import in_order


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
