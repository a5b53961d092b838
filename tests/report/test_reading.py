"""What a reading says, against the answers it is made of and against the label."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.shares_report import shares
from panellint.core.source import Source
from panellint.core.source import read as text_of
from panellint.nutrition.requirements import daily_energy
from panellint.report import blocks
from panellint.report.model import Reading
from panellint.report.page import one_page
from panellint.report.reading import Read, read
from panellint.report.several import several

CORPUS = Path(__file__).parents[2] / "corpus"
Corpus = Callable[[str], Read]


def of(text: str) -> Reading:
    return read(LabelContext.of(Source(text, "food.panel"))).reading


def everything(reading: Reading) -> str:
    return json.dumps(reading)


def test_rows_are_the_declaration_with_the_bounds_of_shares(corpus: Corpus) -> None:
    name = "venison-split-peas-kibble"
    context = LabelContext.of(text_of(CORPUS / f"{name}.panel"))
    rows = {row.place: row for row in corpus(name).reading.content.rows}
    assert [row.name for row in rows.values()] == [e.name for e in context.declaration.walk()]
    for one in shares(context)["ingredients"]:
        row = rows[".".join(str(step + 1) for step in one["path"])]
        assert (row.low, row.high) == pytest.approx((one["low"], one["high"]))
        assert row.estimate == one["estimate"]


def test_custom_lies_within_what_the_label_proves(corpus: Corpus) -> None:
    narrowed = [
        one
        for name in ("duck-millet-freeze-dried", "lamb-stew-gravy", "venison-split-peas-kibble")
        for one in (*corpus(name).reading.content.rows, *corpus(name).reading.content.sides)
        if one.usual
    ]
    assert len(narrowed) > 20
    for one in narrowed:
        assert one.low <= one.usual[0] <= one.usual[1] <= one.high


def test_the_sides_hold_every_ingredient_once() -> None:
    found = of("Ingredients: chicken, water, rice, salt, xyzzy\n").content.sides
    names = [name for side in found for name in side.names]
    assert names == ["chicken", "rice", "salt", "xyzzy"]
    by_title = {side.title: side for side in found}
    # By order alone: five weights that fall, the first at least a fifth.
    assert by_title["of animals"].low == pytest.approx(20)
    assert by_title["of plants"].high == pytest.approx(100 / 3)
    assert by_title["not known"].high == pytest.approx(20)


def test_a_partial_group_is_counted_once() -> None:
    found = of(
        "Market: EU\nComposition: cereals (of which maize 10 %), beef 5 %, salt 1 %\n"
    ).content.sides
    plants = next(side for side in found if side.title == "of plants")
    assert plants.high <= 100
    assert plants.low >= 10 - 0.5


def test_verdicts_are_told_in_words_and_with_proof(corpus: Corpus) -> None:
    (promise,) = corpus("venison-split-peas-kibble").reading.promises
    assert promise.verdict == "not kept"
    assert promise.proof[-1].startswith("So venison is at most 12.5 %")
    assert "7-17-03-01" in promise.source
    assert promise.rests_on == "Rests on the order of the list."
    (open_,) = corpus("duck-millet-freeze-dried").reading.promises
    assert open_.verdict == "not settled by the label"
    assert open_.proof == ()


def test_what_may_harm_is_said_first(corpus: Corpus) -> None:
    reading = corpus("peanut-xylitol-treat").reading
    assert reading.short[0].startswith("Look here first: xylitol")
    assert [one.severity for one in reading.hazards] == ["serious", "serious"]
    assert reading.toward == ()
    assert "a treat" in reading.toward_note


def test_findings_stand_by_weight_and_each_once(corpus: Corpus) -> None:
    reading = corpus("duck-kibble-eu-faulty").reading
    order = ["serious", "to ask about", "worth knowing", "minor"]
    weights = [order.index(one.severity) for one in reading.findings]
    assert weights == sorted(weights)
    told = [(one.rule, one.place, one.message) for one in
            (*reading.hazards, *reading.doubtful, *reading.findings)]  # fmt: skip
    assert len(told) == len(set(told))


def test_a_name_that_the_list_does_not_bear_out_is_not_passed_over(corpus: Corpus) -> None:
    reading = corpus("salmon-missing-cat-kibble").reading
    assert "names salmon, and the list declares none" in reading.promises_note
    assert any("no salmon is declared" in line for line in reading.short)


def test_a_clash_is_told_and_no_share() -> None:
    reading = of("Ingredients: rice 10 %, chicken 60 %, salt 1 %\n")
    assert reading.content.clash
    assert reading.content.sides == ()
    assert all(row.low is None for row in reading.content.rows)
    assert len(reading.content.rows) == 3


def test_parts_agree_with_arithmetic_by_hand(corpus: Corpus) -> None:
    """28.5 protein, 32.5 fat, 2 fibre, 6 moisture and 7 ash leave 24; 24 / 0.94 is 25.5 of dry
    matter; 3.5 x 24 of 460 kcal per 100 g is 18.3 % of the energy."""
    parts = {part.id: part for part in corpus("duck-millet-freeze-dried").reading.figures.parts}
    assert parts["carbohydrate"].as_fed == pytest.approx(24.0)
    assert parts["carbohydrate"].dry_matter == pytest.approx(25.53, abs=0.01)
    assert parts["carbohydrate"].of_energy == pytest.approx(18.26, abs=0.01)
    assert parts["ash"].assumed
    assert parts["carbohydrate"].printed == "not printed"


def test_a_target_is_reached_by_the_arithmetic_of_the_bowl(corpus: Corpus) -> None:
    reading = corpus("duck-millet-freeze-dried").reading
    carbohydrate = reading.toward[0]
    assert carbohydrate.target == "carbohydrate at most 15 % of the energy"
    for way in carbohydrate.ways:
        assert way.share == pytest.approx(100 * way.per_kg / (1000 + way.per_kg), abs=0.01)
        assert way.then.endswith("carbohydrate 15 %")


def test_weights_of_a_batch_sheet_never_appear(tmp_path: Path) -> None:
    sheet = tmp_path / "batch.csv"
    sheet.write_text("Ingredient,kg\nChicken,61.3719\nRice,38.6281\n")
    label = tmp_path / "food.panel"
    label.write_text("Batch sheet: batch.csv\nIngredients: chicken, rice\n")
    made = read(LabelContext.of(text_of(label)))
    for text in (everything(made.reading), one_page(made.reading, "today")):
        assert "61.37" not in text
        assert "38.62" not in text
        assert "batch.csv" not in text
        assert str(tmp_path) not in text


def test_several_foods_stand_by_name_whatever_their_order(corpus: Corpus) -> None:
    names = ("lamb-stew-gravy", "duck-millet-freeze-dried", "venison-split-peas-kibble")
    foods = several([corpus(one) for one in names])
    assert foods == several([corpus(one) for one in reversed(names)])
    assert list(foods.foods) == sorted(foods.foods)
    assert "“Quillbrook Larder”" in foods.shared
    assert foods.boards[0].lines[0].name == "Duck & Millet Recipe for Dogs"
    assert any("The smaller number is the larger one" in words for words in foods.wet_and_dry)


def test_figures_of_a_table_are_those_of_the_reading(corpus: Corpus) -> None:
    reads = [corpus("lamb-stew-gravy"), corpus("duck-millet-freeze-dried")]
    foods = several(reads)
    parts = {
        (one.reading.file, part.id): part for one in reads for part in one.reading.figures.parts
    }
    for board, field in zip(foods.boards, ("as_fed", "dry_matter", "per_1000_kcal"), strict=True):
        for line in board.lines:
            for heading, cell in zip(board.headings, line.cells, strict=True):
                if (line.file, heading) in parts:
                    assert cell.value == getattr(parts[line.file, heading], field)


def test_cost_is_told_where_price_and_weight_are_known(corpus: Corpus) -> None:
    """12 USD for 2 kg of 3500 kcal/kg: 12 / 7000 x 1000 is 1.71 for 1000 kcal."""
    priced = read(
        LabelContext.of(
            Source(
                "Product name: Priced\nSpecies: dog\nPrice: 12.00 USD for 2 kg\n"
                "Ingredients: chicken, rice\nCalorie content (calculated): 3500 kcal/kg\n",
                "priced.panel",
            )
        )
    )
    foods = several([priced, corpus("lamb-stew-gravy")], daily_energy("dog", 10))
    board = foods.boards[0]
    line = next(one for one in board.lines if one.file == "priced.panel")
    cells = dict(zip(board.headings, line.cells, strict=True))
    assert cells["cost of 1000 kcal"].words == "1.71 USD"
    assert cells["cost of a day"].value == pytest.approx(
        12 / 7000 * daily_energy("dog", 10).kcal, abs=1e-4
    )
    other = next(one for one in board.lines if one.file != "priced.panel")
    assert dict(zip(board.headings, other.cells, strict=True))["cost of 1000 kcal"].words == "–"


def test_no_words_of_ranking(corpus: Corpus) -> None:
    names = ("lamb-stew-gravy", "duck-millet-freeze-dried", "venison-split-peas-kibble")
    foods = several([corpus(one) for one in names])
    told = " ".join(str(block) for block in blocks.several(foods, "today")).casefold()
    for word in ("best", "worst", "winner", "score", "grade", "stars", "rating"):
        assert f" {word} " not in told
