"""Promises judged jointly: refuted, implied, or open with a formula on either side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from itertools import islice, product
from typing import TYPE_CHECKING

from panellint.core.lp import Status
from panellint.shares.explain import condition_words, premises_of, sentence, sentences_of
from panellint.shares.model import (
    Condition,
    ConditionAnswer,
    Judgement,
    Path,
    Proof,
    Verdict,
    alone,
    answered,
    combined,
)
from panellint.shares.premises import Premise
from panellint.shares.solver.constraints import Columns, Constraint, not_negative, times
from panellint.shares.solver.guarantees import condition_terms
from panellint.shares.solver.problem import FITS, System

if TYPE_CHECKING:
    from panellint.shares.solver.formula_set import Formulas

#: How many ways to break every alternative at once are tried.
TRIES = 8


def judge(formulas: Formulas, alternatives: Sequence[Sequence[Condition]]) -> Judgement:
    """Judge each alternative over all its conditions together, then all of them."""
    verdicts: list[tuple[Verdict, Proof]] = []
    answers: list[ConditionAnswer] = []
    kept: Mapping[Path, float] | None = None
    breakers: list[list[Condition]] = []
    for conditions in alternatives:
        mine = [answered(formulas, condition) for condition in conditions]
        answers.extend(mine)
        verdict, proof = alone(mine)
        if verdict is Verdict.OPEN and formulas.consistent and mine:
            system = _system(formulas, conditions)
            extra = condition_rows(system.columns, conditions)
            solution, certificate = system.misfit(extra)
            if certificate:
                rows = (*system.constraints, *extra)
                verdict = Verdict.REFUTED
                proof = _joint(formulas, [rows[r] for r in certificate.used])
            elif kept is None and solution.point and solution.value >= -FITS:
                kept = _formula(formulas, system, solution.point)
        verdicts.append((verdict, proof))
        if verdict is not Verdict.REFUTED:
            breakers.append([a.condition for a in mine if a.verdict is not Verdict.IMPLIED])
    judgement = combined(verdicts, answers)
    if judgement.verdict is not Verdict.OPEN or not formulas.consistent:
        return judgement
    broken = _breaking(formulas, breakers)
    return Judgement(Verdict.OPEN, judgement.conditions, Proof(), kept, broken)


def refuted(formulas: Formulas, alternatives: Sequence[Sequence[Condition]]) -> Judgement | None:
    """The judgement where no formula meets any of the alternatives; None where one may, which
    one solution of each alternative shows."""
    if any(_may_hold(formulas, conditions) for conditions in alternatives):
        return None
    judgement = judge(formulas, alternatives)
    return judgement if judgement.verdict is Verdict.REFUTED else None


def _may_hold(formulas: Formulas, conditions: Sequence[Condition]) -> bool:
    system = _system(formulas, conditions)
    if len(conditions) == 1:
        solution = system.solved(condition_terms(system.columns, conditions[0]))
        holds = solution.value >= -FITS
    else:
        solution = system.solved_with(condition_rows(system.columns, conditions))
        holds = True
    # Where nothing fits the label at all, nothing is said of a promise.
    return (holds and solution.status is Status.OPTIMAL) or not formulas.consistent


def _system(formulas: Formulas, conditions: Sequence[Condition]) -> System:
    """The columns that the bases of all conditions need."""
    systems = [formulas.system(condition.base) for condition in conditions]
    return max(systems, key=lambda system: system.columns.count)


def condition_rows(
    columns: Columns, conditions: Iterable[Condition], *, negated: bool = False
) -> list[Constraint]:
    """The rows of conditions, or of what breaks them."""
    constraints: list[Constraint] = []
    for condition in conditions:
        terms = condition_terms(columns, condition)
        if negated:
            terms = times(terms, -1)
        reason = partial(condition_words, condition)
        constraints += not_negative(terms, Premise.NAME, reason, "condition")
    return constraints


def _joint(formulas: Formulas, rows: Sequence[Constraint]) -> Proof:
    label = [row for row in rows if row.kind != "condition"]
    needed = [sentence(row.words) for row in rows if row.kind == "condition"]
    sentences = [words for _, words in sentences_of(label, formulas.tree)]
    ending = "These cannot all hold, though each may by itself."
    return Proof((*sentences, *needed, ending), premises_of(label))


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
        extra = condition_rows(system.columns, choice, negated=True)
        solution, certificate = system.misfit(extra)
        if certificate is None and solution.point and solution.value >= -FITS:
            return _formula(formulas, system, solution.point)
    return None
