"""The calorie line reads the same however it is laid out: order, units, signs between."""

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.rulepacks.settings import Settings

ABOVE = """Chicken Dinner
Food for Dogs
Ingredients: Chicken, water sufficient for processing, brown rice, dried egg product, salt.
Guaranteed analysis: Crude protein (min) 9 %, crude fat (min) 5 %, moisture (max) 78 %
"""
SHAPES = """
Calorie Content (calculated): {a} {k}; {b} kcal/{u}
CALORIES (calculated) {a} {k} ({b} kcal/{u})
Calorie Content: {b} kcal/{u}, {a} {k}
{a} {k} | {b} kcal/{u} (calculated)
ME (calculated): {a} {k} • {b} kcal/{u}
Calculated calorie content: {a} {k}, {b} calories per {u}
Calorie Content = {a} {k} = {b} kcal/{u}
Calorie Content: {k}: {a}; kcal/{u}: {b}
Energy per kg: {a} kcal. Energy per {u}: {b} kcal.
Provides {b} kcal a {u} ({a} {k})
The calorie content, calculated, is {a} {k}, or {b} per {u}.
Calorie Content (calculated): {a} {k}; {b}/{u}
This product contains {a} {k} and {b} kcal per {u}, calculated.
""".strip().splitlines()
PER_KG = [
    "kcal/kg",
    "kcal ME/kg",
    "kcal per kg",
    "kcal of metabolizable energy per kg",
    "kcals / kg",
]
UNITS = ["cup", "8 oz cup", "5.5 oz can", "treat"]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("printed", "value"), [("1,070", 1070), ("980", 980), ("3,580.5", 3580.5)])
def test_every_shape_of_a_calorie_line_is_read(shape: str, printed: str, value: float) -> None:
    misread = {}
    for k in PER_KG:
        for unit in UNITS:
            line = shape.format(a=printed, b="12.5", k=k, u=unit)
            label = LabelContext.of(Source(f"{ABOVE}{line}\n", "x.panel"), Settings()).label
            figures = label.energy.figures if label.energy else ()
            read = {figure.per: float(figure.value) for figure in figures}
            if read != {"kg": value, unit.split()[-1]: 12.5}:
                misread[line] = read
    assert misread == {}


def test_the_rows_of_a_sheet_are_guarantees_and_calories():
    rows = (
        "crude protein min %;22\ncrude fat min %;12\nmoisture max %;10\nkcal per kg;3440\n"
        "kcal per cup;352\ncalorie method;calculated\n"
    )
    text = f"product name;Lamb Formula\ningredients;Lamb, rice, salt\n{rows}"
    label = LabelContext.of(Source(text, "sheet.panel"), Settings()).label
    assert [(g.nutrient, int(g.value)) for g in label.guarantees] == [
        ("protein", 22), ("fat", 12), ("moisture", 10),
    ]  # fmt: skip
    assert label.energy is not None
    assert [(f.per, int(f.value)) for f in label.energy.figures] == [("kg", 3440), ("cup", 352)]
