"""A sheet with other weights is the same sheet in all else."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from panellint.maker.batch import read_batch
from panellint.maker.model import Batch, BatchLine, SheetCell
from panellint.maker.sheet.cells import csv_text
from panellint.maker.sheet.table import rewritten

SHEETS = Path(__file__).parents[3] / "corpus" / "sheets"


def again(batch: Batch, shares: list[Fraction], path: Path) -> Batch:
    """The batch that is read from the rewritten sheet, which lies in a folder of its own."""
    path.write_text(csv_text(rewritten(batch, shares), batch.table.delimiter or ","))
    return read_batch(path)


def now(batch: Batch) -> list[Fraction]:
    """The shares of a batch as they are."""
    return [100 * batch.share(line) for line in batch.lines]


def kept(batch: Batch) -> tuple[object, ...]:
    """What is told of a batch beside its weights and premixes."""
    lines = [
        (one.name, one.analysis, one.supplier, one.lot, one.cost, one.least, one.most)
        for one in batch.lines
    ]
    return batch.facts, batch.unit, batch.headings, lines


@pytest.mark.parametrize("name", ["duck-millet-freeze-dried.csv", "lamb-kibble-eu.csv"])
@settings(max_examples=20, suppress_health_check=[*HealthCheck])
@given(data=st.data())
def test_any_shares_are_read_back_and_nothing_else_changes(tmp_path, name, data):
    batch = read_batch(SHEETS / name)
    for own in SHEETS.glob("larder-*.csv"):
        (tmp_path / own.name).write_bytes(own.read_bytes())
    parts = data.draw(
        st.lists(
            st.integers(0, 10_000), min_size=len(batch.lines), max_size=len(batch.lines)
        ).filter(any)
    )
    shares = [Fraction(100 * part, sum(parts)) for part in parts]
    new = again(batch, shares, tmp_path / "new.csv")
    assert kept(new) == kept(batch)
    for share, found in zip(shares, now(new), strict=True):
        assert abs(share - found) < Fraction(1, 10**6)


def test_what_does_not_change_stays_as_it_is_printed(tmp_path):
    sheet = tmp_path / "a.csv"
    text = "Species;dog\nZutat;Gewicht (kg)\nduck;20,0\nmillet;70,50\nsalt;1\n"
    sheet.write_text(text)
    batch = read_batch(sheet)
    assert csv_text(rewritten(batch, now(batch)), ";") == text


def test_units_stand_where_they_stood_and_percentages_beside_weights_follow(tmp_path):
    sheet = tmp_path / "a.csv"
    sheet.write_text(
        "Ingredient,Weight,Unit,Percent\nduck,30 kg,,30\nmillet,70000,g,70\nsalt,0,g,0\n"
    )
    rows = rewritten(read_batch(sheet), [Fraction(50), Fraction(49), Fraction(1)])
    assert rows[1:] == [
        ["duck", "50 kg", "", "50"],
        ["millet", "49000", "g", "49"],
        ["salt", "1000", "g", "1"],
    ]


def test_a_batch_without_a_sheet_is_refused():
    line = BatchLine("duck", Fraction(1), SheetCell("-", "", 1, 1))
    with pytest.raises(ValueError, match="no sheet"):
        rewritten(Batch("-", (line,)), [Fraction(100)])
