"""What a recipe costs, now and at an earlier revision."""

import os
from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from panellint.core.errors import PanellintError
from panellint.core.files import relative
from panellint.lint.runner.git import content_at
from panellint.maker.batch import read_batch
from panellint.maker.formula import Formula
from panellint.maker.model import Batch
from panellint.maker.sheet.read import SheetChoice
from panellint.results.release import Price


def price_of(formula: Formula, revision: str | None) -> Price | None:
    """Returns the cost of a batch; None where a line has none."""
    now = formula.batch.cost()
    if now is None:
        return None
    food = formula.finished_weight()
    before = _earlier(formula.batch, revision) if revision else None
    return {
        "mix": round(float(now), 4),
        "food": round(float(now) / food, 4) if food else None,
        "before": None if before is None else round(float(before), 4),
    }


def _earlier(batch: Batch, revision: str) -> Fraction | None:
    """The cost per kg of the mix at a revision; None where there was no such sheet, or it cannot
    be read any more."""
    top = os.path.commonpath([os.path.dirname(os.path.abspath(file)) for file in batch.files])
    with TemporaryDirectory(prefix="panellint-release-") as folder, suppress(PanellintError):
        for path in batch.files:
            content, _ = content_at(revision, Path(relative(path)).as_posix())
            copy = Path(folder) / relative(os.path.abspath(path), top)
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(content)
        main = Path(folder) / relative(os.path.abspath(batch.files[0]), top)
        return read_batch(main, Path(folder), SheetChoice(batch.worksheet)).cost()
    return None
