"""The least change that reaches a target: against GLPK, by hand, and what clashes."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from fractions import Fraction

import pytest
import swiglpk as glp
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.catalogue import load
from panellint.cli import cli
from panellint.core.errors import PanellintError
from panellint.maker.component import DRY_MATTER, ENERGY
from panellint.maker.formula import Formula
from panellint.maker.model import Batch, BatchLine, SheetCell
from panellint.maker.reformulate.limits import (
    basis_of,
    limits_of,
    name_rows,
    read_target,
    shared_rows,
    target_row,
    usual_limits,
)
from panellint.maker.reformulate.program import (
    Clash,
    LineLimits,
    NewFormula,
    TargetRow,
    slack,
    solve,
)
from panellint.rulepacks.settings import Settings

AT = SheetCell("sheet.csv", "", 2, 2)
US = Settings().with_market("us")
FREE = LineLimits(Fraction(0), Fraction(100))


def batch(weights: dict[str, float], costs: dict[str, str] | None = None) -> Batch:
    return Batch(
        "sheet.csv",
        tuple(
            BatchLine(n, Fraction(str(w)), AT, cost=Fraction(costs[n]) if costs else None)
            for n, w in weights.items()
        ),
    )


def formula_of(sheet: Batch) -> Formula:
    return Formula.of(sheet, load(), market="us")


def by_glpk(now, rows, limits, costs=None) -> float | None:
    """The least sum of changes, or with `costs` the least cost per kg, by GLPK's exact simplex;
    None where there is no formula."""
    count = len(now)
    program = glp.glp_create_prob()
    glp.glp_set_obj_dir(program, glp.GLP_MIN)
    glp.glp_add_cols(program, 2 * count)
    for i, limit in enumerate(limits):
        kind = glp.GLP_FX if limit.low == limit.high else glp.GLP_DB
        glp.glp_set_col_bnds(program, i + 1, kind, float(limit.low), float(limit.high))
        glp.glp_set_col_bnds(program, count + i + 1, glp.GLP_LO, 0.0, 0.0)
        if costs is None:
            glp.glp_set_obj_coef(program, count + i + 1, 1.0)
        else:
            glp.glp_set_obj_coef(program, i + 1, float(costs[i]) / 100)

    def add(coefficients: dict[int, float], kind: int, low: float) -> None:
        at = glp.glp_add_rows(program, 1)
        glp.glp_set_row_bnds(program, at, kind, low, low)
        indexes, values = (
            glp.intArray(len(coefficients) + 1),
            glp.doubleArray(len(coefficients) + 1),
        )
        for number, (column, value) in enumerate(coefficients.items(), start=1):
            indexes[number], values[number] = column + 1, value
        glp.glp_set_mat_row(program, at, len(coefficients), indexes, values)

    add(dict.fromkeys(range(count), 1.0), glp.GLP_FX, 100.0)
    for row in rows:
        add({i: float(f) for i, f in enumerate(row.factors) if f}, glp.GLP_LO, 0.0)
    for i, start in enumerate(now):
        add({i: -1.0, count + i: 1.0}, glp.GLP_LO, -float(start))
        add({i: 1.0, count + i: 1.0}, glp.GLP_LO, float(start))
    glp.glp_term_out(glp.GLP_OFF)
    options = glp.glp_smcp()
    glp.glp_init_smcp(options)
    glp.glp_exact(program, options)
    optimal = glp.glp_get_status(program) == glp.GLP_OPT
    value = glp.glp_get_obj_val(program) if optimal else None
    glp.glp_delete_prob(program)
    return value


@st.composite
def problems(draw):
    count = draw(st.integers(2, 6))
    weights = [draw(st.integers(1, 50)) for _ in range(count)]
    rows = []
    for _ in range(draw(st.integers(1, 3))):
        factors = tuple(Fraction(draw(st.integers(-20, 20)), 10) for _ in range(count))
        if any(factors):
            rows.append(TargetRow(factors, "a target"))
    limits = []
    for _ in range(count):
        low, high = sorted((draw(st.integers(0, 60)), draw(st.integers(20, 100))))
        limits.append(LineLimits(Fraction(low), Fraction(high), "its limit"))
    return weights, rows, limits


@settings(max_examples=120)
@given(problems())
def test_as_glpk_finds_it(problem):
    weights, rows, limits = problem
    sheet = batch({f"food {i}": w for i, w in enumerate(weights)})
    now = [100 * sheet.share(line) for line in sheet.lines]
    expected = by_glpk(now, rows, limits)
    try:
        found = solve(sheet, rows, limits)
    except PanellintError:
        # Only where the last hair is missing: a formula on the very edge of what is possible.
        assert expected is not None
        return
    if expected is None:
        assert isinstance(found, Clash)
        return
    assert isinstance(found, NewFormula), found
    assert float(found.change) == pytest.approx(expected, abs=0.05)
    assert float(found.least_change) <= expected + 1e-6
    assert sum(found.shares) == 100
    assert all(slack(row, found.shares) >= 0 for row in rows)
    assert all(one.low <= x <= one.high for one, x in zip(limits, found.shares, strict=True))


@settings(max_examples=60)
@given(problems(), st.lists(st.integers(1, 90), min_size=6, max_size=6))
def test_the_least_cost_is_that_of_glpk(problem, prices):
    weights, rows, limits = problem
    names = [f"food {i}" for i in range(len(weights))]
    costs = {name: str(price) for name, price in zip(names, prices, strict=False)}
    sheet = batch(dict(zip(names, weights, strict=True)), costs)
    now = [100 * sheet.share(line) for line in sheet.lines]
    expected = by_glpk(now, rows, limits, [line.cost for line in sheet.lines])
    try:
        found = solve(sheet, rows, limits, cheapest=True)
    except PanellintError:
        assert expected is not None
        return
    if expected is None:
        assert isinstance(found, Clash)
        assert not found.nearest or float(sum(found.nearest)) == pytest.approx(100, abs=1e-3)
        return
    assert isinstance(found, NewFormula), found
    assert float(found.cost_after) == pytest.approx(expected, abs=0.05)
    assert float(found.least_change) <= expected + 1e-6
    assert all(slack(row, found.shares) >= 0 for row in rows)


@settings(max_examples=60)
@given(problems())
def test_the_certified_bound_is_near_the_change(problem):
    weights, rows, limits = problem
    sheet = batch({f"food {i}": w for i, w in enumerate(weights)})
    try:
        found = solve(sheet, rows, limits)
    except PanellintError:
        return
    if isinstance(found, NewFormula):
        assert 0 <= found.least_change <= found.change
        assert found.change - found.least_change < Fraction(1, 10)


def test_a_quarter_by_hand():
    # 20 g of duck in 100 must become 25: five points out of the others, five in: ten in all.
    sheet = batch({"duck": 20, "millet": 70, "peas": 10})
    (rows,) = name_rows(formula_of(sheet), "Duck Recipe for Dogs", US, "dog")
    found = solve(sheet, rows, limits_of(sheet))
    assert isinstance(found, NewFormula)
    assert found.shares[0] == pytest.approx(25, abs=0.002)
    assert found.shares[0] >= 25
    assert found.change == pytest.approx(10, abs=0.01)


def test_water_counts_as_the_rule_says():
    # 25 % without water and 10 % with it: 100 g with 40 g of water need 15 g of duck.
    sheet = batch({"water": 40, "duck": 12, "millet": 48})
    (rows,) = name_rows(formula_of(sheet), "Duck Recipe for Dogs", US, "dog")
    held = limits_of(sheet, held=["water"])
    found = solve(sheet, rows, held)
    assert isinstance(found, NewFormula)
    assert found.shares[1] == pytest.approx(15, abs=0.002)


def test_a_formula_that_keeps_it_already_is_left_alone():
    sheet = batch({"duck": 60, "millet": 40}, {"duck": "3", "millet": "1"})
    (rows,) = name_rows(formula_of(sheet), "Duck Recipe for Dogs", US, "dog")
    found = solve(sheet, rows, limits_of(sheet))
    assert isinstance(found, NewFormula)
    assert (found.change, found.shares) == (0, (60, 40))
    assert found.cost_before == found.cost_after == Fraction("2.2")


def test_what_clashes_is_named():
    sheet = batch({"duck": 20, "millet": 70, "peas": 10})
    (rows,) = name_rows(formula_of(sheet), "Duck for Dogs", US, "dog")
    found = solve(sheet, rows, limits_of(sheet, ["duck=0..60"]))
    assert isinstance(found, Clash)
    assert found.certified
    assert any("95 %" in words for words in found.words)
    assert "the limit of duck (at most 60 %)" in found.words
    assert not any("millet" in words for words in found.words)


@pytest.mark.parametrize(
    ("text", "nutrient", "at_least", "figure", "basis"),
    [
        ("protein >= 26 %", "protein", True, 26.0, "as fed"),
        ("carbohydrate at most 30 % dry matter", "carbohydrate", False, 30.0, DRY_MATTER),
        ("crude fat ≥ 12,5 %", "fat", True, 12.5, "as fed"),
        ("calcium >= 1.5 g per 1000 kcal", "calcium", True, 1.5, ENERGY),
        ("zinc min 100 mg/kg on dry matter", "zinc", True, 100.0, DRY_MATTER),
        ("calcium >= 6000 mg/kg", "calcium", True, 0.6, "as fed"),
    ],
)
def test_targets_are_read(text, nutrient, at_least, figure, basis):
    target = read_target(text)
    assert (target.part, target.sense, target.basis) == (
        nutrient,
        "at least" if at_least else "at most",
        basis,
    )
    assert target.value == pytest.approx(figure)


@pytest.mark.parametrize(
    "text", ["more duck", "moonstone >= 3 %", "protein >= lots", "zinc >= 3 IU/kg"]
)
def test_targets_that_are_none(text):
    with pytest.raises(PanellintError):
        read_target(text)


@pytest.mark.parametrize(
    "text",
    [
        "protein >= 20 %", "carbohydrate at most 25 % dry matter", "fat >= 30 g per 1000 kcal",
        "protein >= 25 % dry matter", "moisture at most 40 %",
    ],
)  # fmt: skip
@pytest.mark.parametrize("worst", [False, True])
def test_a_target_reached_holds_when_it_is_worked_out_anew(text, worst):
    sheet = batch({"duck": 30, "oats": 55, "pumpkin": 15, "dried egg": 0})
    target = read_target(text)
    row = target_row(Formula.of(sheet, load()), target, worst)
    found = solve(sheet, [row], [FREE] * 4)
    if isinstance(found, Clash):
        assert worst
        return
    lines = tuple(
        BatchLine(line.name, share, AT)
        for line, share in zip(sheet.lines, found.shares, strict=True)
    )
    content = Formula.of(Batch("sheet.csv", lines), load()).content(target.part, basis_of(target))
    figure = (
        content.middle if not worst else content.low if target.sense == "at least" else content.high
    )
    if target.sense == "at least":
        assert figure >= target.value - 1e-6
    else:
        assert figure <= target.value + 1e-6


def test_limits_name_lines_and_are_limits():
    sheet = batch({"duck": 60, "millet": 40})
    assert limits_of(sheet, ["Duck=20..50"])[0] == LineLimits(20, 50, "the limit of duck")
    assert limits_of(sheet, ["duck=20.."])[0].high == 100
    assert limits_of(sheet, held=["millet"])[1] == LineLimits(40, 40, "millet is held")
    for text in ("duck", "duck=..", "duck=60..50", "ducks and drakes=1..2"):
        with pytest.raises(PanellintError):
            limits_of(sheet, [text])


@pytest.fixture
def sheet_file(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("Species: dog\nIngredient,kg,Cost per kg\nduck,20,3\nmillet,70,1\n=peas,10,2\n")
    return path


def run(*arguments: str):
    return CliRunner().invoke(cli, ["reformulate", *map(str, arguments)])


def test_of_several_least_changes_one_is_taken_that_leaves_small_lines_alone():
    weights = {"duck": 40, "millet": 30, "hemp seed": 28, "salt": 0.5, "vitamin premix": 1.5}
    costs = dict.fromkeys(weights, "1") | {"vitamin premix": "20"}
    more_duck = TargetRow(tuple(Fraction(f) for f in (1, 0, 0, 0, 0)), "duck")
    more_duck = TargetRow(
        tuple(f - Fraction(1, 2) for f in more_duck.factors), "half of it is duck"
    )
    found = solve(batch(weights, costs), [more_duck], [FREE] * 5)
    assert isinstance(found, NewFormula)
    assert found.change == 20
    assert found.shares[0] == 50
    assert found.shares[3:] == (Fraction("0.5"), Fraction("1.5"))


@pytest.mark.parametrize("name", ["Duck (ground with bone)", "duck"])
def test_a_limit_finds_its_line_with_or_without_its_bracket(name):
    sheet = batch({"Duck (ground with bone)": 60, "millet": 40})
    assert limits_of(sheet, [f"{name}=20..50"], [])[0].high == 50


@pytest.mark.parametrize("text", ["duck=1.2.3..50", "duck=...5", "duck=5..,"])
def test_a_limit_that_is_no_number_is_told(text):
    with pytest.raises(PanellintError):
        limits_of(batch({"duck": 60, "millet": 40}), [text], [])


def test_the_command_tells_the_change_and_the_cost(sheet_file):
    done = run(sheet_file, "--name", "Duck Recipe for Dogs")
    assert done.exit_code == 0, done.output
    assert "25.000" in done.output
    # Of all the least changes the cheapest: peas go, which cost more than millet.
    assert "cost per kg of the mix: 1.5000 now, 1.5500 new" in done.output


def test_the_new_sheet_has_no_formula_in_it_and_is_not_written_over_the_old(sheet_file):
    done = CliRunner().invoke(
        cli,
        [
            "reformulate",
            str(sheet_file),
            "--name",
            "Duck Recipe for Dogs",
            "--format",
            "csv",
            "--quiet",
        ],
    )
    species, table = done.stdout.split("\n", 1)
    assert species == "Species: dog"
    rows = list(csv.DictReader(io.StringIO(table)))
    assert [row["Ingredient"] for row in rows] == ["duck", "millet", "'=peas"]
    assert sum(Fraction(row["kg"]) for row in rows) == 100
    before = sheet_file.read_bytes()
    assert run(sheet_file, "--target", "protein >= 9 %", "--output", sheet_file).exit_code == 2
    assert sheet_file.read_bytes() == before


def test_impossible_is_status_one_with_the_limits_that_clash(sheet_file):
    done = run(sheet_file, "--name", "Duck for Dogs", "--limit", "duck=0..40", "--format", "json")
    assert done.exit_code == 1
    data = json.loads(done.stdout)
    assert (data["possible"], data["certified"]) == (False, True)
    assert "the limit of duck (at most 40 %)" in data["clash"]


def test_a_sheet_on_standard_input(sheet_file):
    done = CliRunner().invoke(
        cli, ["reformulate", "-", "--name", "Duck Recipe for Dogs"], input=sheet_file.read_bytes()
    )
    assert done.exit_code == 0, done.output


def test_lines_that_do_not_change_keep_their_share_to_the_last_digit():
    sheet = batch({"duck": 7, "millet": 30, "salt": 1, "kale": 5})
    (rows,) = name_rows(formula_of(sheet), "Duck Recipe for Dogs", US, "dog")
    found = solve(sheet, rows, limits_of(sheet))
    assert isinstance(found, NewFormula)
    same = [
        line.name
        for line, x in zip(sheet.lines, found.shares, strict=True)
        if x == 100 * sheet.share(line)
    ]
    assert same == ["salt", "kale"]
    assert sum(found.shares) == 100


def test_nothing_asked_and_nothing_known_are_told(sheet_file):
    assert run(sheet_file).exit_code == 2
    assert run(sheet_file, "--name", "Moonstone Surprise").exit_code == 2
    assert run(sheet_file, "--name", "Turkey Recipe for Dogs").exit_code == 2


def test_lines_of_which_nothing_is_left_are_named(tmp_path):
    sheet = tmp_path / "a.csv"
    sheet.write_text("Ingredient,kg\nDuck,50\nMillet,45\nCarrots,5\n")
    arguments = [str(sheet), "--limit", "millet=45..45", "--limit", "duck=55..100"]
    told = run(*arguments, "--target", "protein >= 5 %")
    assert "nothing is left of Carrots; --hold NAME keeps a line as it is" in told.output
    data = json.loads(run(*arguments, "--target", "protein >= 5 %", "--format", "json").stdout)
    assert data["gone"] == ["Carrots"]


SHEET = """\
Species: dog
Form: fresh
Ingredient,kg,Cost per kg
chicken,30,3
chicken,10,2.8
barley,25,0.5
water,20,0.01
vitamin premix,1,20
salt,0.5,0.3
calcium carbonate,0.8,0.2
carrots,12.7,0.8
"""


@pytest.fixture
def dinner(tmp_path):
    path = tmp_path / "dinner.csv"
    path.write_text(SHEET)

    def answer(*arguments: str):
        done = run(path, *arguments, "--quiet", "--format", "json")
        assert done.exit_code in (0, 1), done.output
        return json.loads(done.stdout)

    return answer


def after(data) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in data["ingredients"]:
        found[line["name"]] = found.get(line["name"], 0) + line["after"]
    return found


def test_an_absurd_goal_is_no_bowl_of_water(dinner):
    data = dinner("--target", "protein >= 80 % dry matter")
    assert not data["possible"]
    assert any("no more water than now" in words for words in data["clash"])
    assert data["nearest"][0].startswith("protein at least 80 % of the dry matter: 5")
    assert data["limits_cost"]
    assert all(0 < one["percent"] <= 100 for one in data["limits_cost"])


def test_a_target_without_a_basis_is_of_the_food_as_fed_and_says_so(dinner):
    data = dinner("--target", "protein>=60")
    assert "protein at least 60 % as fed" in data["clash"]


def test_premixes_and_salt_stay_and_small_ingredients_keep_to_their_levels(dinner):
    data = dinner("--target", "fat <= 2 %", "--target", "protein >= 5 %")
    assert data["possible"]
    new = after(data)
    assert (new["salt"], new["vitamin premix"]) == (0.5, 1)
    assert 0.2 <= new["calcium carbonate"] <= 1.5
    assert "vitamin premix is held as it is" in data["bound_by"]
    assert new["water"] <= 20
    freed = dinner("--target", "fat <= 2 %", "--limit", "salt=0..3")
    assert freed["possible"]


def test_a_customary_level_is_named_where_it_binds(dinner):
    data = dinner("--target", "calcium <= 0.095 %")
    assert after(data)["calcium carbonate"] == pytest.approx(0.2)
    words = "calcium carbonate, of which 0.2 to 1.5 % is customary"
    assert words in data["bound_by"]
    clash = dinner("--target", "calcium <= 0.01 %")
    assert any(words in one for one in clash["clash"])


# 21 CFR 573.940 as quoted in the table: silicon dioxide at most 2 % of the food.
@pytest.mark.parametrize(
    ("name", "market", "most"),
    [("silicon dioxide", "us", 2), ("silicon dioxide", "eu", 5), ("sodium selenite", "us", 3)],
)
def test_no_limit_of_the_user_passes_that_of_the_law(name, market, most):
    sheet = batch({"chicken": 97, name: 3})
    formula = formula_of(sheet)
    limit = usual_limits(formula, limits_of(sheet, [f"{name}=0..5"]), market, "dog")[1]
    assert float(limit.high) <= most
    assert ("as the law allows it" in limit.words) == (market == "us")


# 21 CFR 573.920: 0.3 ppm of added selenium. Of a dilution with 600 mg/kg that is 0.05 % of a food
# that loses no water; of a source of unknown strength no more is taken than there is.
def test_a_source_of_selenium_is_limited_by_its_own_strength():
    sheet = batch({"chicken": 99.99, "sodium selenite": 0.01})
    diluted = replace(sheet.lines[1], analysis={"selenium": Fraction(600)})
    for line, most in ((diluted, 0.05), (sheet.lines[1], 0.01)):
        formula = formula_of(replace(sheet, lines=(sheet.lines[0], line)))
        given = limits_of(formula.batch, ["sodium selenite=0..5"])
        assert float(usual_limits(formula, given, "us", "dog")[1].high) == pytest.approx(most)


def test_a_limit_of_two_lots_is_one_of_their_sum(dinner):
    data = dinner("--target", "protein >= 11 %", "--limit", "chicken=0..50")
    assert data["possible"]
    assert after(data)["chicken"] <= 50
    assert not dinner("--target", "protein >= 30 %", "--limit", "chicken=0..50")["possible"]


def test_a_limit_of_a_kind_is_one_of_all_its_lines():
    sheet = batch({"chicken breast": 30, "chicken thigh": 30, "oats": 40})
    limits = limits_of(sheet, ["muscle meat=0..50"])
    assert [one.high for one in limits] == [50, 50, 100]
    rows = list(shared_rows(sheet, ["muscle meat=0..50"]))
    found = solve(sheet, rows, limits)
    assert isinstance(found, NewFormula)
    assert found.shares[0] + found.shares[1] == 50


def test_energy_is_a_goal_and_the_label_stands_on_both_sides(dinner):
    data = dinner("--target", "energy >= 1700 kcal/kg")
    assert data["possible"]
    assert "Chicken Recipe for Dogs" in data["before"]["names"]
    assert data["before"]["declaration"][2] == "water sufficient for processing"
    assert data["after"]["guarantees"] != data["before"]["guarantees"]
    unchanged = [one for one in data["ingredients"] if one["name"] == "carrots"]
    assert unchanged[0]["before"] == unchanged[0]["after"]


def test_the_least_cost_says_what_it_costs_the_name(dinner):
    data = dinner("--target", "protein >= 10 %", "--minimise", "cost")
    assert data["cost_per_kg"]["after"] < data["cost_per_kg"]["before"]
    assert data["least_cost"] <= data["cost_per_kg"]["after"] + 1e-6
    assert "Chicken Recipe for Dogs" not in data["after"]["names"]


# AAFCO Dog Food Nutrient Profiles, maintenance: crude protein at least 18 % of dry matter.
def test_what_the_profile_asks_and_holds_today_goes_on_holding(tmp_path):
    own = "moisture,protein,fat,fibre,ash"
    sheet = tmp_path / "a.csv"
    sheet.write_text(
        f"Species: dog\nForm: fresh\nLife stage: maintenance\nIngredient,kg,{own}\n"
        "duck,50,70,19,10,0,1\npotato starch,50,10,0,0,0,0\n"
    )
    kept = run(sheet, "--target", "carbohydrate >= 60 %", "--quiet", "--format", "json")
    data = json.loads(kept.stdout)
    assert not data["possible"] or after(data)["duck"] > 40
    food = sheet.read_text().replace("Life stage: maintenance\n", "")
    sheet.write_text(food)
    free = json.loads(
        run(sheet, "--target", "carbohydrate >= 60 %", "--quiet", "--format", "json").stdout
    )
    assert free["possible"]
    assert after(free)["duck"] < 40
