"""The ranges hold what published tables print, and the policy does what it says."""

from __future__ import annotations

import csv

import pytest
import yaml

from panellint.catalogue import Catalogue, load
from panellint.core.files import rules_folder
from rules.tables import generate as tables

FOLDER = rules_folder() / "ingredients"
#: Rows made for another use, of which the six parts alone are taken (widening.yaml).
PARTS_ONLY = ("14058", "43406", "18369")

# USDA National Nutrient Database for Standard Reference, Release 28 (2015), per 100 g:
# entry, NDB number, water, protein as printed, nitrogen factor, fat, ash.
PUBLISHED = """
chicken 05006 65.99 18.60 6.25 15.06 0.79
chicken 05062 73.90 22.50 6.25 2.62 1.13
chicken-liver 05027 76.46 16.92 6.25 4.83 1.06
turkey 05305 72.36 19.66 6.25 7.66 1.00
duck 05139 48.50 11.49 6.25 39.34 0.68
beef 23572 61.87 17.17 6.25 20.00 0.84
beef-liver 13325 70.81 20.36 6.25 3.63 1.31
beef-heart 13321 77.11 17.72 6.25 3.94 1.10
beef-tripe 13341 84.16 12.07 6.25 3.69 0.55
pork 10219 61.06 16.88 6.25 21.19 0.87
pork-liver 10110 71.06 21.39 6.25 3.65 1.44
lamb 17224 59.47 16.56 6.25 23.41 0.87
venison 17164 73.57 22.96 6.25 2.42 1.16
rabbit 17177 72.82 20.05 6.25 5.55 0.72
salmon 15236 64.89 20.42 6.25 13.42 1.13
cod 15015 81.22 17.81 6.25 0.67 1.16
herring 15039 72.05 17.96 6.25 9.04 1.46
egg 01123 76.15 12.56 6.25 9.51 1.06
milk 01077 88.13 3.15 6.38 3.25 0.67
dried-whey 01115 3.19 12.93 6.38 1.07 8.35
brown-rice 20036 11.80 7.54 5.95 3.20 1.21
white-rice 20444 11.62 7.13 5.95 0.66 0.64
corn 20014 10.37 9.42 6.25 4.74 1.20
wheat 20072 13.10 12.61 5.83 1.54 1.57
barley 20004 9.44 12.48 5.83 2.30 2.29
oats 20038 8.22 16.89 5.83 6.90 1.72
sorghum 20067 12.40 10.62 6.25 3.46 1.43
millet 20031 8.67 11.02 5.83 4.22 3.25
quinoa 20035 13.28 14.12 6.25 6.07 2.38
dried-peas 16085 8.62 23.82 6.25 1.16 2.66
lentils 16069 8.26 24.63 6.25 1.06 2.71
chickpeas 16056 7.68 20.47 6.25 6.04 2.85
soy-flour 16117 7.25 51.46 6.25 1.22 6.15
potato 11352 79.25 2.05 6.25 0.09 1.11
sweet-potato 11507 77.28 1.57 6.25 0.05 0.99
carrot 11124 88.29 0.93 6.25 0.24 0.97
apple 09003 85.56 0.26 6.25 0.17 0.19
flaxseed 12220 6.96 18.29 5.30 42.16 3.72
chia 12006 5.80 16.54 5.30 30.74 4.80
gelatin 19177 13.00 85.60 5.55 0.10 1.30
chicken-fat 04542 0.20 0.00 6.25 99.80 0.00
"""


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load()


@pytest.mark.parametrize("line", PUBLISHED.strip().splitlines())
def test_published_means_lie_within(catalogue: Catalogue, line: str) -> None:
    id, number, water, protein, factor, fat, ash = line.split()
    known = catalogue.get(id)
    assert known is not None
    held = {
        "moisture": float(water),
        "protein": min(100.0, float(protein) * 6.25 / float(factor)),
        "fat": float(fat),
        "ash": float(ash),
    }
    for part, value in held.items():
        low, high = known.figures[part].range
        assert low <= value <= high, (id, number, part)


