"""What changes come to: likely shares and carbohydrate, promises, pack, price of the energy."""

from __future__ import annotations

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.tasks.changes import changes

FIGURES = """Guaranteed analysis
  Crude protein (min.) 26%
  Crude fat (min.) 14%
  Crude fiber (max.) 4%
  Moisture (max.) 10%
"""


def label(ingredients: str, rest: str = FIGURES, name: str = "Chicken Dinner") -> LabelContext:
    text = (
        f"Product name: Quillbrook Larder {name} for Dogs\nSpecies: dog\nForm: kibble\n"
        f"Market: US\nIngredients: {ingredients}\n{rest}"
    )
    return LabelContext.of(Source(text, "x.panel"))


def said(old: LabelContext, new: LabelContext, part: str) -> list[str]:
    return [one["says"] for one in changes(old, new)["changes"] if one["part"] == part]


def test_oats_that_moved_down_take_the_carbohydrate_with_them():
    old = label("chicken meal, oats, peas, chicken fat, salt")
    new = label("chicken meal, peas, oats, chicken fat, salt")
    moves = " ".join(said(old, new, "ingredients"))
    assert "from 2nd to 3rd" in moves or "from 3rd to 2nd" in moves
    assert "Its likely share was " in moves
    (words,) = said(old, new, "likely")
    assert words.startswith("Carbohydrate is likely ")
    assert "of the dry matter and was likely" in words


def test_nothing_is_likely_otherwise_where_the_recipe_stays():
    old = label("chicken meal, oats, salt", f"{FIGURES}Claims: grain free\n")
    new = label("chicken meal, oats, salt")
    assert said(old, new, "likely") == []
    assert said(old, new, "statements") == ["A claim is gone: “grain free”."]


def test_a_promise_that_went_from_implied_to_open():
    old = label("chicken, salt")
    new = label("chicken, oats, barley, peas, rice, salt")
    words = " ".join(said(old, new, "name"))
    assert "The promise of chicken is open by the label now; it was implied." in words


def test_a_smaller_pack_at_the_same_price_by_hand():
    """10 lb are 4.536 kg, 8 lb 3.629 kg: 20 % less; 30 dollars for 3,600 kcal/kg: 1.84 and 2.30."""
    rest = "Calorie content (calculated): 3,600 kcal/kg\nPrice: $30\nNet weight: {} lb\n"
    old, new = (label("chicken, oats", FIGURES + rest.format(lb)) for lb in (10, 8))
    assert said(old, new, "cost") == [
        "The pack holds 3.629 kg and held 4.536 kg: 20 % less.",
        "1000 kcal cost 2.30 USD and cost 1.84 USD: 25 % more.",
    ]
