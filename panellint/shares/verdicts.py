"""From bounds to verdicts, whichever engine gave the bounds."""

from collections.abc import Sequence

from panellint.shares.model import (
    Bounds,
    Condition,
    ConditionAnswer,
    Judgement,
    Proof,
    ShareAnswers,
    Verdict,
)
from panellint.shares.premises import Premise, in_order


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