def test_the_published_means_are_those_of_the_table_carried_over() -> None:
    """The literals above against the table in `tables/`, by item number."""
    with (tables.FOLDER / "usda-sr-subset.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["ndb_no"]: row for row in csv.DictReader(file)}
    for line in PUBLISHED.strip().splitlines():
        _, number, *values = line.split()
        row = rows[number]
        columns = ("water_g", "protein_g", "n_to_protein_factor", "fat_total_g", "ash_g")
        for column, value in zip(columns, values, strict=True):
            if column == "n_to_protein_factor" and row[column] in ("", "0.00"):
                continue
            assert float(row[column]) == pytest.approx(float(value)), (number, column)


def test_every_row_tied_to_an_entry_lies_within_its_ranges(catalogue: Catalogue) -> None:
    """All minerals and vitamins too, in the catalogue's units, by item number."""
    with (tables.FOLDER / "usda-sr-subset.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["ndb_no"]: row for row in csv.DictReader(file)}
    columns = {
        "water_g": ("moisture", 1),
        "fat_total_g": ("fat", 1),
        "ash_g": ("ash", 1),
        "calcium_mg": ("calcium", 1 / 1000),
        "zinc_mg": ("zinc", 10),
        "thiamin_mg": ("thiamine", 10),
        "vitamin_d_iu": ("vitamin-d", 10),
        "lysine_g": ("lysine", 1),
        "fa_18_2_linoleic_undiff_g": ("linoleic-acid", 1),
    }
    checked = 0
    for path in sorted(FOLDER.glob("*.yaml")):
        entries = yaml.safe_load(path.read_text("utf-8")).get("ingredients", {})
        for id, fields in entries.items():
            known = catalogue.get(id)
            assert known is not None
            for number in str(fields.get("usda", "")).split():
                for column, (nutrient, times) in columns.items():
                    printed = rows[number][column]
                    found = known.range_of(nutrient)
                    if not printed or found is None or number in PARTS_ONLY:
                        continue
                    value = float(printed) * times
                    assert found.low <= value + 1e-9, (id, number, nutrient)
                    assert found.high >= value - 1e-9, (id, number, nutrient)
                    checked += 1
    assert checked > 2000


def test_crude_fibre_is_never_above_total_dietary_fibre_alone(catalogue: Catalogue) -> None:
    """Where a table prints total dietary fibre only, crude fibre may be none of it."""
    known = catalogue.get("teff")
    assert known is not None
    fibre = known.range_of("fibre")
    assert fibre is not None
    assert fibre.low == 0
    assert fibre.high == pytest.approx(8.0)  # USDA NDB 20142: 8.0 g per 100 g


def test_declared_chicken_may_hold_bone_and_its_calcium(catalogue: Catalogue) -> None:
    known = catalogue.get("chicken")
    assert known is not None
    ash, calcium = known.figures["ash"], known.figures["calcium"]
    assert ash.range.high >= 5
    assert calcium.range.high >= 1.6
    assert not calcium.confirmed


def test_what_no_table_gives_is_unknown_and_never_zero(catalogue: Catalogue) -> None:
    for id in ("chicken", "brown-rice", "salmon"):
        known = catalogue.get(id)
        assert known is not None
        assert known.range_of("iodine") is None
        assert known.range_of("taurine") is None
    rice = catalogue.get("brown-rice")
    assert rice is not None
    assert rice.range_of("vitamin-a") is None  # carotene is no vitamin A for cats


def test_generated_files_are_in_time() -> None:
    assert tables.main(["--check"]) == 0


def test_the_script_makes_the_same_text_twice() -> None:
    assert tables.generate() == tables.generate()


WEIGHTS = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305, "P": 30.974,
    "S": 32.06, "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Mn": 54.938, "Fe": 55.845,
    "Cu": 63.546, "Zn": 65.38,
}  # fmt: skip


@pytest.mark.parametrize(
    ("id", "nutrient", "element", "atoms", "times"),
    [
        ("zinc-sulphate", "zinc", "Zn", {"Zn": 1, "S": 1, "O": 5, "H": 2}, 1e6),
        ("zinc-sulphate", "zinc", "Zn", {"Zn": 1, "S": 1, "O": 11, "H": 14}, 1e6),
        ("zinc-oxide", "zinc", "Zn", {"Zn": 1, "O": 1}, 1e6),
        ("ferrous-sulphate", "iron", "Fe", {"Fe": 1, "S": 1, "O": 5, "H": 2}, 1e6),
        ("ferrous-sulphate", "iron", "Fe", {"Fe": 1, "S": 1, "O": 11, "H": 14}, 1e6),
        ("copper-sulphate", "copper", "Cu", {"Cu": 1, "S": 1, "O": 9, "H": 10}, 1e6),
        ("manganous-oxide", "manganese", "Mn", {"Mn": 1, "O": 1}, 1e6),
        ("manganese-sulphate", "manganese", "Mn", {"Mn": 1, "S": 1, "O": 5, "H": 2}, 1e6),
        ("calcium-carbonate", "calcium", "Ca", {"Ca": 1, "C": 1, "O": 3}, 100),
        ("dicalcium-phosphate", "calcium", "Ca", {"Ca": 1, "H": 1, "P": 1, "O": 4}, 100),
        ("dicalcium-phosphate", "phosphorus", "P", {"Ca": 1, "H": 5, "P": 1, "O": 6}, 100),
        ("monocalcium-phosphate", "phosphorus", "P", {"Ca": 1, "H": 6, "P": 2, "O": 9}, 100),
        ("tricalcium-phosphate", "calcium", "Ca", {"Ca": 3, "P": 2, "O": 8}, 100),
        ("salt", "sodium", "Na", {"Na": 1, "Cl": 1}, 100),
        ("salt", "chloride", "Cl", {"Na": 1, "Cl": 1}, 100),
        ("potassium-chloride", "potassium", "K", {"K": 1, "Cl": 1}, 100),
        ("magnesium-oxide", "magnesium", "Mg", {"Mg": 1, "O": 1}, 100),
        ("phosphoric-acid", "phosphorus", "P", {"H": 3, "P": 1, "O": 4}, 100),
        ("sodium-bicarbonate", "sodium", "Na", {"Na": 1, "H": 1, "C": 1, "O": 3}, 100),
    ],
)
def test_strengths_hold_what_the_formula_gives(
    catalogue: Catalogue, id: str, nutrient: str, element: str, atoms: dict[str, int], times: float
) -> None:
    """Standard atomic weights (IUPAC, abridged)."""
    whole = sum(WEIGHTS[atom] * count for atom, count in atoms.items())
    share = WEIGHTS[element] * atoms[element] / whole * times
    known = catalogue.get(id)
    assert known is not None
    held = known.range_of(nutrient)
    assert held is not None
    assert held.low <= share <= held.high
