"""Labels against batch sheets: the corpus sheets, laws for random batches, what is kept secret."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from panellint.analysis.context import LabelContext
from panellint.cli import cli
from panellint.core.errors import InputError
from panellint.core.findings import Certainty, Severity
from panellint.core.source import Source, read
from panellint.lint.engine import lint
from panellint.maker.batch import read_batch
from panellint.maker.context import weighed, with_batch, with_written_sheet
from panellint.maker.model import Batch, BatchLine, SheetCell
from panellint.maker.reconcile import reconcile, without_weights
from panellint.maker.reconcile.data import batch_data
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parents[3]
SHEETS = ROOT / "corpus" / "sheets"
EXPECTED = yaml.safe_load((SHEETS / "expected.yaml").read_text(encoding="utf-8"))
DEFAULT = Settings()


def label(name: str) -> Source:
    return read(ROOT / "corpus" / f"{name}.panel")


def told(label_source: Source, sheet: Path):
    result = reconcile(with_batch(label_source, read_batch(sheet)))
    return [
        (finding.rule, finding.severity, label_source.slice(finding.span))
        for finding in result.findings
    ]


def run(*arguments: str):
    return CliRunner().invoke(cli, ["reconcile", *arguments])


# ---- the corpus ----


@pytest.mark.parametrize("one", EXPECTED["clean"], ids=lambda one: one["sheet"])
def test_a_clean_sheet_agrees_with_its_label(one):
    assert told(label(one["label"]), SHEETS / one["sheet"]) == []


@pytest.mark.parametrize("one", EXPECTED["seeded"], ids=lambda one: one["sheet"])
def test_a_seeded_error_is_found_where_it_is(one):
    found = told(label(one["label"]), SHEETS / "faulty" / one["sheet"])
    assert any(rule == one["rule"] and one["marks"] in marks for rule, _, marks in found), found


@pytest.mark.parametrize("one", EXPECTED["remarked"], ids=lambda one: one["sheet"])
def test_a_doubtful_sheet_is_remarked_on_at_its_cell(one):
    remarks = read_batch(SHEETS / "faulty" / one["sheet"]).remarks
    assert any(
        one["says"] in remark.message and remark.place[2:] == (one["row"], one["column"])
        for remark in remarks
    ), remarks


@pytest.mark.parametrize("one", EXPECTED["refused"], ids=lambda one: one["sheet"])
def test_a_sheet_that_cannot_be_used_is_refused_at_its_cell(one):
    with pytest.raises(InputError) as error:
        read_batch(SHEETS / "faulty" / one["sheet"])
    fault = error.value.faults[0]
    assert one["says"] in fault.message
    assert (fault.line, fault.column) == (one.get("row"), one.get("column"))


def test_every_sheet_of_the_corpus_is_expected_to_say_something():
    named = {one["sheet"] for kind in EXPECTED.values() for one in kind}
    there = {path.name for path in SHEETS.rglob("*.[cx]*s*") if path.suffix in (".csv", ".xlsx")}
    assert there - named == {"larder-vitamins.csv", "larder-minerals.csv", "formula-in-a-name.csv"}


# ---- laws ----

FOODS = [
    "duck", "millet", "chicken", "brown rice", "oats", "carrots", "peas", "pumpkin", "eggs",
    "turkey", "barley", "salmon", "sweet potatoes", "salt", "duck liver", "blueberries", "kale",
]  # fmt: skip
AT = SheetCell("sheet.csv", "", 2, 2)


def made(weights: dict[str, int]) -> Batch:
    """A batch of the weights in g."""
    return Batch("sheet.csv", tuple(BatchLine(n, Fraction(w), AT) for n, w in weights.items()), "g")


batches = st.dictionaries(
    st.sampled_from(FOODS), st.integers(50, 50_000), min_size=2, max_size=10
).filter(lambda weights: len(set(weights.values())) == len(weights))


def declared(weights: dict[str, int], swap: int | None = None, percent: str = "") -> Source:
    names = sorted(weights, key=lambda name: -weights[name])
    if swap is not None:
        names[swap], names[swap + 1] = names[swap + 1], names[swap]
    first = f"{names[0]} {percent}" if percent else names[0]
    text = f"Species: dog\nForm: fresh\nIngredients: {', '.join([first, *names[1:]])}.\n"
    return Source(text, "x.panel")


LISTING = {
    "sheet-order",
    "sheet-not-declared",
    "sheet-not-in-batch",
    "sheet-percentage",
    "sheet-tail",
}


def listing(source: Source, batch: Batch):
    found = reconcile(with_batch(source, batch, DEFAULT)).findings
    return [one for one in found if one.rule in LISTING]


@settings(max_examples=60)
@given(batches)
def test_a_batch_in_its_own_order_is_clean(weights):
    assert listing(declared(weights), made(weights)) == []


@settings(max_examples=60)
@given(batches, st.data())
def test_one_pair_swapped_is_found_and_its_remedy_mends_it(weights, data):
    at = data.draw(st.integers(0, len(weights) - 2))
    source = declared(weights, swap=at)
    (finding,) = listing(source, made(weights))
    assert finding.rule == "sheet-order"
    assert finding.severity is Severity.ERROR
    text = source.text
    for edit in sorted(finding.remedies[0].edits, key=lambda edit: -edit.span.start):
        text = text[: edit.span.start] + edit.text + text[edit.span.end :]
    assert listing(Source(text, "x.panel"), made(weights)) == []


@settings(max_examples=60)
@given(batches, st.sampled_from([-1, 1]))
def test_one_percentage_point_off_is_found(weights, off):
    share = 100 * max(weights.values()) / sum(weights.values())
    right, wrong = f"{share:.1f}", f"{share + off:.1f}"
    batch = made(weights)
    assert listing(declared(weights, percent=f"({right}%)"), batch) == []
    (finding,) = listing(declared(weights, percent=f"({wrong}%)"), batch)
    assert finding.rule == "sheet-percentage"


@settings(max_examples=30)
@given(batches, st.data())
def test_an_ingredient_left_out_is_found_on_either_side(weights, data):
    gone = data.draw(st.sampled_from(sorted(weights)))
    rest = {name: weight for name, weight in weights.items() if name != gone}
    assert [f.rule for f in listing(declared(rest), made(weights))] == ["sheet-not-declared"]
    if rest:
        assert [f.rule for f in listing(declared(weights), made(rest))] == ["sheet-not-in-batch"]


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(batches, st.sampled_from(["us", "eu"]))
@example({"duck": 50, "salt": 24571}, "us")
def test_a_random_batch_declared_then_linted_and_reconciled_is_clean(weights, market):
    from panellint.maker.declare import Product, declare
    from panellint.maker.declare.guarantees import kilocalories

    batch = made(weights)
    product = Product(species="dog", form="fresh", unit="cup 200 g")
    found = declare(batch, product, DEFAULT.with_market(market), path="x.panel")
    # Above the ceiling a food must be called a stew, gravy or the like, whatever its label says.
    assume(weighed(found.context).content("moisture").middle <= 78)
    # One that is nearly all salt or water is no food: rounding is a large part of its energy.
    assume((kilocalories(found.context) or 0) >= 100)
    graver = (Severity.ERROR, Severity.WARNING)
    context = with_batch(Source(found.text, "x.panel"), batch, DEFAULT.with_market(market))
    assert [f.message for f in reconcile(context).findings if f.severity in graver] == []
    # A name at its very threshold is doubted where the sheet is not at hand.
    sure = [f for f in found.linted.findings if f.certainty is not Certainty.PRACTICE]
    assert [f.message for f in sure if f.severity in graver] == []


# ---- groups, tails, names, categories ----


def rules_of(text: str) -> list[tuple[str, str]]:
    source = Source(text, "x.panel")

    context = with_written_sheet(LabelContext.of(source, DEFAULT))
    assert context is not None
    return [(f.rule, source.slice(f.span)) for f in reconcile(context).findings]


def test_two_separate_swaps_are_two_findings():
    text = (
        "Ingredients: millet, duck, salt, kale\n"
        "Batch sheet: = duck 50 %; millet 40 %; kale 7 %; salt 3 %\n"
    )
    assert rules_of(text) == [("sheet-order", "millet"), ("sheet-order", "salt")]


def test_members_of_a_tail_stand_in_no_order():
    text = (
        "Ingredients: duck, contains 2% or less of: salt, kale\n"
        "Batch sheet: = duck 97 %; kale 2 %; salt 1 %\n"
    )
    assert rules_of(text) == []


def test_a_category_takes_what_falls_in_it_and_a_named_one_is_judged():
    text = (
        "Market: EU\nForm: tray\n"
        "Composition: Meat and animal derivatives (of which chicken 20 %), cereals\n"
        "Batch sheet: = pork heart 50 %; chicken 14 %; barley 30 %; oats 6 %\n"
    )
    assert rules_of(text) == [("sheet-percentage", "20 %")]


def test_names_that_the_catalogue_takes_for_the_same_are_the_same():
    text = "Ingredients: deboned duck, oatmeal\nBatch sheet: = DUCK MEAT 60 %; oatmeal 40 %\n"
    assert rules_of(text) == []


@pytest.mark.parametrize(("share", "keeps"), [("24.9", False), ("25", True), ("95", True)])
def test_a_quarter_is_judged_to_the_last_gram(share, keeps):
    rest = 100 - float(share)
    order = "duck, millet" if float(share) >= 50 else "millet, duck"
    text = (
        f"Product name: Duck Recipe for Dogs\nMarket: US\nIngredients: {order}\n"
        f"Batch sheet: = duck {share} %; millet {rest:.1f} %\n"
    )
    assert ("sheet-settles" in [rule for rule, _ in rules_of(text)]) is not keeps


def test_a_group_takes_its_place_from_its_members_where_the_edition_says_so():
    text = (
        "Product name: Duck Recipe for Dogs\nIntended use: Complete Food for Dogs\nMarket: US\n"
        "Form: fresh\nIngredients: duck, minerals (salt, calcium carbonate), kale\n"
        "Batch sheet: = duck 90 %; salt 3 %; calcium carbonate 2 %; kale {kale} %\n"
    )
    modern = DEFAULT.with_market("us", "modernised")
    for kale, expected in (("5", []), ("5.5", ["sheet-order"])):
        source = Source(text.replace("{kale}", kale), "x.panel")

        context = with_written_sheet(LabelContext.of(source, modern))
        assert context is not None
        assert [f.rule for f in reconcile(context).findings] == expected


def test_lint_imports_nothing_of_it_for_a_label_without_a_sheet(tmp_path):
    panel = tmp_path / "a.panel"
    panel.write_text("Ingredients: duck, millet\n")
    code = (
        "import sys; from panellint.__main__ import main\n"
        f"main(['lint', '--quick', '--fail-at', 'never', {str(panel)!r}])\n"
        "print(sorted(m for m in sys.modules if m.startswith('panellint.maker.sheet')))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout.splitlines()[-1] == "[]", done.stderr


def test_a_preparation_of_the_label_gives_the_rehydrated_base():
    text = (
        "Form: dehydrated\nIngredients: duck (20% rehydrated), oats\nMoisture (max) 8 %\n"
        "Preparation: add 300 ml of water to 100 g of food\n"
        "Batch sheet: = duck 60 %; oats 40 %\n"
    )

    context = with_written_sheet(LabelContext.of(Source(text, "x.panel"), DEFAULT))
    assert context is not None
    assert weighed(context).formula.added == 3


def test_water_that_dries_away_needs_no_place_and_water_that_stays_does():
    sheet = "Batch sheet: = water 50 %; duck 30 %; millet 20 %\n"
    dried = "Form: kibble\nIngredients: duck, millet\nMoisture (max) 9 %\n"
    assert "sheet-not-declared" not in [rule for rule, _ in rules_of(dried + sheet)]
    canned = "Market: US\nForm: canned\nIngredients: duck, millet\n"
    assert "sheet-not-declared" in [rule for rule, _ in rules_of(canned + sheet)]


def test_a_row_that_joins_two_stands_for_both_entries():
    text = (
        "Ingredients: duck, {listed}, salt\n"
        "Batch sheet: = duck 60 %; peas and carrots 37 %; salt 3 %\n"
    )
    assert rules_of(text.replace("{listed}", "peas, carrots")) == []
    assert rules_of(text.replace("{listed}", "peas and carrots")) == []
    assert ("sheet-not-in-batch", "kale") in rules_of(text.replace("{listed}", "kale, carrots"))


# ---- own analyses, waivers ----


def test_own_analyses_make_a_guarantee_an_error():
    analysis = {"moisture": 60, "protein": 18, "fat": 18, "fibre": 0, "ash": 4}
    line = BatchLine("duck", Fraction(100), AT, {n: Fraction(v) for n, v in analysis.items()})
    text = "Form: fresh\nIngredients: duck\nGuaranteed analysis: Crude protein (min) 25%\n"
    context = with_batch(Source(text, "x.panel"), Batch("s.csv", (line,)), DEFAULT)
    (finding,) = reconcile(context).findings
    assert (finding.rule, finding.severity) == ("sheet-guarantee", Severity.ERROR)
    assert finding.rests_on == ("batch sheet",)


def test_waivers_hold_and_lint_does_not_call_them_unused():
    text = (
        "Ingredients: millet, duck\nBatch sheet: = duck 60 %; millet 40 %\n"
        f"Waive sheet-order until {date.today() + timedelta(days=90)}: artwork is at the printer\n"
    )
    assert rules_of(text) == []
    apart = text.replace("Batch sheet: = duck 60 %; millet 40 %\n", "")
    assert not [f for f in lint(Source(apart, "x.panel"), DEFAULT).findings if "waiver" in f.rule]


# ---- the command, and what it keeps to itself ----

DRAFT = str(SHEETS / "duck-millet-draft.panel")
ORDER = str(SHEETS / "faulty" / "percentage-off.csv")
LAMB = str(ROOT / "corpus" / "lamb-kibble-eu.panel")


def test_the_command_tells_headings_findings_and_tables():
    done = run(DRAFT, "--explain")
    assert done.exit_code == 1
    assert "Weight (kg) as weight in kg" in done.output
    assert "hemp seed weighs more than pumpkin" in done.output
    assert "hemp seed is 6.6 % of the mix" in done.output


@pytest.mark.parametrize("form", ["sarif", "lsp", "junit", "gnu"])
def test_other_outputs_hold_no_weight_unless_asked(form):
    weights = ["6.6 %", "4.8 %", "6.6 % of the mix", "26 % of the mix by the batch", "26.00"]
    for label_path, sheet in ((DRAFT, None), (LAMB, ORDER)):
        arguments = [label_path, *([sheet] if sheet else []), "--format", form, "--quiet"]
        done = run(*arguments)
        assert not any(weight in done.output for weight in weights), done.output
        assert "Print 26" not in done.output
    shown = run(DRAFT, "--format", "sarif", "--with-weights").output
    assert "6.6 % of the mix" in shown


def test_without_weights_keeps_the_words():
    context = with_batch(read(DRAFT), read_batch(SHEETS / "duck-millet-freeze-dried.csv"))
    whole = reconcile(context)
    bare = without_weights(whole)
    assert [f.message for f in bare.findings] == [f.message for f in whole.findings]
    assert all(not finding.proof for finding in bare.findings)


def test_lint_and_report_data_never_read_the_sheet():
    result = lint(read(DRAFT))
    (finding,) = [one for one in result.findings if one.rule == "sheet-named"]
    assert "sheet-order" in finding.message
    assert not any("6.6" in one.message for one in result.findings)


def test_json_has_the_findings_of_lint_and_the_batch_beside_them():
    data = json.loads(
        CliRunner().invoke(cli, ["reconcile", DRAFT, "--format", "json", "--quiet"]).stdout
    )
    assert {"files", "summary", "batch"} <= data.keys()
    batch = data["batch"]
    assert batch["guarantees"][0]["verdict"] == "fails"
    assert batch["adequacy"]["limits"]
    assert any(one["entry"].startswith("Duck") for one in batch["sheet"]["matched"])


def test_a_sheet_outside_the_repository_is_refused(tmp_path):
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "panellint.yaml").write_text("market: us\n")
    (tmp_path / "out.csv").write_text("Ingredient,kg\nduck,1\n")
    panel = tmp_path / "in" / "a.panel"
    panel.write_text("Ingredients: duck\nBatch sheet: ../out.csv\n")
    done = run(str(panel))
    assert done.exit_code == 2
    assert "a.panel:2:14: the batch sheet `../out.csv` lies outside" in done.output
    (tmp_path / "in" / "link.csv").symlink_to(tmp_path / "out.csv")
    panel.write_text("Ingredients: duck\nBatch sheet: link.csv\n")
    assert run(str(panel)).exit_code == 2


def test_no_input_and_no_file_is_written_over_without_force(tmp_path):
    sheet = tmp_path / "a.csv"
    sheet.write_text("Ingredient,kg\nduck,1\n")
    panel = tmp_path / "a.panel"
    panel.write_text("Ingredients: duck\n")
    before = sheet.read_bytes()
    done = run(str(panel), str(sheet), "--output", str(sheet))
    assert done.exit_code == 2
    assert "is an input of this command" in done.output
    assert sheet.read_bytes() == before
    other = tmp_path / "out.txt"
    other.write_text("kept")
    assert run(str(panel), str(sheet), "--output", str(other)).exit_code == 2
    assert other.read_text() == "kept"
    assert run(str(panel), str(sheet), "--output", str(other), "--force").exit_code == 0
    assert other.read_text() != "kept"


def test_a_label_that_names_no_sheet(tmp_path):
    panel = tmp_path / "a.panel"
    panel.write_text("Ingredients: duck\n")
    done = run(str(panel))
    assert done.exit_code == 2
    assert "names no batch sheet" in done.output


def test_what_is_judged_on_one_side_is_said_to_be_open_on_the_other_only():
    from panellint.maker.reconcile.data import batch_data
    from panellint.output.document import Paragraph
    from panellint.output.document_template import view

    name = "duck-millet-freeze-dried"
    context = with_batch(label(name), read_batch(SHEETS / "faulty" / "name-falls-short.csv"))
    *_, note = (
        block.words
        for block in view("reconcile")(batch_data(context))
        if isinstance(block, Paragraph)
    )
    assert "phosphorus (the maximum)" in note
    assert all(
        weighed(context).content(p, "dry matter").high <= 100 for p in ("chloride", "fat", "ash")
    )


# ---- hazards of the whole batch ----


def hazards_in(weights: dict[str, int], label: str = "Species: dog\nIngredients: chicken\n"):
    context = with_batch(Source(label, "x.panel"), made(weights), DEFAULT)
    return [f.message for f in reconcile(context).findings if f.rule.startswith("sheet-hazard")]


# Each row of a sheet is one component, whatever joining words or commas its name holds.
@pytest.mark.parametrize("joined", ["Peas and carrots", "Oats, rolled (grade 2)", "duck & rice"])
@pytest.mark.parametrize(("salt", "xylitol"), [(4, 3), (3, 4)])
def test_a_hazard_is_that_of_its_own_row(joined, salt, xylitol):
    found = hazards_in({"Chicken": 60, joined: 33, "Salt": salt, "Xylitol": xylitol})
    assert [message.partition(" is in the batch")[0] for message in found] == ["Xylitol"]


def test_a_row_that_names_two_ingredients_is_looked_into():
    found = hazards_in({"Chicken": 60, "Onion and garlic": 37, "Salt": 3})
    assert found
    assert all(message.startswith("Onion and garlic is in the batch") for message in found)


def test_what_an_ingredient_without_a_figure_could_be_is_no_estimate():
    label = (
        "Species: dog\nForm: fresh\nIngredients: zork, duck\nGuaranteed analysis\n"
        "Crude protein (min.) 30.0%\nCalorie content: 4,000 kcal/kg\n"
        "Batch sheet: = zork 80 %; duck 20 %\n"
    )
    context = with_written_sheet(LabelContext(Source(label, "a.panel"), Settings()))
    assert context is not None
    found = {one.rule for one in reconcile(context).findings}
    assert not found & {"sheet-guarantee", "sheet-calories"}
    data = batch_data(context)
    assert data["guarantees"][0]["verdict"] == "open"
    assert data["guarantees"][0]["margin"] is None
    assert data["analysis"]["finished_food"]["protein"]["estimate"] is None
    assert "energy" not in data["analysis"]
    assert data["sheet"]["balance"] is None


def test_percentages_of_a_written_formula_that_are_of_no_whole_are_refused():
    label = "Ingredients: duck, millet\nBatch sheet: = duck 58 %; millet 22 %\n"
    context = LabelContext(Source(label, "a.panel"), Settings())
    with pytest.raises(InputError, match="the percentages add up to 80 %"):
        with_written_sheet(context)
