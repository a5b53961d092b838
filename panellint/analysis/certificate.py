"""The proofs of a label's shares as numbers alone, for a checker that trusts nothing of this.

Unknown are the weights of the columns, none below nothing. Each row is a sum of them that is not
below nothing, by what the label states. A claim holds because its objective and the rows, each
times its multiplier, come in no column to more than `bound` times that column's part of the mix.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import chain

from panellint.results.shares import Certificate, CertifiedRow, Claim
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.solver.certificate import Certified
from panellint.shares.solver.constraints import Constraint, times
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.solver.guarantees import condition_terms
from panellint.shares.solver.judging import condition_rows
from panellint.shares.solver.problem import System
from panellint.shares.tree import Leaf


def certificate(
    path: str, formulas: Formulas, promises: Mapping[str, Sequence[Sequence[Condition]]]
) -> Certificate:
    """Returns every bound of an ingredient, and every verdict, with rows and multipliers.

    `promises` are those of the name by id, each with the sets of conditions of which one must be
    met. Numbers that a proof rests on are fractions in words ("1/3"), so that nothing is rounded.
    """
    system, tree = formulas.system(whole=True), formulas.tree
    claims: list[Claim] = []
    verdicts: dict[str, str] = {}
    if formulas.consistent:
        claims += chain.from_iterable(_bounds(system, leaf) for leaf in tree.leaves)
        for promise, sets in promises.items():
            verdict = formulas.judge(*sets).verdict
            verdicts[promise] = str(verdict)
            claims += _verdict(formulas, system, promise, sets, verdict)
    else:
        claims += _refuted("no formula fits", "", system, ())
    return {
        "path": path,
        "premises": [str(premise) for premise in formulas.premises],
        "columns": [
            {
                "leaf": leaf,
                "ingredient": "" if leaf is None else tree.leaves[leaf].name,
                "part": part,
                "water": leaf in tree.water,
            }
            for leaf, part in system.columns.names
        ],
        "rows": {
            str(row): _row(system.constraints[row])
            for row in sorted({int(row) for claim in claims for row in claim["rows"]})
        },
        "claims": claims,
        "verdicts": verdicts,
    }


def _row(row: Constraint) -> CertifiedRow:
    values = zip(map(str, row.columns), map(str, row.values), strict=True)
    premises = [str(premise) for premise in row.premises]
    return {"premises": premises, "words": row.words, "values": dict(values)}


def _bounds(system: System, leaf: Leaf) -> Iterator[Claim]:
    for kind, sign in (("least", -1), ("most", 1)):
        cost = system.columns.weight((leaf.index,), sign)
        certified = system.most(cost, Base.MIX).bound
        if certified is not None:
            certified = system.simpler(cost, Base.MIX, certified)
            yield _claim(kind, leaf.name, system, certified, {str(leaf.index): str(sign)})


def _verdict(
    formulas: Formulas,
    system: System,
    promise: str,
    sets: Sequence[Sequence[Condition]],
    verdict: Verdict,
) -> Iterator[Claim]:
    """Yields what refutes each set of conditions, or what implies each condition of one of them."""
    if verdict is Verdict.REFUTED:
        for conditions in sets:
            yield from _refuted("refuted", promise, system, conditions)
    elif verdict is Verdict.IMPLIED:
        kept = next(each for each in sets if formulas.judge(each).verdict is verdict)
        for condition in kept:
            terms = times(condition_terms(system.columns, condition), -1)
            certified = system.most(terms, Base.MIX).bound
            if certified is not None:
                yield _claim("implied", promise, system, certified, {}, [(condition, Fraction(-1))])


def _refuted(
    kind: str, of: str, system: System, conditions: Sequence[Condition]
) -> Iterator[Claim]:
    rows = [
        (condition, row)
        for condition in conditions
        for row in condition_rows(system.columns, [condition])
    ]
    _, certified = system.misfit([row for _, row in rows])
    if certified is not None:
        shares = dict(zip(certified.used, certified.multipliers, strict=True))
        taken = [
            (condition, shares.get(at, Fraction(0)) * row.unit)
            for at, (condition, row) in enumerate(rows, len(system.constraints))
        ]
        yield _claim(kind, of, system, certified, {}, taken)


def _claim(
    kind: str,
    of: str,
    system: System,
    certified: Certified,
    objective: dict[str, str],
    conditions: Sequence[tuple[Condition, Fraction]] = (),
) -> Claim:
    tree, size = system.columns.tree, len(system.constraints)
    shares = zip(certified.used, certified.multipliers, strict=True)
    return {
        "kind": kind,
        "of": of,
        "objective": objective,
        "bound": str(certified.most),
        "rows": {str(row): str(share) for row, share in shares if row < size},
        "conditions": [
            {
                "weights": {
                    str(leaf): str(factor)
                    for leaf, factor in tree.leaf_weights(condition.weights).items()
                },
                "base": str(condition.base),
                "needs": str(Fraction(condition.needs)),
                "bound": "max" if condition.at_most else "min",
                "multiplier": str(share),
            }
            for condition, share in conditions
        ],
    }
