"""Several foods in one text: what tells them apart, and what is one label after all."""

from __future__ import annotations

import pytest

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.analysis.foods import foods_of
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def context_of(text: str) -> LabelContext:
    return LabelContext.of(Source(text, "pack.panel"), Settings())


@pytest.mark.parametrize(
    ("text", "foods"),
    [
        (
            "Pack for dogs\n\nDuck Recipe\nIngredients: duck, rice\n\nLamb Recipe\n"
            "Ingredients: lamb, millet\n",
            {"Duck Recipe": ["duck", "rice"], "Lamb Recipe": ["lamb", "millet"]},
        ),
        (
            "Mischpack\nmit Rind: Zusammensetzung: Rind, Reis\nmit Huhn: Zusammensetzung: Huhn\n"
            "Rohprotein 10 %\n",
            {"mit Rind": ["Rind", "Reis"], "mit Huhn": ["Huhn"]},
        ),
        (
            "Box\nWith duck in jelly. Composition: duck, rice\nWith lamb. Composition: lamb\n",
            {"With duck in jelly": ["duck", "rice"], "With lamb": ["lamb"]},
        ),
        (
            "Gatto\nComposizione con manzo: manzo, riso\nComposizione con pollo: pollo\n",
            {"con manzo": ["manzo", "riso"], "con pollo": ["pollo"]},
        ),
        (
            "The Box\n\n1) Carob Biscuits — complementary pet food for dogs. Composition: oats\n"
            "2) Cod Twists — complementary pet food for dogs. Composition: cod skin\n",
            {"Carob Biscuits": ["oats"], "Cod Twists": ["cod skin"]},
        ),
        (
            "Jerky\nDuck Jerky Ingredients: duck, salt\nLamb Jerky Ingredients: lamb, salt\n",
            {"Duck Jerky": ["duck", "salt"], "Lamb Jerky": ["lamb", "salt"]},
        ),
        (
            "Sampler\n\n| | Duck Bites | Lamb Bites |\n|---|---|---|\n"
            "| Ingredients | duck, salt | lamb, salt |\n| Crude protein (min) | 26% | 25% |\n",
            {"Duck Bites": ["duck", "salt"], "Lamb Bites": ["lamb", "salt"]},
        ),
        (
            "Sampler\n\tDuck Bites\tLamb Bites\nIngredients\tduck, salt\tlamb, salt\n"
            "Moisture\t9%\t8%\n",
            {"Duck Bites": ["duck", "salt"], "Lamb Bites": ["lamb", "salt"]},
        ),
    ],
)
def test_each_list_is_of_its_own_food(text: str, foods: dict[str, list[str]]) -> None:
    several = foods_of(context_of(text))
    assert {
        text[slice(*food.label.product_name_span)]: [entry.name for entry in food.leaves]
        for food in several
    } == foods
    assert all(food.label.source.text.count("\n") == text.count("\n") for food in several)


@pytest.mark.parametrize(
    "text",
    [
        "Duck Recipe\nIngredients: duck, rice\n\nIngredients: chicken, rice\n",
        "Duck Recipe\nIngredients: duck, rice\nActive ingredients: taurine\n",
        "Duck Recipe\nIngredients: duck, rice\n\nDuck Recipe\nIngredients: duck, rice\n",
        "Duck Recipe\nOur ingredients are good.\nIngredients: duck, rice\n",
        "Ente\nZusammensetzung: Ente, Reis\nCanard\nComposition : canard, riz\n",
    ],
)
def test_one_food_is_one_label(text: str) -> None:
    assert len(foods_of(context_of(text))) == 1


def test_a_text_of_very_many_lists_is_no_pack() -> None:
    text = "".join(f"duck {'x' * n} Ingredients: duck\n" for n in range(1, 50))
    assert len(foods_of(context_of(text[: text.index("xxxx")] + "\n"))) == 3
    assert len(foods_of(context_of(text * 2))) == 1


def test_figures_between_the_lists_are_of_one_food_and_those_behind_of_all() -> None:
    guarantees = "Guaranteed Analysis: Crude Protein (min) {} %, Moisture (max) 78 %\n"
    text = (
        f"Pack for cats\n\nDuck Dinner\nIngredients: duck, rice\n{guarantees.format(9)}\n"
        f"Lamb Dinner\nIngredients: lamb, rice\n{guarantees.format(10)}\nNet Wt 6 oz (170 g)\n"
    )
    proteins = [food.guarantee("protein") for food in foods_of(context_of(text))]
    assert [int(protein.value) for protein in proteins if protein] == [9, 10]
    assert all(food.sections_of("net-contents") for food in foods_of(context_of(text)))


