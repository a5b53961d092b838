"""What a user states of the finished food above what the sheet says."""

from __future__ import annotations

from dataclasses import replace

from panellint.core.errors import PanellintError
from panellint.maker.model import Batch, SheetCell


def with_water(batch: Batch, moisture: float | None, finished: float | None) -> Batch:
    """Returns the sheet with the moisture of the finished food (percent), or its weight (percent
    of the mix), in place of the sheet's own.

    Raises PanellintError where both are given, since each follows from the other.
    """
    if moisture is None and finished is None:
        return batch
    if moisture is not None and finished is not None:
        raise PanellintError("state the finished moisture or the yield, not both")
    facts = {k: v for k, v in batch.facts.items() if k not in ("finished_moisture", "yield")}
    kind, value = ("yield", finished) if moisture is None else ("finished_moisture", moisture)
    return replace(
        batch,
        facts={**facts, kind: f"{value} %"},
        fact_places={**batch.fact_places, kind: SheetCell(batch.path, "", 1, 1)},
    )
