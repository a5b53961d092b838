"""The owner's page, the range and the slides: plain words, whole pages, nothing misleading."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from io import StringIO
from typing import Any

import pytest

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.nutrition.energy import daily_energy
from panellint.output import terminal
from panellint.output.document import Items, Paragraph, Printed, Text
from panellint.output.render_options import CAUTION, RenderOptions
from panellint.report.blocks import Block, flat
from panellint.report.foods import Owner, owner, range_page, sheet, slides
from panellint.report.page import page as page_of

Opened = Callable[..., Any]
#: Of the prose of a sheet, by Flesch and Kincaid: what a child of twelve reads with ease.
HIGHEST_GRADE = 7


def label(name: str, rest: str, species: str = "dog") -> str:
    return f"Product name: Quillbrook Larder {name}\nSpecies: {species}\nMarket: US\n{rest}"


def figures(protein: int, fat: int, fiber: int, moisture: int) -> str:
    return (
        f"Guaranteed analysis\n Crude protein (min.) {protein}%\n Crude fat (min.) {fat}%\n"
        f" Crude fiber (max.) {fiber}%\n Moisture (max.) {moisture}%\n"
    )


def complete(name: str, stage: str = "maintenance", animal: str = "Dog") -> str:
    return (
        f"Nutritional adequacy: Quillbrook Larder {name} is formulated to meet the nutritional "
        f"levels established by the AAFCO {animal} Food Nutrient Profiles for {stage}.\n"
    )


DRY = label(
    "Chicken Formula Kibble",
    "Form: kibble\nIngredients: chicken meal, barley, peas, chicken fat, potato starch, salt\n"
    + figures(26, 14, 4, 10)
    + "Calorie content (calculated): 3,600 kcal/kg, 360 kcal/cup\n"
    + complete("Chicken Formula Kibble")
    + "Net weight: 2 kg\nPrice: $18\n",
)
WET = label(
    "Beef Dinner",
    "Form: canned\nIngredients: beef, water, beef liver, carrots, guar gum, salt\n"
    + figures(9, 5, 1, 78)
    + "Calorie content (calculated): 1,000 kcal/kg, 400 kcal/can\n"
    + complete("Beef Dinner", "growth"),
)
TREAT = label(
    "Onion Bites",
    "Ingredients: wheat flour, onion powder, chicken fat\n"
    + figures(10, 8, 3, 10)
    + "This product is intended for intermittent or supplemental feeding only.\n",
)
CAT = label(
    "Tuna Pot",
    "Form: canned\nIngredients: tuna, water, rice, taurine\n"
    + figures(12, 2, 1, 80)
    + complete("Tuna Pot", animal="Cat"),
    "cat",
)
NOTHING = "Product name: Quillbrook Larder Mystery\n"
SEVERAL = (DRY, WET, TREAT, CAT, NOTHING)


@cache
def told(text: str) -> Owner:
    return owner(LabelContext.of(Source(text, "somewhere/food.panel")))


def words(blocks: Iterable[Block]) -> str:
    stream = StringIO()
    terminal.write(flat(blocks), stream, RenderOptions(width=1000))
    return stream.getvalue()


def page(text: str) -> str:
    return words(sheet(told(text), "today"))


# Plain words ---------------------------------------------------------------------------------


def prose(blocks: Iterable[Block]) -> Iterator[str]:
    """Every sentence; what a label prints counts as one short word."""
    for block in blocks:
        match block:
            case Paragraph(text):
                yield own(text)
            case Items(lines):
                yield from map(own, lines)


def own(text: Text) -> str:
    pieces = (text,) if isinstance(text, str) else text
    return "".join("it" if isinstance(piece, Printed) else piece for piece in pieces)


def syllables(word: str) -> int:
    word = word.lower()
    count = len(re.findall(r"[aeiouy]+", word))
    silent = word.endswith("e") and not word.endswith(("le", "ee")) and count > 1
    return max(1, count - silent)


def grade(sentences: Iterable[str]) -> float:
    """0.39 words a sentence + 11.8 syllables a word - 15.59 (Kincaid et al. 1975)."""
    text = " ".join(sentences)
    count = len([one for one in re.split(r"[.!?:]+(?:\s|$)", text) if re.search(r"\w", one)])
    found = re.findall(r"[A-Za-z']+", text)
    return 0.39 * len(found) / count + 11.8 * sum(map(syllables, found)) / len(found) - 15.59


def test_the_measure_of_reading_agrees_with_a_count_by_hand():
    """Two sentences, eight words, nine syllables: 0.39 x 4 + 11.8 x 9 / 8 - 15.59 = -0.755."""
    assert grade(["The cat sat down.", "It ate the apple."]) == pytest.approx(-0.755, abs=1e-3)


@pytest.mark.parametrize("text", SEVERAL)
def test_the_prose_of_a_sheet_is_easy_to_read(text):
    plan = api.plan([api.Label(text)], 20.0) if text in (DRY, WET) else None
    assert grade(prose(sheet(told(text), "today", plan))) <= HIGHEST_GRADE


@pytest.mark.parametrize("text", SEVERAL)
def test_a_sheet_says_nothing_twice_and_cautions_once(text):
    lines = [line for line in prose(sheet(told(text), "today")) if "“" not in line]
    assert len(lines) == len(set(lines))
    assert lines.count(CAUTION) == 1


# What it says --------------------------------------------------------------------------------


def test_a_dry_food():
    seen = page(DRY)
    assert "This is a dry food for grown dogs." in seen
    assert "The maker says it is a complete food, one to be fed alone." in seen
    # 26 of 90 parts of dry matter are 28.9 %; a wet food of 78 % water has 22 / 100 of that.
    assert "A wet food that says 6 % protein has just as much" in seen
    assert "chicken meal; dried and ground meat or fish, for protein" in seen
    assert "potato starch: " in seen
    assert "Starch comes with barley and peas. In such a food it gives the piece its shape" in seen
    assert "Starch comes with barley and peas.\n" in page(
        DRY.replace("Form: kibble", "Form: dehydrated")
    )
    assert "We know of nothing on the list that harms dogs." in seen


def test_a_wet_food():
    seen = page(WET)
    assert "This is a wet food for young dogs." in seen
    # 9 of 22 parts of dry matter.
    assert "its 9 % protein is 41 %. Set that next to a dry food." in seen
    assert "guar gum: holds the food together." in seen
    assert "“Beef Dinner”: By the rules, such a name needs at least 25 % of what it names." in seen


def test_the_likely_meat_holds_a_true_recipe():
    """Half beef and liver in a can of a third water is an ordinary recipe with such a label."""
    meat = told(WET).meat
    assert meat is not None
    assert meat["low"] < meat["high"] <= 100
    assert meat["low"] <= 60 <= meat["high"] or meat["low"] <= 50 <= meat["high"]


def test_what_can_harm_comes_before_the_list():
    seen = page(TREAT)
    assert "onion powder can harm dogs if there is too much of it. Ask a vet." in seen
    assert seen.index("onion powder can harm") < seen.index("The first on the list")
    assert "It is not a complete food." in seen
    assert "Anything harmful?" not in seen


def test_a_trace_that_no_rule_minds_is_no_alarm():
    """Garlic behind the salt of a dog's food is far below what harms."""
    little = DRY.replace("potato starch, salt", "potato starch, salt, garlic powder")
    assert "Look at this first" not in page(little)
    assert "Anything harmful?" in page(little)


