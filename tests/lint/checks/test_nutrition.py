"""What guarantees prove of profile and calorie line.

Limits are AAFCO's for maintenance (2014 text, doc pages 9 and 10): dog protein 18 %, fat 5.5 %
of dry matter; phosphorus at most 1.6 %; calcium to phosphorus 1:1 to 2:1.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrient_sources import names_of
from panellint.core.findings import Finding
from panellint.core.source import Source, read
from panellint.lint.engine import findings_of
from panellint.nutrition.profiles import DRY_MATTER, profile
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parents[3]
CHECKS = {"profile-limit", "mineral-ratio", "calorie-reach", "formula-clash", "profile-reach"}
RULES = [rule for rule in packs.load().values() if rule.check in CHECKS]
CLEAN = [
    path
    for path in sorted((ROOT / "corpus").glob("*.panel"))
    if "marks:" not in path.with_suffix(".expected.yaml").read_text(encoding="utf-8")
]
HONEST = sorted((ROOT / "tests" / "honest").glob("*.panel"))

FORMULATED = (
    "Nutritional adequacy: Dinner is formulated to meet the nutritional levels established by the "
    "AAFCO Dog Food Nutrient Profiles for maintenance.\n"
)
TRIED = (
    "Nutritional adequacy: Animal feeding tests using AAFCO procedures substantiate that Dinner "
    "provides complete and balanced nutrition for maintenance.\n"
)


def label(lines: str, statement: str = FORMULATED, more: str = "") -> str:
    return (
        f"Product name: Dinner for Dogs\nForm: kibble\nMarket: US\n{more}"
        f"Guaranteed analysis: {lines}\n{statement}"
    )


def findings(text: str, quick: bool = False) -> list[Finding]:
    context = LabelContext.of(Source(text, "dinner.panel"), Settings(), quick=quick)
    return findings_of(context, RULES)


def told(text: str) -> list[tuple[str, str]]:
    return [(one.rule, str(one.certainty)) for one in findings(text)]


LINES = "crude protein (min) {p}%, crude fat (min) {f}%, crude fiber (max) 4%, moisture (max) 10%"


@pytest.mark.parametrize(
    ("protein", "expected"),
    # 16.2 / 0.9 is 18.0 % of dry matter.
    [(16.2, []), (16.1, [("profile-minimum", "possible")]), (24, [])],
)
def test_a_minimum_below_the_profile_proves_nothing(protein, expected):
    assert told(label(LINES.format(p=protein, f=8))) == expected


def test_a_maximum_below_the_profile_proves_it():
    # At most 4 % of a food with at least 90 % dry matter: 4.44 %, below 5.5.
    lines = LINES.format(p=24, f=3) + ", crude fat (max) 4%"
    assert told(label(lines)) == [("profile-minimum", "proven")]
    # At most 5.5 % of such a food may be 6.1 % of its dry matter.
    lines = LINES.format(p=24, f=3) + ", crude fat (max) 5.5%"
    assert told(label(lines)) == [("profile-minimum", "possible")]


@pytest.mark.parametrize("side", ["minimum", "maximum"])
@pytest.mark.parametrize("stage", ["maintenance", "growth"])
@pytest.mark.parametrize("species", ["dog", "cat"])
def test_no_error_rests_on_a_figure_that_was_not_read(species, stage, side):
    """A label that misses each limit of the profile for certain: a limit that AAFCO's own text
    bears is an error, each other one a warning that says so."""
    table = profile("AAFCO", species, stage, food="dry")
    limits = [
        limit
        for limit in table.limits
        if limit.basis == DRY_MATTER
        and (limit.low if side == "minimum" else limit.high) is not None
        and limit.nutrient not in ("methionine-cystine", "phenylalanine-tyrosine", "epa-dha")
    ]
    rows = [
        f"{next(names_of([limit.nutrient]))} (max) {limit.low / 2:.4f} {limit.unit}"
        if side == "minimum"
        else f"{next(names_of([limit.nutrient]))} (min) {limit.high * 1.5:.4f} {limit.unit}"
        for limit in limits
    ]
    text = (
        f"Product name: Dinner for {species.title()}s\nForm: kibble\nMarket: US\n"
        f"Guaranteed analysis: moisture (max) 10 %, {', '.join(rows)}\n"
        "Nutritional adequacy: Dinner is formulated to meet the nutritional levels established by "
        f"the AAFCO {species.title()} Food Nutrient Profiles for {stage}.\n"
    )
    observed = {
        finding.message: str(finding.severity)
        for finding in findings(text)
        if finding.rule == f"profile-{side}"
    }
    assert len(observed) == len(limits)
    doubted = [severity for message, severity in observed.items() if "not read" in message]
    assert doubted == ["warning"] * sum(not limit.confirmed for limit in limits)
    assert list(observed.values()).count("error") == sum(limit.confirmed for limit in limits)


def test_energy_density_raises_what_is_needed():
    # 45 % fat: so dense that 17 / 0.9 = 18.9 % of dry matter falls below 18 once corrected.
    dense = label(LINES.format(p=17, f=45))
    [finding] = findings(dense)
    assert (finding.rule, str(finding.certainty)) == ("profile-minimum", "possible")
    assert "for energy density" in finding.proof[0]


@pytest.mark.parametrize(
    "statement",
    [TRIED, "Nutritional adequacy: Dinner is intended for supplemental feeding only.\n", ""],
)
def test_only_a_formulated_food_is_held_to_the_profile(statement):
    assert told(label(LINES.format(p=9, f=1), statement)) == []


def test_a_maximum_of_the_profile():
    lines = LINES.format(p=24, f=10) + ", phosphorus (min) 1.7%"
    assert ("profile-maximum", "proven") in told(label(lines))
    # 1.5 / 0.9 is above 1.6; a guaranteed maximum says only what may be, and should not be.
    lines = LINES.format(p=24, f=10) + ", phosphorus (max) 1.5%"
    assert ("profile-maximum", "practice") in told(label(lines))
    assert all(sure in ("possible", "practice") for _, sure in told(label(lines)))


@pytest.mark.parametrize(
    ("minerals", "expected"),
    [
        ("calcium (min) 1.2%, phosphorus (min) 0.9%", []),
        ("calcium (min) 0.8%, phosphorus (min) 0.9%", [("calcium-to-phosphorus", "possible")]),
        (
            "calcium (min) 0.7%, calcium (max) 0.8%, phosphorus (min) 0.9%",
            [("calcium-to-phosphorus", "proven")],
        ),
        (
            "calcium (min) 1.0%, phosphorus (min) 0.4%, phosphorus (max) 0.45%",
            [("calcium-to-phosphorus", "proven")],
        ),
    ],
)
def test_calcium_to_phosphorus(minerals, expected):
    assert told(label(LINES.format(p=24, f=10) + ", " + minerals)) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        # 10 x (3.5 x 26 + 8.5 x 14) = 2100 is the least, and a fiftieth of it is rounding.
        ("(calculated): 2,100 kcal/kg", []),
        ("(calculated): 2,060 kcal/kg", []),
        ("(calculated): 2,050 kcal/kg", [("calories-out-of-reach", "proven")]),
        ("(fed): 1,500 kcal/kg", []),
        (": 1,500 kcal/kg", []),
    ],
)
def test_calories_that_no_food_within_the_guarantees_has(line, expected):
    text = label(LINES.format(p=26, f=14), "") + f"Calorie content {line}\n"
    assert told(text) == expected


def test_a_clash_is_worded_by_what_it_rests_on():
    ranges = label(LINES.format(p=55, f=3), "", "Ingredients: white rice, brown rice, barley.\n")
    [finding] = findings(ranges)
    assert (finding.rule, str(finding.severity)) == ("no-formula-fits", "warning")
    assert "or the ranges of the catalogue" in finding.message
    assert {"guarantees", "composition"} <= set(finding.rests_on)
    assert len(finding.proof) > 1
    assert findings(ranges, quick=True) == []


def test_a_clash_of_the_label_alone_is_an_error():
    [finding] = findings("Ingredients: duck (50 %), rice, less than 2% of: peas (4 %), salt\n")
    assert (str(finding.severity), str(finding.certainty)) == ("error", "proven")
    assert set(finding.rests_on) <= {"percentages", "tail", "groups", "order"}


def test_order_against_percentages_is_left_to_its_own_rule():
    assert findings("Ingredients: duck 20 %, millet 30 %, peas 50 %.\n") == []


def test_a_profile_out_of_reach():
    # White rice holds no 18 % of protein in any formula, oil and salt hold none.
    lines = LINES.format(p=5, f=3)
    text = label(lines, FORMULATED, "Ingredients: white rice, sunflower oil, salt.\n")
    reach = [one for one in findings(text) if one.rule == "profile-out-of-reach"]
    assert len(reach) == 1
    assert "crude protein (at most 12." in reach[0].message
    assert str(reach[0].severity) == "warning"
    assert "composition" in reach[0].rests_on
    assert "profile-out-of-reach" not in [one.rule for one in findings(text, quick=True)]
    tried = text.replace(FORMULATED, TRIED)
    assert "profile-out-of-reach" not in [one.rule for one in findings(tried)]


@pytest.mark.parametrize("more", ["soy protein isolate", "quinnbrook concentrate", "chicken meal"])
def test_a_source_of_protein_or_an_unknown_name_settles_it(more):
    lines = LINES.format(p=5, f=3)
    text = label(lines, FORMULATED, f"Ingredients: white rice, {more}, sunflower oil, salt.\n")
    assert "crude protein" not in " ".join(
        one.message for one in findings(text) if one.rule == "profile-out-of-reach"
    )


@pytest.mark.parametrize("path", [*CLEAN, *HONEST], ids=lambda path: path.stem)
def test_silence_on_honest_labels(path: Path) -> None:
    context = LabelContext.of(read(path), Settings())
    loud = [
        (one.rule, one.message)
        for one in findings_of(context, RULES)
        if one.severity.value in {"error", "warning"}
    ]
    assert loud == []
    assert context.formulas.consistent
