"""What a reading says, against the answers it is made of and against the label."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from io import StringIO
from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.shares_report import shares
from panellint.core.source import Source
from panellint.core.source import read as text_of
from panellint.output import terminal
from panellint.output.document import Table, likely_words, plain
from panellint.output.render_options import RenderOptions
from panellint.report.blocks import Block, flat
from panellint.report.page import page

from .told import Reading, read, single

CORPUS = Path(__file__).parents[2] / "corpus"
Corpus = Callable[[str], Reading]


def of(text: str) -> Reading:
    return read(LabelContext.of(Source(text, "food.panel")))


def everything(reading: Reading) -> str:
    return words(single(reading, "today"))


def words(blocks: Iterable[Block]) -> str:
    """All that a report says."""
    stream = StringIO()
    terminal.write(flat(blocks), stream, RenderOptions(width=1000))
    return stream.getvalue()


def tables(reading: Reading, heading: str) -> list[Table]:
    """The tables of a report that have a column of that heading."""
    return [b for b in flat(reading.blocks) if isinstance(b, Table) and heading in b.headings]


def test_rows_are_the_declaration_with_the_bounds_of_shares(corpus: Corpus) -> None:
    name = "venison-split-peas-kibble"
    context = LabelContext.of(text_of(CORPUS / f"{name}.panel"))
    rows = {row.place: row for row in corpus(name).rows}
    assert [row.name for row in rows.values()] == [e.name for e in context.declaration.walk()]
    for data in shares(context)["ingredients"]:
        row = rows[".".join(str(step + 1) for step in data["path"])]
        assert (row.low, row.high) == pytest.approx((data["low"], data["high"]))
        assert row.likely == data["likely"]
        assert row.likely is None or f"probably {likely_words(row.likely)} %" in row.remarks


def test_the_sides_hold_every_ingredient_once() -> None:
    found = of("Ingredients: chicken, water, rice, salt, xyzzy\n").sides
    names = [name for side in found for name in plain(side.notes[0]).split(", ")]
    assert names == ["chicken", "rice", "salt", "xyzzy"]
    by_title = {side.name: side for side in found}
    # By order alone: five weights that fall, the first at least a fifth.
    assert by_title["Of animals"].low == pytest.approx(20)
    assert by_title["Of plants"].high == pytest.approx(100 / 3)
    assert by_title["Not known"].high == pytest.approx(20)


def test_a_partial_group_is_counted_once() -> None:
    """The moisture tells how much of the dry matter's 10 % is of the mix."""
    listed = "Composition: cereals (of which maize 10 %), beef 5 %, salt 1 %"
    found = of(f"Market: EU\n{listed}\nAnalytical constituents: moisture 8 %\n").sides
    plants = next(side for side in found if side.name == "Of plants")
    assert plants.high <= 100
    assert plants.low >= 10 - 0.5


def test_verdicts_are_told_in_words_and_with_proof(corpus: Corpus) -> None:
    reading = corpus("venison-split-peas-kibble")
    (promise,) = reading.proofs
    assert f"“{promise.about}”: not kept" in everything(reading)
    assert promise.proof[-1].startswith("So venison is at most 12.5 %")
    assert promise.lines[0] == "Rests on the order of the list."
    assert "7-17-03-01" in promise.lines[1]
    reading = corpus("duck-millet-freeze-dried")
    (open_,) = reading.proofs
    assert f"“{open_.about}”: not settled by the label" in everything(reading)
    assert open_.proof == ()


def test_what_may_harm_is_said_first(corpus: Corpus) -> None:
    reading = corpus("peanut-xylitol-treat")
    assert reading.short[0].startswith("Look here first: xylitol")
    assert [one.severity for one in reading.hazards] == ["serious", "serious"]
    assert tables(reading, "g per kg of food") == []
    assert "Not asked: it is sold as a treat" in everything(reading)


def test_findings_stand_by_weight_and_each_once(corpus: Corpus) -> None:
    reading = corpus("duck-kibble-eu-faulty")
    order = ["serious", "to ask about", "worth knowing", "minor"]
    weights = [order.index(one.severity) for one in reading.findings]
    assert weights == sorted(weights)
    told = [(one.rule, one.place, one.message) for one in
            (*reading.hazards, *reading.doubtful, *reading.findings)]  # fmt: skip
    assert len(told) == len(set(told))


def test_a_name_that_the_list_does_not_bear_out_is_not_passed_over(corpus: Corpus) -> None:
    reading = corpus("salmon-missing-cat-kibble")
    assert "names salmon, and the list declares none" in everything(reading)
    assert any("the list has nothing of that name" in line for line in reading.short)


def test_a_clash_is_told_and_no_share() -> None:
    reading = of("Ingredients: rice 10 %, chicken 60 %, salt 1 %\n")
    assert reading.clash
    assert reading.sides == ()
    assert all(row.low is None for row in reading.rows)
    assert len(reading.rows) == 3


def test_a_target_is_reached_by_the_arithmetic_of_the_bowl(corpus: Corpus) -> None:
    reading = corpus("duck-millet-freeze-dried")
    assert "Protein at least 30 % of the energy" in everything(reading)
    ways = tables(reading, "g per kg of food")[0]
    assert len(ways.rows) == 10
    for _, grams, share, _, then in ways.rows:
        per_kg = float(grams.replace(",", ""))
        assert float(share) == pytest.approx(100 * per_kg / (1000 + per_kg), abs=0.1)
        assert then.startswith("protein 30 %")


def test_weights_of_a_batch_sheet_never_appear(tmp_path: Path) -> None:
    sheet = tmp_path / "batch.csv"
    sheet.write_text("Ingredient,kg\nChicken,61.3719\nRice,38.6281\n")
    label = tmp_path / "food.panel"
    label.write_text("Batch sheet: batch.csv\nIngredients: chicken, rice\n")
    made = read(LabelContext.of(text_of(label)))
    for text in (everything(made), page(single(made, "today"))):
        assert "61.37" not in text
        assert "38.62" not in text
        assert "batch.csv" not in text
        assert str(tmp_path) not in text


def test_a_starch_of_a_high_index_is_said_to_be_high_and_what_is_not_confirmed() -> None:
    said = everything(of("Species: dog\nForm: baked\nIngredients: rabbit, tapioca, peas, salt\n"))
    assert "70 or more is high (ISO 26642)" in said
    assert re.search(r"high: 70 for steamed 1 h[^│]*not confirmed", said)
    assert "high: 22" not in said


def test_a_word_to_write_stands_in_quotation_marks() -> None:
    label = "Product name: Lamb Dinner\nSpecies: dog\nIngredients: lamb, gren peas, carrots, salt\n"
    assert "Write “green peas”" in everything(of(label))
