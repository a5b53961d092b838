"""Constraints and bounds in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, cast

from panellint.core.numbers import decimal
from panellint.core.text import is_plural
from panellint.label.model import Percent
from panellint.shares.model import Condition, Path
from panellint.shares.premises import Premise, Reading, in_order
from panellint.shares.tree import Tree

if TYPE_CHECKING:
    from panellint.shares.solver.constraints import Constraint


def percent_words(
    name: str,
    percent: Percent,
    low: Fraction | None,
    high: Fraction | None,
    base: str,
    reading: Reading = Reading.MIXED,
) -> str:
    """What a printed percentage says, such as "26 % is printed for duck, so ..."."""
    printed = f"{percent.value} % is printed for {name}"
    it = "they are" if is_plural(name) else "it is"
    if reading is Reading.EITHER:
        return f"{printed}, and the list may count weight as mixed or at the moisture of the food"
    if reading is Reading.DRY:
        base = f"{base} by dry matter"
    if low is not None and high is not None:
        least, most = decimal(100 * low), decimal(100 * high)
        return f"{printed}, so {it} between {least} % and {most} % of {base}"
    if low is not None:
        return f"at least {printed}, so {it} no less than {decimal(100 * low)} % of {base}"
    if high is not None:
        return f"at most {printed}, so {it} no more than {decimal(100 * high)} % of {base}"
    return printed


_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def percent_limits(percent: Percent) -> tuple[Fraction | None, Fraction | None]:
    """What a printed percentage allows, as parts of one; None where an end is open.

    An exact figure stands for half a unit of its last digit either way; "about" proves nothing.
    """
    ends = percent.least, percent.most
    low, high = (None if end is None else max(Fraction(end) / 100, Fraction(0)) for end in ends)
    return low, high


def condition_words(condition: Condition) -> str:
    """What a promise needs."""
    side = "at most" if condition.at_most else "at least"
    return (
        f"the promise needs {condition.of} to be {side} {decimal(float(condition.needs))} % "
        f"of the {condition.base.words}"
    )


def count(number: int, noun: str) -> str:
    """ "three ingredients"; digits above ten."""
    word = _SMALL[number] if number < len(_SMALL) else str(number)
    return f"{word} {noun}{'' if number == 1 else 's'}"


def before_words(before: str, after: str, reading: Reading = Reading.MIXED) -> str:
    """What the order says of two entries."""
    verb, weigh = ("are", "they weigh") if is_plural(before) else ("is", "it weighs")
    words = f"{before} {verb} declared before {after}, so {weigh} at least "
    if reading is Reading.EITHER:
        return f"{words}what {after} would without water"
    return f"{words}as much{' without water' if reading is Reading.DRY else ''}"


def tail_words(name: str, cap: Fraction) -> str:
    """What a "2 % or less" tail says of one of its entries."""
    stand, verb = ("stand", "are") if is_plural(name) else ("stands", "is")
    most = decimal(100 * cap)
    return f"{name} {stand} among those of {most} % or less and {verb} at most that of the mix"


def kth_words(name: str, size: int, whole: str) -> str:
    """Why the last of `size` entries in order is at most that part of what they stand in."""
    verb = "are" if is_plural(name) else "is"
    if size == 1:
        return f"{name} {verb} no more than {whole}"
    stand = "is" if size == 2 else "are"
    return (
        f"{count(size - 1, 'ingredient')} {stand} declared before {name} and none weighs less, "
        f"so {name} {verb} at most 1/{size} of {whole}"
    )


def first_words(name: str, size: int, whole: str) -> str:
    """Why the first of `size` entries in order is at least that part of what they fill."""
    verb, it = ("are", "them") if is_plural(name) else ("is", "it")
    if size == 1:
        return f"{name} {verb} no less than {whole}"
    return (
        f"{count(size - 1, 'ingredient')} after {name} {'weighs' if size == 2 else 'weigh'} no "
        f"more than {it}, so {name} {verb} at least 1/{size} of {whole}"
    )


def sentence(words: str) -> str:
    """A capital at the front and a full stop behind."""
    words = words.strip()
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith('.') else '.'}"


def sentences_of(constraints: Iterable[Constraint], tree: Tree) -> list[tuple[Premise, str]]:
    """The constraints as sentences, each with its premise: runs of the order and ranges of a
    part are put together."""
    constraints = list(constraints)
    sentences = dict.fromkeys(_runs([each for each in constraints if each.kind == "order"], tree))
    for constraint in constraints:
        if constraint.kind not in ("order", "composition"):
            sentences[constraint.premise, sentence(constraint.words)] = None
    contents = [each for each in constraints if each.kind == "composition"]
    return [*sentences, *_contents(contents, tree)]


def _runs(constraints: Sequence[Constraint], tree: Tree) -> Iterator[tuple[Premise, str]]:
    """Unbroken runs of entries that stand in descending order."""
    run: list[Path] = []
    premise = Premise.ORDER
    for constraint in constraints:
        before, after = cast(tuple[Path, Path], constraint.about)
        if run and run[-1] == before:
            run.append(after)
            continue
        if run:
            yield premise, _descending(run, tree)
        run, premise = [before, after], constraint.premise
    if run:
        yield premise, _descending(run, tree)


def _descending(run: Sequence[Path], tree: Tree) -> str:
    names = [tree.entries[path].name for path in run]
    if len(names) == 2:
        return sentence(before_words(names[0], names[1]))
    return sentence(f"in descending order by weight, none less than the next: {', '.join(names)}")


def _contents(constraints: Sequence[Constraint], tree: Tree) -> Iterator[tuple[Premise, str]]:
    groups: dict[tuple[str, str, Premise], list[str]] = {}
    for constraint in constraints:
        leaf, part, side, end = cast(tuple[int, str, str, Fraction], constraint.about)
        amounts = groups.setdefault((part, side, constraint.premise), [])
        amounts.append(f"{tree.leaves[leaf].name} {decimal(100 * end)} %")
    for (part, side, premise), amounts in sorted(groups.items()):
        what = "all that the guarantees do not speak of" if part == "other" else part
        yield premise, sentence(f"of {what}, ingredients hold at {side}: {', '.join(amounts)}")


def rank_alone(constraints: Sequence[Constraint], tree: Tree, path: Path) -> str | None:
    """The short proof from the order alone: how many stand before the entry in its chain."""
    if not constraints or any(constraint.kind != "order" for constraint in constraints):
        return None
    for chain in tree.chains:
        paths = [entry.path for entry in chain.entries]
        if path in paths and chain.parent is None:
            place = paths.index(path)
            wanted = list(pairwise(paths[: place + 1]))
            if [constraint.about for constraint in constraints] == wanted:
                return sentence(kth_words(tree.entries[path].name, place + 1, "the mix"))
    return None


def premises_of(constraints: Iterable[Constraint]) -> tuple[Premise, ...]:
    """What the constraints rest on, in canonical order."""
    return in_order(premise for constraint in constraints for premise in constraint.premises)
