"""Binder or bulk: published ranges, and the answer by place, bound and form."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.catalogue import load
from panellint.core.source import Source
from panellint.lint.checks.starch import answers
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings

RULE = packs.load()["starch-as-bulk"]


def answer(form: str, ingredients: str, name: str) -> tuple[str, str]:
    """What a binder does, and why."""
    source = Source(f"Form: {form}\nIngredients: {ingredients}\n", "binder.panel")
    context = LabelContext.of(source, Settings(), quick=True)
    found = {a.entry.name: a for a in answers(context, RULE.parameters)}
    return found[name].which, found[name].why


@pytest.mark.parametrize(
    ("id", "most", "source"),
    [
        ("guar-gum", 0.5, "Dainton et al. 2021"),
        ("xanthan-gum", 0.5, "Dainton et al. 2021"),
        # EFSA 2023 (7860): 6000 mg/kg of wet dog food.
        ("carrageenan", 0.6, "EFSA 2023 (7860)"),
        ("wheat-gluten", 3, "Polo et al. 2005"),
        ("animal-plasma", 2, "Polo et al. 2005"),
    ],
)
def test_published_ranges(id: str, most: float, source: str) -> None:
    found = load().known(id).binding
    assert any(b.usual.high == most and source in b.source and b.confirmed for b in found)


def test_cassia_gum_by_regulation_2019_1947() -> None:
    # At most 13 200 mg/kg of complete feed at 12 % moisture: of a wet food with 22 % dry matter
    # that is 1.32 * 22 / 88 = 0.33 %.
    limit = Fraction(132, 100) * 22 / 88
    assert limit == Fraction(33, 100)
    assert load().known("cassia-gum").binding[0].usual.high == pytest.approx(float(limit))


@pytest.mark.parametrize(
    ("form", "ingredients", "name", "which", "why"),
    [
        # The same starch: a thickener in a stew's tail, bulk or structure high in a kibble.
        (
            "stew",
            "water, beef, peas, salt, tapioca starch",
            "tapioca starch",
            "binds",
            "after salt",
        ),
        (
            "kibble",
            "chicken meal, tapioca starch, peas, salt",
            "tapioca starch",
            "holds shape",
            "among the first 5",
        ),
        ("canned", "beef, tapioca starch, broth, salt", "tapioca starch", "undecided", "50 %"),
        ("canned", "beef (70 %), pea starch (20 %), salt", "pea starch", "bulk", "19.5 %"),
        ("canned", "beef (95 %), pea starch (4 %), salt", "pea starch", "binds", "upper bound"),
        (
            "kibble",
            "chicken, oats, barley, peas, lentils, millet, potato starch",
            "potato starch",
            "undecided",
            "14.3 %",
        ),
        (
            "kibble",
            "chicken, oats, vitamin E supplement, pea starch",
            "pea starch",
            "binds",
            "after vitamin E supplement",
        ),
        ("canned", "beef, broth, guar gum, salt", "guar gum", "binds", "fraction of a percent"),
        ("canned", "beef (90 %), guar gum (5 %), salt", "guar gum", "bulk", "4.75 %"),
    ],
)
def test_the_answer(form: str, ingredients: str, name: str, which: str, why: str) -> None:
    found = answer(form, ingredients, name)
    assert found[0] == which
    assert why in found[1]


OTHERS = (
    "beef,carrots,peas,spinach,apples,pumpkin,kale,oats,barley,millet,quinoa,lentils,zucchini,"
    "celery,parsley,cranberries,blueberries,turkey,duck,rabbit,venison,lamb,salmon,tuna"
).split(",")


@given(st.integers(min_value=1, max_value=len(OTHERS)))
def test_in_a_plain_list_the_nth_binds_once_100_over_n_is_small(before: int) -> None:
    which, _ = answer("canned", ", ".join([*OTHERS[:before], "pea starch"]), "pea starch")
    # Descending order by weight (21 CFR 501.4): the n-th of a list is at most 100/n %.
    assert which == ("binds" if Fraction(100, before + 1) <= 5 else "undecided")


def test_a_starch_behind_a_gum_binds_and_a_dehydrated_food_needs_none_for_its_shape():
    # Agar-agar is customarily 0.2 to 1 %, so that what follows it is as little.
    can = "Form: canned\nIngredients: water, lamb, carrots, peas, agar-agar, potato starch, salt\n"
    assert {one["name"]: one["does"] for one in glance_of(can)}["potato starch"] == "binds"
    dried = "Form: dehydrated\nIngredients: lamb, pea starch, carrots, salt\n"
    assert {one["name"]: one["does"] for one in glance_of(dried)}["pea starch"] == "bulk"
    kibble = "Form: kibble\nIngredients: lamb, pea starch, carrots, salt\n"
    assert {one["name"]: one["does"] for one in glance_of(kibble)}["pea starch"] == "holds shape"


def glance_of(text):
    return api.outline(text)["glance"]["binders"]
