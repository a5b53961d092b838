"""What the label's own arithmetic puts beside it: the likely share behind each ingredient, and
above the name what it promises against what the label allows."""

from collections.abc import Iterator
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_share
from panellint.analysis.list_position import standing
from panellint.analysis.shares_report import asked_promises, promises
from panellint.core.numbers import number


class Hint(NamedTuple):
    """Words behind the offset of an ingredient's end, and what stands behind them on request."""

    offset: int
    words: str
    tip: str


class Lens(NamedTuple):
    """A sentence above the name; `start` and `end` are the words that it is about."""

    start: int
    end: int
    words: str


def hints(context: LabelContext) -> Iterator[Hint]:
    """Yields the likely share of each declared ingredient, percent of the mix."""
    for entry in context.declaration.walk():
        if not entry.name or not context.formulas.consistent:
            continue
        likely = likely_share(context, {entry.path: 1})
        if likely is None:
            continue
        low, high = number(_rounded(likely["low"])), number(_rounded(likely["high"]))
        yield Hint(
            entry.name_span.end,
            f"{low} to {high} %" if low != high else f"{low} %",
            f"Likely: nine of ten foods with such a label have so much of it in the mix. "
            f"Proven: {standing(context, entry).share}.",
        )


def lenses(context: LabelContext) -> Iterator[Lens]:
    """Yields a sentence for each promise of the name that a rule gives a share."""
    judged = {promise["id"]: promise for promise in promises(context)}
    for asked in asked_promises(context):
        answer = judged.get(asked.promise.id)
        if answer is None or not answer["conditions"]:
            continue
        # The condition that decides: of two together and each, the one that is not settled.
        verdicts = [condition["verdict"] for condition in answer["conditions"]]
        at = verdicts.index(answer["verdict"]) if answer["verdict"] in verdicts else 0
        condition = answer["conditions"][at]
        side = f"{condition['of']} " if at else ""
        side += "at most " if condition["bound"] == "max" else ""
        least, most = (number(_rounded(condition[end])) for end in ("low", "high"))
        words = (
            f"{answer['text']}: needs {side}{number(condition['needs'])} %; "
            f"label allows {least} to {most} %"
        )
        likely = likely_share(context, [c for each in asked.sets for c in each][at].weights)
        if likely is not None:
            low, high = _rounded(likely["low"]), _rounded(likely["high"])
            words += f", likely {number(low)} to {number(high)}"
        span = asked.promise.span
        yield Lens(span.start, span.end, f"{words} ({answer['verdict']})")


def _rounded(percent: float) -> float:
    """Returns a share as the eye takes it: whole from 10 % on, else to a tenth."""
    return round(percent) if percent >= 10 else round(percent, 1)
