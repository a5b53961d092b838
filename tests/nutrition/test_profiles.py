"""Profiles: anchor cells as printed, columns merged, editions, and what is from memory."""

import pytest

from panellint.nutrition.profiles import NoProfile, authority_of, notes, profile, rise, stage_of
from panellint.rulepacks.data import data

PRINTED_2023 = "a maker's printed sheet of the minimums of 2023; 0.06 % of dry matter x 2.5"
AAFCO_2014 = "AAFCO methods, 2014 text, and a secondary table that cites it"
PRE_2016 = "reprints of the AAFCO tables of 1992 to 1997 on public pages"
FEDIAF_2025 = "FEDIAF Nutritional Guidelines, September 2025, tables III-3 and III-4"

#: authority, edition, species, stage, basis, nutrient, low, high, source of the cell.
ANCHORS = [
    ("AAFCO", "2016", "dog", "growth", "dry matter", "protein", 22.5, None, AAFCO_2014),
    ("AAFCO", "2016", "dog", "maintenance", "dry matter", "protein", 18.0, None, AAFCO_2014),
    ("AAFCO", "2016", "dog", "growth", "dry matter", "fat", 8.5, None, AAFCO_2014),
    ("AAFCO", "2016", "dog", "maintenance", "dry matter", "fat", 5.5, None, AAFCO_2014),
    ("AAFCO", "2016", "dog", "growth", "dry matter", "phosphorus", 1.0, 1.6, AAFCO_2014),
    ("AAFCO", "2016", "dog", "maintenance", "dry matter", "iodine", 1.0, 11, AAFCO_2014),
    ("AAFCO", "2016", "dog", "growth", "energy", "sodium", 0.80, None, AAFCO_2014),
    ("AAFCO", "2016", "dog", "growth", "energy", "magnesium", 0.15, None, PRINTED_2023),
    ("AAFCO", "2016", "dog", "growth", "energy", "chloride", 1.10, None, AAFCO_2014),
    ("AAFCO", "2016", "cat", "growth", "dry matter", "protein", 30, None, AAFCO_2014),
    ("AAFCO", "2016", "cat", "growth", "dry matter", "calcium", 1.0, None, AAFCO_2014),
    ("AAFCO", "2016", "cat", "maintenance", "dry matter", "vitamin-a", 3332, 333300, AAFCO_2014),
    ("AAFCO", "1997", "dog", "growth", "dry matter", "protein", 22, None, PRE_2016),
    ("AAFCO", "1997", "dog", "maintenance", "dry matter", "calcium", 0.6, 2.5, PRE_2016),
    ("AAFCO", "1997", "cat", "growth", "dry matter", "iodine", 0.35, None, PRE_2016),
    ("FEDIAF", "2025", "dog", "maintenance", "energy", "protein", 45.0, None, FEDIAF_2025),
    ("FEDIAF", "2025", "dog", "adult-95", "energy", "protein", 52.1, None, FEDIAF_2025),
    ("FEDIAF", "2025", "dog", "maintenance", "dry matter", "calcium", 0.5, 2.5, FEDIAF_2025),
    ("FEDIAF", "2025", "dog", "adult-95", "dry matter", "lysine", 0.46, None, FEDIAF_2025),
    ("FEDIAF", "2025", "dog", "adult-95", "energy", "lysine", 1.22, None, FEDIAF_2025),
    ("FEDIAF", "2025", "cat", "adult-75", "energy", "protein", 83.3, None, FEDIAF_2025),
    ("FEDIAF", "2025", "cat", "maintenance", "dry matter", "arginine", 1.0, None, FEDIAF_2025),
    ("FEDIAF", "2025", "cat", "growth", "energy", "calcium", 2.5, None, FEDIAF_2025),
]


@pytest.mark.parametrize(
    ("authority", "edition", "species", "stage", "basis", "nutrient", "low", "high", "source"),
    ANCHORS,
)
def test_anchor_cells(authority, edition, species, stage, basis, nutrient, low, high, source):
    found = profile(authority, species, stage, edition, basis=basis).of(nutrient)
    numbers = [limit for limit in found if not limit.legal]
    assert [limit.low for limit in numbers if limit.low is not None] == [low], source
    highs = [limit.high for limit in numbers if limit.high is not None]
    assert highs == ([] if high is None else [high]), source


