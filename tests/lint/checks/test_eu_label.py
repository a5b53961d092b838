"""Particulars, constituents and additives of EU and UK labels.

Regulation (EC) No 767/2009: Art. 15, 17, 18 and 19; annex I point 6 (moisture above 14 %); annex
VII. Legal maxima: FEDIAF Nutritional Guidelines, September 2025, tables III-3a and III-4a.
"""

from __future__ import annotations

import math

import pytest

from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

WHOLE = """\
Product name: Lamb Menu
Complete pet food for adult dogs
Form: kibble
Composition: lamb 60 %, rice, barley
Analytical constituents: crude protein 20 %, crude fat 10 %, crude fibre 2 %, crude ash 6 %
Additives (per kg): Nutritional additives: Vitamin D3 (3a671) 1 200 IU, Zinc (3b605) 90 mg.
Feeding instructions: 10 kg dog 180 g a day.
Net weight: 400 g
Best before: see lid
Batch: see lid
Quillbrook Larder (UK), 3 Weir Lane, Quillbrook, Ambershire QB1 2QL
Approval number: GB 912 E 42
Questions? 01632 960142
"""


def found(text: str, rule: str = "", market: str = "eu") -> list[Finding]:
    settings = Settings().with_market(market)
    findings = lint(Source(text, "x"), settings, quick=True).findings
    ours = [one for one in findings if one.rule.startswith(("eu-", "uk-"))]
    return [one for one in ours if rule in ("", one.rule)]


@pytest.mark.parametrize("market", ["eu", "uk"])
def test_a_whole_label_is_left_alone(market: str) -> None:
    assert found(WHOLE, market=market) == []


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        ("Feeding instructions", "eu-feeding-instructions"),
        ("Net weight", "eu-net-quantity"),
        ("Batch", "eu-batch"),
        ("Best before", "eu-best-before"),
        ("Quillbrook Larder", "eu-operator-address"),
        ("Questions?", "eu-contact"),
        ("Complete pet food", "eu-feed-type"),
        ("Analytical constituents", "eu-constituents"),
    ],
)
def test_each_part_is_missed_by_one_rule(line: str, rule: str) -> None:
    kept = "".join(one for one in WHOLE.splitlines(True) if not one.startswith(line))
    assert kept != WHOLE
    rules = {one.rule for one in found(kept)}
    if line == "Complete pet food":
        kept = kept.replace("Lamb Menu", "Lamb Menu for Dogs")
        rules = {one.rule for one in found(kept)}
    assert rules == {rule}


@pytest.mark.parametrize(
    "text",
    [
        "Composition: lamb, rice\n",
        "lamb, rice, barley\n",
        "Product name: Lamb Menu\nComposition: lamb 60 %, rice\nSpecies: dog\n",
    ],
)
def test_a_bare_declaration_owes_no_small_print(text: str) -> None:
    small = {
        "eu-feeding-instructions",
        "eu-net-quantity",
        "eu-batch",
        "eu-best-before",
        "eu-operator-address",
        "eu-contact",
    }
    assert small.isdisjoint(one.rule for one in found(text))


@pytest.mark.parametrize(
    ("printed", "marked"),
    [
        ("Complete pet food for adult dogs", []),
        ("Complementary feed for dogs", []),
        ("Alleinfuttermittel für Hunde", []),
        ("Aliment complémentaire pour chiens", []),
        ("Pet food for dogs", ["Pet food for dogs"]),
        ("Compound feed for dogs", ["Compound feed for dogs"]),
    ],
)
def test_the_type_of_feed(printed: str, marked: list[str]) -> None:
    text = WHOLE.replace("Complete pet food for adult dogs", printed)
    assert [Source(text).slice(one.span) for one in found(text, "eu-feed-type")] == marked


def test_complementary_and_meets_all_needs_clash() -> None:
    text = WHOLE.replace("Complete", "Complementary").replace(
        "10 kg dog 180 g", "This food meets all daily needs: 10 kg dog 180 g"
    )
    (one,) = found(text, "eu-feed-type-against-directions")
    assert one.severity is Severity.WARNING
    assert one.certainty is Certainty.PRACTICE


@pytest.mark.parametrize(
    ("form", "moisture", "due"),
    [
        ("kibble", "", False),
        ("air-dried", "", False),
        ("canned", "", True),
        ("canned", ", moisture 78 %", False),
        ("fresh", "", True),
    ],
)
def test_moisture_above_fourteen_is_declared(form: str, moisture: str, due: bool) -> None:
    text = WHOLE.replace("Form: kibble", f"Form: {form}")
    text = text.replace("crude ash 6 %", f"crude ash 6 %{moisture}")
    assert bool(found(text, "eu-moisture-declared")) is due


@pytest.mark.parametrize(
    ("complete", "certainty"),
    [("Complete", Certainty.PROVEN), ("Complementary", Certainty.POSSIBLE)],
)
def test_ash_is_due(complete: str, certainty: Certainty) -> None:
    """Proven of a complete food; of a complementary one the text was not read."""
    text = WHOLE.replace("Complete", complete).replace(", crude ash 6 %", "")
    (one,) = found(text, "eu-constituents")
    assert one.certainty is certainty
    assert "crude ash" in one.message
    # The three legal names of ash (FEDIAF fact sheet on pet food labels).
    for name in ("inorganic matter", "incinerated residue", "ash"):
        assert found(WHOLE.replace("crude ash", name), "eu-constituents") == []


