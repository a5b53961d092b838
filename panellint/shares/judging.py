"""Promises judged jointly: refuted, implied, or open with a formula on either side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import islice, product
from typing import TYPE_CHECKING

from panellint.shares.answers import (
    Bounds,
    Condition,
    ConditionAnswer,
    Judgement,
    Path,
    Proof,
    Verdict,
)
from panellint.shares.guarantees import condition_terms
from panellint.shares.premises import Premise, in_order
from panellint.shares.rows import Row, whole
from panellint.shares.system import FITS, System
from panellint.shares.words import premises_of, say, sentence, told

if TYPE_CHECKING:
    from panellint.shares.formulas import Formulas

#: How many ways to break every alternative at once are tried.
TRIES = 8


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


def judge(formulas: Formulas, alternatives: Sequence[Sequence[Condition]]) -> Judgement:
    """Judge each alternative over all its conditions together, then all of them."""
    found: list[tuple[Verdict, Proof]] = []
    answers: list[ConditionAnswer] = []
    kept: Mapping[Path, float] | None = None
    breakers: list[list[Condition]] = []
    for conditions in alternatives:
        mine = [_answer(formulas, condition) for condition in conditions]
        answers.extend(mine)
        verdict, proof = _alone(mine)
        if verdict is Verdict.OPEN and formulas.consistent and mine:
            system = _system(formulas, conditions)
            extra = [row for c in conditions if (row := _row(system, c, negated=False))]
            solution, certificate = system.misfit(extra)
            if certificate:
                rows = (*system.rows, *extra)
                verdict = Verdict.REFUTED
                proof = _joint(formulas, [rows[r] for r in certificate.rows])
            elif kept is None and solution.point and solution.value <= FITS:
                kept = _formula(formulas, system, solution.point)
        found.append((verdict, proof))
        if verdict is not Verdict.REFUTED:
            breakers.append([a.condition for a in mine if a.verdict is not Verdict.IMPLIED])
    judgement = combined(found, answers)
    if judgement.verdict is not Verdict.OPEN or not formulas.consistent:
        return judgement
    broken = _breaking(formulas, breakers)
    return Judgement(Verdict.OPEN, judgement.conditions, Proof(), kept, broken)


def _answer(formulas: Formulas, condition: Condition) -> ConditionAnswer:
    bounds = formulas.bounds(condition.weights, condition.base)
    return ConditionAnswer(condition, bounds, verdict_of(condition, bounds))


def _alone(answers: Sequence[ConditionAnswer]) -> tuple[Verdict, Proof]:
    """What the conditions say one by one: one refuted refutes all."""
    for answer in answers:
        if answer.verdict is Verdict.REFUTED:
            return Verdict.REFUTED, deciding(answer)
    if all(answer.verdict is Verdict.IMPLIED for answer in answers):
        return Verdict.IMPLIED, joined([deciding(answer) for answer in answers])
    return Verdict.OPEN, Proof()


def _system(formulas: Formulas, conditions: Sequence[Condition]) -> System:
    """The columns that the bases of all conditions need."""
    systems = [formulas.system(condition.base) for condition in conditions]
    return max(systems, key=lambda system: system.columns.count)


def _row(system: System, condition: Condition, *, negated: bool) -> Row | None:
    terms = condition_terms(system.columns, condition)
    if negated:
        terms = {column: -value for column, value in terms.items()}
    side = "at most" if condition.at_most else "at least"
    words = (
        f"the promise needs {condition.of} to be {side} {say(float(condition.needs))} % "
        f"of the {condition.base.words}"
    )
    return whole(terms, Premise.NAME, words, "condition")


def _joint(formulas: Formulas, rows: Sequence[Row]) -> Proof:
    label = [row for row in rows if row.kind != "condition"]
    needed = [sentence(row.words) for row in rows if row.kind == "condition"]
    said = [words for _, words in told(label, formulas.tree)]
    ending = "These cannot all hold, though each may by itself."
    return Proof((*said, *needed, ending), premises_of(label))


def _formula(formulas: Formulas, system: System, point: Sequence[float]) -> dict[Path, float]:
    """A point as shares in percent of the mix, by leaf path."""
    weights = {
        leaf.path: sum(max(point[c], 0.0) for c in system.columns.of_leaf[leaf.index].values())
        for leaf in formulas.tree.leaves
    }
    total = sum(weights.values())
    return {path: 100 * weight / total for path, weight in weights.items()} if total else {}


def _breaking(
    formulas: Formulas, breakers: Sequence[Sequence[Condition]]
) -> Mapping[Path, float] | None:
    """A formula that breaks one condition of every alternative that is not refuted."""
    if not breakers:
        return None
    for choice in islice(product(*breakers), TRIES):
        system = _system(formulas, choice)
        extra = [row for c in choice if (row := _row(system, c, negated=True))]
        solution, certificate = system.misfit(extra)
        if certificate is None and solution.point and solution.value <= FITS:
            return _formula(formulas, system, solution.point)
    return None