@pytest.mark.parametrize("authority", ["aafco", "fediaf"])
def test_each_figure_names_a_source_that_was_read_where_it_is_confirmed(authority):
    """A figure is confirmed only by a text of the authority itself: AAFCO's methods, or a table of
    the FEDIAF guidelines; a reprint, a transcription or a calculation is none."""
    table = data(f"nutrients/{authority}")
    own = {"aafco": "AAFCO Methods for Substantiating", "fediaf": "Table"}[authority]
    growth_example = "growth value shown in Example B1 of the 2014 text"
    for row in table["rows"]:
        source = table["sources"][row["source"]]
        if row["confirmed"]:
            assert source.startswith((own, growth_example)), row
        else:
            assert row["note"], row
    assert set(table["sources"]) == {row["source"] for row in table["rows"]}


def test_two_bases_are_no_multiples_of_each_other():
    """Sodium for growth prints 0.80 per 1000 kcal, where 0.3 % x 2.5 would be 0.75."""
    dry = profile("AAFCO", "dog", "growth").of("sodium")[0].low
    energy = profile("AAFCO", "dog", "growth", basis="energy").of("sodium")[0].low
    assert dry is not None
    assert energy != pytest.approx(dry * 2.5)


def test_calcium_maximum_by_size():
    """AAFCO methods, 2014 text, doc pages 6 and 10: 1.8 % and 4.5 g (1.8 x 2.5 exactly)."""
    for basis, large, other in (("dry matter", 1.8, 2.5), ("energy", 4.5, 6.25)):
        with_large = profile("AAFCO", "dog", "growth", basis=basis, large_size=True)
        assert [x.high for x in with_large.of("calcium") if x.high] == [large]
        without = profile("AAFCO", "dog", "growth", basis=basis)
        found = [x for x in without.of("calcium") if x.high]
        assert [x.high for x in found] == [other]
        assert not found[0].confirmed


def test_rows_for_dry_and_for_wet_foods():
    """Taurine 0.10 % in extruded and 0.20 % in canned foods; copper 15 and 8.4 mg/kg."""
    for food, taurine, copper in (("dry", 0.10, 15), ("wet", 0.20, 8.4)):
        cat = profile("AAFCO", "cat", "growth", food=food)
        assert [x.low for x in cat.of("taurine")] == [taurine]
        assert [x.low for x in cat.of("copper")] == [copper]
    assert len(profile("AAFCO", "cat", "growth").of("taurine")) == 2


def test_a_food_for_all_stages_meets_the_strictest_of_each():
    dog = profile("AAFCO", "dog", "all life stages")
    assert dog.of("protein")[0].low == 22.5
    assert dog.of("protein")[0].columns == ("growth",)
    puppies = profile("FEDIAF", "dog", "growth", basis="dry matter")
    assert [x.high for x in puppies.of("calcium") if x.high] == [1.6]
    assert [x.low for x in puppies.of("protein")] == [25]


def test_legal_maxima_come_with_either_basis():
    """FEDIAF 2025: zinc 22.7 mg per 100 g of dry matter (200 mg/kg at 12 % moisture)."""
    for basis in ("dry matter", "energy"):
        dog = profile("FEDIAF", "dog", "maintenance", basis=basis)
        legal = [limit for limit in dog.of("zinc") if limit.legal]
        assert [(x.high, x.unit, x.basis) for x in legal] == [(22.7, "mg/100 g", "dry matter")]
        assert legal[0].high == pytest.approx(200 / 0.88 / 10, abs=0.05)


@pytest.mark.parametrize("per_kg", [(25, 2.80), (10, 1.10), (600, 68.18), (150, 17.0), (200, 22.7)])
def test_legal_maxima_follow_from_the_authorisations(per_kg):
    """Per kg at 12 % moisture (from memory) / 0.88 / 10, against the printed figure."""
    figure, printed = per_kg
    assert figure / 0.88 / 10 == pytest.approx(printed, abs=0.05)


