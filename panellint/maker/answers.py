"""Share questions answered by the batch sheet: exactly, where a label alone leaves a range."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from panellint.core.numbers import number
from panellint.core.text import is_plural
from panellint.ingredients.model import Declaration
from panellint.maker.formula import Formula
from panellint.shares.model import (
    Base,
    Bounds,
    ClashLine,
    Condition,
    ConditionAnswer,
    Judgement,
    Path,
    Proof,
    Verdict,
    Weights,
    alone,
    combined,
    verdict_of,
)


class BatchAnswers:
    """Answers from known weights. `weights` are parts of the mix by path, None where the sheet
    does not say; `judged` remembers every promise that was put to it."""

    consistent = True
    clash: tuple[ClashLine, ...] = ()

    def __init__(
        self, declaration: Declaration, weights: Mapping[Path, Fraction | None], formula: Formula
    ) -> None:
        self._names = {entry.path: entry.name for entry in declaration.walk()}
        self._weights = weights
        self._formula = formula
        self.judged: list[tuple[Sequence[Condition], ...]] = []

    def _share(self, path: Path) -> tuple[Fraction, Fraction] | None:
        """The least and the most of an entry's part of the mix: what is weighed, or anything up
        to the weight of the group that it stands in; None where neither is known."""
        for depth in range(len(path), 0, -1):
            share = self._weights.get(path[:depth])
            if share is not None:
                return (share if depth == len(path) else Fraction(0)), share
        return None

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The weighted sum of shares in percent of the base; least and most are one, but where
        an entry is not weighed by itself, or the composition is a range."""
        least = most = Fraction(0)
        for path, factor in weights.items():
            share = self._share(path)
            if share is None:
                return Bounds(-float("inf"), float("inf"), sure=False)
            ends = sorted(Fraction(factor) * end for end in share)
            least, most = least + ends[0], most + ends[1]
        ends = [total / whole for whole in self._wholes(base) for total in (least, most)]
        low, high = float(100 * min(ends)), float(100 * max(ends))
        words = " and ".join(self._names[path] for path in weights)

        def proof() -> Proof:
            return Proof(
                (f"{words}: {_percent(low, high)} of the {base.words} by the batch sheet",)
            )

        return Bounds(low, high, proof, proof)

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full."""
        self.judged.append(alternatives)
        answers: list[ConditionAnswer] = []
        judgements: list[tuple[Verdict, Proof]] = []
        for conditions in alternatives:
            here = []
            for condition in conditions:
                bounds = self.bounds(condition.weights, condition.base)
                here.append(ConditionAnswer(condition, bounds, verdict_of(condition, bounds)))
            answers += here
            verdict, _ = alone(here)
            judgements.append((verdict, Proof(tuple(self._words(answer) for answer in here))))
        return combined(judgements, answers)

    def refuted(self, *alternatives: Sequence[Condition]) -> Judgement | None:
        """The judgement where the batch meets none of the alternatives; else None."""
        judgement = self.judge(*alternatives)
        return judgement if judgement.verdict is Verdict.REFUTED else None

    def shortfall(self) -> tuple[str, str]:
        """The condition that is missed by the most, in the alternative that is nearest, of those
        judged so far: in words that hold no weight, and with the arithmetic; "" where none is."""
        nearest: tuple[float, str, str] | None = None
        for alternatives in self.judged:
            for conditions in alternatives:
                worst = max(map(self._short, conditions), default=(0.0, "", ""))
                if worst[0] > 0 and (nearest is None or worst[0] < nearest[0]):
                    nearest = worst
        return nearest[1:] if nearest else ("", "")

    def _short(self, condition: Condition) -> tuple[float, str, str]:
        bounds = self.bounds(condition.weights, condition.base)
        needs, base = float(condition.needs), condition.base.words
        if not bounds.sure:
            return 0.0, "", ""
        if condition.at_most:
            held, by = bounds.low, bounds.low - needs
            side, words = "more than", "above"
        else:
            held, by = bounds.high, needs - bounds.high
            side, words = "less than", "short of"
        # A figure to a tenth, or to as many places as part it from the one beside it.
        places = next((p for p in (1, 2, 3) if round(held, p) != needs), 6)
        figure = number(round(held, places), places + 3)
        verb = "are" if is_plural(condition.of) else "is"
        what = f"{condition.of} {verb} {side} {number(needs)} % of the {base}"
        held_by = " and ".join(self._names[path] for path in condition.weights)
        return by, what, f"{held_by} at {figure} % of the {base}, {words} {number(needs)} %"

    def _words(self, answer: ConditionAnswer) -> str:
        condition, bounds = answer.condition, answer.bounds
        side = "at most" if condition.at_most else "at least"
        return (
            f"{condition.of}: {_percent(bounds.low, bounds.high)} of the {condition.base.words} by "
            f"the batch sheet; {side} {number(float(condition.needs))} % is asked for"
        )

    def _wholes(self, base: Base) -> list[Fraction]:
        """What a share of the mix is divided by: least and most of the base."""
        if base is Base.MIX_WITHOUT_WATER:
            return [1 - self._formula.processing_water or Fraction(1)]
        if base is Base.FOOD:
            return [Fraction(end) for end in self._formula.yield_range() if end > 0] or [
                Fraction(1)
            ]
        if base is Base.DRY_MATTER:
            dry = self._formula.content("moisture", "as mixed")
            return [Fraction(100 - end) / 100 for end in (dry.low, dry.high) if end < 100]
        return [Fraction(1)]


def _percent(low: float, high: float) -> str:
    if high - low < 0.0005:
        return f"{number(round(low, 3), 5)} %"
    return f"{number(round(low, 2), 4)} to {number(round(high, 2), 4)} %"
