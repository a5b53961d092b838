"""Guarantees read the same however a line lays them out: order, bound words, brackets, signs."""

from itertools import product

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.label.guarantees import read_guarantees
from panellint.label.model import Bound
from panellint.rulepacks.settings import Settings

SHAPES = """
    {n} ({b}) {v}%|{n} {b} {v}%|{n}, {b} {v}%|{n} {v}% {b}|{n} {v}% ({b})|{n}: {v}% {b}
    {n} ........ {b} {v}%|{n} ........ {v}% {b}|{n}: {b} {v} %|{n} - {b} - {v} %|{n} [{b}] {v} %
    {n}...({b})...{v}%|{n}; {b}; {v} %|{n} = {b} {v} %|{n} ({b}) - {v}%
    {v}% {n} ({b})|{v} percent {n} {b}|{v}% {b} {n}|{b} {v}% {n}|{b} {n} {v}%|{b} {n}: {v} %
"""
ABOVE = """Chicken Stew
Food for Dogs
Ingredients: Chicken, water sufficient for processing, brown rice, dried egg product, salt.
"""
BETWEEN = [", ", "; ", "\n", " | ", " • ", "  ", " / ", ". ", " – ", "\n\n"]
BOUNDS = [
    ("min", "max"),
    ("Min.", "Max."),
    ("minimum", "maximum"),
    ("not less than", "not more than"),
]
NAMES = [
    ("Crude Protein", "Crude Fat", "Crude Fiber", "Moisture", "Calcium"),
    ("Protein (crude)", "Fat (crude)", "Fibre (crude)", "MOISTURE", "Calcium (Ca)"),
    ("Protein, crude", "crude fat", "fiber", "moisture", "Calcium"),
]
FIGURES = ("24", "10.5", "4", "12.0", "1.2")
READ = [
    ("protein", Bound.MIN), ("fat", Bound.MIN), ("fibre", Bound.MAX), ("moisture", Bound.MAX),
    ("calcium", Bound.MIN),
]  # fmt: skip


@pytest.mark.parametrize("between", BETWEEN)
@pytest.mark.parametrize("heading", ["Guaranteed Analysis: ", ""])
def test_every_shape_of_a_guarantee_is_read(between: str, heading: str) -> None:
    shapes = [s.strip() for line in SHAPES.strip().splitlines() for s in line.strip().split("|")]
    misread = {}
    for place, (shape, (least, most)) in enumerate(product(shapes, BOUNDS)):
        if between.strip() and between.strip() in shape:
            continue
        lines = between.join(
            shape.format(n=name, v=figure, b=least if bound is Bound.MIN else most)
            for name, figure, (_, bound) in zip(
                NAMES[place % len(NAMES)], FIGURES, READ, strict=True
            )
        )
        text = f"{ABOVE}{heading}{lines}\n"
        guarantees = LabelContext.of(Source(text, "stew.panel"), Settings()).label.guarantees
        read = [(g.nutrient, g.bound, str(g.value)) for g in guarantees]
        if read != [(*part, figure) for part, figure in zip(READ, FIGURES, strict=True)]:
            misread[lines] = read
    assert misread == {}


@pytest.mark.parametrize(
    "line",
    [
        "Calcium, min-max 1.0% - 1.5%",
        "Calcium (min/max) 1.0 - 1.5%",
        "Calcium min. to max. 1.0%/1.5%",
        "Calcium 1.0-1.5% (min-max)",
        "Calcium, minimum and maximum: 1.0% and 1.5%",
        "Calcium (min) 1.0% (max) 1.5%",
    ],
)
def test_two_bounds_bind_two_figures(line: str) -> None:
    read = read_guarantees(f"{line}\nPhosphorus (min) 0.8%", 0)
    assert [(g.nutrient, g.bound, str(g.value)) for g in read] == [
        ("calcium", Bound.MIN, "1.0"),
        ("calcium", Bound.MAX, "1.5"),
        ("phosphorus", Bound.MIN, "0.8"),
    ]


@pytest.mark.parametrize(
    ("line", "marks"),
    [
        ("DHA (min) 0.05%*", "*"),
        ("DHA (min) 0.05% *†, moisture", "*†"),
        ("DHA 0.05%† min", "†"),
        ("DHA 0.05% min*", "*"),
        ("DHA (min) 0.05% *Not recognized", ""),
    ],
)
def test_a_mark_stands_behind_the_figure_too(line: str, marks: str) -> None:
    [dha] = read_guarantees(line, 0)
    assert "".join(mark.text for mark in dha.marks) == marks
    assert dha.bound is Bound.MIN