def test_a_finding_that_is_not_of_all_begins_with_its_foods_name() -> None:
    text = (
        "Pack for dogs\n\nDuck Recipe\nIngredients: duck, rice\n\nLamb Recipe\n"
        "Ingredients: pork, rice\n"
    )
    findings = lint(Source(text, "pack.panel"), Settings()).findings
    said = [f.message for f in findings if f.rule == "name-not-declared"]
    assert [message.split(":")[0] for message in said] == ["Lamb Recipe"]
    assert [text[slice(*f.span)] for f in findings if f.rule == "several-foods"] == ["Duck Recipe"]


def test_a_sheet_has_a_food_a_row() -> None:
    rows = ("Name", "Type", "Composition", "Analytical constituents")
    duck = ("Duck Strips", "Complementary pet food for dogs", "Duck 90 %, salt", "Protein 40 %")
    lamb = ("Lamb Strips", "Complementary pet food for dogs", "Lamb 91 %, salt", "Protein 42 %")
    quoted = [tuple(f'"{cell}"' for cell in row) for row in (rows, duck, lamb)]
    for sign, table in (("\t", (rows, duck, lamb)), (";", (rows, duck, lamb)), (",", quoted)):
        text = "\n".join(map(sign.join, table)) + "\n"
        foods = foods_of(context_of(text))
        assert [food.label.product_name for food in foods] == ["Duck Strips", "Lamb Strips"]
        assert [[e.name for e in food.leaves] for food in foods] == [
            ["Duck", "salt"],
            ["Lamb", "salt"],
        ]
        proteins = [food.guarantee("protein") for food in foods]
        assert [int(protein.value) for protein in proteins if protein] == [40, 42]


def test_lists_of_a_pack_stand_behind_their_names_and_lists_of_a_foods_parts_do_not() -> None:
    pack = (
        "Pouches for cats\nComposition\nWith salmon: meat, salmon (4 %), rice, salt\n"
        "With cod: meat, cod (4 %), rice, salt\n"
    )
    several = foods_of(context_of(pack))
    assert [[e.name for e in food.leaves][1] for food in several] == ["salmon", "cod"]
    parts = (
        "Stew for dogs\nComposition\nBeef chunks: beef, pork, salt\nRice gravy: water, rice, oil\n"
    )
    assert len(foods_of(context_of(parts))) == 1


@pytest.mark.parametrize(("count", "foods"), [(24, 24), (25, 1)])
def test_a_price_list_of_more_foods_than_a_pack_has_is_no_label_of_several(
    count: int, foods: int
) -> None:
    # Each food is read with all that is of every food, so that time grows with their square.
    lines = "".join(f"With salmon {n * 'a'}: meat, salmon, rice, salt\n" for n in range(count))
    assert len(foods_of(context_of(f"Pouches for cats\n{lines}"))) == foods
    rows = "".join(f"Duck {n * 'a'}\tduck, rice, salt\t{n + 1} g\n" for n in range(count))
    sheet = f"product name\tingredients\tnet weight\n{rows}"
    assert len(foods_of(context_of(sheet))) == foods


def test_every_answer_says_which_of_several_foods_it_is_of() -> None:
    text = (
        "Pouches for cats\nWith salmon: meat, salmon (4 %), rice, salt\n"
        "With cod: meat, cod (4 %), rice, salt\n"
    )
    for answer in (api.outline, api.shares, api.nutrition):
        assert answer(text)["foods_in_text"] == ["With salmon", "With cod"]
        assert answer("Composition: meat, rice\n")["foods_in_text"] == []


def test_two_types_of_feed_in_lines_below_one_another_are_both_read() -> None:
    text = (
        "Lamb Mince\nComplete pet food for dogs\n"
        "A complementary pet food, fed with a complete food.\nComposition: lamb\n"
    )
    routes = {statement.route for statement in context_of(text).label.adequacy}
    assert routes == {"complete", "complementary"}


def test_the_type_of_each_food_may_stand_between_its_name_and_its_list() -> None:
    text = "Beutel für Katzen\n\n" + "".join(
        f"Sorte mit {name} in Sauce\nAlleinfuttermittel für Kätzchen (bis 12 Monate).\n"
        f"Zusammensetzung: Fleisch, {name} (4 %), Reis, Salz.\n\n"
        for name in ("Huhn", "Thunfisch")
    )
    foods = foods_of(context_of(text))
    assert [[e.name for e in food.leaves][1] for food in foods] == ["Huhn", "Thunfisch"]
