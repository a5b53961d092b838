"""The answers against references outside the project: brute force over corners for order alone,
and the exact simplex of the GNU Linear Programming Kit over the full rows."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import product

import pytest

from panellint.shares.exact.corners import play
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.solver.problem import System

from .honest import honest_label
from .labels import declare

glpk = pytest.importorskip("swiglpk")

#: Agreement asked for, in percentage points; the certificate may add its own slack on top.
CLOSE = 1e-9


def exact_most(system: System, cost: Mapping[int, Fraction], base: Base) -> float:
    """The same program, solved by GLPK in rational arithmetic."""
    mask = system.mask(base)
    rows = [dict(zip(row.columns, row.values, strict=True)) for row in system.constraints]
    problem = glpk.glp_create_prob()
    glpk.glp_term_out(glpk.GLP_OFF)
    glpk.glp_set_obj_dir(problem, glpk.GLP_MAX)
    glpk.glp_add_cols(problem, len(mask))
    glpk.glp_add_rows(problem, len(rows) + 1)
    for column in range(len(mask)):
        glpk.glp_set_col_bnds(problem, column + 1, glpk.GLP_LO, 0.0, 0.0)
        glpk.glp_set_obj_coef(problem, column + 1, float(cost.get(column, 0)))
    for r, row in enumerate(rows):
        glpk.glp_set_row_bnds(problem, r + 1, glpk.GLP_LO, 0.0, 0.0)
        fill(problem, r + 1, {c: float(v) for c, v in row.items()})
    glpk.glp_set_row_bnds(problem, len(rows) + 1, glpk.GLP_FX, 1.0, 1.0)
    fill(problem, len(rows) + 1, {c: 1.0 for c, inside in enumerate(mask) if inside})
    settings = glpk.glp_smcp()
    glpk.glp_init_smcp(settings)
    settings.msg_lev = glpk.GLP_MSG_OFF
    glpk.glp_simplex(problem, settings)
    assert glpk.glp_exact(problem, settings) == 0
    assert glpk.glp_get_status(problem) == glpk.GLP_OPT
    value = float(glpk.glp_get_obj_val(problem))
    glpk.glp_delete_prob(problem)
    return value


def fill(problem: object, row: int, terms: Mapping[int, float]) -> None:
    indexes = glpk.intArray(len(terms) + 1)
    values = glpk.doubleArray(len(terms) + 1)
    for place, (column, value) in enumerate(terms.items(), start=1):
        indexes[place] = column + 1
        values[place] = value
    glpk.glp_set_mat_row(problem, row, len(terms), indexes, values)


def test_glpk_exact_agrees_on_full_rows() -> None:
    """Labels with small coefficients, so that floats carry the rows exactly."""
    compared = 0
    for seed in range(60):
        label = honest_label(seed)
        formulas = Formulas(label.declaration, **label.arguments())
        if not formulas.consistent or len(formulas.tree.leaves) > 18:
            continue
        rng = random.Random(seed)
        leaf = rng.choice(formulas.tree.leaves)
        base = rng.choice((Base.MIX, Base.FOOD))
        system = formulas.system(base)
        cost = {c: Fraction(1) for c in system.columns.weight((leaf.index,))}
        bounds = formulas.bounds({leaf.path: 1}, base)
        if leaf.rest:
            continue
        for sign, found in ((1, bounds.high), (-1, bounds.low)):
            value = sign * 100 * exact_most(system, {c: sign * v for c, v in cost.items()}, base)
            assert sign * (found - value) >= -CLOSE, (seed, leaf.path, base)
            assert abs(found - value) <= 1e-7, (seed, leaf.path, base)
            compared += 1
    assert compared >= 20


def corners(size: int) -> list[list[Fraction]]:
    return [
        [Fraction(1, k) if i < k else Fraction(0) for i in range(size)] for k in range(1, size + 1)
    ]


@pytest.mark.parametrize("seed", range(20))
def test_order_alone_is_brute_force_over_corners(seed: int) -> None:
    rng = random.Random(seed)
    size = rng.randint(2, 9)
    names = [f"ingredient {i}" for i in range(size)]
    if rng.random() < 0.5:
        names[rng.randrange(size)] = "water"
    declaration = declare(*names)
    weights = {(i,): rng.randint(-2, 3) for i in range(size) if rng.random() < 0.6}
    if not weights:
        weights = {(0,): 1}
    values = [sum(weights.get((i,), 0) * x for i, x in enumerate(c)) for c in corners(size)]
    order, formulas = OrderAnswers(declaration), Formulas(declaration)
    for engine in (order, formulas):
        bounds = engine.bounds(weights)
        assert bounds.high == pytest.approx(float(100 * max(values)), abs=1e-9)
        assert bounds.low == pytest.approx(float(100 * min(values)), abs=1e-9)
    ratios = []
    for corner, value in zip(corners(size), values, strict=True):
        base = sum(x for x, name in zip(corner, names, strict=True) if name != "water")
        if base:
            ratios.append(value / base)
        elif value > 0:
            ratios.append(Fraction(10**9))
    if "water" in names and max(ratios) < 10**9 and all(w >= 0 for w in weights.values()):
        found = order.bounds(weights, Base.MIX_WITHOUT_WATER)
        assert found.high == pytest.approx(float(100 * max(ratios)), abs=1e-9)


@pytest.mark.parametrize("seed", range(30))
def test_joint_verdicts_over_order_alone(seed: int) -> None:
    """Both engines against a fine grid of mixtures of corners, and against each other."""
    rng = random.Random(seed)
    size = rng.randint(2, 4)
    declaration = declare(*(f"ingredient {i}" for i in range(size)))
    conditions = [
        Condition({(rng.randrange(size),): 1}, rng.randint(0, 60), at_most=rng.random() < 0.4)
        for _ in range(rng.randint(1, 3))
    ]
    verdicts = {
        engine(declaration).judge(conditions).verdict for engine in (OrderAnswers, Formulas)
    }
    assert len(verdicts) == 1
    met = [all(meets(point, c) for c in conditions) for point in grid(size, 24)]
    verdict = verdicts.pop()
    if any(met):
        assert verdict is not Verdict.REFUTED
    if not all(met):
        assert verdict is not Verdict.IMPLIED


def grid(size: int, steps: int) -> list[list[Fraction]]:
    return [
        [sum((Fraction(p, steps) * c[i] for p, c in zip(parts, corners(size), strict=True)),
             Fraction(0)) for i in range(size)]
        for parts in product(range(steps + 1), repeat=size)
        if sum(parts) == steps
    ]  # fmt: skip


def meets(point: Sequence[Fraction], condition: Condition) -> bool:
    total = 100 * sum(f * point[path[0]] for path, f in condition.weights.items())
    return total <= condition.needs if condition.at_most else total >= condition.needs


@pytest.mark.parametrize("seed", range(30))
def test_a_game_has_one_value_from_either_side(seed: int) -> None:
    """The minimax theorem: what one side can be sure of is what the other must allow."""
    rng = random.Random(seed)
    rows, columns = rng.randint(1, 4), rng.randint(1, 7)
    table = [[Fraction(rng.randint(-9, 9), 4) for _ in range(columns)] for _ in range(rows)]
    turned = [[-row[j] for row in table] for j in range(columns)]
    assert play(table) == -play(turned)
    assert max(map(min, zip(*table, strict=True))) <= play(table) <= min(map(max, table))
