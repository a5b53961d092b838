"""Labels against profiles: the examples of the AAFCO methods text, and what stays open."""

import pytest

from panellint.catalogue.model import Range
from panellint.core.errors import NotComputable
from panellint.nutrition.adequacy import density_factor, judge, ratio
from panellint.nutrition.bounds import ContentBounds
from panellint.nutrition.profiles import profile

VALUE = ContentBounds.value


def MIN(value: float, unit: str = "%") -> ContentBounds:
    return ContentBounds(low=value, unit=unit)


def MAX(value: float, unit: str = "%") -> ContentBounds:
    return ContentBounds(high=value, unit=unit)


B1 = {"protein": MIN(9), "fat": MIN(7), "calcium": MIN(0.25), "phosphorus": MIN(0.2)}
A2 = {"protein": MIN(21), "fat": MIN(8), "calcium": MIN(1.1), "phosphorus": MIN(0.9)}


def verdicts(adequacy, side="minimum"):
    return {j.nutrient: j.verdict for j in adequacy.judgements if j.side == side}


def test_example_b1():
    """AAFCO methods, 2014 text, example B1, doc page 22: canned cat food, growth claim.

    Printed 32.1, 25.0, 0.89 and 0.71; OK, OK, Low, Low. The print cuts or rounds: 0.05, 0.005.
    """
    found = judge(profile("AAFCO", "cat", "growth", food="wet"), B1, moisture=75, kcal_per_kg=1120)
    assert found.density == pytest.approx(4480)
    values = {j.nutrient: j.value for j in found.judgements}
    assert values["protein"] == pytest.approx(32.1, abs=0.05)
    assert values["fat"] == pytest.approx(25.0, abs=0.05)
    assert values["calcium"] == pytest.approx(0.89, abs=0.005)
    assert values["phosphorus"] == pytest.approx(0.71, abs=0.005)
    assert verdicts(found) == {
        "protein": "meets",
        "fat": "meets",
        "calcium": "misses",
        "phosphorus": "misses",
    }


def test_example_b1_passes_on_dry_matter_alone():
    """Derived: the same food without its energy would pass, which is what B1 warns of."""
    found = judge(profile("AAFCO", "cat", "growth", food="wet"), B1, moisture=75)
    assert set(verdicts(found).values()) == {"meets"}


def test_example_b1_on_the_energy_table():
    """Derived (B2 is the same food judged the other way): OK, OK, Low, Low again."""
    energy = profile("AAFCO", "cat", "growth", food="wet", basis="energy")
    found = judge(energy, B1, moisture=75, kcal_per_kg=1120)
    assert verdicts(found) == verdicts(
        judge(profile("AAFCO", "cat", "growth", food="wet"), B1, moisture=75, kcal_per_kg=1120)
    )


def test_examples_a1_and_a2():
    """AAFCO methods, 2014 text, doc pages 20 and 21: dry dog food, growth; all OK.

    Phosphorus stands exactly at its limit. A1's figures are derived: 23.33, 8.89, 1.222, 1.000.
    """
    found = judge(profile("AAFCO", "dog", "growth"), A2, moisture=10)
    assert set(verdicts(found).values()) == {"meets"}
    values = [j.value for j in found.judgements if j.side == "minimum" and j.basis != "ratio"]
    assert values == pytest.approx([23.33, 8.89, 1.222, 1.0], abs=0.005)


def test_the_multiplier_of_a_denser_food():
    """SACN, 5th ed., box 1-2, p. 12: a need of 0.6 % at 3.5 kcal/g is 0.686 % at 4."""
    multiplier = 4 / 3.5
    assert multiplier * 0.6 == pytest.approx(0.686, abs=0.0005)
    older = profile("AAFCO", "dog", "maintenance", "1997")
    assert (older.presumed, older.correct_above) == (3500, 4000)
    assert density_factor(older, 4000) == 1.0
    assert density_factor(older, 4375) == pytest.approx(0.8)


def test_no_correction_at_or_below_the_presumed_density():
    dog = profile("AAFCO", "dog", "growth")
    assert density_factor(dog, 4000) == density_factor(dog, 3300) == density_factor(dog, None) == 1
    assert density_factor(dog, 5000) == pytest.approx(0.8)


def test_a_light_food_for_growth_is_not_shown_adequate_by_the_table():
    growth = judge(profile("AAFCO", "dog", "growth"), A2, moisture=10, kcal_per_kg=3200)
    assert "does not show" in growth.notes[0] or "table alone" in growth.notes[0]
    adult = judge(profile("AAFCO", "dog", "maintenance"), A2, moisture=10, kcal_per_kg=3200)
    assert adult.notes == ()


