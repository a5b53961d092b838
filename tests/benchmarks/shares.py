"""How tight, how near and how fast the answers about shares are, as ratios of one run.

1. width: the bounds of the first five ingredients against order alone (aim: below 0.8), over the
   demo labels and over random honest labels, and the same with practice;
2. slack: what certification adds to the solver's own value, in percentage points (aim: 1e-7);
3. speed: all bounds of labels of some 40 ingredients against the same programs run bare in the
   solver (aim: at most 1.5), and a label that order alone decides against itself in a quick look
   (aim: at most 1.2).
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from panellint.analysis.context import LabelContext  # noqa: E402
from panellint.core.source import Source, read  # noqa: E402
from panellint.ingredients.model import Declaration  # noqa: E402
from panellint.shares.exact.declaration_bounds import OrderAnswers  # noqa: E402
from panellint.shares.model import Base, Condition  # noqa: E402
from panellint.shares.premises import DEFAULT, Premise  # noqa: E402
from panellint.shares.solver.formula_set import Formulas  # noqa: E402
from panellint.shares.solver.problem import Program  # noqa: E402
from tests.shares.honest import honest_label  # noqa: E402

RANDOM = 40
FIRST = 5
ORDER_ALONE = (Premise.ORDER, Premise.GROUPS)


def best(run: Callable[[], object], times: int = 5) -> float:
    """The shortest of several runs, in seconds: the one that was disturbed least."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        found.append(time.perf_counter() - start)
    return min(found)


def demo_cases() -> Iterator[LabelContext]:
    """The labels of the demo maker, honest ones and the corpus."""
    for folder in ("tests/honest", "corpus"):
        for path in sorted((ROOT / folder).glob("*.panel")):
            context = LabelContext.of(read(path))
            if len(context.declaration.ingredients) >= FIRST:
                yield context


def widths(answers: Formulas | OrderAnswers) -> list[float]:
    leaves = answers.tree.leaves[:FIRST]
    found = [answers.bounds({leaf.path: 1}) for leaf in leaves]
    return [bounds.high - bounds.low for bounds in found]


def narrowed(pairs: Iterable[tuple[Declaration, Formulas]]) -> tuple[float, int]:
    """Mean width against order alone, and over how many labels."""
    ratios = []
    for declaration, formulas in pairs:
        if not formulas.consistent:
            continue
        order = sum(widths(OrderAnswers(declaration, premises=ORDER_ALONE)))
        if order:
            ratios.append(sum(widths(formulas)) / order)
    return statistics.mean(ratios), len(ratios)


def random_formulas(premises: tuple[Premise, ...]) -> Iterator[tuple[Declaration, Formulas]]:
    for seed in range(RANDOM):
        label = honest_label(seed)
        yield (
            label.declaration,
            Formulas(label.declaration, **label.arguments(), premises=premises),
        )


def slack() -> tuple[float, float, int]:
    """Mean and largest of what certification adds, in percentage points, and of how many."""
    added = []
    for _, formulas in random_formulas(DEFAULT):
        for base in (Base.MIX, Base.FOOD):
            system = formulas.system(base)
            program = Program(system.constraints, system.mask(base))
            for leaf in formulas.tree.leaves[:8]:
                for sign in (1, -1):
                    cost = {c: sign * v for c, v in system.columns.weight((leaf.index,)).items()}
                    value = program.most(cost).value
                    bound = system.most(cost, base).bound
                    if bound is not None:
                        added.append(100 * max(float(bound.most) - value, 0.0))
    return statistics.mean(added), max(added), len(added)


def against_bare_solver() -> tuple[float, int]:
    """All bounds of long labels, certified, against the same programs in the solver alone."""
    mine = bare = 0.0
    count = 0
    for seed in range(400):
        label = honest_label(seed)
        formulas = Formulas(label.declaration, **label.arguments())
        leaves = formulas.tree.leaves
        if len(leaves) < 36 or not label.guarantees or not formulas.consistent:
            continue
        count += 1
        system = formulas.system()
        costs = [
            {c: Fraction(sign) for c in system.columns.weight((leaf.index,))}
            for leaf in leaves
            for sign in (1, -1)
        ]

        def bare_run(system: object = system, costs: object = costs) -> None:
            program = Program(system.constraints, system.mask(Base.MIX))  # type: ignore[attr-defined]
            for cost in costs:  # type: ignore[attr-defined]
                program.most(cost)

        def whole_run(formulas: Formulas = formulas) -> None:
            formulas.system()._programs.clear()
            for leaf in formulas.tree.leaves:
                formulas.bounds({leaf.path: 1})

        whole_run()
        bare += best(bare_run, 3)
        mine += best(whole_run, 3)
        if count == 4:
            break
    return mine / bare, count


def order_decides() -> float:
    """A label that order alone decides, asked as `lint` asks, against a quick look."""
    names = ", ".join(f"{n} meal" for n in ("chicken", "turkey", "duck", "lamb", "beef", "salmon"))
    text = f"Product name: Beef Meal Dinner for Dogs\n\nIngredients: {names}, rice, peas, salt.\n"

    def ask(quick: bool) -> None:
        context = LabelContext.of(Source(text, "plain.panel"), quick=quick)
        context.bounds.judge([Condition({(4,): 1}, 25)])
        context.bounds.bounds({(2,): 1})

    ask(True)
    return best(lambda: ask(False), 15) / best(lambda: ask(True), 15)


def main() -> None:
    """Print everything."""
    cases = list(demo_cases())
    practice = (*DEFAULT, Premise.PRACTICE)
    names = tuple(str(premise) for premise in practice)
    demo, size = narrowed((context.declaration, context.formulas) for context in cases)
    print(f"width, demo labels:                {demo:.3f} of order alone ({size} labels)")
    demo, size = narrowed((context.declaration, context.formulas_under(names)) for context in cases)
    print(f"width, demo labels, practice:      {demo:.3f} of order alone ({size} labels)")
    drawn, size = narrowed(random_formulas(DEFAULT))
    print(f"width, random labels:              {drawn:.3f} of order alone ({size} labels)")
    drawn, size = narrowed(random_formulas(practice))
    print(f"width, random labels, practice:    {drawn:.3f} of order alone ({size} labels)")
    mean, most, size = slack()
    print(f"slack of certification:            {mean:.1e} points, at most {most:.1e} ({size})")
    ratio, size = against_bare_solver()
    print(f"all bounds against bare solver:    {ratio:.2f} ({size} labels)")
    print(f"order decides against quick look:  {order_decides():.2f}")


if __name__ == "__main__":
    main()
