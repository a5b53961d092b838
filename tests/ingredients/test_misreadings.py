"""Declarations as labels print them, and the entries that they hold: nothing that says how much of
what, or that frames a list, is an entry of its own."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.ingredients.model import Ingredient
from panellint.rulepacks.settings import Settings


def tree(text: str, market: str) -> str:
    settings = Settings().with_market(market)
    context = LabelContext.of(Source(text, "-"), settings, quick=True)
    return _list(context.declaration.ingredients)


def _list(entries: Iterable[Ingredient]) -> str:
    return ", ".join(map(_entry, entries))


def _entry(entry: Ingredient) -> str:
    figure = f" {entry.percent.value}{entry.percent.of.value[0]}" if entry.percent else ""
    members = f" ({_list(entry.members)})" if entry.members else ""
    return f"{entry.known_as}{figure}{members}"


@pytest.mark.parametrize(
    ("text", "market", "entries"),
    [
        (
            "Ingredients: baking powder (sodium bicarbonate, cornstarch), salt",
            "us",
            "baking-powder (sodium-bicarbonate, corn-starch), salt",
        ),
        ("Ingredients: added color (Red 40, Blue 1)", "us", "colours (red-40, blue-1)"),
        ("Ingredients: vitamins {niacin, biotin}", "us", "vitamins (niacin-supplement, biotin)"),
        (
            "Ingredients: Chicken base (chicken, rice) and fish base (tuna, starch).",
            "us",
            "None (chicken, rice), None (tuna, modified-starch)",
        ),
        (
            "Ingredients: minerals [zinc sulfate] and vitamins [niacin], salt",
            "us",
            "minerals (zinc-sulphate), vitamins (niacin-supplement), salt",
        ),
        (
            "Zusammensetzung: Fleisch und tierische Nebenerzeugnisse (u. a. 4 % Rind), Getreide",
            "eu",
            "meat-and-animal-derivatives (beef 4f), cereals",
        ),
        (
            "Composición: carnes y subproductos animales (mín. 4 % pollo), cereales",
            "eu",
            "meat-and-animal-derivatives (chicken 4f), cereals",
        ),
        (
            "Samenstelling: vlees en dierlijke bijproducten (o.a. 4 % kip), granen",
            "eu",
            "meat-and-animal-derivatives (chicken 4f), cereals",
        ),
        (
            "Composition : viandes et sous-produits animaux (dont 4 % de dinde dans la bouchée)",
            "eu",
            "meat-and-animal-derivatives (turkey 4c)",
        ),
        (
            "Composition: meat and animal derivatives (of which 4% lamb in the chunk), cereals",
            "eu",
            "meat-and-animal-derivatives (lamb 4c), cereals",
        ),
        ("Composition: rice, inulin (FOS, 80 mg/kg), salt", "eu", "rice, inulin, salt"),
        ("Composition: salmon oil (Omega-3, -6 and -9), salt", "eu", "salmon-oil, salt"),
        ("Composition: chicken 40 %, rice ℮ 400 g", "eu", "chicken 40f, rice"),
        ("Composition: rice 45 %, egg. Protein sources: egg, pea protein.", "eu", "rice 45f, egg"),
        ("Ingredients: 1. chicken 2. rice 3. salt", "us", "chicken, rice, salt"),
        ("Ingredients: 1 chicken, 2 rice, 3 salt", "us", "chicken, rice, salt"),
        ("Composition: chicken (fresh, 26 %), rice", "eu", "chicken 26f, rice"),
        (
            "Zusammensetzung: 60 % Huhn (bestehend aus Herz, Leber), Hühnerbrühe",
            "eu",
            "chicken 60f (chicken-heart, chicken-liver), chicken-broth",
        ),
        (
            "Zusammensetzung: 70 % Rind (Herz, Niere, Milz, Zunge), Rinderbrühe",
            "eu",
            "beef 70f (beef-heart, beef-kidney, beef-spleen, beef-tongue), beef-broth",
        ),
        (
            "Composizione: manzo 60% (cuore, fegato, milza, lingua), brodo",
            "eu",
            "beef 60f (beef-heart, beef-liver, beef-spleen, beef-tongue), meat-broth",
        ),
        (
            "Samenstelling: rund 60% (hart, lever, pens, tong), bouillon",
            "eu",
            "beef 60f (beef-heart, beef-liver, beef-tripe, beef-tongue), meat-broth",
        ),
    ],
)
def test_a_declaration_holds_its_entries_alone(text: str, market: str, entries: str) -> None:
    assert tree(text, market) == entries