#: FEDIAF, table VII-13 as printed: protein in percent of dry matter, arginine in g/100 g.
ARGININE = [
    ("dog", "maintenance", {18: 0.52, 20: 0.54, 22.5: 0.57, 25: 0.59, 30: 0.64, 50: 0.84}),
    ("dog", "growth and reproduction", {25: 0.82, 30: 0.87, 35: 0.92, 40: 0.97, 45: 1.02}),
    ("cat", "maintenance", {25: 1.00, 28: 1.06, 30: 1.10, 40: 1.30, 55: 1.60}),
]


@pytest.mark.parametrize(("species", "stage", "printed"), ARGININE)
def test_arginine_rises_with_protein(species, stage, printed):
    found = profile("FEDIAF", species, stage, basis="dry matter")
    low = found.of("arginine")[0].low
    rising = rise(found, "arginine")
    assert rising is not None
    other, base, by = rising
    assert other == "protein"
    for protein, arginine in printed.items():
        # The table prints two places, rounded.
        assert low + by * (protein - base) == pytest.approx(arginine, abs=0.0051)


def test_the_adult_columns_scale_with_the_daily_energy():
    """FEDIAF 7.2.5: 4.95 g of protein per kg^0.75 is 52.1 g at 95 kcal and 45.0 at 110."""
    for column, kcal, printed in (("adult-95", 95, 52.1), ("adult-110", 110, 45.0)):
        low = profile("FEDIAF", "dog", column).of("protein")[0].low
        assert low == printed
        assert 4.95 * 1000 / kcal == pytest.approx(printed, abs=0.05)


def test_what_is_from_memory_says_so():
    arginine = profile("AAFCO", "cat", "growth").of("arginine")[0]
    assert not arginine.confirmed
    assert "memory" in arginine.note
    assert profile("AAFCO", "cat", "growth").of("protein")[0].confirmed


def test_every_row_names_a_nutrient_a_source_and_a_unit():
    known = {row["id"] for row in data("nutrients/nutrients")["nutrients"]}
    ratios = {"calcium-phosphorus", "omega-6-omega-3"}
    for name in ("aafco", "fediaf"):
        tables = data(f"nutrients/{name}")
        for row in tables["rows"]:
            assert row["nutrient"] in known | ratios
            assert row["source"] in tables["sources"]
            assert row["confirmed"] or row.get("note")
            assert row["unit"]


def test_footnotes_are_told_for_the_nutrient_they_belong_to():
    cat = profile("AAFCO", "cat", "growth")
    assert any("25 % of the dry matter" in note for note in notes(cat, "vitamin-k"))
    assert notes(cat, "protein") == ()


def test_stages_of_a_food_for_several():
    assert stage_of(("growth", "maintenance")) == "all life stages"
    assert stage_of(("growth and reproduction", "growth")) == "growth and reproduction"
    assert stage_of(("maintenance", "senior")) == "maintenance"
    assert stage_of(()) is None


def test_authorities_of_the_markets():
    assert authority_of("us") == ("AAFCO", "2016")
    assert authority_of("uk") == authority_of("eu") == ("FEDIAF", "2025")
    with pytest.raises(NoProfile):
        authority_of("moon")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("NRC", "dog", "growth"), "no nutrient profile of 'NRC'"),
        (("AAFCO", "ferret", "growth"), "species 'ferret'"),
        (("AAFCO", "dog", "weekend"), "no stage 'weekend'"),
        (("AAFCO", "dog", "growth", "1066"), "no edition '1066'"),
        (("FEDIAF", "dog", "growth", "2025"), None),
    ],
)
def test_a_profile_that_does_not_exist_is_refused(arguments, words):
    if words is None:
        assert profile(*arguments).limits
        return
    with pytest.raises(NoProfile, match=words):
        profile(*arguments)


def test_an_edition_without_the_basis_is_refused():
    with pytest.raises(NoProfile, match="no table on the basis"):
        profile("AAFCO", "dog", "growth", "1997", basis="energy")
