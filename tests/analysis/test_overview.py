"""What is in a food at a glance.

What a cat must eat: Morris 2002, Nutr Res Rev 15:153; MacDonald et al. 1984, Annu Rev Nutr 4:521.
"""

from __future__ import annotations

import json
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.analysis.overview import glance
from panellint.core.source import Source
from panellint.rulepacks.settings import Settings


def seen(text: str) -> dict[str, Any]:
    return glance(LabelContext.of(Source(text, "glance.panel"), Settings(), quick=True))


CAT = """Product name: Duck Supper for Cats
Market: US
Ingredients: Duck, duck broth, carrots, sunflower oil, tapioca starch, natural flavor, zorgal,
  chicken fat (preserved with mixed tocopherols), salt, zinc oxide, beta-carotene, guar gum.
"""


def test_a_treat_need_not_supply_what_a_profile_asks() -> None:
    treat = "Product name: Duck Bites, Treats for Dogs\nIngredients: duck, oats, salt\n"
    assert seen(treat)["beside_a_diet"]
    assert not seen(treat.replace("Bites, Treats", "Dinner"))["beside_a_diet"]


def test_the_first_entries_with_kind_source_and_bounds() -> None:
    first = seen(CAT)["first"]
    assert len(first) == 10
    assert first[0] == {
        "name": "Duck",
        "kind": "muscle-meat",
        "origin": "animal",
        "species": "duck",
        "low": round(100 / 12, 4),
        "high": 100.0,
    }
    assert (first[2]["origin"], first[2]["high"]) == ("plant", 33.3333)
    assert first[6] == {**first[6], "name": "zorgal", "kind": None, "origin": None}


def test_animals_taste_keeping_binding_and_the_unknown() -> None:
    told = seen(CAT)
    assert told["animals"] == {"duck": ["Duck", "duck broth"], "chicken": ["chicken fat"]}
    assert told["palatants"] == ["natural flavor"]
    assert told["preservatives"] == ["chicken fat, preserved with mixed tocopherols"]
    assert told["unknown"] == ["zorgal"]
    assert [(b["name"], b["does"]) for b in told["binders"]] == [
        ("tapioca starch", "undecided"),
        ("guar gum", "binds"),
    ]


def test_members_of_a_named_animal_are_of_it() -> None:
    told = seen("Ingredients: Rabbit (with bone, liver), animal fat, poultry meal, peas\n")
    assert told["animals"]["rabbit"][0] == "Rabbit"
    assert told["animals"][""] == ["animal fat", "poultry meal"]


def test_minerals_and_vitamins_against_the_profile() -> None:
    rows = {row["nutrient"]: row for row in seen(CAT)["nutrients"]}
    # The AAFCO cat profile asks for these; it asks for no vitamin C.
    assert {"zinc", "iodine", "vitamin-a", "vitamin-d", "thiamine", "choline"} <= set(rows)
    assert "vitamin-c" not in rows
    assert (rows["zinc"]["source"], rows["zinc"]["from"]) == ("declared", ["zinc oxide"])
    assert (rows["iodine"]["source"], rows["iodine"]["from"]) == ("none found", [])
    assert rows["vitamin-e"]["source"] == "whole food"
    assert rows["vitamin-e"]["from"] == ["sunflower oil"]
    assert rows["vitamin-b12"]["name"] == "vitamin B12"


def test_a_premix_without_its_members_may_hold_them() -> None:
    rows = {r["nutrient"]: r for r in seen("Ingredients: beef, vitamins, salt\n")["nutrients"]}
    assert (rows["niacin"]["source"], rows["niacin"]["from"]) == ("unlisted premix", ["vitamins"])


def test_additives_of_the_eu_heading_supply() -> None:
    told = seen(
        "Market: EU\nSpecies: dog\nComposition: Lamb, rice\n"
        "Additives (per kg)\n"
        "Nutritional additives: Vitamin A 15 000 IU, Zinc (zinc sulphate) 80 mg\n"
    )
    rows = {row["nutrient"]: row for row in told["nutrients"]}
    assert rows["vitamin-a"]["source"] == "declared"
    assert rows["zinc"]["source"] == "declared"


def test_additives_supply_in_any_language_and_minerals_hold_no_vitamins() -> None:
    seen_in = seen(
        "Market: EU\nSpecies: cat\nComposizione: anatra, sostanze minerali\n"
        "Additivi nutrizionali per kg: taurina 450 mg, rame (solfato rameico pentaidrato) 2 mg\n"
    )
    rows = {row["nutrient"]: row["source"] for row in seen_in["nutrients"]}
    needs = {row["nutrient"]: row["source"] for row in seen_in["cat"]}
    assert rows["copper"] == needs["taurine"] == "declared"
    assert rows["iodine"] == "unlisted premix"
    assert rows["vitamin-e"] == needs["vitamin-a"] == "none found"


def test_a_cat_is_not_fed_by_carotene_and_plant_oil() -> None:
    needs = {row["nutrient"]: row for row in seen(CAT)["cat"]}
    assert needs["taurine"]["source"] == "whole food"
    assert needs["taurine"]["from"] == ["Duck"]
    assert needs["arachidonic-acid"]["from"] == ["chicken fat"]
    assert needs["arachidonic-acid"]["not_from"] == ["sunflower oil"]
    assert needs["vitamin-a"]["source"] == "none found"
    assert needs["vitamin-a"]["not_from"] == ["carrots", "beta-carotene"]
    supplied = CAT.replace("zinc oxide", "taurine, vitamin A supplement")
    needs = {row["nutrient"]: row for row in seen(supplied)["cat"]}
    assert [needs[n]["source"] for n in ("taurine", "vitamin-a")] == ["declared", "declared"]


def test_a_dog_needs_no_such_table() -> None:
    assert seen(CAT.replace("Cats", "Dogs"))["cat"] == []


def test_it_is_plain_data_for_any_text() -> None:
    for text in ("", "Ingredients:\n", "Market: UK\nComposition: Cereals\n", "Market: CA\nzorgal"):
        assert json.loads(json.dumps(seen(text))) == seen(text)


def test_whole_foods_carry_the_minerals_that_are_plentiful_in_them() -> None:
    text = "Species: cat\nIngredients: salmon, chicken meal, dried peas, salt, taurine\n"
    rows = {row["nutrient"]: row for row in seen(text)["nutrients"]}
    assert rows["phosphorus"]["from"] == ["salmon", "chicken meal"]
    assert rows["magnesium"]["from"] == ["chicken meal", "dried peas"]
    assert rows["vitamin-b12"]["name"] == "vitamin B12"
