"""Forms: what is stated, what words and moisture let one infer, and how wide that leaves it."""

import pytest

from panellint.nutrition.forms import form_ids, form_in, form_of, moisture_class


@pytest.mark.parametrize(
    ("moisture", "expected"),
    [
        (0, "dry"),
        (19.9, "dry"),
        (20, "semi-moist"),
        (64.9, "semi-moist"),
        (65, "wet"),
        (100, "wet"),
    ],
)
def test_classes_of_the_light_claim(moisture, expected):
    """Kentucky 12 KAR 3:028: below 20, 20 to below 65, 65 and over."""
    assert moisture_class(moisture) == expected


def test_the_forms_that_others_speak_of():
    assert set(form_ids()) == {
        "kibble", "baked", "dehydrated", "air-dried", "freeze-dried", "semi-moist",
        "canned", "fresh", "frozen", "liquid", "unknown",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("freeze-dried", "freeze-dried"),
        ("Freeze Dried Raw Nuggets", "freeze-dried"),
        ("Duck & Millet Stew", "canned"),
        ("oven-baked biscuits", "baked"),
        ("gently cooked, frozen", "fresh"),
        ("Air-Dried Beef", "air-dried"),
        ("Dry food", "unknown"),
    ],
)
def test_words_that_name_a_form(text, form):
    found = form_in(text)
    assert found is not None
    assert found[0] == form


@pytest.mark.parametrize("text", ["", "Dry-aged Beef", "Scandinavian Recipe", "Candied Yam"])
def test_words_that_only_hold_such_words_name_none(text):
    assert form_in(text) is None


def test_a_stated_form_narrows_the_water_and_an_inferred_one_does_not():
    stated = form_of(stated="canned")
    inferred = form_of(words="Duck Loaf")
    assert stated.id == inferred.id == "canned"
    assert (stated.how, inferred.how) == ("stated", "words")
    assert stated.water_lost.high < inferred.water_lost.high
    assert inferred.water_lost == form_of().water_lost


def test_every_stated_form_lies_within_the_unknown_one():
    unknown = form_of().water_lost
    for name in form_ids():
        low, high = form_of(stated=name).water_lost
        assert unknown.low <= low <= high <= unknown.high


def test_words_that_the_moisture_contradicts_are_not_believed():
    form = form_of(words="Duck Stew Topper", moisture=8)
    assert (form.id, form.moisture_class, form.how) == ("unknown", "dry", "moisture")
    assert form.ash is not None
    assert form.ash.typical == 7


def test_a_class_that_is_stated_leaves_the_form_open():
    form = form_of(stated="dry")
    assert (form.id, form.moisture_class, form.moisture_default) == ("unknown", "dry", 10)


def test_nothing_known_gives_no_ash_and_no_moisture():
    form = form_of()
    assert (form.how, form.ash, form.moisture_default) == ("none", None, None)


def test_a_use_is_no_form():
    for use in ("treat", "topper", "mixer", "supplement", "complete"):
        assert form_in(use) is None
