"""Recipes in steps: what goes in, what leaves, the balance of it, and faults at their lines."""

from __future__ import annotations

import os
from fractions import Fraction

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.catalogue import load
from panellint.core.errors import InputError
from panellint.maker.balance import balance, check
from panellint.maker.batch import read_batch
from panellint.maker.component import DRY_MATTER
from panellint.maker.declare import Product, declare
from panellint.maker.formula import Formula
from panellint.maker.recipe.models import materials_schema, recipe_schema
from panellint.maker.recipe.read import read_recipe
from panellint.rulepacks.settings import Settings

US = Settings().with_market("us")
EU = Settings().with_market("eu")
MATERIALS = """\
materials:
  - code: DK-01
    name: Duck, ground with bone
    declared: {us: duck, eu: duck meat}
    analysis:
      {moisture: {mean: 60, sd: 1.2}, protein: {mean: 16, sd: 0.6}, fat: 20, fibre: 0, ash: 4}
    supplier: Harrow Fen Ducks
    origin: Ireland
    cost: 3.10
    most: 70
  - code: OT-02
    name: rolled oats
    declared: oats
    analysis:
      {moisture: 10, protein: 13, fat: 7, fibre: 2, ash: 2, calcium: {mean: 540, unit: mg/kg}}
    allergens: [gluten]
  - name: duck fat
    analysis: {moisture: 0, protein: 0, fat: 100, fibre: 0, ash: 0}
  - code: MP-04
    name: mineral premix
    members:
      - {material: calcium carbonate, amount: 800 g/kg}
      - {material: zinc sulphate, amount: 200 g/kg}
"""
HEAD = "species: dog\nform: baked\nunit: cup 110 g\nmaterials: materials.yaml\nsteps:\n"
MIX = "  - mix: [{material: DK-01, amount: 60 kg, lot: HF-1}, {material: OT-02, amount: 40 kg}]\n"


@pytest.fixture
def recipe(tmp_path):
    (tmp_path / "materials.yaml").write_text(MATERIALS)

    def write(steps: str, head: str = HEAD):
        path = tmp_path / "recipe.yaml"
        path.write_text(head + steps)
        return path

    return write


def formula(path) -> Formula:
    return Formula.of(read_recipe(path), load())


def test_a_mix_is_read_with_all_that_is_known_of_its_materials(recipe):
    batch = read_batch(recipe(MIX))
    duck, oats = batch.lines
    assert (duck.name, duck.weight, duck.lot) == ("Duck, ground with bone", 60_000, "HF-1")
    assert (duck.supplier, duck.origin) == ("Harrow Fen Ducks", "Ireland")
    assert duck.cost == Fraction("3.1")
    assert duck.spread == {"moisture": Fraction("1.2"), "protein": Fraction("0.6")}
    assert oats.analysis["calcium"] == Fraction("0.054")
    assert oats.allergens == ("gluten",)


# By hand: 100 kg hold 40 kg of water and 60 kg of dry matter. Dried to 10 %, 60 / 0.9 = 66.667 kg;
# with 5 kg of fat on it 71.667 kg, of which 6.667 kg are water: 9.302 %.
def test_drying_to_a_moisture_and_coating_with_fat(recipe):
    coat = "  - dry: {to-moisture: 10 %}\n  - coat: [{material: duck fat, amount: 5 kg}]\n"
    worked = formula(recipe(MIX + coat))
    found = balance(worked)
    scale = 100 / 105
    assert found["food"] == pytest.approx(71.667 * scale, abs=0.01)
    assert found["moisture"] == pytest.approx(9.302, abs=0.01)
    assert found["water_out"] == pytest.approx(33.333 * scale, abs=0.01)
    fat = worked.content("fat")
    # 60 kg of 20 % and 40 kg of 7 % bring 14.8 kg, the coat 5 kg.
    assert fat.middle == pytest.approx(19.8 / 71.667 * 100, abs=0.01)
    assert worked.content("protein").middle == pytest.approx(14.8 / 71.667 * 100, abs=0.01)


# By hand: 10 kg of water and 4 kg of fat leave 100 kg; 14.8 - 4 kg of fat are in 86 kg.
def test_cooking_takes_out_water_and_fat(recipe):
    worked = formula(recipe(f"{MIX}  - cook: {{water-out: 10 kg, fat-out: 4 kg}}\n"))
    assert balance(worked)["food"] == pytest.approx(86)
    assert worked.content("fat").middle == pytest.approx(10.8 / 86 * 100)
    assert worked.content("moisture").middle == pytest.approx(30 / 86 * 100)
    assert worked.content("fat", DRY_MATTER).middle == pytest.approx(10.8 / 56 * 100)
    assert sum(
        worked.content(part).middle
        for part in ("moisture", "protein", "fat", "fibre", "ash", "carbohydrate")
    ) == pytest.approx(100)