def test_a_minimum_says_nothing_of_a_maximum():
    found = judge(profile("AAFCO", "dog", "growth"), A2, moisture=10)
    assert verdicts(found, "maximum")["phosphorus"] == "open"


def test_a_maximum_below_the_minimum_misses_it():
    contents = {"calcium": MAX(0.3)}
    found = judge(profile("AAFCO", "dog", "growth"), contents, moisture=10)
    assert verdicts(found)["calcium"] == "misses"
    assert verdicts(found, "maximum")["calcium"] == "meets"


def test_a_minimum_above_the_maximum_misses_it():
    found = judge(profile("AAFCO", "dog", "growth"), {"calcium": MIN(3.0)}, moisture=10)
    assert verdicts(found, "maximum")["calcium"] == "misses"
    assert verdicts(found)["calcium"] == "meets"


def test_what_the_label_does_not_let_one_judge_is_listed_in_the_tables_order():
    found = judge(profile("AAFCO", "dog", "growth"), A2, moisture=10)
    assert found.unjudged[:2] == ("arginine", "histidine")
    assert "protein" not in found.unjudged
    assert "omega-6-omega-3" in found.unjudged


def test_a_verdict_is_proven_only_over_the_whole_span():
    dog = profile("AAFCO", "dog", "growth")

    def span(low, high):
        found = judge(
            dog,
            {"protein": MIN(21)},
            moisture=10,
            span_of=lambda limit: Range(low, high) if limit.nutrient == "protein" else None,
        )
        return next(j for j in found.judgements if j.nutrient == "protein")

    assert span(23, 90).proven
    assert not span(21, 90).proven
    low = judge(
        dog, {"protein": MIN(15)}, moisture=10, span_of=lambda limit: Range(10, 20)
    ).judgements[0]
    assert (low.verdict, low.proven) == ("misses", True)
    assert low.outside_percent == pytest.approx(100 * (1 - 15 / 0.9 / 22.5))


def test_a_legal_maximum_is_not_corrected_for_energy():
    """FEDIAF: copper 2.8 mg per 100 g of dry matter, whatever the energy."""
    found = judge(
        profile("FEDIAF", "dog", "maintenance", basis="dry matter"),
        {"copper": VALUE(30, "mg/kg")},
        moisture=8,
        kcal_per_kg=4600,
    )
    legal = next(j for j in found.judgements if j.legal)
    assert (legal.verdict, legal.factor) == ("misses", 1.0)
    assert legal.value == pytest.approx(30 / 10 / 0.92)


def test_arginine_is_asked_for_the_food_s_own_protein():
    """FEDIAF, table VII-13: 30 % protein of dry matter needs 0.64 g/100 g, not 0.52."""
    contents = {"protein": VALUE(27), "arginine": VALUE(0.55)}
    found = judge(
        profile("FEDIAF", "dog", "maintenance", basis="dry matter"), contents, moisture=10
    )
    arginine = next(j for j in found.judgements if j.nutrient == "arginine")
    assert arginine.limit == pytest.approx(0.64)
    assert arginine.verdict == "misses"
    assert any("raised from 0.52" in note for note in arginine.notes)


def test_ratio_of_calcium_to_phosphorus():
    printed = ratio(VALUE(1.2), VALUE(0.9))
    assert printed == pytest.approx((1.333, 1.333, 1.333), abs=0.001)
    minima = ratio(MIN(1.2), MIN(1.0))
    assert (minima.value, minima.low, minima.high) == (pytest.approx(1.2), None, None)
    both = ratio(ContentBounds(1.0, 1.5), ContentBounds(0.8, 1.0))
    assert (both.low, both.high) == (pytest.approx(1.0), pytest.approx(1.875))
    units = ratio(VALUE(12, "g/kg"), VALUE(0.9))
    assert units.value == pytest.approx(1.333, abs=0.001)


def test_a_ratio_outside_the_profile():
    found = judge(
        profile("AAFCO", "dog", "growth"),
        {"calcium": MIN(2.4), "phosphorus": MIN(0.9)},
        moisture=10,
    )
    ratios = {j.side: j.verdict for j in found.judgements if j.nutrient == "calcium-phosphorus"}
    assert ratios == {"minimum": "meets", "maximum": "misses"}


def test_a_basis_that_cannot_be_reached_is_refused():
    with pytest.raises(NotComputable, match="moisture"):
        judge(profile("AAFCO", "dog", "growth"), A2, moisture=None)
    with pytest.raises(NotComputable, match="energy"):
        judge(profile("FEDIAF", "dog", "growth"), A2, moisture=10)