MAXIMA = data("nutrients/additives")["maxima"]
#: Per 100 g of dry matter, as FEDIAF prints them (2025): mg, and µg for selenium, IU for D3.
PRINTED = {
    "copper": (2.80, 1),
    "iodine": (1.10, 1),
    "iron": (68.18, 1),
    "manganese": (17.00, 1),
    "zinc": (22.70, 1),
    "selenium": (56.80, 1000),
    "vitamin-d": (227, 1),
}


@pytest.mark.parametrize("row", MAXIMA, ids=lambda row: row["nutrient"])
def test_the_maxima_are_those_printed_for_dry_matter(row: dict[str, float]) -> None:
    printed, factor = PRINTED[str(row["nutrient"])]
    # FEDIAF rounds down by up to 3 % (iodine 1.136 to 1.10).
    assert math.isclose(row["at_most"] / 0.88 / 10 * factor, printed, rel_tol=0.035)


@pytest.mark.parametrize("row", MAXIMA, ids=lambda row: row["nutrient"])
@pytest.mark.parametrize(("factor", "over"), [(0.99, False), (1, False), (1.01, True)])
def test_an_addition_at_the_maximum(row: dict[str, float], factor: float, over: bool) -> None:
    """At 12 % moisture the limit is the figure itself."""
    name = {"vitamin-d": "Vitamin D3"}.get(str(row["nutrient"]), str(row["nutrient"]).capitalize())
    unit = "IU" if row["unit"] == "IU/kg" else "mg"
    amount = round(row["at_most"] * factor, 4)
    text = WHOLE.replace("crude ash 6 %", "crude ash 6 %, moisture 12 %").replace(
        "Vitamin D3 (3a671) 1 200 IU, Zinc (3b605) 90 mg", f"{name} {amount:g} {unit}"
    )
    assert bool(found(text, "eu-additive-maximum")) is over


@pytest.mark.parametrize(
    ("moisture", "amount", "over"),
    [
        (", moisture 80 %", "5.6", False),  # 25 x 20 / 88 = 5.68
        (", moisture 80 %", "5.7", True),
        ("", "28.4", False),  # without water 25 / 0.88 = 28.41
        ("", "28.5", True),
    ],
)
def test_the_maximum_moves_with_the_water(moisture: str, amount: str, over: bool) -> None:
    text = WHOLE.replace("crude ash 6 %", f"crude ash 6 %{moisture}").replace(
        "Vitamin D3 (3a671) 1 200 IU, Zinc (3b605) 90 mg", f"Copper (3b405) {amount} mg"
    )
    assert bool(found(text, "eu-additive-maximum")) is over


def test_a_complementary_food_may_hold_more() -> None:
    text = WHOLE.replace("Complete", "Complementary").replace("Zinc (3b605) 90", "Zinc (3b605) 900")
    assert found(text, "eu-additive-maximum") == []


@pytest.mark.parametrize(
    ("listed", "lacking"),
    [
        ("Zinc (3b605) 90 mg", []),
        ("Zinc", ["Zinc"]),
        ("Zinc (3b605)", ["Zinc"]),
        ("Copper (copper(II) sulphate pentahydrate, 3b405): 1.2 mg", []),
        ("Iodine (3b202)\n  0.4 mg", []),
        ("Antioxidants, cassia gum", []),
        ("vitamin E", []),
    ],
)
def test_an_additive_with_a_maximum_has_its_amount(listed: str, lacking: list[str]) -> None:
    text = WHOLE.replace("Zinc (3b605) 90 mg", listed)
    assert [Source(text).slice(one.span) for one in found(text, "eu-additive-amount")] == lacking


def test_an_amount_may_run_over_a_line() -> None:
    text = WHOLE.replace("1 200 IU", "2\n  600 IU")
    (one,) = found(text, "eu-additive-maximum")
    assert "2600 IU/kg" in one.message


def test_additives_do_not_stand_among_the_materials() -> None:
    text = WHOLE.replace("barley\n", "barley, zinc proteinate, salt, vitamin E\n")
    (one,) = found(text, "eu-additive-misplaced")
    assert "zinc proteinate and vitamin E" in one.message


def test_a_constituent_is_no_bound() -> None:
    text = WHOLE.replace("crude protein 20 %", "crude protein (min) 20 %")
    (one,) = found(text, "eu-constituent-is-declared-value")
    assert one.severity is Severity.INFORMATION
    assert Source(text).slice(one.span) == "min"


def test_dietetic_feed_asks_for_an_opinion() -> None:
    text = WHOLE.replace("Complete pet food", "Dietetic complete pet food")
    assert len(found(text, "eu-dietetic-advice")) == 1
    asked = text.replace("180 g a day.", "180 g a day. Seek the opinion of a veterinarian first.")
    assert found(asked, "eu-dietetic-advice") == []


def test_an_address_elsewhere_is_hinted_at_in_the_uk_alone() -> None:
    text = WHOLE.replace("(UK), 3 Weir Lane, Quillbrook, Ambershire QB1 2QL", "12 Tannery Quay")
    assert [one.rule for one in found(text, market="uk")] == ["uk-operator-in-uk"]
    assert found(text, market="eu") == []
