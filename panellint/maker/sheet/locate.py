"""Where a label's batch sheet may lie, and formulas that stand in the panel file itself."""

import os
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import Fault, InputError
from panellint.core.files import relative
from panellint.core.numbers import number
from panellint.core.source import Source, Span
from panellint.label.reader import read_label
from panellint.maker.batch import read_batch
from panellint.maker.model import PERCENT, Batch, BatchLine, SheetCell
from panellint.maker.sheet.quantities import is_whole, read_amount, sheet_unit
from panellint.maker.sheet.read import SheetChoice, with_worksheet
from panellint.rulepacks.settings import find

#: How a formula written out in a panel file begins, for examples and small recipes.
INLINE = "="


def root_of(label: str | Path) -> Path:
    """The folder that a label's batch sheet must lie in: that of the settings file or of the
    repository, whichever is nearer; without either the label's own."""
    folder = Path(os.path.abspath(label)).parent
    settings = find(folder)
    for above in (folder, *folder.parents):
        if (above / ".git").exists() or (settings and settings.parent == above):
            return above.resolve()
    return folder.resolve()


def sheet_path(label: str | Path, named: str) -> Path:
    """The batch sheet that a panel file names, relative to the panel file.

    Raises InputError where it would lie outside the label's repository, links followed.
    """
    folder = Path(os.path.abspath(label)).parent
    path = folder / with_worksheet(named)[0]
    root = root_of(label)
    if not path.resolve().is_relative_to(root):
        words = f"the batch sheet `{named}` lies outside {root}"
        raise InputError(Fault(str(label), None, None, words))
    return Path(relative(path))


def named_batch(source: Source, fact: tuple[str, Span]) -> Batch:
    """The batch that a panel file names or holds. Raises InputError where it cannot be used."""
    text, span = fact
    if text.lstrip().startswith(INLINE):
        return inline(text, source, span)
    line, column = source.position(span.start)
    try:
        path = sheet_path(source.path, text.strip())
    except InputError as error:
        message = error.faults[0].message
        raise InputError(Fault(source.path, line, column, message)) from None
    if not os.path.isfile(path):
        raise InputError(Fault(source.path, line, column, f"there is no batch sheet `{text}`"))
    choice = SheetChoice(with_worksheet(text.strip())[1])
    return read_batch(path, root_of(source.path), choice)


def sheet_of(source: Source) -> Batch:
    """Returns the batch sheet that a panel file names. Raises InputError where it names none, or
    one that cannot be used."""
    fact = read_label(source).facts.get("batch-sheet")
    if fact is None:
        raise InputError(
            Fault(source.path, None, None, "names no batch sheet", "BATCH, or a `Batch sheet:`")
        )
    return named_batch(source, fact)


def inline(text: str, source: Source, span: Span) -> Batch:
    """A formula written out: `= duck 58 %; millet 30 %; water 12 %`, or with weights."""
    line, column = source.position(span.start)
    place = SheetCell(source.path, "", line, column)
    lines: list[BatchLine] = []
    units: set[str] = set()
    for piece in text.strip().removeprefix(INLINE).split(";"):
        words = piece.split()
        if not words:
            continue
        behind = words.pop() if len(words) > 2 and sheet_unit(words[-1]) else ""
        amount = read_amount(f"{words.pop()} {behind}") if len(words) > 1 else ""
        if isinstance(amount, str):
            fault = amount or f"`{piece.strip()}` is no ingredient with its weight"
            raise InputError(place.fault(fault))
        units.add(amount.unit)
        lines.append(BatchLine(" ".join(words), amount.value, place))
    if len(units) != 1 or not any(line.weight for line in lines):
        raise InputError(place.fault("a formula needs weights, or percentages throughout"))
    total = sum((line.weight for line in lines), Fraction(0))
    if units == {PERCENT} and not is_whole(total):
        fault = f"the percentages add up to {number(float(total))} %"
        raise InputError(place.fault(fault, "those of one whole"))
    return Batch(source.path, tuple(lines), units.pop())
