"""Names as they stand on labels: grades of ground meat, names in two languages, cuts and parts."""

from __future__ import annotations

import pytest

from panellint import api
from panellint.catalogue import load
from panellint.catalogue.rows import means_of


def declared(text: str, market: str = "US") -> list[tuple[str, str | None, float | None]]:
    outline = api.outline(f"Market: {market}\nIngredients: {text}\n")
    return [(one["name"], one["known_as"], one["percent"]) for one in outline["declaration"]]


@pytest.mark.parametrize(
    ("printed", "known_as", "fat"),
    [
        ("ground beef (80% lean)", "ground-beef-80-20", 20.0),
        ("80/20 ground beef", "ground-beef-80-20", 20.0),
        ("80 % lean ground beef", "ground-beef-80-20", 20.0),
        ("beef mince (5 % fat)", "ground-beef-95-5", 5.0),
        ("ground beef 70/30", "ground-beef-70-30", 30.0),
        ("ground beef (97/3)", "ground-beef-97-3", 3.0),
        ("93% lean ground turkey", "ground-turkey-93-7", 8.34),
        ("pork mince (4% fat)", "ground-pork-96-4", 4.0),
    ],
)
def test_a_grade_of_ground_meat_is_no_share(printed: str, known_as: str, fat: float) -> None:
    """The fat is that of the row of the USDA National Nutrient Database, Release 28."""
    first = declared(f"{printed}, rice")[0]
    assert first[1:] == (known_as, None)
    assert means_of(known_as)["fat"] == fat


def test_meat_in_gravy_is_meat() -> None:
    """A gravy of chicken is a broth; chicken in a gravy has the meat in it."""
    kinds = {
        "chicken gravy": "broth",
        "chicken chunks in gravy": "muscle-meat",
        "tuna in jelly": "fish",
    }
    for name, kind in kinds.items():
        match = load().lookup(name)
        assert match is not None
        assert match.known.kind == kind


def test_a_share_behind_a_grade_stays() -> None:
    assert declared("80% lean ground beef 30 %, rice")[0] == (
        "80% lean ground beef",
        "ground-beef-80-20",
        30.0,
    )


@pytest.mark.parametrize(
    ("printed", "known_as"),
    [
        ("Chicken / Poulet", "chicken"),
        ("riz / rice", "rice"),
        ("Reis / riz / riso", "rice"),
        ("Thunfisch / thon / tonno / tonijn", "tuna"),
        ("pea fibre/fibre de pois", "pea-fibre"),
        ("Chicken meal / Farine de poulet", "chicken-meal"),
        ("gras de poulet / chicken fat", "chicken-fat"),
        ("chicken / riz", None),
    ],
)
def test_a_name_in_english_and_french_is_one_thing(printed: str, known_as: str | None) -> None:
    assert declared(f"{printed}, salt", "CA")[0][1] == known_as


def names_at_fault(text: str) -> list[str]:
    found = api.lint(f"Species: dog\n{text}")["findings"]
    return [one["message"] for one in found if one["rule"] == "name-not-declared"]


def test_veal_is_meat_of_cattle_and_beef_is_no_veal() -> None:
    assert not names_at_fault("Product name: Beef Dog Food\nIngredients: veal, salt\n")
    assert names_at_fault("Product name: Veal Dog Food\nIngredients: beef, salt\n")
    assert not names_at_fault("Product name: Beef Dog Food\nIngredients: beef hearts, salt\n")
    assert not names_at_fault("Product name: Lamb Dog Food\nIngredients: lamb tongue, salt\n")
    assert names_at_fault("Product name: Beef Dog Food\nIngredients: beef liver, salt\n")
    assert names_at_fault("Product name: Duck Dog Food\nIngredients: duck hearts, salt\n")
    assert names_at_fault("Product name: Lamb Dog Food\nIngredients: mutton, salt\n")


@pytest.mark.parametrize(
    ("name", "market", "id"),
    [
        ("elk", "us", "elk"),
        ("elk", "uk", "moose"),
        ("buffalo", "us", "bison"),
        ("buffalo", "uk", "water-buffalo"),
        ("guar flour", "us", "guar-meal"),
        ("lamb trotters", "uk", "lamb-trotter"),
        ("salmon frames", "us", "salmon-frames"),
        ("extruded peas", "us", "puffed-peas"),
        ("lean lamb", "us", "lean-lamb"),
        ("giblets", "us", "poultry-giblets"),
        ("poultry gizzards", "us", "poultry-gizzard"),
        ("puffed rice", "us", "puffed-rice"),
        ("popcorn", "us", "popcorn"),
        ("Chicken (dried)", "us", "dried-chicken"),
        ("hydrolyzed salmon collagen", "us", "salmon-collagen"),
        ("dried whole sardines", "us", "dried-sardine"),
        ("dried chicken hydrolysate", "us", "dried-hydrolysed-chicken"),
        ("freeze-dried beef lung", "us", "dried-beef-lung"),
        ("hydrolyzed turkey liver powder", "us", "dried-hydrolysed-turkey-liver"),
    ],
)
def test_names_that_once_led_astray(name: str, market: str, id: str) -> None:
    match = load().lookup(name, market=market)
    assert match is not None
    assert match.known.id == id


@pytest.mark.parametrize("name", ["hydrolyzed turkey liver powder", "dried duck liver hydrolysate"])
def test_a_powder_of_a_hydrolysate_is_dry(name: str) -> None:
    match = load().lookup(name)
    assert match is not None
    assert match.known.figures["moisture"].range.high <= 14