# By hand: 14.8 kg of fat go in and 3.7 leave, a quarter; 0.6 kg of linoleic acid become 0.45.
def test_fatty_acids_leave_with_the_fat_in_proportion(recipe, tmp_path):
    listed = MATERIALS.replace("fat: 20, fibre", "fat: 20, linoleic-acid: 1, fibre")
    (tmp_path / "materials.yaml").write_text(
        listed.replace("fat: 7, fibre", "fat: 7, linoleic-acid: 0, fibre")
    )
    worked = formula(recipe(f"{MIX}  - cook: {{water-out: 6.3 kg, fat-out: 3.7 kg}}\n"))
    content = worked.content("linoleic-acid")
    assert content.middle == pytest.approx(0.45 / 90 * 100)
    assert content.low == 0


def test_yields_are_of_what_is_in_so_far(recipe):
    steps = f"{MIX}  - add-water: 20 kg\n  - cook: {{yield: 90 %}}\n  - dry: {{yield: 80 %}}\n"
    worked = formula(recipe(steps))
    assert worked.yield_range() == pytest.approx((0.72, 0.72))


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ("  - cook: {yield: 40 %}\n", "a yield of 40 % is below the dry matter that goes in"),
        ("  - dry: {to-moisture: 60 %}\n", "the finished food is heavier than the mix"),
        ("  - cook: {water-out: 1 kg, fat-out: 30 kg}\n", "more fat leaves than goes in"),
    ],
)
def test_a_balance_that_cannot_be_is_refused(recipe, steps, says):
    with pytest.raises(InputError, match=says):
        check(formula(recipe(MIX + steps)))


@pytest.mark.parametrize(
    ("steps", "line", "says"),
    [
        ("  - mix: [{material: DK-01, amount: 60}]\n", 6, "a text"),
        ("  - mix: [{material: DK-01, amount: 60 IU}]\n", 6, "`60 IU` is no amount"),
        ("  - stir: {}\n", 6, "unknown key `stir`"),
        (f"{MIX}  - cook: {{yield: 90 %, water-out: 3 kg}}\n", 7, "give one"),
        (f"{MIX}  - cook: {{water-out: 200 kg}}\n", 7, "more leaves than is in"),
        (f"{MIX}  - dry: {{to-moisture: 120 %}}\n", 7, "`120 %` is no moisture of a food"),
        (
            f"{MIX}  - dry: {{to-moisture: 10 %}}\n  - cook: {{water-out: 1 kg}}\n",
            8,
            "loses no stated weight",
        ),
        ("  - add-water: 3 %\n  - mix: [{material: salt, amount: 1 kg}]\n", 6, "percentages and"),
    ],
)
def test_faults_stand_at_their_lines(recipe, steps, line, says):
    with pytest.raises(InputError) as error:
        read_recipe(recipe(steps))
    assert any(fault.line == line and says in str(fault) for fault in error.value.faults), str(
        error.value
    )


def test_faults_of_the_materials_stand_in_their_file(recipe, tmp_path):
    path = recipe(MIX)
    (tmp_path / "materials.yaml").write_text(MATERIALS.replace("200 g/kg", "100 g/kg"))
    with pytest.raises(InputError, match="the parts of mineral premix add up to 90 %"):
        read_recipe(recipe("  - mix: [{material: MP-04, amount: 1 kg}]\n"))
    (tmp_path / "materials.yaml").write_text(MATERIALS.replace("moisture: 10,", "moistur: 10,"))
    with pytest.raises(InputError, match=r"materials\.yaml:15:\d+: .*moisture"):
        read_recipe(path)


def test_materials_may_not_lie_outside(recipe):
    with pytest.raises(InputError, match="lies outside"):
        read_recipe(recipe(MIX, HEAD.replace("materials.yaml", "../materials.yaml")))


def test_a_premix_of_the_materials_is_looked_into(recipe):
    batch = read_recipe(recipe("  - mix: [{material: MP-04, amount: 1 kg}]\n"))
    assert [(one.name, one.weight) for one in batch.lines[0].members] == [
        ("calcium carbonate", 80),
        ("zinc sulphate", 20),
    ]


COLUMNS = (
    "Code;Material;Declared as US;Declared as EU;Supplier;Origin;Allergens;Price;"
    "Moisture %;Protein %;Protein SD;Fat %;Fibre %;Ash %;Sheet\n"
)
SHEET = f"""{COLUMNS}
DK-01;Duck, ground with bone;Duck;Duck meat;Harrow Fen Ducks;Ireland;;3.1;60;16;0.6;20;0;4;
OT-02;rolled oats;oats;;;;gluten;0.9;10;13;;7;2;2;
MP-04;mineral premix;;;;;;2;;;;;;;premix.csv
"""


