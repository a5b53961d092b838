"""Promises of product names, and which declared ingredients support a named one."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.ingredients.own_names import supporting
from panellint.rulepacks.settings import Settings


def case_of(name: str, market: str = "us", declaration: str = "chicken") -> LabelContext:
    text = f"Product name: {name}\nMarket: {market}\nIngredients: {declaration}\n"
    return LabelContext.of(Source(text), Settings())


def said(name: str, market: str = "us") -> list[str]:
    return [
        f"{p.tier}: {', '.join(n.name for n in p.named)}" + (f" {p.percent}%" if p.percent else "")
        for p in case_of(name, market).promises
    ]


@pytest.mark.parametrize(
    ("name", "promises"),
    [
        ("Quillbrook Larder Duck & Millet Recipe for Dogs", ["quarter: duck, millet"]),
        ("Quillbrook Larder Chicken Dog Food", ["ninety-five: chicken"]),
        ("Lamb and Rice Dinner", ["quarter: lamb, rice"]),
        ("Beef Dinner with Cheddar Cheese", ["quarter: beef", "with: cheddar cheese"]),
        ("Chicken Flavor Dog Food", ["flavour: chicken"]),
        ("Dog Food, Beef & Bacon Flavor", ["flavour: beef, bacon"]),
        ("Chicken Noodle Soup for Dogs", ["quarter: chicken, noodle"]),
        ("97% Tuna", ["ninety-five: tuna 97%"]),
        ("100% Tuna Flakes", ["all: tuna 100%"]),
        ("All Beef Burger", ["all: beef"]),
        ("Grain-Free Turkey Formula", ["quarter: turkey"]),
        ("Salmon Entrée in Gravy", ["quarter: salmon"]),
        ("Tender Rabbit & Brown Rice Recipe", ["quarter: rabbit, brown rice"]),
        ("Chicken and Barley Formula", ["quarter: chicken, barley"]),
        ("Light Indoor Chicken Cat Food", ["ninety-five: chicken"]),
        ("Quillbrook Larder Chicken Menu", ["quarter: chicken"]),
        ("Hearty Morsels for Puppies", []),
        ("Dog Food with Duck and Pear", ["with: duck, pear"]),
        ("Lamb Jerky Treats for Dogs", ["quarter: lamb"]),
        ("Just Add Chicken Base Mix", []),
        ("Kidney Care for Cats", []),
        ("Savory Turkey Morsels in Gravy", ["quarter: turkey"]),
        ("Bone Broth Topper - Turkey", ["quarter: bone broth, turkey"]),
        ("Dinner: Turkey", ["quarter: turkey"]),
        ("Beef Recipe, Turkey", ["quarter: beef", "ninety-five: turkey"]),
        ("Kitten Recipe, Turkey & Egg", ["quarter: turkey, egg"]),
        ("Chicken & Sole Pate", ["quarter: chicken, sole"]),
        ("Sole Protein Duck Dinner", ["quarter: duck"]),
        # A word that may imply other ingredients is taken as one that does; so is a sauce.
        ("Tuna & Shrimp Florentine", ["quarter: tuna, shrimp"]),
        ("Chicken Medallions for Dogs", ["quarter: chicken"]),
        ("Tuna in a Delicate Sauce", ["quarter: tuna"]),
        ("Tuna in Water for Cats", ["ninety-five: tuna"]),
        ("Beef Ultra Dog Food", ["ninety-five: beef"]),
        ("100% Pure Pumpkin for Dogs", ["all: pumpkin"]),
        ("Chicken Raw Frozen Cat Food", ["ninety-five: chicken"]),
        ("GI Low Fat Dog Food", []),
        ("Base Mix, a dehydrated supplement to fresh meat", []),
        ("Turkey with Bone", ["ninety-five: turkey"]),
        ("Cat Milk, a treat for cats", ["ninety-five: milk"]),
    ],
)
def test_us_names(name: str, promises: list[str]) -> None:
    assert said(name) == promises


@pytest.mark.parametrize(
    ("name", "promises"),
    [
        ("Terrine with Chicken and Duck", ["with: chicken, duck"]),
        ("Chunks Rich in Salmon", ["rich: salmon"]),
        ("Lamb & Rice Menu", ["dish: lamb, rice"]),
        ("Kibble flavoured with Beef", ["flavoured: beef"]),
        ("Beef flavour Kibble", ["flavoured: beef"]),
        ("All Tuna Flakes", ["all: tuna"]),
        ("100% freeze-dried chicken", ["all: chicken"]),
        ("100 % raw chicken", ["all: chicken"]),
        ("Tuna Flakes in Jelly", ["dish: tuna"]),
        ("Lamb Menu without wheat or maize", ["dish: lamb"]),
        ("Lamb Menu\nNo corn, wheat or soya", ["dish: lamb"]),
        ("Puppy Milk Replacer", []),
        ("Menu without grain and wheat but with Tuna", ["with: tuna"]),
    ],
)
def test_eu_names(name: str, promises: list[str]) -> None:
    assert said(name, "eu") == promises


@pytest.mark.parametrize(
    ("named", "declared", "supports"),
    [
        ("Chicken", "deboned chicken", True),
        ("Chicken", "organic chicken", True),
        # The word must be the ingredient's own name: veterinary conference proceedings, 2008.
        ("Chicken", "chicken meal", False),
        ("Chicken", "chicken by-products", False),
        ("Chicken", "chicken fat", False),
        ("Chicken", "chicken broth", False),
        ("Chicken", "chicken liver", False),
        ("Rice", "brown rice", True),
        ("Rice", "brewers rice", True),
        ("Rice", "rice bran", False),
        # By its definition: a part of the bird with its meat, the whole grain in any cut.
        ("Turkey", "turkey backs", True),
        ("Rabbit", "rabbit with ground bone", True),
        ("Oat", "oat groats", True),
        ("Rice", "rice flour", True),
        ("Egg", "dried egg product", True),
        ("Venison", "deer meat", True),
        ("Potato", "sweet potatoes", False),
        ("Carrot", "carrots", True),
        ("Fish", "whitefish", True),
        ("Salmon", "salmon oil", False),
        ("Wheat", "buckwheat", False),
        ("Butter", "peanut butter", False),
        ("Duck", "vegetables (peas, duck)", True),
        # The same part of an animal of the kind.
        ("Fish skin", "cod skin", True),
        ("Poultry liver", "duck liver", True),
        ("Poultry liver", "duck heart", False),
        ("Antler", "elk antler", True),
        ("Tripe", "beef tripe", True),
    ],
)
def test_support(named: str, declared: str, supports: bool) -> None:
    context = case_of(f"{named} Dinner", declaration=f"{declared}, salt")
    found = supporting(context.promises[0].named[0], context.declaration)
    assert bool(found) is supports


def test_a_part_that_the_label_declares_is_what_its_name_names() -> None:
    context = case_of("Goose Feet for Dogs", declaration="goose feet")
    (named,) = context.promises[0].named
    assert named.name == "goose feet"
    assert supporting(named, context.declaration)


def test_a_composed_name_under_a_word_that_changes_nothing_is_the_declared_one():
    context = case_of("Frozen Raw Green Bison Tripe for Dogs", declaration="bison tripe")
    (named,) = context.promises[0].named
    assert named.match.known.id == "bison-tripe"


@pytest.mark.parametrize(
    ("name", "composition", "promises"),
    [
        ("Enten-Eintopf mit Karotten", "Zusammensetzung: Ente", ["dish: enten", "with: karotten"]),
        ("Eintopf mit Rind", "Zusammensetzung: Rind", ["with: rind"]),
        ("Rindertopf", "Zusammensetzung: Rind", ["dish: rinder"]),
        ("Enten-Ragout", "Zusammensetzung: Ente", ["dish: enten"]),
        ("25 kg et plus Agneau", "Composition : agneau", ["dish: agneau"]),
        ("Croquettes sans céréales riches en saumon", "Composition : saumon", ["rich: saumon"]),
    ],
)
def test_names_in_other_languages(name: str, composition: str, promises: list[str]) -> None:
    label = f"{name}\nMarket: eu\n{composition} 30 %, Reis, riz\n"
    context = LabelContext.of(Source(f"Produktname: {label}"), Settings())
    assert [f"{p.tier}: {', '.join(n.name for n in p.named)}" for p in context.promises] == promises


def test_a_variety_behind_its_food_is_one_name_where_the_list_has_both() -> None:
    broth = case_of("Bone Broth for Dogs – Turkey", declaration="turkey bone broth, parsley")
    assert [entry.name for found in broth.supported.values() for entry in found][-1:] == [
        "turkey bone broth"
    ]


def test_spans_slice_back_to_the_printed_words() -> None:
    context = case_of("Quillbrook Ente 🦆 Duck &\n Millet Recipe")
    promise = context.promises[0]
    assert [context.source.slice(n.span) for n in promise.named] == ["Duck", "Millet"]
    assert context.source.slice(promise.span) == "Duck &\n Millet Recipe"
    assert promise.text == "Duck & Millet Recipe"


@pytest.mark.parametrize(
    ("maker", "named"),
    [
        ("Barley Weir, 41 Depot Avenue, Quillbrook, VT 05099", ["chicken"]),
        ("BARLEY WEIR, 41 Depot Avenue, Quillbrook, VT 05099", ["chicken"]),
        ("Barley Mill, 41 Depot Avenue, Quillbrook, VT 05099", ["barley", "chicken"]),
        ("The makers of Barley Weir, 41 Depot Avenue, Quillbrook", ["barley", "chicken"]),
    ],
)
def test_the_first_words_of_the_name_are_a_brand_where_the_maker_is_called_so(
    maker: str, named: list[str]
) -> None:
    text = f"Product name: Barley Weir Chicken Dinner\nIngredients: chicken\nMade by: {maker}\n"
    promises = LabelContext.of(Source(text), Settings()).promises
    assert [name.name for promise in promises for name in promise.named] == named


def test_a_brand_is_no_ingredient() -> None:
    text = "Brand: Salmon Creek Larder\nProduct name: Salmon Creek Larder Duck Dinner\n"
    promises = LabelContext.of(Source(text + "Ingredients: duck\n"), Settings()).promises
    assert [n.name for n in promises[0].named] == ["duck"]


@pytest.mark.parametrize(
    ("name", "declaration", "supported"),
    [
        ("Fish Meal Recipe", "herring meal, oats", ["herring meal"]),
        ("Fish Meal Recipe", "herring, chicken meal", []),
        (
            "Berry Recipe",
            "duck, blueberries, dried cranberries",
            ["blueberries", "dried cranberries"],
        ),
        ("Blackberry Recipe", "duck, blueberries", []),
        ("Cricket Recipe", "cricket flour, oats", ["cricket flour"]),
        ("Cricket Recipe", "mealworm meal, oats", []),
        ("Insect Recipe", "mealworm meal, oats", ["mealworm meal"]),
        ("Chicken Recipe", "chicken meal, oats", []),
    ],
)
def test_names_of_a_kind_are_supported_by_its_members(
    name: str, declaration: str, supported: list[str]
) -> None:
    context = case_of(name, declaration=declaration)
    (named,) = context.promises[0].named
    assert [entry.name for entry in supporting(named, context.declaration)] == supported


def test_a_promise_ends_on_its_line() -> None:
    label = (
        "Peanut Butter & Banana Biscuits\nTreats for dogs\nNet Wt 8 oz\n"
        "Ingredients: oat flour, peanut butter, dried banana\n"
    )
    (promise,) = LabelContext.of(Source(label), Settings()).promises
    assert promise.text == "Peanut Butter & Banana Biscuits"


def test_a_part_is_its_own_in_another_number() -> None:
    label = (
        "Market: eu\nProduct name: Huhn & Herz\nAlleinfuttermittel für Katzen\n"
        "Zusammensetzung: Huhn 60 % (Fleisch, Herzen 20 %, Mägen), Karotten 3 %\n"
    )
    context = LabelContext.of(Source(label), Settings())
    (promise,) = context.promises
    assert [[e.name for e in context.supported[n.span]] for n in promise.named] == [
        ["Huhn"],
        ["Herzen"],
    ]
