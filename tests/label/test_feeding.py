"""Feeding directions in the layouts of packs: drawn tables are printed and read back."""

import random
from itertools import pairwise

import pytest

from panellint.core.source import Source
from panellint.label.feeding import read_directions
from panellint.label.reader import read_label

KILOGRAMS = {"lb": 0.45359237, "kg": 1.0}
LAYOUTS = (
    lambda rows, mass: "; ".join(f"{w} {mass}, {a} cups" for w, a in rows) + " a day.",
    lambda rows, mass: "\n".join(f"• {w} {mass.upper()} – {a} CUPS" for w, a in rows),
    lambda rows, mass: "\n".join(f"{w} {mass} ........ {a} cups" for w, a in rows),
    lambda rows, mass: f"Body weight ({mass})\tCups per day\n" + _cells(rows, "\t"),
    lambda rows, mass: f"WEIGHT OF DOG ({mass})    CUPS PER DAY\n" + _cells(rows, "    "),
    lambda rows, mass: (
        f"| Weight ({mass}) | Daily amount (cups) |\n|---|---|\n" + _cells(rows, " | ")
    ),
    lambda rows, mass: (
        f"Weight ({mass})\t"
        + "\t".join(w for w, _ in rows)
        + "\nCups per day\t"
        + "\t".join(a for _, a in rows)
    ),
    lambda rows, mass: "Feed " + ", ".join(f"{a} cups for a {w} {mass} dog" for w, a in rows),
)


def _cells(rows, between):
    return "\n".join(between.join(row) for row in rows)


@pytest.mark.parametrize("seed", range(40))
def test_a_printed_table_is_read_back(seed):
    draw = random.Random(seed)
    mass, dash = draw.choice(["lb", "kg"]), draw.choice(["-", " – ", " to "])
    weights = sorted(draw.sample(range(5, 120), 4))
    rows, truth = [], []
    for at, (light, heavy) in enumerate(pairwise(weights)):
        light += at > 0
        amount = f"{at + 1}½"
        more = draw.choice([amount, f"{at + 2}¼"])
        rows.append(
            (f"{light}{dash}{heavy}", amount if more == amount else f"{amount}{dash}{more}")
        )
        truth.append(((light + heavy) / 2, at + 1.5, at + 1.5 if more == amount else at + 2.25))
    text = f"Ingredients: duck\n\nFeeding directions\n{draw.choice(LAYOUTS)(rows, mass)}\n"
    (section,) = read_label(Source(text)).sections_of("feeding")
    for weight, low, high in truth:
        found = read_directions(section.text).amount(weight * KILOGRAMS[mass])
        assert (found[:2], found.unit) == (pytest.approx((low, high)), "cup")


@pytest.mark.parametrize(
    ("text", "kilograms", "amount"),
    [
        (
            "Feed one 3-oz can per 3 to 3-1/2 pounds of body weight daily.",
            4.5359237,
            (2.857, 3.333, "can"),
        ),
        ("Feed 1/2 cup twice a day for a 10 lb dog.", 4.5359237, (1, 1, "cup")),
        ("Up to 25 lb: 1-2 treats; 26-50 lb: up to 3 treats a day.", 20, (0, 3, "treat")),
        ("Feed 1 oz per pound of body weight.", 0.45359237, (28.35, 28.35, "g")),
        ("10-20 lb (4.5-9 kg): 1 cup (100 g)", 6, (1, 1, "cup")),
        (
            "Cups a day\nWeight (lb) | Less active | Active\n10 | 1/2 | 3/4",
            4.5359237,
            (0.5, 0.75, "cup"),
        ),
        ("10 lb 1 cup plus 1 can", 4.5359237, None),
        (
            "50 lb: 3 cups\n100 lb: 4 cups plus 1/4 cup for each additional 10 lb",
            22.6796185,
            (3, 3, "cup"),
        ),
        ("Puppies: 1 cup per 5 kg. Adults: 1 cup per 20 kg.", 20, (1, 4, "cup")),
    ],
)
def test_figures_are_of_the_words_around_them(text, kilograms, amount):
    read = read_directions(text)
    found = read.amount(kilograms) if read else None
    assert (found and found.unit) == (amount and amount[2])
    if amount:
        assert found[:2] == pytest.approx(amount[:2], rel=1e-3)