def test_a_label_that_cannot_be_true_is_said_to_be_such():
    text = WET.replace("beef, water, beef liver", "beef 10 %, water, beef liver 60 %")
    assert "What the label says cannot all be true" in page(text)


def test_a_label_that_says_next_to_nothing():
    seen = page(NOTHING)
    assert "for pets" in seen
    assert "The label does not say that it is a complete food." in seen
    assert "The label gives too little to say how much meat or starch is in it." in seen


@pytest.mark.parametrize("text", SEVERAL)
def test_there_are_three_different_questions_at_most(text):
    asked = page(text).partition("Ask the maker")[2].partition("Keep in mind")[0]
    lines = [line for line in asked.splitlines() if line.strip()]
    assert 2 <= len(lines) <= 3
    assert len(set(lines)) == len(lines)
    assert all(line.endswith("?") for line in lines)


def test_a_food_for_both_animals_says_so():
    text = "Product name: Quillbrook Larder Topper for Dogs & Cats\nIngredients: pumpkin\n"
    assert "for dogs and cats" in page(text)


def test_a_portion_of_one_food_stands_on_its_sheet():
    data = api.report([api.Label(DRY, "a.panel")], body_weight=20.0)
    said = " ".join(block["words"] for block in data["blocks"] if "words" in block)
    assert "A dog of 20 kg needs about 1040 kcal a day. That is 3 cups or 289 g" in said
    assert "That costs 2.60 a day and 78.02 a month (USD)." in said