def test_materials_in_a_sheet_are_read_alike(recipe, tmp_path):
    (tmp_path / "materials.csv").write_text(SHEET)
    (tmp_path / "premix.csv").write_text("Ingredient,g/kg\nsalt,900\nzinc sulphate,100\n")
    premix = MIX.replace("40 kg}]", "39 kg}, {material: MP-04, amount: 1 kg}]")
    path = recipe(premix, HEAD.replace("materials.yaml", "materials.csv"))
    duck, oats, minerals = read_batch(path).lines
    assert (duck.name, duck.weight, duck.code) == ("Duck, ground with bone", 60_000, "DK-01")
    assert duck.declared_in == {"us": "Duck", "eu": "Duck meat"}
    assert duck.analysis["protein"] == 16
    assert duck.spread == {"protein": Fraction("0.6")}
    assert (duck.origin, oats.allergens, oats.cost) == ("Ireland", ("gluten",), Fraction("0.9"))
    assert [(one.name, one.weight) for one in minerals.members] == [
        ("salt", 90),
        ("zinc sulphate", 10),
    ]
    beside = [os.path.relpath(tmp_path / name) for name in ("materials.csv", "premix.csv")]
    assert list(read_batch(path).files[1:]) == beside


def test_an_amount_that_can_be_read_two_ways_is_refused(recipe):
    with pytest.raises(InputError, match=r"may be 1\.25 or 1250"):
        read_recipe(recipe('  - mix: [{material: salt, amount: "1,250 kg"}]\n'))


def test_names_are_those_of_the_market(recipe):
    batch = read_recipe(recipe(f"{MIX}  - dry: {{to-moisture: 10 %}}\n"))
    food = Product(species="dog", unit="cup 110 g")
    assert "Ingredients: Duck, oats." in declare(batch, food, US).text
    assert "Composition: Duck meat" in declare(batch, food, EU).text


def test_the_schemas_take_what_is_read_and_refuse_another_key():
    import yaml

    jsonschema.validate(yaml.safe_load(MATERIALS), materials_schema())
    jsonschema.validate(yaml.safe_load(HEAD + MIX), recipe_schema())
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"steps": [{"stir": 1}]}, recipe_schema())


PARTS = ("moisture", "protein", "fat", "fibre", "ash", "carbohydrate")
shares = st.lists(st.integers(1, 20), min_size=6, max_size=6)


@st.composite
def worked(draw):
    """Materials with whole analyses, the steps of a recipe, and the food by weighing each part."""
    analyses = [draw(shares) for _ in range(3)]
    materials = [
        {"name": f"material {i}", "analysis": dict(zip(PARTS, parts, strict=True))}
        for i, parts in enumerate(analyses)
    ]
    for material in materials:
        whole = sum(material["analysis"].values())
        material["analysis"] = {p: 100 * v / whole for p, v in material["analysis"].items()}
    held = dict.fromkeys(PARTS, 0.0)
    steps: list[dict[str, object]] = []

    def put(material, kilograms: int, step: str) -> None:
        steps.append({step: [{"material": material["name"], "amount": f"{kilograms} kg"}]})
        for part, percent in material["analysis"].items():
            held[part] += kilograms * percent / 100

    put(materials[0], draw(st.integers(20, 80)), "mix")
    put(materials[1], draw(st.integers(20, 80)), "mix")
    water = draw(st.integers(1, 40))
    steps.append({"add-water": f"{water} kg"})
    held["moisture"] += water
    out, fat = (draw(st.integers(0, 8)) / 10 for _ in range(2))
    lost, rendered = round(out * held["moisture"], 3), round(fat * held["fat"], 3)
    if lost and rendered:
        steps.append({"cook": {"water-out": f"{lost} kg", "fat-out": f"{rendered} kg"}})
        held["moisture"] -= lost
        held["fat"] -= rendered
    if draw(st.booleans()):
        now = 100 * held["moisture"] / sum(held.values())
        aim = round(now * draw(st.integers(2, 9)) / 10, 2)
        if 0.1 < aim < 99:
            steps.append({"dry": {"to-moisture": f"{aim} %"}})
            dry = sum(held.values()) - held["moisture"]
            held["moisture"] = dry * aim / (100 - aim)
    if draw(st.booleans()):
        put(materials[2], draw(st.integers(1, 10)), "coat")
    return materials, steps, held


@settings(max_examples=60)
@given(worked())
def test_the_food_is_what_weighing_every_part_step_by_step_gives(tmp_path_factory, case):
    import yaml

    materials, steps, held = case
    folder = tmp_path_factory.mktemp("recipe")
    (folder / "materials.yaml").write_text(yaml.safe_dump({"materials": materials}))
    recipe = {"materials": "materials.yaml", "steps": steps}
    (folder / "recipe.yaml").write_text(yaml.safe_dump(recipe))
    food = formula(folder / "recipe.yaml")
    check(food)
    total = sum(held.values())
    for part in PARTS:
        content = food.content(part)
        # Water of the tap holds a trace of ash.
        assert content.middle == pytest.approx(100 * held[part] / total, abs=0.2)
        assert content.low - 0.2 <= 100 * held[part] / total <= content.high + 0.2