@pytest.mark.parametrize(
    "line",
    [
        "Calories from: protein 25%, fat 34%, carbohydrate 41%",
        "Caloric distribution: protein 25% | fat 34% | carbohydrate 41%",
        "Protein 25%, as % of calories from protein: 31%",
    ],
)
def test_shares_of_the_energy_guarantee_nothing(line: str) -> None:
    assert len(read_guarantees(line, 0)) == line.startswith("Protein")


CONSTITUENTS = {
    "de": ("Zusammensetzung: Huhn, Reis, Mineralstoffe.\nAnalytische Bestandteile",
           "Rohprotein Rohfett Rohfaser Rohasche Feuchte"),
    "fr": ("Composition : poulet, riz, substances minérales.\nConstituants analytiques",
           "protéines-brutes matières-grasses-brutes fibres-brutes cendres-brutes humidité"),
    "it": ("Composizione: pollo, riso, sostanze minerali.\nComponenti analitici",
           "proteina-grezza grassi-grezzi fibra-grezza ceneri-grezze umidità"),
    "es": ("Composición: pollo, arroz, sustancias minerales.\nComponentes analíticos",
           "proteína-bruta grasas-brutas fibra-bruta ceniza-bruta humedad"),
    "nl": ("Samenstelling: kip, rijst, mineralen.\nAnalytische bestanddelen",
           "ruw-eiwit ruw-vet ruwe-celstof ruwe-as vocht"),
    "pl": ("Skład: kurczak, ryż, składniki mineralne.\nSkładniki analityczne",
           "białko-surowe tłuszcz-surowy włókno-surowe popiół-surowy wilgotność"),
}  # fmt: skip
LAYOUTS = """
    {n} {v} %|{n}: {v}%|{v} % {n}|{v}% {n}|{n} = {v} %|{n} ({v} %)|{n} ........ {v} %|{n} % {v}
"""


@pytest.mark.parametrize("language", CONSTITUENTS)
@pytest.mark.parametrize("between", [", ", "; ", "\n", " • ", " · ", " - ", " / "])
def test_every_layout_of_analytical_constituents_is_read(language: str, between: str) -> None:
    above, printed = CONSTITUENTS[language]
    misread = {}
    for layout in LAYOUTS.strip().split("|"):
        if layout == "{n} % {v}" and between != "\n":
            continue
        figures = ["26,0", "12,5", "2", "7,2", "9"]
        names = [name.replace("-", " ") for name in printed.split()]
        lines = between.join(
            layout.format(n=name, v=figure) for name, figure in zip(names, figures, strict=True)
        )
        label = LabelContext.of(Source(f"{above}: {lines}\n", "eu.panel"), Settings()).label
        read = [(g.nutrient, str(g.value).replace(".", ",")) for g in label.guarantees]
        nutrients = ["protein", "fat", "fibre", "ash", "moisture"]
        if read != list(zip(nutrients, figures, strict=True)):
            misread[lines] = read
    assert misread == {}


@pytest.mark.parametrize(
    "head",
    ["Typical values per 100g: {0} g", "Per 100 g\n{0} g", "Nutrition (g/100 g)\n{0}",
     "Analysis g/100g\n{0}", "Contains per 100 g: {0} g"],
)  # fmt: skip
def test_grams_under_a_heading_of_100_grams_are_percentages(head: str) -> None:
    unit = " g" if head.endswith("g") else ""
    rows = head.format(f"Protein 11.8{unit}, fat 8{unit}, crude fibre 0.9")
    context = LabelContext.of(Source(f"{ABOVE}{rows}\n", "label"), Settings())
    assert [(g.nutrient, str(g.value), g.unit) for g in context.label.guarantees] == [
        ("protein", "11.8", "%"), ("fat", "8", "%"), ("fibre", "0.9", "%"),
    ]  # fmt: skip


def test_the_contents_of_a_tray_beside_those_of_100_grams_are_no_percentages() -> None:
    rows = "Protein 13.5g 9.5g\nFat 0.6g 0.4g\n"
    for head in ("per 100g    per tray (70g)\n", "(per 100 g) per tray\n"):
        context = LabelContext.of(Source(f"{ABOVE}Typical values {head}{rows}", "x"), Settings())
        assert [(g.nutrient, str(g.value), g.unit) for g in context.label.guarantees] == [
            ("protein", "13.5", "%"), ("fat", "0.6", "%"),
        ]  # fmt: skip