def test_the_water_of_a_food_without_figures_is_not_spoken_of():
    assert "of this food is water" not in page(NOTHING)


# Several foods -------------------------------------------------------------------------------


def test_a_range_keeps_cats_and_incomplete_foods_apart_whatever_the_order():
    foods = [told(text) for text in SEVERAL]
    seen = words(range_page(foods, "today"))
    assert seen == words(range_page(foods[::-1], "today"))
    order = [
        "Complete foods for dogs", "Beef Dinner", "Chicken Formula Kibble",
        "Toppers, treats and supplements, not complete, for dogs", "Onion Bites",
        "Complete foods for cats", "Tuna Pot",
        "Not said to be complete for an animal that is not said", "Mystery",
    ]  # fmt: skip
    places = [seen.index(words) for words in order]
    assert places == sorted(places)
    assert "All names begin with “Quillbrook Larder”" in seen
    # The tuna has no energy of its own: all go by the computed one, and that is said once.
    assert seen.count("Energy is computed throughout") == 1


def test_no_day_is_made_of_treats():
    needs = {"dog": daily_energy("dog", 10)}
    seen = words(range_page([told(DRY), told(TREAT)], "today", needs))
    complete, _, other = seen.partition("Toppers, treats")
    assert "g a day" in complete
    assert "g a day" not in other


def test_the_figures_of_a_range_are_of_the_dry_matter_with_cost():
    seen = words(range_page([told(DRY), told(WET)], "today"))
    line = next(line for line in seen.splitlines() if "Kibble  " in line)
    # 26 / 90 and 14 / 90; 9 dollars a kg of 3,600 kcal.
    assert re.search(r"kibble\s+29 %\s+16 %.*3,600\s+2\.50 USD", line)


def test_no_words_of_ranking():
    seen = words(range_page([told(text) for text in SEVERAL], "today")).casefold()
    for word in ("best", "worst", "winner", "score", "grade", "stars", "rating"):
        assert f" {word} " not in seen


# Pages ---------------------------------------------------------------------------------------


def pages_of(browser: Any, paper: str) -> int:
    browser.emulate_media(media="print")
    printed = browser.pdf(format=paper, prefer_css_page_size=True)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


def fourteen() -> list[Owner]:
    """Fourteen foods of the five labels, with names of their own."""
    foods = [told(text) for text in SEVERAL]
    return [
        foods[at % 5]._replace(name=Printed(f"{foods[at % 5].name} of the long name, No. {at}"))
        for at in range(14)
    ]


@pytest.mark.parametrize(
    ("kind", "blocks", "count"),
    [
        ("sheet", lambda: sheet(told(DRY), "today", api.plan([api.Label(DRY)], 20.0)), 1),
        ("sheet", lambda: sheet(told(WET), "today"), 1),
        ("sheet", lambda: sheet(told(TREAT), "today"), 1),
        ("range", lambda: range_page(fourteen(), "today"), 1),
        ("slides", lambda: slides([told(text) for text in SEVERAL], "today"), 5),
    ],
)
def test_each_kind_prints_to_its_pages_and_fits_a_phone(
    kind: str,
    blocks: Callable[[], Iterable[Block]],
    count: int,
    opened: Opened,
    violations: Callable[[Any], list[str]],
) -> None:
    text = page_of(blocks(), kind)
    browser = opened(text, 390)
    assert browser.evaluate("document.documentElement.scrollWidth") <= 390
    assert violations(browser) == []
    ruled = "getComputedStyle(box).borderTopWidth !== '0px'"  # the heading has a rule already
    boxes = "[...document.querySelectorAll('h2 + .caution')]"
    assert not browser.evaluate(f"{boxes}.some((box) => {ruled})")
    assert [pages_of(browser, paper) for paper in ("A4", "Letter")] == [count, count]


def test_no_circle_is_drawn():
    """Filled and empty circles would recall a rating: there are words and plain bars."""
    for text in (page_of(sheet(told(DRY), "today"), "sheet"), page_of(slides([told(WET)], "d"))):
        assert "<circle" not in text.partition("<main")[2]
        assert not set("●○◐★☆") & set(text)


def test_names_are_listed_and_figures_stand_as_the_label_prints_them():
    """Two starches are joined by a word, a half percent of protein is not cut off, and a form that
    nobody tells is no "unknown" food."""
    wet = WET.replace("carrots", "rice, potatoes").replace("(min.) 9%", "(min.) 9.5%")
    text = page(wet)
    assert "Starch comes with rice and potatoes." in text
    assert "its 9.5 % protein" in text
    assert "unknown" not in words(range_page([told(NOTHING), told(DRY)], "a day"))


def test_groups_of_feed_materials_are_meat_and_count_once():
    """50 % of a group with 10 % chicken in it and 8 % fish: 58 %, each to half a point."""
    food = told(
        "Market: eu\nProduct name: Quillbrook Larder Patée\nComplete pet food for cats\n"
        "Composition: meat and animal derivatives 50 % (of which chicken 10 %, milk 4 %), fish and "
        "fish derivatives 8 % (of which salmon 5 %), minerals\nAnalytical constituents: protein "
        "10.5 %, fat content 5.5 %, crude fibre 0.4 %, crude ash 2.2 %, moisture 80 %\n"
    )
    assert food.meat is not None
    assert 53 - 1.5 <= food.meat["low"] <= food.meat["high"] <= 55 + 1.5


def test_a_name_whose_ingredient_the_list_does_not_have():
    text = DRY.replace("Chicken Formula", "Chicken & Barley Recipe")
    assert "Recipe Kibble”: The list has no chicken under that very name." in page(text)
    assert "The name does not promise" not in page(text)
    assert "under that very name" not in page(WET)


def test_carbohydrate_is_not_all_starch_and_sugar():
    assert "Carbohydrate (starch, sugar and some fibre) likely makes up" in page(DRY)


def test_a_printed_percentage_of_what_is_asked_is_no_lottery():
    """4 % printed may be 3.5 to 4.5; half of such foods do not fall short for that."""
    text = (
        "Market: eu\nProduct name: Patée with Salmon\nComplete pet food for cats\n"
        "Composition: meat and animal derivatives 50 %, salmon 4 %, minerals\n"
    )
    assert "The label prints that much: it is kept, unless it is rounded up." in page(text)
    assert "How much does it hold" not in page(text)
    unprinted = page(text.replace("salmon 4 %", "salmon"))
    assert "that much" not in unprinted
    assert "How much does it hold of what “with Salmon” names, in percent?" in unprinted
